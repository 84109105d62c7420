package rules

import (
	"fmt"
	"reflect"
	"slices"

	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"

	"github.com/guardwright/guardwright/calc/power"
	"github.com/guardwright/guardwright/model"
)

// runKinds are the results about conductors, faults, inrush and selectivity.
func runKinds() []*kind {
	type run = *power.Run
	runKind := kindOf[run](resultsGroup, "run", "One circuit's part of a laid cable: its conductors, its contacts, its protection.", computed(
		named("circuit", "sensor or actuator.", func(r run) model.Circuit { return r.Circuit }),
		object("cable", "cable", "The cable; absent when the plugs meet directly.", func(r run) *model.CableRun { return r.Cable }),
		part("plus_conductor", "conductor", "The plus conductor.", func(r run) *power.Conductor { return &r.Plus }),
		part("return_conductor", "conductor", "The return conductor.", func(r run) *power.Conductor { return &r.Return }),
		part("ampacity", "ampacity", "Permitted current of one core, with its derivation.", func(r run) *power.Ampacity { return &r.Ampacity }),
		checkField("current", "current", "Current in one core of plus against the ampacity.", func(r run) *power.Check[model.Current] { return &r.Current }),
		checkField("return_current", "current", "Current in one core of the return against the ampacity.", func(r run) *power.Check[model.Current] { return &r.ReturnCurrent }),
		objects("contacts", "contact", "Connectors on the way, plus and return apart.", func(r run) []*power.Contact { return pointers(r.Contacts) }),
		object("protective", "protective", "Protective device in force over the run; absent when there is none upstream.", func(r run) *power.Protective { return r.Protective }),
		checkField("overload", "current", "Rated current of the protective device against the ampacity of the cores in parallel (IEC 60364-4-43:2008, 433.1).", func(r run) *power.Check[model.Current] { return &r.Overload }),
		part("fault", "fault", "A short circuit between plus and return at the end of the run.", func(r run) *power.Fault { return &r.Fault }),
		checkField("withstand", "joule_integral", "Joule integral of the worst short circuit on the run, until it is opened, against k²S² of one conductor.", func(r run) *power.Check[model.JouleIntegral] { return &r.Withstand }),
	)...)
	found(runKind, func(w *world) []run { return w.power.cabledRuns() }, runOrigin)
	shown(runKind, func(r run) string {
		if r.Cable != nil {
			return r.Cable.Path + "." + string(r.Circuit)
		}
		return "the " + string(r.Circuit) + " run without a cable"
	})
	return append([]*kind{runKind, conductorKind(), ampacityKind(), contactKind(), protectiveKind(), faultKind(), inrushKind(),
		selectivityKind()}, supplyNetworkKinds()...)
}

// runOrigin names a circuit's part of a cable: power.feeds.f1.cable.sensor.
func runOrigin(r *power.Run) model.Origin {
	if r.Cable == nil {
		return model.Origin{}
	}
	return circuitOrigin(r.Cable.Origin, r.Circuit)
}

// cabledRuns lists the runs that have a cable, in the order of [allCables]. Runs without one have no conductors.
func (x powerIndex) cabledRuns() []*power.Run {
	if x.result == nil {
		return nil
	}
	var out []*power.Run
	for _, c := range allCables(x.result.Machine) {
		out = append(out, x.runs[c]...)
	}
	return out
}

