package rules

import (
	"slices"

	"github.com/guardwright/guardwright/model"
)

func powerKinds() []*kind {
	supply := kindOf[*model.Supply]("24 V supply", "supply", "One 24 V supply.", slices.Concat(
		originFields(supplyOrigin),
		[]field{
			text("about", "Free text about the supply.", func(s *model.Supply) string { return s.About }),
			part("type", "supply_type", "Data sheet of the supply.", func(s *model.Supply) *model.ResolvedSupplyType { return s.Type }),
			object("zone", "zone", "Zone in which the supply stands.", func(s *model.Supply) *model.Zone { return s.Zone }),
			objects("protections", "protection", "Protective devices that the supply feeds directly.", func(s *model.Supply) []*model.Protection { return s.Protections }),
			objects("feeds", "feed_circuit", "Circuits of feeds that the supply feeds directly.", func(s *model.Supply) []*model.FeedCircuit { return s.Feeds }),
		},
		ambientFields(func(s *model.Supply) model.AmbientRange { return s.Ambient }),
		supplyResults(),
	)...)
	written[model.SupplySpec](supply)
	found(supply, func(w *world) []*model.Supply { return w.machine.Power.Supplies }, supplyOrigin)

	protection := kindOf[*model.Protection]("24 V supply", "protection", "One protective device between a supply and its feeds.", slices.Concat(
		originFields(protectionOrigin),
		[]field{
			text("about", "Free text about the device.", func(p *model.Protection) string { return p.About }),
			part("type", "protection_type", "Data sheet of the device.", func(p *model.Protection) *model.ResolvedProtectionType { return p.Type }),
			part("supply", "supply", "Supply at the top.", func(p *model.Protection) *model.Supply { return p.Supply }),
			object("upstream", "protection", "Protective device before this one; absent: the supply feeds it directly.", func(p *model.Protection) *model.Protection { return p.Upstream }),
			object("cable", "cable", "Wiring from upstream.", func(p *model.Protection) *model.CableRun { return p.Cable }),
			objects("protections", "protection", "Protective devices behind this one.", func(p *model.Protection) []*model.Protection { return p.Protections }),
			objects("feeds", "feed_circuit", "Circuits of feeds behind this device.", func(p *model.Protection) []*model.FeedCircuit { return p.Feeds }),
		},
		ambientFields(func(p *model.Protection) model.AmbientRange { return p.Ambient }),
		protectionResults(),
	)...)
	written[model.ProtectionSpec](protection)
	found(protection, func(w *world) []*model.Protection { return w.machine.Power.Protections }, protectionOrigin)

	feed := kindOf[*model.Feed]("24 V supply", "feed", "One supply cable with one or two circuits.", slices.Concat(
		originFields(feedOrigin),
		[]field{
			text("about", "Free text about the feed.", func(f *model.Feed) string { return f.About }),
			object("from", "module", "Module that passes the supply on; absent: the circuits come from protective devices or supplies.", func(f *model.Feed) *model.Module { return f.From }),
			part("to", "consumer", "What is fed.", func(f *model.Feed) *model.Consumer { return &f.To }),
			object("cable", "cable", "The cable; absent: the plugs meet directly.", func(f *model.Feed) *model.CableRun { return f.Cable }),
			objects("circuits", "feed_circuit", "Circuits on the feed, sensor before actuator.", func(f *model.Feed) []*model.FeedCircuit { return f.Circuits }),
			object("sensor", "feed_circuit", "Sensor circuit of the feed.", func(f *model.Feed) *model.FeedCircuit { return f.Circuit(model.Sensor) }),
			object("actuator", "feed_circuit", "Actuator circuit of the feed.", func(f *model.Feed) *model.FeedCircuit { return f.Circuit(model.Actuator) }),
		},
	)...)
	written[model.FeedSpec](feed)
	found(feed, func(w *world) []*model.Feed { return w.machine.Power.Feeds }, feedOrigin)

	circuit := kindOf[*model.FeedCircuit]("24 V supply", "feed_circuit", "One circuit on a feed.", slices.Concat(
		[]field{
			named("circuit", "sensor or actuator.", func(c *model.FeedCircuit) model.Circuit { return c.Circuit }),
			part("feed", "feed", "Feed of the circuit.", func(c *model.FeedCircuit) *model.Feed { return c.Feed }),
			object("supply", "supply", "Supply at the top of the circuit.", func(c *model.FeedCircuit) *model.Supply { return c.Supply }),
			object("protection", "protection", "Protective device that the circuit comes from on this feed; absent: it comes from a module or straight from the supply.", func(c *model.FeedCircuit) *model.Protection { return c.Protection }),
			object("upstream", "feed_circuit", "Circuit of the feed before this one; absent at the first feed.", func(c *model.FeedCircuit) *model.FeedCircuit { return c.Upstream }),
			count("plus_cores", "Cores in parallel that carry plus.", func(c *model.FeedCircuit) int { return c.PlusCores }),
			count("return_cores", "Cores in parallel that carry the return.", func(c *model.FeedCircuit) int { return c.ReturnCores }),
			count("position", "Number of feeds from the supply to the end of this one, this one included.", feedPosition),
		},
		feedCircuitResults(),
	)...)
	written[model.FeedCircuitSpec](circuit)
	found(circuit, func(w *world) []*model.FeedCircuit { return allFeedCircuits(w.machine) }, feedCircuitOrigin)
	shown(circuit, func(c *model.FeedCircuit) string { return c.Feed.Name + "." + string(c.Circuit) })

	consumer := kindOf[*model.Consumer]("24 V supply", "consumer", "What a feed ends at: one of the four is there.",
		named("name", "Name of what is fed.", func(c *model.Consumer) string { return c.Origin().Name }),
		object("module", "module", "Module that is fed.", func(c *model.Consumer) *model.Module { return c.Module }),
		object("device", "device", "Device that is fed.", func(c *model.Consumer) *model.Device { return c.Device }),
		object("controller", "controller", "Controller that is fed.", func(c *model.Consumer) *model.Controller { return c.Controller }),
		object("switch", "switch", "Switch that is fed.", func(c *model.Consumer) *model.Switch { return c.Switch }),
		objects("loads", "load", "Loads of what is fed, without those at the ports of a module.", func(c *model.Consumer) []*model.DeviceLoad { return c.Loads() }),
	)
	placed(consumer, func(c *model.Consumer) model.Origin { return c.Origin() })
	return []*kind{supply, protection, feed, circuit, consumer}
}

func supplyOrigin(s *model.Supply) model.Origin         { return s.Origin }
func protectionOrigin(p *model.Protection) model.Origin { return p.Origin }
func feedOrigin(f *model.Feed) model.Origin             { return f.Origin }

// feedCircuitOrigin names one circuit of a feed: power.feeds.f1.sensor.
func feedCircuitOrigin(c *model.FeedCircuit) model.Origin {
	return circuitOrigin(c.Feed.Origin, c.Circuit)
}

// circuitOrigin names the part of an object that belongs to one circuit. It stands where the object does.
func circuitOrigin(o model.Origin, c model.Circuit) model.Origin {
	o.Name += "." + string(c)
	o.Path += "." + string(c)
	return o
}

func feedPosition(c *model.FeedCircuit) int {
	n := 0
	for ; c != nil; c = c.Upstream {
		n++
	}
	return n
}

func allFeedCircuits(m *model.Machine) []*model.FeedCircuit {
	var out []*model.FeedCircuit
	for _, f := range m.Power.Feeds {
		out = append(out, f.Circuits...)
	}
	return out
}
