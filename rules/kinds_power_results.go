package rules

import (
	"reflect"
	"slices"

	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"

	"github.com/guardwright/guardwright/calc/power"
	"github.com/guardwright/guardwright/model"
)

// powerIndex finds the results for the objects of the machine.
type powerIndex struct {
	result      *power.Result
	supplies    map[*model.Supply]*power.Supply
	protections map[*model.Protection]*power.Protection
	circuits    map[*model.FeedCircuit]*power.FeedCircuit
	modules     map[*model.Module]*power.Module
	ports       map[*model.Port]*power.Port
	loads       map[*model.DeviceLoad]*power.Load
	runs        map[*model.CableRun][]*power.Run
}

func indexPower(r *power.Result) powerIndex {
	x := powerIndex{
		result: r, supplies: map[*model.Supply]*power.Supply{}, protections: map[*model.Protection]*power.Protection{},
		circuits: map[*model.FeedCircuit]*power.FeedCircuit{}, modules: map[*model.Module]*power.Module{},
		ports: map[*model.Port]*power.Port{}, loads: map[*model.DeviceLoad]*power.Load{}, runs: map[*model.CableRun][]*power.Run{},
	}
	if r == nil {
		return x
	}
	for _, s := range r.Supplies {
		x.supplies[s.Supply] = s
	}
	for _, p := range r.Protections {
		x.protections[p.Protection] = p
		x.addRun(p.Run)
	}
	for _, f := range r.Feeds {
		for _, c := range f.Circuits {
			x.circuits[c.Circuit] = c
			x.addRun(c.Run)
		}
	}
	for _, m := range r.Modules {
		x.modules[m.Module] = m
		x.addLoads(m.Loads)
		for _, p := range m.Ports {
			x.ports[p.Port] = p
			for _, c := range p.Circuits {
				x.addRun(c.Run)
			}
		}
	}
	for _, d := range r.Devices {
		x.addLoads(d.Loads)
	}
	for _, c := range r.Controllers {
		x.addLoads(c.Loads)
	}
	for _, s := range r.Switches {
		x.addLoads(s.Loads)
	}
	return x
}

func (x powerIndex) addRun(r *power.Run) {
	if r != nil && r.Cable != nil {
		x.runs[r.Cable] = append(x.runs[r.Cable], r)
	}
}

func (x powerIndex) addLoads(loads []*power.Load) {
	for _, l := range loads {
		x.loads[l.Load] = l
	}
}

// powerField is a field that comes from the results of calc/power for one object of the machine.
func powerField[T any, R any](name, about string, typ fieldType, find func(powerIndex, T) *R, get func(w *world, r *R) (ref.Val, string)) field {
	return result(name, about, typ, func(w *world, o T) (ref.Val, string) {
		if w.power.result == nil {
			return nil, "is not computed" + because(w.results.PowerMissing)
		}
		r := find(w.power, o)
		if r == nil {
			return nil, "is not computed for it"
		}
		return get(w, r)
	})
}

// checkOf is the field type and the getter of a check inside a result.
func checkOf[R any, Q modelQuantity](quantity string, pick func(*R) *power.Check[Q]) (fieldType, func(*world, *R) (ref.Val, string)) {
	kind := quantity + "_check"
	return fieldType{kind: kind}, func(w *world, r *R) (ref.Val, string) {
		return w.object(kind, pick(r)), ""
	}
}

func partOf[R any, U any](kind string, pick func(*R) *U) (fieldType, func(*world, *R) (ref.Val, string)) {
	return fieldType{kind: kind}, func(w *world, r *R) (ref.Val, string) {
		if v := pick(r); v != nil {
			return w.object(kind, v), ""
		}
		return nil, ""
	}
}

func pointsOf[R any](pick func(*R) points) (fieldType, func(*world, *R) (ref.Val, string)) {
	return fieldType{kind: "points"}, func(w *world, r *R) (ref.Val, string) { return w.object("points", pick(r)), "" }
}

func amountOf[R any, Q modelQuantity](pick func(*R) Q) (fieldType, func(*world, *R) (ref.Val, string)) {
	return fieldType{quantity: reflect.TypeFor[Q]()}, func(w *world, r *R) (ref.Val, string) { return quantityValue(w, pick(r)), "" }
}

