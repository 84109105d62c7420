package power

import (
	"fmt"
	"math"
	"strconv"
	"testing"

	"github.com/guardwright/guardwright/model"
	"github.com/stretchr/testify/require"
)

func mustTables(t testing.TB) *tables {
	t.Helper()
	tab, err := loadTables()
	require.NoError(t, err)
	return tab
}

// section reads a cross-section or the gauge in its stead.
func section(t testing.TB, row map[string]string) model.CrossSection {
	t.Helper()
	if row["section_mm2"] != "" {
		return model.CrossSection(number(t, row, "section_mm2"))
	}
	n, err := strconv.Atoi(row["awg"])
	require.NoError(t, err)
	s, err := model.AWG(n)
	require.NoError(t, err)
	return s
}

func TestConductorResistance(t *testing.T) {
	tab := mustTables(t)
	for _, row := range table(t, "conductors.csv") {
		if row["asserted"] != "yes" {
			continue // recorded, but too uncertain or of another kind
		}
		cable := &model.Cable{CableType: model.CableType{Section: section(t, row)}}
		r, _, err := tab.resistancePerLength(cable)
		require.NoError(t, err)
		got := float64(CopperAt(r, model.Temperature(number(t, row, "at_degc")))) * 1000
		if row["unit"] == "ohm/kft" {
			got *= 0.3048
		}
		agrees(t, row, got)
	}
}

func TestTemperatureOfCopper(t *testing.T) {
	for _, row := range table(t, "kt.csv") {
		at := model.Temperature(number(t, row, "at_degc"))
		agrees(t, row, float64(CopperTo20(1, at)))
		require.InDelta(t, 1, float64(CopperTo20(CopperAt(1, at), at)), 1e-15, "there and back")
	}
	require.Zero(t, CopperAt(1, -300), "below the range of the formula there is no negative resistance")
}

func TestSizesWithoutTableValue(t *testing.T) {
	tab := mustTables(t)
	for _, s := range []model.CrossSection{0.14, 0.25, 0.34, 0.6} {
		_, _, err := tab.resistancePerLength(&model.Cable{CableType: model.CableType{Section: s}})
		require.ErrorContains(t, err, "state resistance")
	}
	r, from, err := tab.resistancePerLength(&model.Cable{CableType: model.CableType{Section: 0.34, Resistance: model.OhmsPerKilometre(57)}})
	require.NoError(t, err)
	require.Equal(t, model.OhmsPerKilometre(57), r)
	require.Equal(t, "cable data", from)
}

// run describes a laid cable for the ampacity tables.
func run(s model.CrossSection, method model.LayingMethod, air model.Temperature, grouped int, insulation model.Temperature) *model.CableRun {
	return &model.CableRun{
		Cable:   &model.Cable{CableType: model.CableType{Section: s}, Insulation: insulation},
		Ambient: model.AmbientRange{Max: air},
		Laying:  model.LayingSpec{Method: method, Grouped: grouped},
	}
}

func TestAmpacity(t *testing.T) {
	tab := mustTables(t)
	for _, row := range table(t, "ampacity.csv") {
		r := run(section(t, row), model.LayingMethod(row["method"]), model.Temperature(number(t, row, "air_degc")), int(number(t, row, "grouped")), 70)
		a := tab.ampacity(model.AmpacityStandard(row["standard"]), r, int(number(t, row, "cores")))
		require.True(t, a.Known, a.Why)
		agrees(t, row, float64(a.Value))
		require.InDelta(t, float64(a.Value), float64(a.Base)*float64(a.Ambient*a.Grouping*a.Loaded), 1e-12, "the derivation gives the value")
	}
}