func conductorKind() *kind {
	type c = *power.Conductor
	return kindOf[c](resultsGroup, "conductor", "One conductor of a run: its cores in parallel.", computed(
		count("cores", "Cores in parallel.", func(o c) int { return o.Cores }),
		amount("section", "Cross-section of one core.", func(o c) model.CrossSection { return o.Section }),
		amount("length", "Length, one way.", func(o c) model.Length { return o.Length }),
		amount("per_length", "Resistance of one core at 20 °C.", func(o c) model.ResistancePerLength { return o.PerLength }),
		text("from", "Where the resistance comes from.", func(o c) string { return o.From }),
		amount("hot", "Conductor temperature for the lowest voltage.", func(o c) model.Temperature { return o.Hot }),
		amount("cold", "Conductor temperature for the highest voltage.", func(o c) model.Temperature { return o.Cold }),
		amount("at_20", "Resistance at 20 °C, cores in parallel, without contacts.", func(o c) model.Resistance { return o.At20 }),
		amount("at_hot", "Resistance when hot, cores in parallel, without contacts.", func(o c) model.Resistance { return o.AtHot }),
		amount("at_cold", "Resistance when cold, cores in parallel, without contacts.", func(o c) model.Resistance { return o.AtCold }),
		amount("contacts", "Resistance of all contacts on the way, cores in parallel.", func(o c) model.Resistance { return o.Contacts }),
	)...)
}

func ampacityKind() *kind {
	type a = *power.Ampacity
	covered := func(name, about string, get func(a) model.Current) field {
		return result(name, about, fieldType{quantity: reflect.TypeFor[model.Current]()}, func(w *world, o a) (ref.Val, string) {
			if o.Known {
				return quantityValue(w, get(o)), ""
			}
			return nil, "is not covered" + because(o.Why)
		})
	}
	return kindOf[a](resultsGroup, "ampacity", "Permitted current of one core: value = base · ambient · grouping · loaded.",
		slices.Concat([]field{
			covered("value", "Permitted current of one core.", func(o a) model.Current { return o.Value }),
			covered("base", "Current of the table row, or of the cable's data sheet.", func(o a) model.Current { return o.Base }),
		}, computed(
			statedAmount("row", "Cross-section of the table row; absent when the data sheet was used.", func(o a) model.CrossSection { return o.Row }),
			text("method", "Method of installation.", func(o a) model.LayingMethod { return o.Method }),
			text("standard", "Standard of the table, with its edition.", func(o a) model.AmpacityStandard { return o.Standard }),
			amount("ambient", "Factor for the air temperature.", func(o a) model.Ratio { return o.Ambient }),
			amount("temperature", "Air temperature of that factor.", func(o a) model.Temperature { return o.Temperature }),
			amount("grouping", "Factor for circuits laid together.", func(o a) model.Ratio { return o.Grouping }),
			count("grouped", "Number of circuits laid together.", func(o a) int { return o.Grouped }),
			amount("loaded", "Factor for the number of loaded cores.", func(o a) model.Ratio { return o.Loaded }),
			count("loaded_cores", "Number of current-carrying cores in the cable.", func(o a) int { return o.LoadedCores }),
			truth("known", "False when the tables do not cover the conductor or how it is laid.", func(o a) bool { return o.Known }),
			text("why", "What is not covered, or how the row was chosen.", func(o a) string { return o.Why }),
		))...)
}

func contactKind() *kind {
	type c = *power.Contact
	return partOnly(shown(kindOf[c](resultsGroup, "contact", "One connector on a conductor.", computed(
		part("connector", "connector", "The connector.", func(o c) *model.Connector { return o.Connector }),
		truth("is_return", "True for a contact of the return.", func(o c) bool { return o.Return }),
		checkField("current", "current", "Current in one contact against what it carries at the temperature.", func(o c) *power.Check[model.Current] { return &o.Current }),
		amount("rating", "Rated current of one contact.", func(o c) model.Current { return o.Rating }),
		maybeAmount("curve", "Permitted share of the base curve at the temperature; absent when the connector has no curve.", func(o c) *model.Current { return o.Curve }),
		amount("temperature", "Air temperature at the contact.", func(o c) model.Temperature { return o.Temperature }),
	)...), func(o c) string { return o.Connector.Name }))
}