func machineResults() []field {
	list := func(name, about, kind string, get func(*world, *power.Result) ref.Val) field {
		return result(name, about, fieldType{kind: kind, list: true}, func(w *world, _ *model.Machine) (ref.Val, string) {
			if w.power.result == nil {
				return nil, "is not computed" + because(w.results.PowerMissing)
			}
			return get(w, w.power.result), ""
		})
	}
	return []field{
		list("supply_networks", "Parts of the 24 V supply whose voltages depend on each other.", "supply_network",
			func(w *world, r *power.Result) ref.Val { return objectList(w, "supply_network", r.Networks) }),
		list("selectivity", "Pairs of protective devices in series.", "selectivity",
			func(w *world, r *power.Result) ref.Val { return objectList(w, "selectivity", r.Selectivity) }),
		list("power_limits", "Places at which the calculation of the 24 V supply is not exact, or gives nothing.", "power_limit",
			func(w *world, r *power.Result) ref.Val { return objectList(w, "power_limit", limitPointers(r)) }),
	}
}

func limitPointers(r *power.Result) []*power.Limit {
	out := make([]*power.Limit, len(r.Limits))
	for i := range r.Limits {
		out[i] = &r.Limits[i]
	}
	return out
}

func supplyResults() []field {
	find := func(x powerIndex, s *model.Supply) *power.Supply { return x.supplies[s] }
	make := func(name, about string, typ fieldType, get func(*world, *power.Supply) (ref.Val, string)) field {
		return powerField(name, about, typ, find, get)
	}
	typ1, get1 := checkOf("current", func(r *power.Supply) *power.Check[model.Current] { return &r.Current })
	typ2, get2 := pointsOf(func(r *power.Supply) points { return points{ByCase: &r.Points} })
	typ3, get3 := amountOf(func(r *power.Supply) model.Current { return r.Rated })
	typ4, get4 := amountOf(func(r *power.Supply) model.Ratio { return r.Derating })
	typ5, get5 := partOf("inrush", func(r *power.Supply) *power.Inrush { return &r.Inrush })
	spare := func(w *world, r *power.Supply) (ref.Val, string) {
		if r.Current.Status.Decided() {
			return quantityValue(w, r.Spare), ""
		}
		return nil, "is " + r.Current.Status.String() + because(r.Current.Why)
	}
	return []field{
		make("current", "Current drawn from the supply against its rated current, derated at the highest air temperature.", typ1, get1),
		make("points", "States of the supply's terminals.", typ2, get2),
		make("rated", "Rated current.", typ3, get3),
		make("derating", "Share of the rated current that is left at the highest air temperature; 100 % where the supply has no table.", typ4, get4),
		make("spare", "Margin of the current as a share of its limit.", fieldType{quantity: reflect.TypeFor[model.Ratio]()}, spare),
		make("inrush", "Switching on of everything on the supply at once.", typ5, get5),
	}
}

func protectionResults() []field {
	find := func(x powerIndex, p *model.Protection) *power.Protection { return x.protections[p] }
	make := func(name, about string, typ fieldType, get func(*world, *power.Protection) (ref.Val, string)) field {
		return powerField(name, about, typ, find, get)
	}
	typ1, get1 := checkOf("current", func(r *power.Protection) *power.Check[model.Current] { return &r.Current })
	typ2, get2 := pointsOf(func(r *power.Protection) points { return points{&r.Points, r.Network} })
	typ3, get3 := partOf("run", func(r *power.Protection) *power.Run { return r.Run })
	typ4, get4 := partOf("fault", func(r *power.Protection) *power.Fault { return &r.Fault })
	typ5, get5 := partOf("inrush", func(r *power.Protection) *power.Inrush { return &r.Inrush })
	return []field{
		make("current", "Current through the device against what it holds for ever at its highest air temperature.", typ1, get1),
		make("points", "States behind the device.", typ2, get2),
		make("run", "Wiring to the device; absent when it is not described.", typ3, get3),
		make("fault", "A short circuit right behind the device.", typ4, get4),
		make("inrush", "Switching on of everything behind the device at once.", typ5, get5),
	}
}

func feedCircuitResults() []field {
	find := func(x powerIndex, c *model.FeedCircuit) *power.FeedCircuit { return x.circuits[c] }
	typ1, get1 := pointsOf(func(r *power.FeedCircuit) points { return points{&r.Points, r.Network} })
	typ2, get2 := partOf("run", func(r *power.FeedCircuit) *power.Run { return r.Run })
	return []field{
		powerField("points", "States at the end of the feed.", typ1, find, get1),
		powerField("run", "The circuit's part of the cable.", typ2, find, get2),
	}
}

func cableResults() []field {
	return []field{result("runs", "The parts of the cable that belong to one circuit each.", fieldType{kind: "run", list: true},
		func(w *world, r *model.CableRun) (ref.Val, string) {
			if w.power.result == nil {
				return nil, "is not computed" + because(w.results.PowerMissing)
			}
			return objectList(w, "run", w.power.runs[r]), ""
		})}
}

