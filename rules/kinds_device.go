package rules

import (
	"slices"

	"github.com/google/cel-go/common/types/ref"

	"github.com/guardwright/guardwright/model"
)

func deviceKinds() []*kind {
	device := kindOf[*model.Device]("Devices and modules", "device", "One device of the machine: what a person or a guard acts on, or what a safety output acts on.", slices.Concat(
		originFields(deviceOrigin),
		[]field{
			text("about", "Free text: what the device is for.", func(d *model.Device) string { return d.About }),
			text("label", "Label on the device and on the drawing (IEC 81346).", func(d *model.Device) string { return d.Label }),
			named("kind", "Kind of device, such as guard-lock.", func(d *model.Device) string { return d.Type.DeviceType.Kind }),
			part("type", "device_type", "Data sheet of the device.", func(d *model.Device) *model.ResolvedDeviceType { return d.Type }),
			object("zone", "zone", "Zone of the device: its own or that of its module.", func(d *model.Device) *model.Zone { return d.Zone }),
			object("port", "port", "Port into which the device is plugged.", func(d *model.Device) *model.Port { return d.Port }),
			objects("loads", "load", "Loads of the device on the 24 V supply.", func(d *model.Device) []*model.DeviceLoad { return d.Loads }),
			object("sensor_feed", "feed_circuit", "Feed that ends at the device, sensor circuit.", func(d *model.Device) *model.FeedCircuit { return d.Feeds.Sensor }),
			object("actuator_feed", "feed_circuit", "Feed that ends at the device, actuator circuit.", func(d *model.Device) *model.FeedCircuit { return d.Feeds.Actuator }),
			object("muting", "muting", "How a load is let through the light curtain or laser scanner.", func(d *model.Device) *model.Muting { return d.Muting }),
			statedAmount("synchronous", "Two-hand control: longest time between the two hands with which a stroke still begins.", func(d *model.Device) model.Duration { return d.Synchronous }),
			statedAmount("feedback_time", "Contactor or valve: time after its command has gone, at which a feedback that is still missing counts as a fault.", func(d *model.Device) model.Duration { return d.FeedbackTime }),
			statedTruth("outside", "True when it stands outside of the zones that it acts on, out of reach of a person inside.", func(d *model.Device) *bool { return d.Outside }),
			statedObjects("view_of", "zone", "Zones of which all can be seen from the device.", func(d *model.Device) []*model.Zone { return d.ViewOf }),
			statedTruth("span_marked", "Emergency stop: true when it is marked at the device what it stops.", func(d *model.Device) *bool { return d.SpanMarked }),
			text("meaning", "Lamp: what its light means: emergency, abnormal, normal, mandatory or neutral.", func(d *model.Device) model.LightMeaning { return d.Meaning }),
			statedTruth("defeat_incentive", "Guard: true where somebody has a reason to defeat the interlocking device.", func(d *model.Device) *bool { return d.DefeatIncentive }),
			truth("hidden", "Guard: true when the interlocking device is mounted hidden or out of reach against defeat.", func(d *model.Device) bool { return d.Hidden }),
			statedAmount("action_force", "Guard lock: greatest force with which a person can act on the guard.", func(d *model.Device) model.Force { return d.ActionForce }),
			functionsOf(),
			texts("gives", "Signals that the device gives to the logic.", func(d *model.Device) []string { return d.Gives() }),
			texts("false_on_demand", "Those of them that are false when the device demands its safety function.", func(d *model.Device) []string { return d.Type.Kind.FalseOnDemand }),
			texts("true_on_demand", "Those of them that are true when the device demands its safety function.", func(d *model.Device) []string { return d.Type.Kind.TrueOnDemand }),
			texts("takes", "Signals that the device takes from the logic.", func(d *model.Device) []string { return d.Takes() }),
		},
		surroundings(func(d *model.Device) *model.Zone { return d.Zone }),
	)...)
	written[model.DeviceSpec](device)
	found(device, func(w *world) []*model.Device { return w.machine.Devices }, deviceOrigin)

	deviceType := kindOf[*model.ResolvedDeviceType]("Component data", "device_type", "Data of a kind of device, as a data sheet gives it.", slices.Concat(
		originFields(func(t *model.ResolvedDeviceType) model.Origin { return t.Origin }),
		[]field{
			text("about", "Free text about the type.", func(t *model.ResolvedDeviceType) string { return t.About }),
			named("kind", "Kind of device, such as guard-lock.", func(t *model.ResolvedDeviceType) string { return t.DeviceType.Kind }),
			text("outputs", "What the device puts on its signal cores: ossd or contacts.", func(t *model.ResolvedDeviceType) model.OutputKind { return t.Outputs }),
			count("channels", "Number of signal channels that the device gives; 0: none.", func(t *model.ResolvedDeviceType) int { return t.Channels }),
			truth("antivalent", "True when the two channels have opposite states.", func(t *model.ResolvedDeviceType) bool { return t.Antivalent }),
			statedCount("cores", "Cores that the device needs in its cable, supply cores included.", func(t *model.ResolvedDeviceType) int { return t.Cores }),
			statedAmount("response", "Longest time from the demand to the change of the outputs; of what switches: from the loss of its command to the end of the energy.", func(t *model.ResolvedDeviceType) model.Duration { return t.Response }),
			statedAmount("off_time", "Shortest time for which the outputs stay off after a demand.", func(t *model.ResolvedDeviceType) model.Duration { return t.OffTime }),
			statedAmount("ignored_pulse", "Longest test pulse of a safe output at which the device's own inputs do not react.", func(t *model.ResolvedDeviceType) model.Duration { return t.IgnoredPulse }),
			maybeAmount("test_pulse", "Longest test pulse that the device's own outputs send.", func(t *model.ResolvedDeviceType) *model.Duration { return t.TestPulse }),
			maybeAmount("discrepancy", "Longest difference between the two channels in normal use.", func(t *model.ResolvedDeviceType) *model.Duration { return t.Discrepancy }),
			statedAmount("max_cable", "Longest cable from the port that the device allows.", func(t *model.ResolvedDeviceType) model.Length { return t.MaxCable }),
		},
		permittedFields(func(t *model.ResolvedDeviceType) *model.TemperatureRange { return t.Temperature }),
		ingressFields(func(t *model.ResolvedDeviceType) model.IngressCode { return t.Ingress }),
		[]field{
			statedTruth("latching", "True when the device latches mechanically until it is reset by hand (ISO 13850:2015, 4.4).", func(t *model.ResolvedDeviceType) *bool { return t.Latching }),
			text("locking", "Guard lock: power-to-release or power-to-lock (ISO 14119).", func(t *model.ResolvedDeviceType) model.LockPrinciple { return t.Locking }),
			statedTruth("bolt_monitored", "Guard lock: true when the bolt's position is read apart from the guard's.", func(t *model.ResolvedDeviceType) *bool { return t.BoltMonitored }),
			statedTruth("escape_release", "Guard lock: true when a person inside can open it without tools.", func(t *model.ResolvedDeviceType) *bool { return t.EscapeRelease }),
			statedAmount("holding_force", "Guard lock: holding force F_Zh (ISO 14119).", func(t *model.ResolvedDeviceType) model.Force { return t.HoldingForce }),
			text("coding", "Coding level of the actuator (ISO 14119): uncoded, low, medium or high.", func(t *model.ResolvedDeviceType) model.CodingLevel { return t.Coding }),
			statedCount("curtain_type", "Light curtain: type of IEC 61496-1, 2 to 4.", func(t *model.ResolvedDeviceType) int { return t.CurtainType }),
			statedAmount("resolution", "Light curtain: resolution (detection capability).", func(t *model.ResolvedDeviceType) model.Length { return t.Resolution }),
			statedTruth("mirror_contacts", "Contactor: true when it has mirror contacts (IEC 60947-4-1, annex F).", func(t *model.ResolvedDeviceType) *bool { return t.MirrorContacts }),
			text("two_hand_type", "Two-hand control: type of ISO 13851, such as III C.", func(t *model.ResolvedDeviceType) model.TwoHandType { return t.TwoHandType }),
			objects("colours", "colour", "Colours of push-buttons and lights.", func(t *model.ResolvedDeviceType) []*colourOf { return coloursOf(t.Colours) }),
			truth("pluggable", "Emergency stop: true when its station can be unplugged or switched off while the machine runs.", func(t *model.ResolvedDeviceType) bool { return t.Pluggable }),
			statedTruth("shows_live", "Emergency stop that can be unplugged: true when one sees whether it is live.", func(t *model.ResolvedDeviceType) *bool { return t.ShowsLive }),
			objects("pins", "pin", "Contacts of its plug; empty when not stated.", func(t *model.ResolvedDeviceType) []*pin { return pinsOf(t.Pins) }),
			statedTexts("resists", "Cleaning agents, oils and coolants that its housing stands.", func(t *model.ResolvedDeviceType) []string { return t.Resists }),
			texts("positions", "Mode selector: names of its positions.", func(t *model.ResolvedDeviceType) []string { return t.Positions }),
		},
	)...)
	placed(deviceType, func(t *model.ResolvedDeviceType) model.Origin { return t.Origin })

	load := kindOf[*model.DeviceLoad]("Devices and modules", "load", "One consumer on the 24 V supply: one of current, power and resistance says what it draws.", slices.Concat(
		originFields(loadOrigin),
		[]field{
			named("circuit", "Circuit that feeds the load: sensor or actuator.", func(l *model.DeviceLoad) model.Circuit { return l.Circuit }),
			maybeAmount("current", "Current of a load with constant current.", func(l *model.DeviceLoad) *model.Current { return l.Current }),
			maybeAmount("power", "Power of a load with constant power.", func(l *model.DeviceLoad) *model.Power { return l.Power }),
			maybeAmount("resistance", "Resistance of a load that follows Ohm's law.", func(l *model.DeviceLoad) *model.Resistance { return l.Resistance }),
			statedAmount("min", "Lowest voltage at which the load works.", func(l *model.DeviceLoad) model.Voltage { return l.Min }),
			statedAmount("max", "Highest voltage that the load permits.", func(l *model.DeviceLoad) model.Voltage { return l.Max }),
			statedAmount("pull_in", "Lowest voltage at which a magnet pulls.", func(l *model.DeviceLoad) model.Voltage { return l.PullIn }),
			truth("permanent", "True when the load is on whenever the supply is.", func(l *model.DeviceLoad) bool { return l.Permanent }),
			truth("inrush_stated", "True when the load states its inrush.", func(l *model.DeviceLoad) bool { return l.Inrush != nil }),
			truth("inrush_none", "True when the load is stated to draw no more on being switched on than in operation.", inrush(func(i *model.Inrush) bool { return i.None })),
			statedAmount("inrush_capacitance", "Capacitance at the load's input.", inrush(func(i *model.Inrush) model.Capacitance { return i.Capacitance })),
			statedAmount("inrush_current", "Peak current when the load is switched on.", inrush(func(i *model.Inrush) model.Current { return i.Current })),
			statedAmount("inrush_duration", "How long the peak current flows.", inrush(func(i *model.Inrush) model.Duration { return i.Duration })),
		},
		loadResults(),
	)...)
	written[model.LoadType](load)
	found(load, func(w *world) []*model.DeviceLoad { return allLoads(w.machine) }, loadOrigin)
	return []*kind{device, mutingKind(), load, deviceType, colourKind(), pinKind()}
}

