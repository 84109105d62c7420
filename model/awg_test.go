package model

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestGaugeAgainstB258(t *testing.T) {
	for _, row := range quantityRows(t, "awg.csv") {
		got, err := ParseCrossSection(row["gauge"])
		if err != nil {
			t.Fatal(err)
		}
		tolerance := quantityNumber(t, row["relative_tolerance"]) // the digits of the source, or AWG's own 12
		diameter := 2 * math.Sqrt(float64(got)/math.Pi)
		if want := quantityNumber(t, row["diameter_mm"]); math.Abs(diameter/want-1) > tolerance {
			t.Errorf("%s: diameter %v mm, want %v (%s)", row["gauge"], diameter, want, row["source"])
		}
		if row["area_mm2"] == "" {
			continue
		}
		if want := quantityNumber(t, row["area_mm2"]); math.Abs(float64(got)/want-1) > tolerance {
			t.Errorf("%s: area %v mm², want %v (%s)", row["gauge"], float64(got), want, row["source"])
		}
	}
}

// TestGaugeRatio: ASTM B258 states the ratio of successive diameters, 1.1229322 (read).
func TestGaugeRatio(t *testing.T) {
	for n := thickestGauge; n < thinnestGauge; n++ {
		thick, err1 := AWG(n)
		thin, err2 := AWG(n + 1)
		if ratio := math.Sqrt(float64(thick / thin)); err1 != nil || err2 != nil || math.Abs(ratio-1.1229322) > 5e-8 {
			t.Errorf("AWG %d to %d: ratio %v, %v, %v", n, n+1, ratio, err1, err2)
		}
	}
}

func TestGaugeText(t *testing.T) {
	for n := thickestGauge; n <= thinnestGauge; n++ {
		area, err := AWG(n)
		if err != nil {
			t.Fatal(err)
		}
		want := fmt.Sprintf("AWG %d", n)
		if n <= 0 {
			want = fmt.Sprintf("AWG %d/0", 1-n)
		}
		if got := area.String(); got != want {
			t.Errorf("gauge %d prints %q, want %q", n, got, want)
		}
		if got, err := ParseCrossSection(want); err != nil || got != area {
			t.Errorf("%q reads %v, %v; want %v", want, got, err, area)
		}
	}
	if area, _ := AWG(18); area.Format(3) != "0.823 mm²" {
		t.Errorf("Format gives %q: a rounded report states mm²", area.Format(3))
	}
}

func TestGaugeSpellings(t *testing.T) {
	tests := map[string]int{
		"AWG 18": 18, "AWG18": 18, "18 AWG": 18, "18AWG": 18, "AWG\u00a018": 18, " AWG 18 ": 18,
		"AWG 4/0": -3, "4/0 AWG": -3, "AWG 0000": -3, "AWG 2/0": -1, "AWG 00": -1, "AWG 1/0": 0, "AWG 0": 0,
		"AWG 1": 1, "AWG 56": 56,
	}
	for text, n := range tests {
		want, err := AWG(n)
		if got, readErr := ParseCrossSection(text); err != nil || readErr != nil || got != want {
			t.Errorf("%q = %v, %v; want %v", text, got, readErr, want)
		}
	}
}

func TestGaugeOutOfRange(t *testing.T) {
	for _, n := range []int{math.MinInt, -4, 57, math.MaxInt} {
		if area, err := AWG(n); err == nil || area != 0 {
			t.Errorf("AWG(%d) = %v, %v; want an error", n, area, err)
		}
	}
}

// TestGaugeOnlyWhenExact: a cross-section one float64 away from a gauge prints in mm².
func TestGaugeOnlyWhenExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		area, _ := AWG(rapid.IntRange(thickestGauge, thinnestGauge).Draw(t, "n"))
		for _, toward := range []float64{0, math.Inf(1)} {
			near := CrossSection(math.Nextafter(float64(area), toward))
			if got, err := ParseCrossSection(near.String()); err != nil || got != near {
				t.Fatalf("%v prints %q", float64(near), near.String())
			}
		}
	})
}
