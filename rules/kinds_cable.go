package rules

import (
	"slices"

	"github.com/guardwright/guardwright/model"
)

func cableKinds() []*kind {
	type run = *model.CableRun
	cable := kindOf[run]("Cables", "cable", "One laid cable: at a port, in a feed or before a protective device.", slices.Concat(
		[]field{
			named("path", "Place in the description, such as power.feeds.f1.cable.", func(r run) string { return r.Path }),
			part("type", "cable_type", "Data sheet of the cable.", func(r run) *model.Cable { return r.Cable }),
			amount("length", "Length, one way.", func(r run) model.Length { return r.Length }),
			objects("joints", "connector", "Further connectors within the run.", func(r run) []*model.Connector { return r.Joints }),
			objects("connectors", "connector", "Connectors that each conductor passes: those at the ends and the joints.", func(r run) []*model.Connector { return r.Contacts() }),
			named("laying_method", "Method of installation (IEC 60204-1:2016, D.1.2): B1, B2, C or E.", func(r run) model.LayingMethod { return r.Laying.Method }),
			text("label", "Label at both ends of the cable and on the drawing (IEC 81346).", func(r run) string { return r.Label }),
			truth("channels_apart", "True when the cores of the two channels are laid apart and so protected that a short circuit between them need not be expected.", func(r run) bool { return r.ChannelsApart }),
			statedAmount("bend_radius", "Cable that moves: smallest radius to which it is bent; absent: the cable lies still.", func(r run) model.Length { return r.BendRadius }),
			statedCount("bend_cycles", "Cable that moves: number of bends in its life.", func(r run) int { return r.BendCycles }),
			count("grouped", "Number of loaded circuits or cables laid together, this one included.", func(r run) int { return r.Laying.Grouped }),
		},
		ambientFields(func(r run) model.AmbientRange { return r.Ambient }),
		cableResults(),
	)...)
	written[model.CableRunSpec](cable)
	found(cable, func(w *world) []run { return allCables(w.machine) }, func(r run) model.Origin { return r.Origin })
	shown(cable, func(r run) string { return r.Cable.Name })

	cableType := kindOf[*model.Cable]("Component data", "cable_type", "Data of a cable.", slices.Concat(
		originFields(func(c *model.Cable) model.Origin { return c.Origin }),
		[]field{
			text("about", "Free text about the type.", func(c *model.Cable) string { return c.About }),
			count("cores", "Number of cores that can carry current or signals.", func(c *model.Cable) int { return c.Cores }),
			amount("section", "Cross-section of a core.", func(c *model.Cable) model.CrossSection { return c.Section }),
			statedAmount("resistance", "Direct current resistance of a core at 20 °C, where the data sheet gives it.", func(c *model.Cable) model.ResistancePerLength { return c.Resistance }),
			objects("ends", "connector", "Connectors at the ends that have one.", func(c *model.Cable) []*model.Connector { return c.Ends }),
			amount("insulation", "Highest permitted conductor temperature.", func(c *model.Cable) model.Temperature { return c.Insulation }),
			statedAmount("bend_radius", "Cable made to move: smallest radius to which it may be bent.", func(c *model.Cable) model.Length { return c.BendRadius }),
			statedCount("bend_cycles", "Cable made to move: number of bends that it stands.", func(c *model.Cable) int { return c.BendCycles }),
			statedTexts("resists", "Cleaning agents, oils and coolants that its sheath stands.", func(c *model.Cable) []string { return c.Resists }),
			statedAmount("ampacity", "Ampacity of a core, where the data sheet gives it.", func(c *model.Cable) model.Current { return c.Ampacity }),
		},
		permittedFields(func(c *model.Cable) *model.TemperatureRange { return c.Temperature }),
		ingressFields(func(c *model.Cable) model.IngressCode { return c.Ingress }),
	)...)
	placed(cableType, func(c *model.Cable) model.Origin { return c.Origin })

	connector := kindOf[*model.Connector]("Component data", "connector", "Data of a connector pair.", slices.Concat(
		originFields(func(c *model.Connector) model.Origin { return c.Origin }),
		[]field{
			text("about", "Free text about the type.", func(c *model.Connector) string { return c.About }),
			count("contacts", "Number of contacts.", func(c *model.Connector) int { return c.ConnectorType.Contacts }),
			text("coding", "Coding letter of the IEC 61076-2 series, such as A, D, L, T or X.", func(c *model.Connector) string { return c.Coding }),
			amount("rating", "Rated current of a contact.", func(c *model.Connector) model.Current { return c.Rating }),
			statedAmount("voltage", "Rated voltage.", func(c *model.Connector) model.Voltage { return c.Voltage }),
			statedAmount("contact_resistance", "Resistance of one mated contact.", func(c *model.Connector) model.Resistance { return c.ContactResistance }),
			objects("base_curve", "current_at", "Base curve of IEC 60512-5-2: current that heats the contact to its limit, by air temperature; empty when not stated.", func(c *model.Connector) []*model.CurrentAt { return pointers(c.BaseCurve) }),
			maybeAmount("derating", "Share of the base curve that is permitted; absent: 80 % (IEC 60512-5-2).", func(c *model.Connector) *model.Ratio { return c.Derating }),
		},
	)...)
	placed(connector, func(c *model.Connector) model.Origin { return c.Origin })
	return []*kind{cable, cableType, connector}
}
