package model

import (
	"slices"
	"strings"
)

// connectFeeds gives each feed its circuits. A feed from a module that names no circuit carries all that the module
// gets, so the feeds are taken in the order of the chain; what never gets a turn hangs in a loop.
func (r *resolver) connectFeeds(feeds []*Feed) {
	arriving := map[*Module]int{} // feeds to a module that still have no circuits
	leaving := map[*Module][]*Feed{}
	for _, f := range feeds {
		if f.To.Module != nil {
			arriving[f.To.Module]++
		}
		if f.From != nil {
			leaving[f.From] = append(leaving[f.From], f)
		}
	}
	var ready []*Feed
	for _, f := range feeds {
		if f.From == nil || arriving[f.From] == 0 {
			ready = append(ready, f)
		}
	}
	done := map[*Feed]bool{}
	for len(ready) > 0 {
		f := ready[0]
		ready = ready[1:]
		done[f] = true
		r.connect(f)
		if m := f.To.Module; m != nil {
			if arriving[m]--; arriving[m] == 0 {
				ready = append(ready, leaving[m]...)
			}
		}
	}
	r.reportLoops(slices.DeleteFunc(slices.Clone(feeds), func(f *Feed) bool { return done[f] }))
}

// connect attaches the circuits of one feed to what it comes from and to what it ends at.
func (r *resolver) connect(f *Feed) {
	stated := f.FeedSpec.Sensor != nil || f.FeedSpec.Actuator != nil
	if f.From == nil && !stated {
		r.problem(f.Path, "the feed comes from nowhere: say from: with a module, or sensor: and actuator: each with the protective device or supply it comes from")
		return
	}
	for _, c := range Circuits() {
		spec := f.FeedSpec.circuit(c)
		inherited := f.From != nil && !stated && f.From.Feeds.Of(c) != nil
		if spec == nil && !inherited {
			continue
		}
		if spec == nil {
			spec = &FeedCircuitSpec{}
		}
		fc := &FeedCircuit{Feed: f, Circuit: c, PlusCores: max(1, spec.PlusCores), ReturnCores: max(1, spec.ReturnCores)}
		if r.attachSource(f, fc, spec) {
			f.Circuits = append(f.Circuits, fc)
			r.attachConsumer(f, fc)
		}
	}
	r.checkCores(f)
	if f.From != nil {
		f.From.Onward = append(f.From.Onward, f)
	}
}

// attachSource finds what a circuit of a feed comes from.
func (r *resolver) attachSource(f *Feed, fc *FeedCircuit, spec *FeedCircuitSpec) bool {
	path := f.Path + "." + string(fc.Circuit)
	if f.From != nil {
		if spec.From != "" {
			r.problem(path+".from", "the feed already comes from module %s; a circuit from elsewhere needs a feed of its own", f.From.Name)
			return false
		}
		fc.Upstream = f.From.Feeds.Of(fc.Circuit)
		if fc.Upstream == nil {
			r.problem(path, "module %s gets no %s circuit that it could pass on", f.From.Name, fc.Circuit)
			return false
		}
		fc.Supply = fc.Upstream.Supply
		return true
	}
	if spec.From == "" {
		r.problem(path, "say from: with the protective device or supply that feeds the %s circuit", fc.Circuit)
		return false
	}
	if _, ok := refer(r, path+".from", "supply or protective device", spec.From, r.sources); !ok {
		return false
	}
	if p := r.protections[spec.From]; p != nil {
		fc.Protection, fc.Supply = p, p.Supply
		p.Feeds = append(p.Feeds, fc)
		return fc.Supply != nil // a loop of protective devices has been reported
	}
	fc.Supply = r.supplies[spec.From]
	fc.Supply.Feeds = append(fc.Supply.Feeds, fc)
	return true
}

// attachConsumer makes the feed that of the consumer, unless it has one: two feeds on one circuit would be two sources.
func (r *resolver) attachConsumer(f *Feed, fc *FeedCircuit) {
	to := f.To.feedsOf()
	if other := to.Of(fc.Circuit); other != nil {
		r.problem(f.Path, "a second source: the %s circuit of %s is already fed by %s; two feeds in parallel need decoupling, which is not described here", fc.Circuit, f.To.Origin().Path, other.Feed.Name)
		return
	}
	to.set(fc.Circuit, fc)
}