func protectiveKind() *kind {
	type p = *power.Protective
	k := kindOf[p](resultsGroup, "protective", "The overcurrent protective device in force at some place: a protection, or the fuse of a port.", computed(
		object("protection", "protection", "The protection; absent when it is the fuse of a port.", func(o p) *model.Protection { return o.Protection }),
		object("port", "port", "The port whose fuse it is.", func(o p) *model.Port { return o.Port }),
		part("type", "protection_type", "Data sheet of the device.", func(o p) *model.ResolvedProtectionType { return o.Type }),
		amount("ambient_min", "Lowest air temperature at the device.", func(o p) model.Temperature { return o.Ambient.Min }),
		amount("ambient_max", "Highest air temperature at the device.", func(o p) model.Temperature { return o.Ambient.Max }),
	)...)
	return shown(k, func(o p) string { return o.Origin().Path })
}

func faultKind() *kind {
	type f = *power.Fault
	known := func(name, about string, get func(f) model.Current) field {
		return result(name, about, fieldType{quantity: reflect.TypeFor[model.Current]()}, func(w *world, o f) (ref.Val, string) {
			if !o.Known {
				return nil, "is not known" + because(o.Why)
			}
			return quantityValue(w, get(o)), ""
		})
	}
	k := kindOf[f](resultsGroup, "fault", "A short circuit between plus and return.", slices.Concat([]field{
		known("current", "Smallest fault current, without any other load.", func(o f) model.Current { return o.Current }),
		known("supply_limit", "Current that the supply gives for ever.", func(o f) model.Current { return o.SupplyLimit }),
	}, computed(
		maybeAmount("ohmic", "Smallest fault current that the resistances alone permit; absent when there is no resistance.", func(o f) *model.Current { return o.Ohmic }),
		maybeAmount("assured", "Smallest fault current while all loads go on drawing their currents.", func(o f) *model.Current { return o.Assured }),
		maybeAmount("largest", "Largest fault current at the start of the run.", func(o f) *model.Current { return o.Largest }),
		amount("voltage", "Lowest voltage of the supply.", func(o f) model.Voltage { return o.Voltage }),
		amount("source", "Resistance of the supply.", func(o f) model.Resistance { return o.Source }),
		amount("devices", "Resistance of the protective devices and modules on the way.", func(o f) model.Resistance { return o.Devices }),
		amount("conductors", "Resistance of both conductors, hot.", func(o f) model.Resistance { return o.Conductors }),
		amount("contacts", "Resistance of all contacts in both conductors.", func(o f) model.Resistance { return o.Contacts }),
		amount("loop", "Resistance of the whole loop: the sum of source, devices, conductors and contacts.", func(o f) model.Resistance { return o.Loop }),
		statedAmount("boost", "Current that the supply gives for a short time; absent when it has none.", func(o f) model.Current { return o.Boost }),
		statedAmount("boost_time", "How long it gives that.", func(o f) model.Duration { return o.BoostTime }),
		object("protective", "protective", "Device that has to open; absent when there is none.", func(o f) *power.Protective { return o.Protective }),
		checkField("trip", "current", "Smallest fault current against the current at which the device opens within the permitted time.", func(o f) *power.Check[model.Current] { return &o.Trip }),
		checkField("opens", "duration", "Latest time at which the device has opened against the permitted time.", func(o f) *power.Check[model.Duration] { return &o.Opens }),
		truth("known", "False when there is no smallest fault current to be told.", func(o f) bool { return o.Known }),
		text("why", "What is missing.", func(o f) string { return o.Why }),
	))...)
	return k
}

