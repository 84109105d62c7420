package power

import (
	"fmt"
	"math"
	"slices"

	"github.com/guardwright/guardwright/model"
)

// step is one step of a time-current curve.
type step struct {
	current model.Current
	time    model.Duration
}

// curve is what is known of the time-current band of a protective device in its surroundings: the slowest edge says
// when it has opened at the latest, the fastest edge how long it stays closed at least. Both edges are steps from the
// stated points; nothing is claimed between a point and the next better one, whatever the device may really do.
type curve struct {
	// opens are points of the slowest edge, rising current and falling time: at this current or more, opened within
	// the time. For a device whose data depend on temperature they hold at its coldest.
	opens []step
	// holds are points of the fastest edge: at this current or less, closed for the time at least; at its hottest.
	holds []step
	// meltMin and meltMax are the Joule integrals of a fuse link; zero when not stated.
	meltMin, meltMax model.JouleIntegral
	// forever is the current that the device holds for ever at its hottest, and atColdest that at its coldest.
	forever, atColdest model.Current
	// noOpens and noHolds say why the edges can't be told, or only in part.
	noOpens, noHolds string
	// noHottest and noColdest say why the currents at these temperatures can't be told.
	noHottest, noColdest string
}

// meltTime is the time up to which a Joule integral describes a fuse link: IEC 60269-1 Table 7 states it at 0.01 s
// (read in a reprint). For longer times heat flows off, and the integral is larger.
const meltTime model.Duration = 0.01

// curve returns the curve of a device at an air temperature.
func (p *plan) curve(t *model.ResolvedProtectionType, ambient model.AmbientRange) *curve {
	key := curveKey{t, ambient}
	if c := p.curves[key]; c != nil {
		return c
	}
	c := p.tables.newCurve(t, ambient)
	p.curves[key] = c
	return c
}

type curveKey struct {
	protection *model.ResolvedProtectionType
	ambient    model.AmbientRange
}

func (t *tables) newCurve(p *model.ResolvedProtectionType, ambient model.AmbientRange) *curve {
	c := &curve{meltMin: p.MeltMin, meltMax: p.MeltMax}
	hottest, coldest := c.temperatureFactors(p, ambient)
	c.forever, c.atColdest = p.Rated*hottest, p.Rated*coldest
	for _, point := range p.Trip {
		c.opens = append(c.opens, step{point.Current * coldest, point.Time})
	}
	for _, point := range p.Hold {
		c.holds = append(c.holds, step{point.Current * hottest, point.Time})
	}
	if p.Kind == model.Breaker {
		t.addBreaker(c, p, hottest, coldest)
	}
	if len(c.opens) == 0 && c.meltMax == 0 && c.noOpens == "" {
		c.noOpens = fmt.Sprintf("protection type %s states no trip points (trip: current and time)", p.Name)
	}
	if len(c.holds) == 0 && c.meltMin == 0 && c.noHolds == "" {
		c.noHolds = fmt.Sprintf("protection type %s states no hold points (hold: current and time)", p.Name)
	}
	return c
}

// temperatureFactors are the shares of the rated current at the hottest and at the coldest. Outside of its table a
// device's edges are not covered on the side that a guess would endanger.
func (c *curve) temperatureFactors(p *model.ResolvedProtectionType, ambient model.AmbientRange) (hottest, coldest model.Current) {
	n := len(p.TemperatureTable)
	if n == 0 {
		if p.Kind == model.SelfResetting {
			text := fmt.Sprintf("protection type %s is self-resetting and has no temperature table; its currents change by half over the usual range, so state temperature_table", p.Name)
			c.noOpens, c.noHolds, c.noHottest, c.noColdest = text, text, text, text
		}
		return 1, 1
	}
	row := func(i int) (float64, float64) {
		return float64(p.TemperatureTable[i].At), float64(p.TemperatureTable[i].Ratio)
	}
	hot, ok := interpolate(n, row, float64(ambient.Max))
	if !ok {
		text := fmt.Sprintf("the temperature table of protection type %s ends at %v, and the air may have %v", p.Name, p.TemperatureTable[n-1].At, ambient.Max)
		c.noHolds, c.noHottest = text, text
	}
	cold, ok := interpolate(n, row, float64(ambient.Min))
	if !ok {
		cold = float64(p.TemperatureTable[n-1].Ratio)
	}
	if ambient.Min < p.TemperatureTable[0].At {
		text := fmt.Sprintf("the temperature table of protection type %s starts at %v, and the air may have %v", p.Name, p.TemperatureTable[0].At, ambient.Min)
		c.noOpens, c.noColdest = text, text
	}
	return model.Current(hot), model.Current(cold)
}

