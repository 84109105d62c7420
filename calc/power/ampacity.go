package power

import (
	"fmt"
	"math"

	"github.com/guardwright/guardwright/model"
)

const pvc = 70 // °C, conductor limit for which the tables of IEC 60204-1 are made

// ampacity computes the permitted current of one core of a run in which so many cores carry current.
//
//	Value = Base · Ambient · Grouping · Loaded
//
// A cross-section between two rows of a table takes the smaller one. What the tables do not reach is not covered: a
// thinner conductor, hotter air, more circuits laid together.
func (t *tables) ampacity(standard model.AmpacityStandard, run *model.CableRun, loadedCores int) Ampacity {
	a := Ampacity{
		Method: run.Laying.Method, Standard: standard, Temperature: run.Ambient.Max,
		Grouped: max(run.Laying.Grouped, 1), LoadedCores: loadedCores,
		Ambient: 1, Grouping: 1, Loaded: 1,
	}
	if a.Method == "" {
		a.Method = model.LayingB2
	}
	if a.Standard == "" {
		a.Standard = model.IEC60204
	}
	switch {
	case a.Standard == model.NFPA79:
		a.Why = t.byNFPA79(&a, run.Cable)
	case a.Standard == model.IEC60204:
		a.Why = t.byIEC60204(&a, run.Cable)
	default:
		a.Why = fmt.Sprintf("there is no ampacity table for %q", a.Standard)
	}
	if a.Why != "" {
		return a
	}
	a.Known = true
	a.Value = a.Base * model.Current(a.Ambient*a.Grouping*a.Loaded)
	if a.Row > 0 && a.Row != run.Cable.Section {
		a.Why = "the table has no such cross-section; the next smaller row is taken"
	}
	return a
}

// byIEC60204 fills in the base and the factors by Table 6 and Annex D; it returns what is not covered.
func (t *tables) byIEC60204(a *Ampacity, cable *model.Cable) (why string) {
	fromData := cable.Ampacity > 0
	if fromData {
		a.Base = cable.Ampacity
	} else if why = t.iecBase(a, cable); why != "" {
		return why
	}
	if why = t.iecAmbientFactor(a, cable, fromData); why != "" {
		return why
	}
	if why = t.iecGroupingFactor(a, cable.Section <= 0.5); why != "" {
		return why
	}
	if fromData {
		return "" // the data sheet's figure holds with all cores loaded
	}
	for _, row := range t.iecCores {
		count := a.LoadedCores
		factor := row.conductors
		if cable.Section <= 0.75 {
			count, factor = (count+1)/2, row.ofPairs
		}
		if row.loaded >= count {
			a.Loaded = factor
			return ""
		}
	}
	return fmt.Sprintf("Table D.3 of IEC 60204-1 ends at 24 loaded conductors or pairs, and %d cores carry current", a.LoadedCores)
}

func (t *tables) iecBase(a *Ampacity, cable *model.Cable) (why string) {
	if cable.Insulation < pvc {
		return fmt.Sprintf("Table 6 of IEC 60204-1 is made for 70 °C conductors, and the insulation permits only %v; state ampacity from the cable's data sheet", cable.Insulation)
	}
	var found *currentRow
	for i := range t.iecCurrent {
		if t.iecCurrent[i].section > cable.Section {
			break
		}
		found = &t.iecCurrent[i]
	}
	if found == nil {
		return fmt.Sprintf("Table 6 of IEC 60204-1 starts at %v, and the conductor has %v; state ampacity from the cable's data sheet", t.iecCurrent[0].section, cable.Section)
	}
	a.Row = found.section
	switch a.Method {
	case model.LayingB1:
		a.Base = found.b1
	case model.LayingB2:
		a.Base = found.b2
	case model.LayingC:
		a.Base = found.c
	case model.LayingE:
		a.Base = found.e
	default:
		return fmt.Sprintf("IEC 60204-1 has no method of installation %q; it has B1, B2, C and E", a.Method)
	}
	if math.IsNaN(float64(a.Base)) {
		a.Base = 0
		return fmt.Sprintf("Table 6 of IEC 60204-1 has no figure for %v laid by method %s; state ampacity from the cable's data sheet", found.section, a.Method)
	}
	return ""
}