func inrushKind() *kind {
	type i = *power.Inrush
	return kindOf[i](resultsGroup, "inrush", "The switching on of everything behind a place at once.", computed(
		count("stated", "Number of loads that state an inrush.", func(o i) int { return o.Stated }),
		count("unstated", "Number of loads that do not; they are taken to have none.", func(o i) int { return o.Unstated }),
		amount("capacitance", "Sum of the input capacitances.", func(o i) model.Capacitance { return o.Capacitance }),
		amount("voltage", "Highest voltage of the supply.", func(o i) model.Voltage { return o.Voltage }),
		amount("resistance", "Resistance that the empty capacitors present at the first moment, from the supply on.", func(o i) model.Resistance { return o.Resistance }),
		amount("joule_integral", "Upper bound of the Joule integral of the charging current.", func(o i) model.JouleIntegral { return o.JouleIntegral }),
		amount("currents", "Sum of the stated peak currents.", func(o i) model.Current { return o.Currents }),
		amount("duration", "Longest time of a stated peak current.", func(o i) model.Duration { return o.Duration }),
		maybeAmount("peak", "Peak of the whole inrush; absent when neither a resistance nor a supply limit bounds it.", func(o i) *model.Current { return o.Peak }),
		maybeAmount("steady", "Current of all loads in operation, which flows beside.", func(o i) *model.Current { return o.Steady }),
		maybeAmount("decay", "Time in which the whole current has fallen to what the device holds for ever.", func(o i) *model.Duration { return o.Decay }),
		checkField("hold", "current", "Inrush and steady current against what the protective device, or the supply, stands for that time.", func(o i) *power.Check[model.Current] { return &o.Hold }),
		checkField("capacity", "capacitance", "Capacitance against the largest that the supply starts with.", func(o i) *power.Check[model.Capacitance] { return &o.Capacity }),
	)...)
}

func selectivityKind() *kind {
	type s = *power.Selectivity
	decided := func(name, about string, typ fieldType, get func(w *world, o s) ref.Val) field {
		return result(name, about, typ, func(w *world, o s) (ref.Val, string) {
			if o.Status.Decided() {
				return get(w, o), ""
			}
			return nil, "is " + o.Status.String() + because(o.Why)
		})
	}
	current := fieldType{quantity: reflect.TypeFor[model.Current]()}
	k := kindOf[s](resultsGroup, "selectivity", "Whether a short circuit behind one protective device opens it before the device upstream can open.", slices.Concat(computed(
		part("downstream", "protective", "The device that should open.", func(o s) *power.Protective { return o.Downstream }),
		part("upstream", "protective", "The device that should stay closed.", func(o s) *power.Protective { return o.Upstream }),
		named("status", "within when it is selective over the whole range, beyond when it is not, not covered when data are missing.", func(o s) string { return o.Status.String() }),
		text("why", "What is missing.", func(o s) string { return o.Why }),
	), []field{
		decided("within", "True when it is selective over the whole range of fault currents.", fieldType{basic: types.BoolType}, func(_ *world, o s) ref.Val { return types.Bool(o.Status == power.Within) }),
		decided("at", "Fault current at which selectivity is lost or weakest.", current, func(w *world, o s) ref.Val { return quantityValue(w, o.At) }),
		decided("from", "Smallest fault current behind the downstream device.", current, func(w *world, o s) ref.Val { return quantityValue(w, o.From) }),
		decided("to", "Largest fault current behind the downstream device.", current, func(w *world, o s) ref.Val { return quantityValue(w, o.To) }),
		decided("beside", "Load current that flows through the upstream device as well.", current, func(w *world, o s) ref.Val { return quantityValue(w, o.Beside) }),
	}, computed(
		maybeAmount("downstream_opens", "Latest time at which the downstream device has opened there; absent when it need not open at all.", func(o s) *model.Duration { return o.DownstreamOpens }),
		maybeAmount("upstream_holds", "Time for which the upstream device stays closed at least; absent when it stays closed for ever.", func(o s) *model.Duration { return o.UpstreamHolds }),
	))...)
	return found(k, func(w *world) []s {
		if w.power.result == nil {
			return nil
		}
		return w.power.result.Selectivity
	}, func(o s) model.Origin { return o.Downstream.Origin() })
}

