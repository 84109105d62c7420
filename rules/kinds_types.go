package rules

import (
	"slices"

	"github.com/guardwright/guardwright/model"
)

// typeKinds are component data that no other file describes.
func typeKinds() []*kind {
	return []*kind{moduleTypeKind(), supplyTypeKind(), protectionTypeKind(), tripPointKind(), ratioAtKind(), currentAtKind(), controllerTypeKind(), switchTypeKind()}
}

func moduleTypeKind() *kind {
	type t = *model.ResolvedModuleType
	k := kindOf[t]("Component data", "module_type", "Data of a safety I/O module.", slices.Concat(
		originFields(func(o t) model.Origin { return o.Origin }),
		[]field{
			text("about", "Free text about the type.", func(o t) string { return o.About }),
			object("power_in", "connector", "Connector at which the supply comes in.", func(o t) *model.Connector { return o.PowerIn }),
			object("power_out", "connector", "Connector at which the supply goes on to the next module; absent: it does not, or it is not stated.", func(o t) *model.Connector { return o.PowerOut }),
			statedAmount("pass_resistance", "Resistance of each conductor between the supply's connectors inside the module.", func(o t) model.Resistance { return o.PassResistance }),
			statedAmount("pass_limit", "Highest current into the module, what goes on included, for each circuit.", func(o t) model.Current { return o.PassLimit }),
			statedAmount("sensor_limit", "Highest current of the sensor circuit for the module itself and its ports.", func(o t) model.Current { return o.SensorLimit }),
			statedAmount("actuator_limit", "Highest current of the actuator circuit for the module itself and its ports.", func(o t) model.Current { return o.ActuatorLimit }),
			statedTruth("common_zero_volt", "True when the 0 V of the two circuits are joined inside the module.", func(o t) *bool { return o.CommonZeroVolt }),
			statedAmount("input_response", "Longest time from a change at an input to the safety message that carries it, without the filter of the port.", func(o t) model.Duration { return o.InputResponse }),
			statedAmount("output_response", "Longest time from a safety message to the change of the output.", func(o t) model.Duration { return o.OutputResponse }),
			statedAmount("input_fault_response", "The same as input_response with one fault inside the module (one fault delay time, IEC 61784-3-3).", func(o t) model.Duration { return o.InputFaultResponse }),
			statedAmount("output_fault_response", "The same as output_response with one fault inside the module (one fault delay time, IEC 61784-3-3).", func(o t) model.Duration { return o.OutputFaultResponse }),
			statedAmount("acknowledge_time", "Longest time from a safety message to the answer that acknowledges it (IEC 61784-3-3).", func(o t) model.Duration { return o.AcknowledgeTime }),
			statedCount("max_in_line", "Most modules of a line or ring in which this module may be, itself included.", func(o t) int { return o.MaxInLine }),
			text("address_switches", "What is set by switches on the module: none, address (last byte of the IPv4 address) or safety-address; absent: not known.", func(o t) model.AddressSwitches { return o.AddressSwitches }),
			statedTexts("resists", "Cleaning agents, oils and coolants that its housing stands.", func(o t) []string { return o.Resists }),
			statedAmount("max_cable", "Longest cable to a device.", func(o t) model.Length { return o.MaxCable }),
		},
		portsFields(func(o t) *model.NetworkPortsType { return &o.NetworkPortsType }),
		[]field{object("network_connector", "connector", "Connector of the network ports.", func(o t) *model.Connector { return o.NetworkConnector })},
		permittedFields(func(o t) *model.TemperatureRange { return o.Temperature }),
		ingressFields(func(o t) model.IngressCode { return o.Ingress }),
	)...)
	return placed(k, func(o t) model.Origin { return o.Origin })
}

func supplyTypeKind() *kind {
	type t = *model.ResolvedSupplyType
	k := kindOf[t]("Component data", "supply_type", "Data of a 24 V supply.", slices.Concat(
		originFields(func(o t) model.Origin { return o.Origin }),
		[]field{
			text("about", "Free text about the type.", func(o t) string { return o.About }),
			amount("nominal", "Nominal voltage.", func(o t) model.Voltage { return o.Nominal }),
			amount("min", "Lowest output voltage.", func(o t) model.Voltage { return o.Min }),
			amount("max", "Highest output voltage, ripple included.", func(o t) model.Voltage { return o.Max }),
			amount("rated", "Rated output current.", func(o t) model.Current { return o.Rated }),
			objects("derating_table", "ratio_at", "Share of the rated current by air temperature; empty when the data sheet gives none.", func(o t) []*model.RatioAt { return pointers(o.DeratingTable) }),
			statedAmount("limit", "Current at which the output is limited for as long as it is overloaded.", func(o t) model.Current { return o.Limit }),
			maybeAmount("boost_current", "Higher current for a short time.", func(o t) *model.Current {
				if o.Boost == nil {
					return nil
				}
				return &o.Boost.Current
			}),
			maybeAmount("boost_duration", "How long the higher current is given.", func(o t) *model.Duration {
				if o.Boost == nil {
					return nil
				}
				return &o.Boost.Duration
			}),
			statedAmount("source_resistance", "Resistance of the output.", func(o t) model.Resistance { return o.SourceResistance }),
			statedAmount("hold_up", "Time for which the output holds after the mains fail, at rated load.", func(o t) model.Duration { return o.HoldUp }),
			text("separation", "How the output is separated from the mains (IEC 61140): PELV, SELV or none.", func(o t) model.Separation { return o.Separation }),
			statedAmount("max_capacitance", "Largest capacitance at the output with which the supply starts.", func(o t) model.Capacitance { return o.MaxCapacitance }),
		})...)
	return placed(k, func(o t) model.Origin { return o.Origin })
}

