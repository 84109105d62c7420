package power

import (
	"fmt"
	"math"

	"github.com/guardwright/guardwright/model"
)

// Copper at 20 °C and its change with temperature.
const (
	// copperZero is the temperature, below 0 °C, at which the straight line through copper's resistance meets zero:
	// IEC 60228:2004 Annex B, exact formula (from memory).
	copperZero = 234.5
	// copperResistivity is that of the International Annealed Copper Standard in Ω·mm²/m at 20 °C: 58 MS/m, printed as
	// 0.017241 (NBS Handbook 100; from memory).
	copperResistivity = 1.0 / 58
	copperReference   = 20 // °C
)

// CopperAt returns the resistance at temperature t of a copper conductor that has the resistance r20 at 20 °C:
//
//	R(t) = R20 · (234.5 + t) / 254.5
//
// IEC 60228:2004 Annex B, exact formula. The rounded factors Kt of its Annex A (0.004 for each kelvin) and the
// linear coefficient 0.00393 differ from it by up to 0.3 % at 70 °C and are not used. The formula is stated for the
// range in which cables are used; a temperature of -234.5 °C or less is outside of it and gives zero.
func CopperAt(r20 model.ResistancePerLength, t model.Temperature) model.ResistancePerLength {
	return r20 * model.ResistancePerLength(copperFactor(t))
}

// CopperTo20 returns the resistance at 20 °C of a copper conductor that has the resistance r at temperature t, the
// inverse of [CopperAt]. With it a table of another temperature becomes usable: the values of NEC Chapter 9 Table 8
// hold at 75 °C, and 1/0.8223 of the result is what the table prints (the NEC's own 0.00323 for each kelvin is
// 1/(234.5+75), the same line).
//
// Values of IEC 60228 are maxima at 20 °C, those of NEC Table 8 are nominal: converted NEC values are lower than what
// a conductor of that size may have.
func CopperTo20(r model.ResistancePerLength, t model.Temperature) model.ResistancePerLength {
	return r / model.ResistancePerLength(copperFactor(t))
}

// copperFactor is R(t)/R20.
func copperFactor(t model.Temperature) float64 {
	return max(0, (copperZero+float64(t))/(copperZero+copperReference))
}

// resistancePerLength is the resistance of a core of a cable at 20 °C and where it comes from.
func (t *tables) resistancePerLength(cable *model.Cable) (model.ResistancePerLength, string, error) {
	if cable.Resistance > 0 {
		return cable.Resistance, "cable data", nil
	}
	for _, row := range t.class5 {
		if row.section == cable.Section {
			return row.resistance, "IEC 60228:2004 Table 3, class 5, plain copper, maximum", nil
		}
	}
	if isGauge(cable.Section) {
		r := copperResistivity / float64(cable.Section)
		return model.ResistancePerLength(r), "solid annealed copper of the gauge of ASTM B258, 0.017241 Ω·mm²/m; strands have a few per cent more", nil
	}
	return 0, "", fmt.Errorf("cable type %s: the table of IEC 60228 class 5 has no conductor of %v; state resistance (ohm/km at 20 °C) from the cable's data sheet", cable.Name, cable.Section)
}

// isGauge reports whether a cross-section is exactly that of an American wire gauge.
func isGauge(section model.CrossSection) bool {
	for n := -3; n <= 56; n++ {
		if a, err := model.AWG(n); err == nil && a == section {
			return true
		}
	}
	return false
}

// conductor describes cores in parallel of a run; without a cable it is empty but for the cores.
func (p *plan) conductor(cable *model.CableRun, cores int) Conductor {
	c := Conductor{Cores: max(cores, 1)}
	if cable == nil {
		return c
	}
	data := p.cableData(cable.Cable)
	c.Section, c.Length, c.PerLength, c.From = cable.Cable.Section, cable.Length, data.perLength, data.from
	c.Hot, c.Cold = cable.Cable.Insulation, p.machine.Power.ColdConductor
	if hot := p.machine.Power.HotConductor; hot != nil {
		c.Hot = *hot
	}
	r20 := model.Resistance(float64(c.PerLength) * float64(c.Length) / float64(c.Cores))
	c.At20 = r20
	c.AtHot = r20 * model.Resistance(copperFactor(c.Hot))
	c.AtCold = r20 * model.Resistance(copperFactor(c.Cold))
	for _, connector := range cable.Cable.Ends {
		c.Contacts += connector.ContactResistance
	}
	for _, connector := range cable.Joints {
		c.Contacts += connector.ContactResistance
	}
	c.Contacts /= model.Resistance(c.Cores)
	return c
}

// at is the resistance of the conductor with its contacts in an operating case.
func (c *Conductor) at(t temperatureCase) float64 {
	switch t {
	case hot:
		return float64(c.AtHot + c.Contacts)
	case cold:
		return float64(c.AtCold + c.Contacts)
	}
	return float64(c.At20 + c.Contacts)
}

// temperatureCase is the conductor temperature of an operating case.
type temperatureCase uint8

const (
	hot temperatureCase = iota
	cold
	at20
	numTemperatures
)

// temperature returns the conductor temperature of an operating case.
func (c Case) temperature() temperatureCase {
	switch c {
	case Highest, HighestLoaded:
		return cold
	case Nominal:
		return at20
	}
	return hot
}

// ohmic is voltage over resistance, infinite without resistance.
func ohmic(v model.Voltage, r model.Resistance) model.Current {
	if r <= 0 {
		return model.Current(math.Inf(1))
	}
	return model.Current(float64(v) / float64(r))
}