func TestAmpacityNotCovered(t *testing.T) {
	tab := mustTables(t)
	hot := func(c model.Temperature) *model.CableRun { return run(1.5, model.LayingB2, c, 1, 70) }
	for _, c := range []struct {
		name     string
		standard model.AmpacityStandard
		run      *model.CableRun
		cores    int
		why      string
	}{
		{"thinner than the table", model.IEC60204, run(0.14, model.LayingB2, 40, 1, 70), 2, "starts at 0.2 mm²"},
		{"no figure for the method", model.IEC60204, run(0.5, model.LayingB1, 40, 1, 70), 2, "no figure"},
		{"hotter than the table", model.IEC60204, hot(61), 2, "ends at 60 °C"},
		{"more circuits than the table", model.IEC60204, run(1.5, model.LayingB2, 40, 10, 70), 2, "ends at 9"},
		{"more cores than the table", model.IEC60204, hot(40), 25, "ends at 24"},
		{"insulation below the table's", model.IEC60204, run(1.5, model.LayingB2, 40, 1, 60), 2, "70 °C conductors"},
		{"thinner than the other table", model.NFPA79, run(0.04, "", 30, 1, 70), 2, "starts at AWG 30"},
		{"hotter than the other table", model.NFPA79, run(1.5, "", 56, 1, 70), 2, "ends at 55 °C"},
		{"more cores than the other table", model.NFPA79, run(1.5, "", 30, 9, 70), 5, "ends at 40"},
		{"another edition", "IEC 60204-1:1997", hot(40), 2, "no ampacity table"},
	} {
		a := tab.ampacity(c.standard, c.run, c.cores)
		require.False(t, a.Known, c.name)
		require.Zero(t, a.Value, c.name)
		require.Contains(t, a.Why, c.why, c.name)
	}
}

func TestDataSheetAmpacity(t *testing.T) {
	tab := mustTables(t)
	r := run(0.34, model.LayingE, 50, 2, 90)
	r.Cable.Ampacity = 4
	a := tab.ampacity(model.IEC60204, r, 4)
	require.True(t, a.Known)
	// The square-root law with the cable's own limit, pairs laid together, all cores loaded already.
	require.InDelta(t, 4*math.Sqrt(40.0/50)*0.76, float64(a.Value), 1e-12)
	r.Ambient.Max = 90
	require.False(t, tab.ampacity(model.IEC60204, r, 4).Known)
}

// polymeric is a self-resetting fuse with the temperature table of one make.
func polymeric(rated model.Current) *model.ResolvedProtectionType {
	return &model.ResolvedProtectionType{ProtectionType: model.ProtectionType{
		Kind: model.SelfResetting, Rated: rated,
		Trip: []model.TripPoint{{Current: 2 * rated, Time: 10}},
		Hold: []model.TripPoint{{Current: rated, Time: 3600}},
		TemperatureTable: []model.RatioAt{{At: -40, Ratio: 1.45}, {At: -20, Ratio: 1.3}, {At: 25, Ratio: 1}, {At: 40, Ratio: 0.88},
			{At: 60, Ratio: 0.71}, {At: 85, Ratio: 0.56}},
	}}
}

func TestTimeCurrentCurves(t *testing.T) {
	tab := mustTables(t)
	for _, row := range table(t, "protection.csv") {
		p := &model.ResolvedProtectionType{ProtectionType: model.ProtectionType{
			Kind: model.ProtectionKind(row["kind"]), Rated: model.Current(number(t, row, "rated_a")), Characteristic: model.Characteristic(row["band"])}}
		if p.Kind == model.SelfResetting {
			p = polymeric(p.Rated)
		} else {
			dc := model.Ratio(number(t, row, "dc"))
			p.DCFactor = &dc
		}
		air := model.Temperature(number(t, row, "air_degc"))
		c := tab.newCurve(p, model.AmbientRange{Min: air, Max: air})
		switch row["question"] {
		case "needed":
			i, ok := c.needed(0.1)
			require.True(t, ok)
			agrees(t, row, float64(i))
		case "opens_by":
			agrees(t, row, float64(c.latest(p.Rated*model.Current(number(t, row, "multiple")))))
		case "holds_for":
			agrees(t, row, float64(c.earliest(p.Rated*model.Current(number(t, row, "multiple")))))
		case "forever":
			agrees(t, row, float64(c.forever))
		default:
			t.Fatalf("unknown question %q", row["question"])
		}
	}
}

// A polymeric fuse is slow in the cold and weak in the heat: both ends have to be looked at.
func TestPolymericFuseAtBothEnds(t *testing.T) {
	tab := mustTables(t)
	c := tab.newCurve(polymeric(1.5), model.AmbientRange{Min: -40, Max: 60})
	require.InDelta(t, 1.5*0.71, float64(c.forever), 1e-12)
	require.InDelta(t, 1.5*1.45, float64(c.atColdest), 1e-12)
	i, ok := c.needed(10)
	require.True(t, ok)
	require.InDelta(t, 2*1.5*1.45, float64(i), 1e-12)
	require.NotEmpty(t, tab.newCurve(polymeric(1.5), model.AmbientRange{Min: -41, Max: 60}).noOpens)
	require.NotEmpty(t, tab.newCurve(polymeric(1.5), model.AmbientRange{Min: 0, Max: 86}).noHottest)
}