// supplyNetworkKinds are the solved parts of the supply and the places that the calculation does not cover.
func supplyNetworkKinds() []*kind {
	type n = *power.Network
	network := kindOf[n](resultsGroup, "supply_network", "A part of the supply whose voltages depend on each other.", slices.Concat(computed(
		objects("supplies", "supply", "Supplies that feed it.", func(o n) []*model.Supply { return o.Supplies }),
		objects("feeds", "feed_circuit", "Circuits of feeds in it.", func(o n) []*model.FeedCircuit { return o.Feeds }),
		part("lowest", "operation", "Operating point in the case lowest.", func(o n) *power.Operation { return &o.Operation[power.Lowest] }),
		part("highest", "operation", "Operating point in the case highest.", func(o n) *power.Operation { return &o.Operation[power.Highest] }),
		part("highest_loaded", "operation", "Operating point in the case highest, all loads.", func(o n) *power.Operation { return &o.Operation[power.HighestLoaded] }),
		part("nominal", "operation", "Operating point in the case nominal.", func(o n) *power.Operation { return &o.Operation[power.Nominal] }),
		part("pulling", "operation", "Operating point while the magnets pull.", func(o n) *power.Operation { return &o.Operation[power.Pulling] }),
	))...)
	found(network, func(w *world) []n {
		if w.power.result == nil {
			return nil
		}
		return w.power.result.Networks
	}, networkOrigin)

	type op = *power.Operation
	operation := kindOf[op](resultsGroup, "operation", "The operating point of a part of the supply in one case.", computed(
		named("status", "not computed, solved, no operating point or not converged.", func(o op) string { return o.Status.String() }),
		truth("solved", "True when there is an operating point.", func(o op) bool { return o.Status == power.Solved }),
		object("collapse", "collapse", "The limit of the constant-power loads; absent when it was not computed or when no factor on them is too large.", func(o op) *power.Collapse { return o.Collapse }),
		text("why", "Why there is no operating point.", func(o op) string { return o.Why }),
	)...)
	shown(operation, func(o op) string { return o.Status.String() + because(o.Why) })

	type c = *power.Collapse
	collapse := kindOf[c](resultsGroup, "collapse", "The limit of the constant-power loads of a part of the supply: with all of them multiplied by more than the factor there is no operating point.", computed(
		amount("lower", "Lower bound of the factor.", func(o c) model.Ratio { return o.Lower }),
		amount("upper", "Upper bound of the factor.", func(o c) model.Ratio { return o.Upper }),
		text("at", "Path of the place whose voltage is lowest at the limit.", func(o c) string { return o.At.Origin().Path }),
		amount("voltage", "Voltage at that place at the limit.", func(o c) model.Voltage { return o.Voltage }),
		text("edge", "Path of the place at which the conductors end in which most voltage is lost on the way there.", func(o c) string { return o.Edge.Origin().Path }),
		amount("drop", "Voltage lost there, in both conductors.", func(o c) model.Voltage { return o.Drop }),
		amount("power", "Sum of all constant-power loads as described.", func(o c) model.Power { return o.Power }),
		amount("excess", "Part of it that cannot be fed; zero when there is an operating point.", func(o c) model.Power { return o.Excess }),
	)...)
	shown(collapse, func(o c) string {
		return fmt.Sprintf("factor %s to %s", o.Lower.Format(becauseDigits), o.Upper.Format(becauseDigits))
	})

	type l = *power.Limit
	limit := kindOf[l](resultsGroup, "power_limit", "A place at which the calculation of the 24 V supply is not exact, or gives nothing.", computed(
		named("at", "Path of the object concerned.", func(o l) string { return o.Place.Path }),
		text("circuit", "Circuit concerned; absent when both are.", func(o l) model.Circuit { return o.Circuit }),
		named("text", "What is not covered, what was assumed and on which side the numbers lie.", func(o l) string { return o.Text }),
	)...)
	found(limit, func(w *world) []l {
		if w.power.result == nil {
			return nil
		}
		return limitPointers(w.power.result)
	}, func(o l) model.Origin { return o.Place })
	return []*kind{network, operation, collapse, limit}
}

// networkOrigin is the origin of the first thing that feeds or is fed.
func networkOrigin(n *power.Network) model.Origin {
	switch {
	case len(n.Feeds) > 0:
		return feedCircuitOrigin(n.Feeds[0])
	case len(n.Supplies) > 0:
		return n.Supplies[0].Origin
	}
	return model.Origin{}
}