// checkCores checks that the cable has the cores that the circuits need.
func (r *resolver) checkCores(f *Feed) {
	if f.Cable == nil {
		return
	}
	needed := 0
	for _, fc := range f.Circuits {
		needed += fc.PlusCores + fc.ReturnCores
	}
	if have := f.Cable.Cable.Cores; needed > have {
		r.problem(f.Path+".cable", "the circuits of this feed need %d cores and cable type %s has %d", needed, f.Cable.Cable.Name, have)
	}
}

// reportLoops reports each loop of feeds once; feeds that only hang behind a loop are left to it.
func (r *resolver) reportLoops(pending []*Feed) {
	into := map[*Module][]*Feed{}
	for _, f := range pending {
		if f.To.Module != nil {
			into[f.To.Module] = append(into[f.To.Module], f)
		}
	}
	done := map[*Feed]bool{}
	for _, start := range pending {
		var way []*Feed
		for f := start; f != nil && !done[f]; {
			done[f] = true
			way = append(way, f)
			next := into[f.From]
			if len(next) == 0 {
				break
			}
			if i := slices.Index(way, next[0]); i >= 0 {
				r.reportLoop(way[i:])
				break
			}
			f = next[0]
		}
	}
}

func (r *resolver) reportLoop(way []*Feed) {
	names := make([]string, 0, len(way)+1)
	for _, f := range way { // against the direction of the supply, so turned round below
		names = append(names, f.From.Name)
	}
	slices.Reverse(names)
	names = append(names, names[0])
	first := slices.MinFunc(way, func(a, b *Feed) int { return compareNames(a.Name, b.Name) })
	r.problem(first.Path, "the feeds form a loop: %s; the supply must come in at one end", strings.Join(names, " -> "))
}

// checkFed finds what draws current and gets no supply. Feeds in a loop have been reported: what they would feed is not
// an orphan as well.
func (r *resolver) checkFed() {
	looped := map[string]bool{}
	for _, f := range r.m.Power.Feeds {
		if len(f.Circuits) == 0 {
			looped[f.To.Origin().Path] = true
		}
	}
	for _, m := range r.m.Modules {
		if m.Type == nil || looped[m.Path] {
			continue
		}
		if m.Feeds == (FeedsByCircuit{}) {
			r.problem(m.Path, "no feed brings the supply to module %s; add one under power.feeds", m.Name)
			continue
		}
		r.checkCircuits(m.Origin, m.Loads, m.Feeds)
		for _, p := range m.Ports {
			if p.Device != nil {
				r.checkCircuits(p.Origin, p.Device.Loads, m.Feeds)
			}
		}
	}
	for _, d := range r.m.Devices {
		fed := d.Feeds != (FeedsByCircuit{})
		switch {
		case fed && d.Port != nil:
			r.problem(d.Path, "device %s is plugged in at %s and fed by %s; a device gets its supply one way", d.Name, d.Port.Path, firstFeed(d.Feeds))
		case fed:
			r.checkCircuits(d.Origin, d.Loads, d.Feeds)
		case d.Port == nil && len(d.Loads) > 0 && !looped[d.Path]:
			r.problem(d.Path, "device %s draws current, but is plugged into no port and fed by no feed, so its load would be missing from every sum", d.Name)
		}
	}
	for _, c := range r.m.Controllers {
		if c.Feeds != (FeedsByCircuit{}) {
			r.checkCircuits(c.Origin, c.Loads, c.Feeds)
		} else if len(c.Loads) > 0 && !looped[c.Path] {
			r.problem(c.Path, "controller %s draws current, but no feed brings it the supply; add one under power.feeds", c.Name)
		}
	}
	for _, s := range r.m.Switches {
		if s.Feeds != (FeedsByCircuit{}) {
			r.checkCircuits(s.Origin, s.Loads, s.Feeds)
		} else if len(s.Loads) > 0 && !looped[s.Path] {
			r.problem(s.Path, "switch %s draws current, but no feed brings it the supply; add one under power.feeds", s.Name)
		}
	}
}

func firstFeed(f FeedsByCircuit) string {
	for _, c := range Circuits() {
		if fc := f.Of(c); fc != nil {
			return fc.Feed.Path
		}
	}
	return ""
}

// checkCircuits checks that each load's circuit arrives where the load is.
func (r *resolver) checkCircuits(where Origin, loads []*DeviceLoad, feeds FeedsByCircuit) {
	for _, l := range loads {
		if feeds.Of(l.Circuit) == nil {
			r.problem(where.Path, "the load %s draws from the %s circuit, which no feed brings here", l.Path, l.Circuit)
		}
	}
}