// addBreaker adds the thermal points and the instantaneous band of IEC 60898-1.
func (t *tables) addBreaker(c *curve, p *model.ResolvedProtectionType, hottest, coldest model.Current) {
	band := t.band(p.Characteristic)
	edge := 0.0 // lower edge of the band, in multiples of the rated current; 0: not known
	switch {
	case band == nil:
		text := fmt.Sprintf("breaker type %s states no characteristic (B, C or D)", p.Name)
		c.noOpens, c.noHolds = text, text
	case p.DCFactor == nil:
		text := fmt.Sprintf("breaker type %s states no dc_factor: its band is for alternating current, and sources disagree on how it shifts with direct current; take the factor from its data sheet (100 %% if the data are for DC)", p.Name)
		c.noOpens, c.noHolds = text, text
	default:
		factor := float64(*p.DCFactor)
		edge = band.holds * factor
		c.opens = append(c.opens, step{p.Rated * model.Current(band.opens*factor), band.time})
		c.holds = append(c.holds, step{p.Rated * model.Current(edge), band.time})
	}
	for _, row := range t.breakerTime {
		if p.Rated <= row.from || p.Rated > row.to {
			continue
		}
		if row.opens > 0 {
			c.opens = append(c.opens, step{p.Rated * coldest * model.Current(row.times), row.opens})
		}
		if row.holds > 0 && (row.times < edge || row.times < 2) {
			c.holds = append(c.holds, step{p.Rated * hottest * model.Current(row.times), row.holds})
		}
	}
	byCurrent := func(a, b step) int {
		switch {
		case a.current < b.current:
			return -1
		case a.current > b.current:
			return 1
		}
		return 0
	}
	slices.SortStableFunc(c.opens, byCurrent)
	slices.SortStableFunc(c.holds, byCurrent)
}

func (t *tables) band(characteristic model.Characteristic) *bandRow {
	for i := range t.breakerBand {
		if t.breakerBand[i].characteristic == characteristic {
			return &t.breakerBand[i]
		}
	}
	return nil
}

// latest is the time at which the device has opened at a constant current at the latest; infinite when no point says
// that it opens.
func (c *curve) latest(i model.Current) model.Duration {
	t := model.Duration(math.Inf(1))
	for _, s := range c.opens {
		if i >= s.current {
			t = min(t, s.time)
		}
	}
	if c.meltMax > 0 {
		if melt := joule(c.meltMax, i); melt <= meltTime {
			t = min(t, melt)
		}
	}
	return t
}

// earliest is the time for which the device stays closed at a constant current at least.
func (c *curve) earliest(i model.Current) model.Duration {
	if i <= c.forever && c.noHottest == "" {
		return model.Duration(math.Inf(1))
	}
	t := model.Duration(0)
	for _, s := range c.holds {
		if i <= s.current {
			t = max(t, s.time)
		}
	}
	if c.meltMin > 0 {
		t = max(t, joule(c.meltMin, i))
	}
	return t
}

// joule is the time in which a constant current reaches a Joule integral.
func joule(integral model.JouleIntegral, i model.Current) model.Duration {
	if i <= 0 {
		return model.Duration(math.Inf(1))
	}
	return model.Duration(float64(integral) / float64(i*i))
}

// needed is the smallest current at which the device opens within a time; false when no point says so.
func (c *curve) needed(within model.Duration) (model.Current, bool) {
	needed, ok := model.Current(math.Inf(1)), false
	for _, s := range c.opens {
		if s.time <= within {
			needed, ok = min(needed, s.current), true
		}
	}
	if c.meltMax > 0 && within > 0 {
		at := model.Current(math.Sqrt(float64(c.meltMax) / float64(min(within, meltTime))))
		needed, ok = min(needed, at), true
	}
	return needed, ok
}

// stands is the largest current for which the device stays closed for a time.
func (c *curve) stands(t model.Duration) model.Current {
	i := model.Current(0)
	if c.noHottest == "" {
		i = c.forever
	}
	for _, s := range c.holds {
		if s.time >= t {
			i = max(i, s.current)
		}
	}
	return i
}

// corners are the currents within a range at which the slowest edge steps down.
func (c *curve) corners(from, to model.Current, dst []model.Current) []model.Current {
	for _, s := range c.opens {
		if s.current > from && s.current < to {
			dst = append(dst, s.current)
		}
	}
	if c.meltMax > 0 {
		if at := model.Current(math.Sqrt(float64(c.meltMax) / float64(meltTime))); at > from && at < to {
			dst = append(dst, at)
		}
	}
	return dst
}
