package model

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// The American wire gauge of ASTM B258: 4/0 is -3, 3/0 is -2, 2/0 is -1 and 1/0 is 0.
const (
	gaugeWord     = "AWG"
	thickestGauge = -3
	thinnestGauge = 56
)

// AWG is the cross-section of a solid round conductor of gauge n after ASTM B258:
//
//	d = 0.127 mm · 92^((36-n)/39),  A = π/4 · d²
//
// which makes 4/0 (n = -3) 0.46 in and 36 0.005 in thick. 3/0, 2/0 and 1/0 are -2, -1 and 0.
// A gauge outside of -3 to 56 is an error. A stranded conductor of that gauge has nominally
// the same cross-section of metal; its resistance is a few per cent higher. The result is rounded
// to 12 digits, far finer than any wire, so that every processor gives the same float64.
func AWG(n int) (CrossSection, error) {
	if n < thickestGauge || n > thinnestGauge {
		return 0, &QuantityError{
			Text: fmt.Sprintf("AWG %d", n), Quantity: crossSectionSpec().noun,
			Reason: "is not a gauge of ASTM B258, which has 4/0 (-3) to 56",
		}
	}
	return gaugeArea(n), nil
}

func gaugeArea(n int) CrossSection {
	diameter := 0.127 * math.Pow(92, float64(36-n)/39) // mm
	area := math.Pi / 4 * diameter * diameter
	// The last bits of math.Pow depend on the processor. No gauge from 4/0 to 56 lies within 50 of
	// them from the middle between two 12-digit numbers, so this rounding takes them away.
	return CrossSection(decimalOf(area, 12).float64())
}

// gaugeOf finds the gauge whose cross-section is exactly a.
func gaugeOf(a CrossSection) (n int, ok bool) {
	if !(a > 0) || math.IsInf(float64(a), 0) {
		return 0, false
	}
	diameter := math.Sqrt(float64(a) * 4 / math.Pi)
	gauge := math.Round(36 - 39*math.Log(diameter/0.127)/math.Log(92))
	if gauge < thickestGauge || gauge > thinnestGauge {
		return 0, false
	}
	return int(gauge), gaugeArea(int(gauge)) == a
}

func gaugeText(n int) string {
	if n <= 0 {
		return fmt.Sprintf("%s %d/0", gaugeWord, 1-n)
	}
	return fmt.Sprintf("%s %d", gaugeWord, n)
}

// readGauge reads "AWG 18", "18 AWG", "AWG 4/0" or "AWG 0000" in mm², or says why not.
func readGauge(text string) (float64, string) {
	gauge, ok := strings.CutPrefix(text, gaugeWord)
	if !ok {
		gauge, ok = strings.CutSuffix(text, gaugeWord)
	}
	if n, valid := gaugeNumber(strings.Trim(gauge, blanks)); ok && valid {
		return float64(gaugeArea(n)), ""
	}
	return 0, "is not a gauge such as AWG 18 or AWG 4/0; ASTM B258 has 4/0 to 56"
}

// gaugeNumber reads 1 to 56, 1/0 to 4/0, and 0 to 0000. Further leading zeros are refused:
// 00 is not 0.
func gaugeNumber(gauge string) (n int, ok bool) {
	if len(gauge) >= 1 && len(gauge) <= 4 && strings.Trim(gauge, "0") == "" {
		return 1 - len(gauge), true
	}
	if len(gauge) == len("4/0") && strings.HasSuffix(gauge, "/0") {
		return 1 - int(gauge[0]-'0'), '1' <= gauge[0] && gauge[0] <= '4'
	}
	if len(gauge) > 2 || !startsWithDigit(gauge) || gauge[0] == '0' {
		return 0, false
	}
	n, err := strconv.Atoi(gauge)
	return n, err == nil && n <= thinnestGauge
}

// gaugePattern is a regular expression for the gauges that gaugeNumber reads.
const gaugePattern = `(?:0{1,4}|[1-4]/0|[1-9]|[1-4][0-9]|5[0-6])`
