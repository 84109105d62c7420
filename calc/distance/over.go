package distance

import (
	"fmt"

	"github.com/guardwright/guardwright/model"
)

// ReachOver is the law for reaching over the upper edge of a detection zone, by the heights of the hazard zone and of
// the upper edge above the floor: the two steps of [OrthogonalField] with the supplement C_RO of ISO 13855:2010 table 1 (6.5,
// from memory). Other standards are a [NotCoveredError].
//
// The table is not monotone in the height of the hazard: a lower hazard can need a larger or a smaller distance. For a
// hazard zone that reaches from one height to another, take the largest distance over all heights between.
func ReachOver(standard model.DistanceStandard, hazard, upperEdge model.Length) (Law, error) {
	if standard != model.ISO13855Edition2010 {
		return Law{}, notCovered(standard, "the distance for reaching over is not known for certain; where a cover prevents it, say reach_over: false")
	}
	supplement, err := reachOverSupplement(hazard, upperEdge)
	return hands(supplement, "ISO 13855:2010, 6.5 and table 1"), err
}

// reachOverSupplement is C_RO. Between two lines of the table it takes the neighbour with the larger value, and never
// interpolates.
func reachOverSupplement(hazard, upperEdge model.Length) (model.Length, error) {
	t := reachOverTable()
	switch {
	case !(hazard >= 0) || !(upperEdge >= 0):
		return 0, fmt.Errorf("found a hazard at %s and an upper edge at %s, wanted heights from 0 mm on", hazard, upperEdge)
	case upperEdge < mm(t.edges[0]):
		return 0, notCovered(model.ISO13855Edition2010, fmt.Sprintf("the upper edge is at %s; below 900 mm it does not keep a person from stepping over", upperEdge))
	case hazard > mm(t.hazards[0]):
		return 0, notCovered(model.ISO13855Edition2010, fmt.Sprintf("the hazard is at %s; table 1 ends at 2600 mm", hazard))
	}
	// A higher edge only protects more, so above the last column that column holds.
	upperEdge = min(upperEdge, mm(t.edges[len(t.edges)-1]))
	var largest model.Length
	for i, h := range t.hazards {
		above := i > 0 && hazard > mm(h) && hazard < mm(t.hazards[i-1])
		below := i+1 < len(t.hazards) && hazard < mm(h) && hazard > mm(t.hazards[i+1])
		if !above && !below && hazard != mm(h) {
			continue
		}
		for j, e := range t.edges {
			left := j+1 < len(t.edges) && upperEdge > mm(e) && upperEdge < mm(t.edges[j+1])
			right := j > 0 && upperEdge < mm(e) && upperEdge > mm(t.edges[j-1])
			if left || right || upperEdge == mm(e) {
				largest = max(largest, mm(t.supplement[i][j]))
			}
		}
	}
	return largest, nil
}

// reachTable is table 1 of ISO 13855:2010, in mm: a row for each height of the hazard, a column for each of the edge.
type reachTable struct {
	hazards    []float64 // falling
	edges      []float64 // rising
	supplement [][]float64
}

// reachOverTable was written down from memory: compare it with the standard before relying on a cell.
func reachOverTable() reachTable {
	return reachTable{
		edges:   []float64{900, 1000, 1100, 1200, 1300, 1400, 1600, 1800, 2000, 2200, 2400, 2600},
		hazards: []float64{2600, 2500, 2400, 2200, 2000, 1800, 1600, 1400, 1200, 1000, 800, 600, 400, 200, 0},
		supplement: [][]float64{
			{0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0},
			{400, 400, 350, 300, 300, 300, 300, 300, 250, 150, 100, 0},
			{550, 550, 550, 500, 450, 450, 400, 400, 300, 250, 100, 0},
			{800, 750, 750, 700, 650, 650, 600, 550, 400, 250, 0, 0},
			{950, 950, 850, 850, 800, 750, 700, 550, 400, 0, 0, 0},
			{1100, 1100, 950, 950, 850, 800, 750, 550, 0, 0, 0, 0},
			{1150, 1150, 1100, 1000, 900, 850, 750, 450, 0, 0, 0, 0},
			{1200, 1200, 1100, 1000, 900, 850, 650, 0, 0, 0, 0, 0},
			{1200, 1200, 1100, 1000, 850, 800, 0, 0, 0, 0, 0, 0},
			{1200, 1150, 1050, 950, 750, 700, 0, 0, 0, 0, 0, 0},
			{1150, 1050, 950, 800, 500, 450, 0, 0, 0, 0, 0, 0},
			{1050, 950, 750, 550, 0, 0, 0, 0, 0, 0, 0, 0},
			{900, 700, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0},
			{600, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0},
			{0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0},
		},
	}
}
