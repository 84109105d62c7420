package rules

import "github.com/guardwright/guardwright/model"

func mutingKind() *kind {
	type m = *model.Muting
	k := kindOf[m]("Devices and modules", "muting", "How a load is let through a protective device that is suspended for it (IEC 62046), as it is designed.",
		objects("sensors", "device", "Muting sensors, in the order in which the load reaches them.", func(o m) []*model.Device { return o.Sensors }),
		object("lamp", "device", "Lamp that shows the muting; absent: there is none.", func(o m) *model.Device { return o.Lamp }),
		statedAmount("synchronous", "Longest time between the first two sensors with which muting still begins.", func(o m) model.Duration { return o.Synchronous }),
		statedAmount("limit", "Longest time for which muting lasts.", func(o m) model.Duration { return o.Limit }),
		statedAmount("load_speed", "Slowest speed of the load.", func(o m) model.Speed { return o.LoadSpeed }),
		statedAmount("load_length", "Length of the longest load in the direction of travel.", func(o m) model.Length { return o.LoadLength }),
		statedAmount("sensor_distance", "How far the load travels from the first sensor to the second.", func(o m) model.Length { return o.SensorDistance }),
		statedAmount("travel", "How far the load travels from the first sensor to the last: as stated, or with two sensors their distance.", mutingTravel),
		object("override", "device", "Hold-to-run device with which a load that is stuck is driven out; absent: there is none.", func(o m) *model.Device { return o.Override }),
		statedAmount("override_limit", "Longest time for which the protective device may be overridden.", func(o m) model.Duration { return o.OverrideLimit }),
	)
	return placed(k, func(o m) model.Origin { return o.Origin })
}

// mutingTravel is zero where it is not known.
func mutingTravel(m *model.Muting) model.Length {
	if m.Travel == 0 && len(m.Sensors) == 2 {
		return m.SensorDistance
	}
	return m.Travel
}