func moduleResults() []field {
	find := func(x powerIndex, m *model.Module) *power.Module { return x.modules[m] }
	circuit := func(c model.Circuit) field {
		get := func(w *world, r *power.Module) (ref.Val, string) {
			for _, mc := range r.Circuits {
				if mc.Circuit == c {
					return w.object("module_circuit", moduleCircuit{mc, r.Module}), ""
				}
			}
			return nil, "is not fed"
		}
		return powerField(string(c), "The module's "+string(c)+" circuit; absent when the module is not fed with it.", fieldType{kind: "module_circuit"}, find, get)
	}
	free := func(_ *world, r *power.Module) (ref.Val, string) { return types.Int(r.Free), "" }
	return []field{
		circuit(model.Sensor), circuit(model.Actuator),
		powerField("free_ports", "Number of ports without a device.", fieldType{basic: types.IntType}, find, free),
	}
}

// moduleCircuit is one circuit at a module, and the module.
type moduleCircuit struct {
	*power.ModuleCircuit
	module *model.Module
}

func portResults() []field {
	find := func(x powerIndex, p *model.Port) *power.Port { return x.ports[p] }
	circuit := func(c model.Circuit) field {
		get := func(w *world, r *power.Port) (ref.Val, string) {
			for _, pc := range r.Circuits {
				if pc.Circuit == c {
					return w.object("port_circuit", portCircuit{pc, r.Port}), ""
				}
			}
			return nil, "is not used by the device"
		}
		return powerField(string(c), "The "+string(c)+" circuit at the port; absent when the device does not draw from it, and at a free port.", fieldType{kind: "port_circuit"}, find, get)
	}
	return []field{circuit(model.Sensor), circuit(model.Actuator)}
}

// portCircuit is one circuit at a port, and the port.
type portCircuit struct {
	*power.PortCircuit
	port *model.Port
}

func loadResults() []field {
	find := func(x powerIndex, l *model.DeviceLoad) *power.Load { return x.loads[l] }
	make := func(name, about string, typ fieldType, get func(*world, *power.Load) (ref.Val, string)) field {
		return powerField(name, about, typ, find, get)
	}
	typ1, get1 := checkOf("voltage", func(r *power.Load) *power.Check[model.Voltage] { return &r.Lowest })
	typ2, get2 := checkOf("voltage", func(r *power.Load) *power.Check[model.Voltage] { return &r.Highest })
	typ3, get3 := checkOf("voltage", func(r *power.Load) *power.Check[model.Voltage] { return &r.PullIn })
	typ4, get4 := checkOf("ratio", func(r *power.Load) *power.Check[model.Ratio] { return &r.Drop })
	typ5, get5 := pointsOf(func(r *power.Load) points { return points{&r.Points, r.Network} })
	typ6, get6 := partOf("port", func(r *power.Load) *model.Port { return r.Port })
	supply := func(w *world, r *power.Load) (ref.Val, string) {
		owner := r.Owner
		if r.Port != nil {
			owner = model.Consumer{Module: r.Port.Module}
		}
		if c := feedsOf(owner).Of(r.Load.Circuit); c != nil && c.Supply != nil {
			return w.object("supply", c.Supply), ""
		}
		return nil, "is not there: nothing feeds the load"
	}
	typ7, get7 := partOf("consumer", func(r *power.Load) *model.Consumer { return &r.Owner })
	return []field{
		make("lowest", "Lowest voltage at the load against the least voltage at which it works.", typ1, get1),
		make("highest", "Highest voltage at the load against the highest that it permits.", typ2, get2),
		make("pulling", "Voltage at the load while all magnets pull against the least voltage at which it pulls.", typ3, get3),
		make("drop", "Voltage lost between the supply and the load as a share of the supply's nominal voltage, against the 5 % of IEC 60204-1:2016, 12.5.", typ4, get4),
		make("points", "Voltage at and current of the load.", typ5, get5),
		make("port", "Port into which the load's owner is plugged; absent for an owner that is fed directly.", typ6, get6),
		make("owner", "What the load belongs to.", typ7, get7),
		make("supply", "Supply at the top of the load's circuit; absent when nothing feeds it.", fieldType{kind: "supply"}, supply),
	}
}

// feedsOf are the feeds that end at something.
func feedsOf(c model.Consumer) model.FeedsByCircuit {
	switch {
	case c.Module != nil:
		return c.Module.Feeds
	case c.Device != nil:
		return c.Device.Feeds
	case c.Controller != nil:
		return c.Controller.Feeds
	case c.Switch != nil:
		return c.Switch.Feeds
	}
	return model.FeedsByCircuit{}
}

