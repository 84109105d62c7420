package model

import "testing"

func BenchmarkParseQuantity(b *testing.B) {
	types := quantityTypes()
	for _, bb := range []struct{ name, typ, text string }{
		{"decimal", "Current", "350 mA"},
		{"symbol", "ResistancePerLength", "13.3 ohm/km"},
		{"exact", "Frequency", "5e-8 1/h"},
		{"gauge", "CrossSection", "AWG 18"},
		{"refused", "Current", "350 ma"},
	} {
		b.Run(bb.name, func(b *testing.B) {
			parse := types[bb.typ].parse
			b.ReportAllocs()
			for b.Loop() {
				_, _ = parse(bb.text)
			}
		})
	}
}

func BenchmarkQuantityString(b *testing.B) {
	types := quantityTypes()
	for _, bb := range []struct {
		name, typ string
		x         float64
	}{
		{"decimal", "Current", 0.35},
		{"exact", "Frequency", 5e-8 / 3600},
		{"section", "CrossSection", 0.34},
	} {
		b.Run(bb.name, func(b *testing.B) {
			text := types[bb.typ].text
			b.ReportAllocs()
			for b.Loop() {
				_ = text(bb.x)
			}
		})
	}
}