func TestFuseLinks(t *testing.T) {
	tab := mustTables(t)
	for _, row := range table(t, "fuse_links.csv") {
		least, greatest := number(t, row, "least_a2s"), number(t, row, "greatest_a2s")
		p := &model.ResolvedProtectionType{ProtectionType: model.ProtectionType{Kind: model.MeltingFuse, Rated: model.Current(number(t, row, "rated_a")),
			MeltMin: model.JouleIntegral(least), MeltMax: model.JouleIntegral(greatest)}}
		c := tab.newCurve(p, model.AmbientRange{Min: 20, Max: 20})
		holds, melts := model.Current(math.Sqrt(least/0.01)), model.Current(math.Sqrt(greatest/0.01))
		require.InDelta(t, 0.01, float64(c.earliest(holds)), 1e-12, "just whole after 10 ms")
		require.InDelta(t, 0.01, float64(c.latest(melts*(1+1e-12))), 1e-9, "melted after 10 ms")
		require.True(t, math.IsInf(float64(c.latest(melts*0.99)), 1), "the integral says nothing of longer times")
		needed, ok := c.needed(5)
		require.True(t, ok)
		require.InEpsilon(t, float64(melts), float64(needed), 1e-12)
	}
}

func TestContactDerating(t *testing.T) {
	connector := &model.Connector{ConnectorType: model.ConnectorType{Rating: 100}}
	rows := table(t, "connectors.csv")
	for _, row := range rows {
		connector.BaseCurve = append(connector.BaseCurve, model.CurrentAt{At: model.Temperature(number(t, row, "air_degc")), Current: model.Current(number(t, row, "base_a"))})
	}
	for _, row := range rows {
		agrees(t, row, float64(newContactLimit(connector, model.Temperature(number(t, row, "air_degc"))).permitted))
	}
	require.NotEmpty(t, newContactLimit(connector, 81).why, "hotter than the curve is not covered")
	require.InDelta(t, 6.88, float64(newContactLimit(connector, -20).permitted), 1e-12, "colder than the curve: its first point")
	// Straight lines between points stay below the square-root law through both ends.
	law := func(air float64) float64 { return 0.8 * 8.6 * math.Sqrt((85-air)/65) }
	require.Less(t, float64(newContactLimit(connector, 70).permitted), law(70))
	connector.Rating = 4
	require.Equal(t, model.Current(4), newContactLimit(connector, 20).permitted, "never more than the rating")
}

// Every row of the embedded tables says where it comes from, and the tables go up or down as they must.
func TestTablesAreSound(t *testing.T) {
	files, err := tableFiles.ReadDir("tables")
	require.NoError(t, err)
	for _, file := range files {
		data, err := tableFiles.ReadFile("tables/" + file.Name())
		require.NoError(t, err)
		require.Contains(t, string(data), ",source,how_known\n", file.Name())
		require.NoError(t, readTable("tables/"+file.Name(), func(r *record) {
			require.NotEmpty(t, r.fields[len(r.fields)-1], file.Name())
			require.NotEmpty(t, r.fields[len(r.fields)-2], file.Name())
		}))
	}
	tab := mustTables(t)
	for i := 1; i < len(tab.class5); i++ {
		require.Less(t, tab.class5[i].resistance, tab.class5[i-1].resistance)
		require.Greater(t, tab.class5[i].section, tab.class5[i-1].section)
		// No standard conductor is better than pure copper of its size nor worse by a quarter.
		pure := copperResistivity / float64(tab.class5[i].section)
		require.InDelta(t, 1.1, float64(tab.class5[i].resistance)/pure, 0.15, fmt.Sprint(tab.class5[i].section))
	}
	for i := 1; i < len(tab.iecCurrent); i++ {
		a, b := tab.iecCurrent[i-1], tab.iecCurrent[i]
		require.Greater(t, b.b2, a.b2)
		require.Greater(t, b.c, a.c)
		require.Greater(t, b.e, a.e)
		require.GreaterOrEqual(t, b.e, b.c)
		require.GreaterOrEqual(t, b.c, b.b2)
	}
	for i := 1; i < len(tab.nfpaCurrent); i++ {
		require.Greater(t, tab.nfpaCurrent[i].current, tab.nfpaCurrent[i-1].current)
		require.Greater(t, tab.nfpaCurrent[i].section, tab.nfpaCurrent[i-1].section)
	}
}
