package power

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/guardwright/guardwright/model"
)

// Sized is the answer to a question on a size: the extreme value with which every limit of the supply concerned still
// holds. Limits that are not decided do not count, and are listed: the answer says nothing about them.
type Sized[T any] struct {
	// Found is false when there is no such value; Governs then says what fails.
	Found bool
	Value T
	// Bounded is false when no limit was met up to the end of the search.
	Bounded bool
	// Governs is the limit that fails first beyond Value; nil when the search is not bounded.
	Governs *Item
	// Undecided are the limits that could not be decided at Value.
	Undecided []Item
	// Elsewhere are the limits that are exceeded as described and that no answer mends: those not behind the feed that
	// are exceeded with even its shortest cable, or, for further modules, those on other branches than theirs. They do
	// not count, and are listed.
	Elsewhere []Item
}

// The ends of the searches.
const (
	maxLength  model.Length = 10_000
	maxModules int          = 1000
)

// LongestRun returns the greatest length of a feed's cable, everything else unchanged, with which all limits hold:
// voltages, ampacity, contacts, protective devices, supply, fault currents. The search starts at 10 km; at the length
// returned everything holds, and 1 µm above it the limit named does not. A run can also be too short (inrush, heat of
// a short circuit), so the lengths that hold are looked for from above in steps of a fifth, and at the length
// described; when none of them holds, there is no answer, and the limit named is the one that fails as described.
func LongestRun(ctx context.Context, m *model.Machine, feed *model.Feed) (*Sized[model.Length], error) {
	if err := hasCable(feed); err != nil {
		return nil, err
	}
	q, err := newQuestion(ctx, m, feed)
	if err != nil {
		return nil, err
	}
	try := func(length model.Length) (*trial, error) {
		run := *feed.Cable
		run.Length = length
		return q.try(ctx, q.machine, &run)
	}
	if err := q.leaveOutElsewhere(ctx); err != nil {
		return nil, err
	}
	out := &Sized[model.Length]{Elsewhere: q.elsewhere}
	var fails, asDescribed *trial
	var tooLong model.Length
	for _, length := range lengths(feed.Cable.Length) {
		t, err := try(length)
		if err != nil {
			return nil, err
		}
		if t.fails == nil {
			out.Found, out.Value, out.Undecided = true, length, t.undecided
			break
		}
		if fails, tooLong = t, length; length == feed.Cable.Length {
			asDescribed = t
		}
	}
	switch {
	case !out.Found:
		out.Bounded, out.Governs, out.Undecided = true, asDescribed.fails, asDescribed.undecided
		return out, nil
	case fails == nil:
		return out, nil
	}
	out.Bounded = true
	for tooLong-out.Value > 1e-6 {
		middle := (out.Value + tooLong) / 2
		t, err := try(middle)
		if err != nil {
			return nil, err
		}
		if t.fails == nil {
			out.Value, out.Undecided = middle, t.undecided
		} else {
			tooLong, fails = middle, t
		}
	}
	out.Governs = fails.fails
	return out, nil
}

// lengths lists the lengths to try, from 10 km down to 1 mm, with the one described among them.
func lengths(described model.Length) []model.Length {
	out := []model.Length{described}
	for x := maxLength; x > 1e-3; x *= 0.8 {
		if x != described {
			out = append(out, x)
		}
	}
	slices.Sort(out)
	slices.Reverse(out)
	return out
}

func hasCable(feed *model.Feed) error {
	if feed == nil {
		return fmt.Errorf("there is no feed to size")
	}
	if feed.Cable == nil {
		return fmt.Errorf("feed %s has no cable: its plugs meet directly", feed.Name)
	}
	return nil
}

// SmallestSection returns the smallest cross-section of IEC 60228 (0.5 mm² to 120 mm²) for the cores of a feed's cable,
// everything else unchanged, with which all limits hold. Resistance and ampacity are those of the tables.
func SmallestSection(ctx context.Context, m *model.Machine, feed *model.Feed) (*Sized[model.CrossSection], error) {
	if err := hasCable(feed); err != nil {
		return nil, err
	}
	q, err := newQuestion(ctx, m, feed)
	if err != nil {
		return nil, err
	}
	if err := q.leaveOutElsewhere(ctx); err != nil {
		return nil, err
	}
	t, err := loadTables()
	if err != nil {
		return nil, err
	}
	var last *trial
	for _, row := range t.class5 {
		cable := *feed.Cable.Cable
		cable.Section, cable.Resistance, cable.Ampacity = row.section, 0, 0
		run := *feed.Cable
		run.Cable = &cable
		now, err := q.try(ctx, q.machine, &run)
		if err != nil {
			return nil, err
		}
		if now.fails == nil {
			out := &Sized[model.CrossSection]{Found: true, Value: row.section, Undecided: now.undecided, Elsewhere: q.elsewhere}
			if last != nil {
				out.Bounded, out.Governs = true, last.fails
			}
			return out, nil
		}
		last = now
	}
	return &Sized[model.CrossSection]{Bounded: true, Governs: last.fails, Undecided: last.undecided, Elsewhere: q.elsewhere}, nil
}