func protectionTypeKind() *kind {
	type t = *model.ResolvedProtectionType
	k := kindOf[t]("Component data", "protection_type", "Data of an overcurrent protective device.", slices.Concat(
		originFields(func(o t) model.Origin { return o.Origin }),
		[]field{
			text("about", "Free text about the type.", func(o t) string { return o.About }),
			named("kind", "Principle: electronic, breaker, melting-fuse or self-resetting.", func(o t) model.ProtectionKind { return o.Kind }),
			amount("rated", "Rated current; for a self-resetting fuse the hold current at 25 °C.", func(o t) model.Current { return o.Rated }),
			text("characteristic", "Breaker: instantaneous trip band B, C or D (IEC 60898-1).", func(o t) model.Characteristic { return o.Characteristic }),
			maybeAmount("dc_factor", "Breaker: factor on the instantaneous band for direct current.", func(o t) *model.Ratio { return o.DCFactor }),
			objects("trip", "trip_point", "Points of the slowest curve.", func(o t) []*model.TripPoint { return pointers(o.Trip) }),
			objects("hold", "trip_point", "Points of the fastest curve.", func(o t) []*model.TripPoint { return pointers(o.Hold) }),
			statedAmount("melt_min", "Melting fuse: least pre-arcing Joule integral.", func(o t) model.JouleIntegral { return o.MeltMin }),
			statedAmount("melt_max", "Melting fuse: greatest operating Joule integral.", func(o t) model.JouleIntegral { return o.MeltMax }),
			objects("temperature_table", "ratio_at", "Share of the rated current by air temperature; empty when the data sheet gives none.", func(o t) []*model.RatioAt { return pointers(o.TemperatureTable) }),
			statedAmount("resistance", "Resistance of the device at its rated current.", func(o t) model.Resistance { return o.Resistance }),
		})...)
	return placed(k, func(o t) model.Origin { return o.Origin })
}

func tripPointKind() *kind {
	type t = *model.TripPoint
	return shown(kindOf[t]("Component data", "trip_point", "A point of a time-current curve.",
		amount("current", "Current.", func(o t) model.Current { return o.Current }),
		amount("time", "Time.", func(o t) model.Duration { return o.Time }),
	), func(o t) string { return o.Current.Format(becauseDigits) + " for " + o.Time.Format(becauseDigits) })
}

func ratioAtKind() *kind {
	type r = *model.RatioAt
	return shown(kindOf[r]("Component data", "ratio_at", "A share of the rated value at an air temperature.",
		amount("at", "Air temperature.", func(o r) model.Temperature { return o.At }),
		amount("ratio", "Share of the rated value.", func(o r) model.Ratio { return o.Ratio }),
	), func(o r) string { return o.Ratio.Format(becauseDigits) + " at " + o.At.Format(becauseDigits) })
}

func currentAtKind() *kind {
	type c = *model.CurrentAt
	return shown(kindOf[c]("Component data", "current_at", "A current at an air temperature.",
		amount("at", "Air temperature.", func(o c) model.Temperature { return o.At }),
		amount("current", "Current.", func(o c) model.Current { return o.Current }),
	), func(o c) string { return o.Current.Format(becauseDigits) + " at " + o.At.Format(becauseDigits) })
}

func controllerTypeKind() *kind {
	type t = *model.ResolvedControllerType
	k := kindOf[t]("Component data", "controller_type", "Data of a safety controller.", slices.Concat(
		originFields(func(o t) model.Origin { return o.Origin }),
		[]field{
			text("about", "Free text about the type.", func(o t) string { return o.About }),
			statedCount("max_connections", "Highest number of safety connections.", func(o t) int { return o.MaxConnections }),
			statedAmount("input_response", "Longest time from a change at an input of its own to the value in its logic, up to the start of a safety cycle.", func(o t) model.Duration { return o.InputResponse }),
			statedAmount("output_response", "Longest time from the end of a safety cycle to the change of an output of its own.", func(o t) model.Duration { return o.OutputResponse }),
			statedAmount("acknowledge_time", "Longest time from a safety message to the answer (host acknowledgement time, IEC 61784-3-3).", func(o t) model.Duration { return o.AcknowledgeTime }),
		},
		portsFields(func(o t) *model.NetworkPortsType { return &o.NetworkPortsType }),
		[]field{object("network_connector", "connector", "Connector of the network ports.", func(o t) *model.Connector { return o.NetworkConnector })},
		permittedFields(func(o t) *model.TemperatureRange { return o.Temperature }),
	)...)
	return placed(k, func(o t) model.Origin { return o.Origin })
}

func switchTypeKind() *kind {
	type t = *model.ResolvedSwitchType
	k := kindOf[t]("Component data", "switch_type", "Data of a network switch.", slices.Concat(
		originFields(func(o t) model.Origin { return o.Origin }),
		[]field{
			text("about", "Free text about the type.", func(o t) string { return o.About }),
			statedTruth("managed", "True when the switch takes part in ring protocols.", func(o t) *bool { return o.Managed }),
		},
		portsFields(func(o t) *model.NetworkPortsType { return &o.NetworkPortsType }),
		[]field{object("network_connector", "connector", "Connector of the network ports.", func(o t) *model.Connector { return o.NetworkConnector })},
		permittedFields(func(o t) *model.TemperatureRange { return o.Temperature }),
	)...)
	return placed(k, func(o t) model.Origin { return o.Origin })
}