// iecAmbientFactor fills in the factor for the air temperature: Table D.1 with straight lines between its rows, which
// lie below the law sqrt((70 - t)/(70 - 40)) that it follows. A data-sheet current of another insulation goes by that
// law with its own limit.
func (t *tables) iecAmbientFactor(a *Ampacity, cable *model.Cable, fromData bool) (why string) {
	if fromData && cable.Insulation != pvc {
		if cable.Insulation <= 40 || a.Temperature >= cable.Insulation {
			return fmt.Sprintf("the air may have %v, and the insulation permits %v", a.Temperature, cable.Insulation)
		}
		warm := max(a.Temperature, 30)
		a.Ambient = model.Ratio(math.Sqrt(float64((cable.Insulation - warm) / (cable.Insulation - 40))))
		return ""
	}
	factor, ok := interpolate(len(t.iecAmbient), func(i int) (float64, float64) {
		return t.iecAmbient[i].at, float64(t.iecAmbient[i].factor)
	}, float64(a.Temperature))
	if !ok {
		return fmt.Sprintf("Table D.1 of IEC 60204-1 ends at 60 °C, and the air may have %v", a.Temperature)
	}
	a.Ambient = model.Ratio(factor)
	return ""
}

func (t *tables) iecGroupingFactor(a *Ampacity, pairs bool) (why string) {
	for _, row := range t.iecGrouping {
		if row.circuits < a.Grouped {
			continue
		}
		switch {
		case pairs:
			a.Grouping = row.ofPairs
		case a.Method == model.LayingC:
			a.Grouping = row.c
		case a.Method == model.LayingE:
			a.Grouping = row.e
		default:
			a.Grouping = row.b
		}
		return ""
	}
	return fmt.Sprintf("Table D.2 of IEC 60204-1 ends at 9 circuits laid together, and there are %d", a.Grouped)
}

// byNFPA79 fills in the base and the factors by the tables of clause 12.5: the 60 °C column, which is safe for any
// better insulation, and every core that carries current in all cables laid together counted.
func (t *tables) byNFPA79(a *Ampacity, cable *model.Cable) (why string) {
	if cable.Insulation < 60 {
		return fmt.Sprintf("the table of NFPA 79 is made for 60 °C conductors, and the insulation permits only %v", cable.Insulation)
	}
	temperature := a.Temperature
	if cable.Ampacity > 0 {
		return "a data-sheet ampacity in 40 °C air has no correction in NFPA 79; use the tables of IEC 60204-1 for it, or leave ampacity out"
	}
	var found *gaugeRow
	for i := range t.nfpaCurrent {
		if t.nfpaCurrent[i].section > cable.Section {
			break
		}
		found = &t.nfpaCurrent[i]
	}
	if found == nil {
		return fmt.Sprintf("the table of NFPA 79 starts at AWG 30, and the conductor has %v", cable.Section)
	}
	a.Row, a.Base, a.Method = found.section, found.current, ""
	ok := false
	if a.Ambient, ok = upTo(t.nfpaAmbient, float64(temperature)); !ok {
		return fmt.Sprintf("the table of NFPA 79 ends at 55 °C, and the air may have %v", temperature)
	}
	if a.Loaded, ok = upTo(t.nfpaCores, float64(a.LoadedCores*a.Grouped)); !ok {
		return fmt.Sprintf("the table of NFPA 79 ends at 40 current-carrying conductors together, and there are %d", a.LoadedCores*a.Grouped)
	}
	return ""
}

// upTo returns the factor of the first row that reaches x.
func upTo(rows []ratioRow, x float64) (model.Ratio, bool) {
	for _, row := range rows {
		if x <= row.at {
			return row.factor, true
		}
	}
	return 1, false
}

// interpolate reads a table, sorted by its first column, with straight lines between its rows. Before the first row it
// returns the first value; past the last one it returns false.
func interpolate(n int, row func(int) (at, value float64), x float64) (float64, bool) {
	var lastAt, lastValue float64
	for i := range n {
		at, value := row(i)
		if x <= at {
			if i == 0 || x == at {
				return value, true
			}
			return lastValue + (value-lastValue)*(x-lastAt)/(at-lastAt), true
		}
		lastAt, lastValue = at, value
	}
	return 0, false
}