// FurtherModules returns how many modules can be added at the end of the chain that a feed begins or belongs to, with
// which all limits hold. Each is like the last module of the chain, with the same devices, on a cable like the one that
// leads there. The search ends at 1000 modules.
func FurtherModules(ctx context.Context, m *model.Machine, feed *model.Feed) (*Sized[int], error) {
	last, err := endOfChain(feed)
	if err != nil {
		return nil, err
	}
	q, err := newQuestion(ctx, m, feed)
	if err != nil {
		return nil, err
	}
	if err := q.leaveOutOtherBranches(ctx); err != nil {
		return nil, err
	}
	try := func(n int) (*trial, error) { return q.try(ctx, extended(q.machine, last, n), nil) }
	low, err := try(0)
	if err != nil {
		return nil, err
	}
	if low.fails != nil {
		return &Sized[int]{Bounded: true, Governs: low.fails, Undecided: low.undecided, Elsewhere: q.elsewhere}, nil
	}
	a, b := 0, 1
	var high *trial
	for high == nil {
		t, err := try(b)
		switch {
		case err != nil:
			return nil, err
		case t.fails != nil:
			high = t
		case b == maxModules:
			return &Sized[int]{Found: true, Value: b, Undecided: t.undecided, Elsewhere: q.elsewhere}, nil
		default:
			a, b, low = b, min(2*b, maxModules), t
		}
	}
	for b-a > 1 {
		t, err := try((a + b) / 2)
		if err != nil {
			return nil, err
		}
		if t.fails == nil {
			a, low = (a+b)/2, t
		} else {
			b, high = (a+b)/2, t
		}
	}
	return &Sized[int]{Found: true, Value: a, Bounded: true, Governs: high.fails, Undecided: low.undecided, Elsewhere: q.elsewhere}, nil
}

// question is the part of a machine that a feed's supplies feed, and what is decided there.
type question struct {
	machine *model.Machine
	feed    *model.Feed
	decided map[checkKey]bool
	// elsewhere are the limits that do not count, and exempt has their keys.
	elsewhere []Item
	exempt    map[checkKey]bool
}

// checkKey names a check of a machine.
type checkKey struct {
	path    string
	circuit model.Circuit
	name    string
}

// trial is the outcome with one value.
type trial struct {
	fails     *Item
	undecided []Item
}

func newQuestion(ctx context.Context, m *model.Machine, feed *model.Feed) (*question, error) {
	if feed == nil || m == nil || !slices.Contains(m.Power.Feeds, feed) {
		return nil, fmt.Errorf("the feed to size is none of the machine's feeds")
	}
	r, err := Compute(ctx, m, Options{})
	if err != nil {
		return nil, err
	}
	supplies := map[*model.Supply]bool{}
	for _, n := range r.Networks {
		for _, fc := range feed.Circuits {
			if slices.Contains(n.Feeds, fc) {
				for _, s := range n.Supplies {
					supplies[s] = true
				}
			}
		}
	}
	for _, fc := range feed.Circuits {
		supplies[fc.Supply] = true
	}
	q := &question{machine: part(m, supplies), feed: feed, decided: map[checkKey]bool{}}
	if r, err = Compute(ctx, q.machine, Options{}); err != nil {
		return nil, err
	}
	r.visit(func(place *model.Origin, c model.Circuit, name string, check figures) bool {
		if check.status().Decided() {
			q.decided[checkKey{place.Path, c, name}] = true
		}
		return true
	})
	return q, nil
}

// shortest is a cable so short that it changes nothing any more.
const shortest model.Length = 1e-6

// leaveOutElsewhere finds the limits, not behind the feed, that are exceeded as described and with the shortest cable
// as well.
func (q *question) leaveOutElsewhere(ctx context.Context) error {
	run := *q.feed.Cable
	run.Length = shortest
	described, err := q.exceeded(ctx, nil)
	if err != nil {
		return err
	}
	ideal, err := q.exceeded(ctx, &run)
	if err != nil {
		return err
	}
	behind := map[string]bool{}
	addChain(behind, q.feed)
	q.exempt = map[checkKey]bool{}
	for _, item := range described {
		key := checkKey{item.Place.Path, item.Circuit, item.Name}
		if behind[objectPath(item.Place.Path)] {
			continue
		}
		if slices.ContainsFunc(ideal, func(i Item) bool { return checkKey{i.Place.Path, i.Circuit, i.Name} == key }) {
			q.exempt[key] = true
			q.elsewhere = append(q.elsewhere, item)
		}
	}
	return nil
}

