package distance

import (
	"fmt"

	"github.com/guardwright/guardwright/model"
)

// iso13857 is the standard of [OpeningDistance], which is not one for approach speeds.
const iso13857 = "ISO 13857:2019"

// OpeningDistance is the safety distance behind an opening of a guard through which a finger, a hand or an arm can pass, for
// persons of 14 years and older (ISO 13857:2019 table 4). The width is that of a slot, the side of a square or the diameter
// of a round opening; the length is that of a slot, zero when not stated, and shortens the distance of slots above 20 mm up to 30 mm
// that are at most 65 mm long. An empty shape is a slot.
//
// The table was written down from memory; the rows for 8 mm to 30 mm, the slots and squares above, and the last row were read in an
// annex of a national code. Three cells in which both differ are a [NotCoveredError].
func OpeningDistance(width model.Length, shape model.OpeningShape, length model.Length) (model.Length, error) {
	if !(width > 0) {
		return 0, fmt.Errorf("found an opening of %s, wanted one above 0 mm", width)
	}
	for _, row := range openingTable() {
		if width > mm(row.upTo) {
			continue
		}
		distance := row.slot
		switch shape {
		case model.SquareOpening:
			distance = row.square
		case model.RoundOpening:
			distance = row.round
		case model.SlotOpening, "":
			if row.upTo == 30 && length > 0 && length <= mm(65) {
				distance = 200
			}
		default:
			return 0, fmt.Errorf("found the shape %q, wanted one of %q", shape, shape.Values())
		}
		if distance < 0 {
			return 0, notCovered(iso13857, fmt.Sprintf("two texts differ on the distance behind a %s opening of %s; the one of a slot is on the safe side", shape, width))
		}
		return mm(distance), nil
	}
	return 0, notCovered(iso13857, fmt.Sprintf("an opening of %s is above the 120 mm at which table 4 ends", width))
}

// differs marks a cell on which texts differ.
const differs = -1

// openingRow is a row of ISO 13857:2019 table 4, in mm.
type openingRow struct{ upTo, slot, square, round float64 }

func openingTable() []openingRow {
	return []openingRow{
		{4, 2, 2, 2},
		{6, 10, differs, 5},  // square: 5 remembered, 10 read
		{8, 20, 15, differs}, // round: 5 remembered, 15 read
		{10, 80, 25, 20},
		{12, 100, 80, 80},
		{20, 120, 120, 120},
		{30, 850, 120, 120},
		{40, 850, 200, differs}, // round: 120 remembered, 200 read
		{120, 850, 850, 850},
	}
}

// PressOpening is the largest permitted opening of a guard of a mechanical power press at a distance from the point of
// operation (29 CFR 1910.217 table O-10, from memory). Distances below half an inch or above 31.5 inches are a
// [NotCoveredError]. At the end of one row and the start of the next the smaller opening counts.
func PressOpening(distance model.Length) (model.Length, error) {
	const inch = model.Length(0.0254)
	rows := []struct{ upTo, opening float64 }{
		{1.5, 1.0 / 4}, {2.5, 3.0 / 8}, {3.5, 1.0 / 2}, {5.5, 5.0 / 8}, {6.5, 3.0 / 4},
		{7.5, 7.0 / 8}, {12.5, 5.0 / 4}, {15.5, 3.0 / 2}, {17.5, 15.0 / 8}, {31.5, 17.0 / 8},
	}
	// An inch is no whole number of float64 metres, so that a distance given in inches needs this much room.
	const rounding = 1e-12
	if distance >= inch/2-rounding {
		for _, row := range rows {
			if distance <= model.Length(row.upTo)*inch+rounding {
				return model.Length(row.opening) * inch, nil
			}
		}
	}
	return 0, notCovered(model.CFR1910217, fmt.Sprintf("table O-10 has no opening at a distance of %s", distance))
}
