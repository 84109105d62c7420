package radial

import (
	"errors"
	"math"
	"testing"
)

// A drop from elsewhere in the return is as good as a lower source voltage for what hangs behind it, and does not
// depend on where on the way it lies.
func TestWithDrops(t *testing.T) {
	nodes := []Node{
		{Parent: Root, RPlus: 0.1, RMinus: 0.2, Current: 1},
		{Parent: 0, RPlus: 0.3, RMinus: 0.1, Power: 20, Conductance: 0.02},
	}
	tree, err := New(Source{Voltage: 24}, nodes)
	if err != nil {
		t.Fatal(err)
	}
	dropped, err := tree.WithDrops([]float64{1.5, 0})
	if err != nil {
		t.Fatal(err)
	}
	got, err := dropped.Solve()
	if err != nil {
		t.Fatal(err)
	}
	lower, err := New(Source{Voltage: 22.5}, nodes)
	if err != nil {
		t.Fatal(err)
	}
	want, err := lower.Solve()
	if err != nil {
		t.Fatal(err)
	}
	for i := range nodes {
		if math.Abs(got.Voltage[i]-want.Voltage[i]) > 1e-12 {
			t.Errorf("node %d: got %g V, want %g V", i, got.Voltage[i], want.Voltage[i])
		}
		if math.Abs(got.Minus[i]-want.Minus[i]-1.5) > 1e-12 {
			t.Errorf("node %d: the return lies at %g V, want 1.5 V above %g V", i, got.Minus[i], want.Minus[i])
		}
	}
	if got.Residual > 1e-12 {
		t.Errorf("residual %g V", got.Residual)
	}
	// The limit of the power goes down with the drop as well.
	a, err := dropped.Collapse()
	if err != nil {
		t.Fatal(err)
	}
	b, err := lower.Collapse()
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(a.Lower-b.Lower) > 1e-9 || math.Abs(a.Upper-b.Upper) > 1e-9 {
		t.Errorf("collapse between %g and %g, want %g and %g", a.Lower, a.Upper, b.Lower, b.Upper)
	}
}

// A drop at a node that is not the root: the closed form V = (U + sqrt(U² - 4RP))/2 with U less the drop.
func TestDropAtLeaf(t *testing.T) {
	tree, err := New(Source{Voltage: 24}, []Node{{Parent: Root}, {Parent: 0, RPlus: 0.4, RMinus: 0.4, Power: 60}})
	if err != nil {
		t.Fatal(err)
	}
	dropped, err := tree.WithDrops([]float64{0, 2})
	if err != nil {
		t.Fatal(err)
	}
	got, err := dropped.Solve()
	if err != nil {
		t.Fatal(err)
	}
	if want := (22 + math.Sqrt(22*22-4*0.8*60)) / 2; math.Abs(got.Voltage[1]-want) > 1e-12 {
		t.Errorf("got %.12f V, want %.12f V", got.Voltage[1], want)
	}
	if got.Voltage[0] != 24 {
		t.Errorf("the drop must not reach the root: %g V", got.Voltage[0])
	}
}

func TestWithDropsRefuses(t *testing.T) {
	tree, err := New(Source{Voltage: 24}, []Node{{Parent: Root}})
	if err != nil {
		t.Fatal(err)
	}
	for _, drops := range [][]float64{nil, {1, 2}, {-1}, {math.NaN()}, {math.Inf(1)}} {
		var bad *InputError
		if _, err := tree.WithDrops(drops); !errors.As(err, &bad) {
			t.Errorf("%v: got %v, want an *InputError", drops, err)
		}
	}
}