// leaveOutOtherBranches finds the limits that are exceeded as described at places that further modules on the feed's
// chain meet only through the supply.
func (q *question) leaveOutOtherBranches(ctx context.Context) error {
	described, err := q.exceeded(ctx, nil)
	if err != nil {
		return err
	}
	branch := branchOf(q.feed)
	q.exempt = map[checkKey]bool{}
	for _, item := range described {
		if !branch[objectPath(item.Place.Path)] {
			q.exempt[checkKey{item.Place.Path, item.Circuit, item.Name}] = true
			q.elsewhere = append(q.elsewhere, item)
		}
	}
	return nil
}

// branchOf collects the paths of the objects on the way from the supplies to the chain of a feed, and of the whole
// chain with its devices.
func branchOf(feed *model.Feed) map[string]bool {
	out := map[string]bool{}
	top := feed
	for top.From != nil {
		fc := top.Circuits[0].Upstream
		if fc == nil {
			break
		}
		top = fc.Feed
	}
	for _, fc := range top.Circuits {
		out[fc.Supply.Path] = true
		for p := fc.Protection; p != nil; p = p.Upstream {
			out[p.Path] = true
		}
	}
	addChain(out, top)
	return out
}

// addChain adds the paths of a feed and of all that it leads to.
func addChain(out map[string]bool, feed *model.Feed) {
	for pending := []*model.Feed{feed}; len(pending) > 0; {
		f := pending[0]
		pending = pending[1:]
		out[f.Path], out[f.To.Origin().Path] = true, true
		if m := f.To.Module; m != nil {
			pending = append(pending, m.Onward...)
			for _, p := range m.Ports {
				if p.Device != nil {
					out[p.Device.Path] = true
				}
			}
		}
	}
}

// objectPath is the path of the object that a place belongs to: modules.m1 of modules.m1.ports.3.
func objectPath(path string) string {
	parts := strings.SplitN(path, ".", 4)
	n := 2
	if parts[0] == "power" {
		n = 3
	}
	return strings.Join(parts[:min(n, len(parts))], ".")
}

// exceeded lists the limits that are exceeded with a cable of the feed, nil for the one described.
func (q *question) exceeded(ctx context.Context, cable *model.CableRun) ([]Item, error) {
	o := Options{}
	if cable != nil {
		o.variant = variant{q.feed, cable}
	}
	r, err := Compute(ctx, q.machine, o)
	if err != nil {
		return nil, err
	}
	var out []Item
	r.visit(func(place *model.Origin, c model.Circuit, name string, check figures) bool {
		if check.status() == Beyond {
			out = append(out, named(place, c, name, check))
		}
		return true
	})
	return out, nil
}

// try computes a variant: another machine, or another cable of the feed.
func (q *question) try(ctx context.Context, m *model.Machine, cable *model.CableRun) (*trial, error) {
	r, err := Compute(ctx, m, Options{variant: variant{q.feed, cable}})
	if err != nil {
		return nil, err
	}
	out := &trial{}
	for _, n := range r.Networks {
		for _, c := range r.Cases {
			if o := &n.Operation[c]; o.Status != Solved && out.fails == nil {
				out.fails = &Item{Place: n.place(), Name: "operating point in the case " + c.String(), Status: Beyond, Why: o.Why}
			}
		}
	}
	r.visit(func(place *model.Origin, c model.Circuit, name string, check figures) bool {
		switch status := check.status(); {
		case status == Within || status == NoLimit || status == NotApplicable:
		case status == Beyond && q.exempt[checkKey{place.Path, c, name}]:
		case status == Beyond, q.decided[checkKey{place.Path, c, name}]:
			// what was decided as described and no longer is does not hold either
			if out.fails == nil {
				item := named(place, c, name, check)
				out.fails = &item
			}
		default:
			out.undecided = append(out.undecided, named(place, c, name, check))
		}
		return true
	})
	return out, nil
}

func named(place *model.Origin, c model.Circuit, name string, check figures) Item {
	item := check.item()
	item.Place, item.Circuit, item.Name = *place, c, name
	return item
}

// place names a network by its collapse, its first feed or its supply.
func (n *Network) place() model.Origin {
	if collapse := n.Operation[Lowest].Collapse; collapse != nil {
		return collapse.Edge.Origin()
	}
	if len(n.Feeds) > 0 {
		return n.Feeds[0].Feed.Origin
	}
	return n.Supplies[0].Origin
}