// functionsOf is the list of safety functions that a device triggers.
func functionsOf() field {
	f := objects("functions", "safety_function", "Safety functions that the device's demand triggers.", func(*model.Device) []*model.Function { return nil })
	f.get = func(w *world, s any) ref.Val { return objectList(w, "safety_function", w.functions[s.(*model.Device)]) }
	return f
}

func deviceOrigin(d *model.Device) model.Origin   { return d.Origin }
func loadOrigin(l *model.DeviceLoad) model.Origin { return l.Origin }

func inrush[Q any](get func(*model.Inrush) Q) func(*model.DeviceLoad) Q {
	return func(l *model.DeviceLoad) Q {
		if l.Inrush == nil {
			var none Q
			return none
		}
		return get(l.Inrush)
	}
}

// surroundings are the air temperatures at something that stands in a zone, or in the machine at large.
func surroundings[T any](zone func(T) *model.Zone) []field {
	ambient := func(name, about string, pick func(model.AmbientRange) model.Temperature) field {
		f := amount(name, about, func(T) model.Temperature { return 0 })
		f.get = func(w *world, s any) ref.Val {
			if z := zone(s.(T)); z != nil {
				return quantityValue(w, pick(z.Ambient))
			}
			return quantityValue(w, pick(w.machine.Ambient))
		}
		return f
	}
	return []field{
		ambient("ambient_min", "Lowest air temperature around: that of the zone, or the machine's.", func(a model.AmbientRange) model.Temperature { return a.Min }),
		ambient("ambient_max", "Highest air temperature around: that of the zone, or the machine's.", func(a model.AmbientRange) model.Temperature { return a.Max }),
	}
}