// powerResultKinds are the kinds of objects that only the results have.
func powerResultKinds() []*kind {
	moduleCircuitKind := kindOf[moduleCircuit](resultsGroup, "module_circuit", "One circuit at a module.", slices.Concat(computed(
		named("circuit", "sensor or actuator.", func(c moduleCircuit) model.Circuit { return c.Circuit }),
		part("module", "module", "The module.", func(c moduleCircuit) *model.Module { return c.module }),
		object("feed", "feed_circuit", "The feed that brings the circuit.", func(c moduleCircuit) *model.FeedCircuit { return c.Feed }),
		pointsField("States at the module's connector.", func(c moduleCircuit) points { return points{&c.Points, c.Network} }),
		checkField("own", "current", "Current of the module and its ports against the module's limit for the circuit.", func(c moduleCircuit) *power.Check[model.Current] { return &c.Own }),
		checkField("through", "current", "Current into the module, what goes on included, against its pass-through limit.", func(c moduleCircuit) *power.Check[model.Current] { return &c.Through }),
		objects("contacts_in", "contact", "Contacts of the incoming power connector, plus and return; empty when not stated.", func(c moduleCircuit) []*power.Contact { return pointers(c.In) }),
		objects("contacts_out", "contact", "Contacts of the outgoing power connector, plus and return; empty when not stated.", func(c moduleCircuit) []*power.Contact { return pointers(c.Out) }),
	))...)
	found(moduleCircuitKind, func(w *world) []moduleCircuit { return w.power.moduleCircuits() },
		func(c moduleCircuit) model.Origin { return circuitOrigin(c.module.Origin, c.Circuit) })

	portCircuitKind := kindOf[portCircuit](resultsGroup, "port_circuit", "One circuit at a port whose device draws from it.", computed(
		named("circuit", "sensor or actuator.", func(c portCircuit) model.Circuit { return c.Circuit }),
		part("port", "port", "The port.", func(c portCircuit) *model.Port { return c.port }),
		pointsField("States at the device.", func(c portCircuit) points { return points{&c.Points, c.Network} }),
		checkField("current", "current", "Current of the device against the limit of the port.", func(c portCircuit) *power.Check[model.Current] { return &c.Current }),
		checkField("hold", "current", "Current of the device against what the port's fuse holds for ever at its highest air temperature.", func(c portCircuit) *power.Check[model.Current] { return &c.Hold }),
		objects("contacts", "contact", "Contacts of the port's connector, plus and return.", func(c portCircuit) []*power.Contact { return pointers(c.Contacts) }),
		object("run", "run", "The circuit's part of the cable to the device.", func(c portCircuit) *power.Run { return c.Run }),
		part("inrush", "inrush", "Switching on of the device.", func(c portCircuit) *power.Inrush { return &c.Inrush }),
	)...)
	shown(found(portCircuitKind, func(w *world) []portCircuit { return w.power.portCircuits() },
		func(c portCircuit) model.Origin { return circuitOrigin(c.port.Origin, c.Circuit) }),
		func(c portCircuit) string { return c.port.Module.Name + "." + c.port.Name + "." + string(c.Circuit) })
	return append([]*kind{moduleCircuitKind, portCircuitKind}, runKinds()...)
}

func (x powerIndex) moduleCircuits() []moduleCircuit {
	var out []moduleCircuit
	if x.result != nil {
		for _, m := range x.result.Modules {
			for _, c := range m.Circuits {
				out = append(out, moduleCircuit{c, m.Module})
			}
		}
	}
	return out
}

func (x powerIndex) portCircuits() []portCircuit {
	var out []portCircuit
	if x.result != nil {
		for _, m := range x.result.Modules {
			for _, p := range m.Ports {
				for _, c := range p.Circuits {
					out = append(out, portCircuit{c, p.Port})
				}
			}
		}
	}
	return out
}

func pointers[T any](list []T) []*T {
	out := make([]*T, len(list))
	for i := range list {
		out[i] = &list[i]
	}
	return out
}

// checkField is a check that is always there; what it holds depends on its status.
func checkField[T any, Q modelQuantity](name, quantity, about string, get func(T) *power.Check[Q]) field {
	return part(name, quantity+"_check", about, get)
}

func pointsField[T any](about string, get func(T) points) field {
	return field{name: "points", about: about, typ: fieldType{kind: "points"},
		get: func(w *world, s any) ref.Val { return w.object("points", get(s.(T))) }}
}