// part returns the part of a machine that some supplies feed.
func part(m *model.Machine, supplies map[*model.Supply]bool) *model.Machine {
	out := *m
	fed := func(f model.FeedsByCircuit) bool {
		return f.Sensor != nil && supplies[f.Sensor.Supply] || f.Actuator != nil && supplies[f.Actuator.Supply]
	}
	out.Power.Supplies = keep(m.Power.Supplies, func(s *model.Supply) bool { return supplies[s] })
	out.Power.Protections = keep(m.Power.Protections, func(p *model.Protection) bool { return supplies[p.Supply] })
	out.Power.Feeds = keep(m.Power.Feeds, func(f *model.Feed) bool {
		return !slices.ContainsFunc(f.Circuits, func(c *model.FeedCircuit) bool { return !supplies[c.Supply] })
	})
	out.Modules = keep(m.Modules, func(x *model.Module) bool { return fed(x.Feeds) })
	out.Devices = keep(m.Devices, func(d *model.Device) bool {
		return fed(d.Feeds) || d.Port != nil && fed(d.Port.Module.Feeds)
	})
	out.Controllers = keep(m.Controllers, func(c *model.Controller) bool { return fed(c.Feeds) })
	out.Switches = keep(m.Switches, func(s *model.Switch) bool { return fed(s.Feeds) })
	return &out
}

func keep[T any](all []T, wanted func(T) bool) []T {
	var out []T
	for _, x := range all {
		if wanted(x) {
			out = append(out, x)
		}
	}
	return out
}

// endOfChain follows a feed to the last module of its chain.
func endOfChain(feed *model.Feed) (*model.Module, error) {
	if feed == nil || feed.To.Module == nil {
		return nil, fmt.Errorf("a chain of modules begins with a feed to a module")
	}
	last := feed.To.Module
	for {
		var onward []*model.Feed
		for _, f := range last.Onward {
			if f.To.Module != nil {
				onward = append(onward, f)
			}
		}
		switch len(onward) {
		case 0:
			if last.Type == nil || last.Type.PowerOut == nil {
				return nil, fmt.Errorf("module %s at the end of the chain does not pass the supply on: its type has no power_out", last.Name)
			}
			return last, nil
		case 1:
			last = onward[0].To.Module
		default:
			return nil, fmt.Errorf("the chain divides at module %s; ask for one of the feeds that start there", last.Name)
		}
	}
}

// extended returns a machine with n more modules at the end of a chain.
func extended(m *model.Machine, last *model.Module, n int) *model.Machine {
	out := *m
	out.Modules, out.Devices = slices.Clip(m.Modules), slices.Clip(m.Devices)
	out.Power.Feeds = slices.Clip(m.Power.Feeds)
	for i := range n {
		suffix := fmt.Sprintf("+%d", i+1)
		next := &model.Module{Origin: renamed(last.Origin, suffix), ModuleSpec: last.ModuleSpec, Type: last.Type, Zone: last.Zone, Loads: last.Loads}
		pattern := last.Feeds.Sensor
		if pattern == nil {
			pattern = last.Feeds.Actuator
		}
		feed := &model.Feed{Origin: renamed(pattern.Feed.Origin, suffix), FeedSpec: pattern.Feed.FeedSpec, From: last, To: model.Consumer{Module: next}, Cable: pattern.Feed.Cable}
		for _, c := range model.Circuits() {
			if up := last.Feeds.Of(c); up != nil {
				fc := &model.FeedCircuit{Feed: feed, Circuit: c, Supply: up.Supply, Upstream: up, PlusCores: up.PlusCores, ReturnCores: up.ReturnCores}
				feed.Circuits = append(feed.Circuits, fc)
				if c == model.Actuator {
					next.Feeds.Actuator = fc
				} else {
					next.Feeds.Sensor = fc
				}
			}
		}
		for _, port := range last.Ports {
			copied := *port
			copied.Origin, copied.Module = renamed(port.Origin, suffix), next
			if port.Device != nil {
				device := *port.Device
				device.Origin, device.Port = renamed(device.Origin, suffix), &copied
				copied.Device = &device
				out.Devices = append(out.Devices, &device)
			}
			next.Ports = append(next.Ports, &copied)
		}
		out.Modules = append(out.Modules, next)
		out.Power.Feeds = append(out.Power.Feeds, feed)
		last = next
	}
	return &out
}

// renamed marks an origin as that of an added object.
func renamed(o model.Origin, suffix string) model.Origin {
	o.Name, o.Path = o.Name+suffix, o.Path+suffix
	return o
}
