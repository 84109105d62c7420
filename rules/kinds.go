package rules

import (
	"slices"

	"github.com/guardwright/guardwright/model"
)

// allKinds lists every kind in the order of the documentation.
func allKinds() []*kind {
	return addResults(slices.Concat(machineKinds(), deviceKinds(), moduleKinds(), cableKinds(), powerKinds(), powerResultKinds(),
		networkResultKinds(), timingResultKinds(), distanceResultKinds(), checkKinds(), networkKinds(), functionKinds(), typeKinds()))
}

// originFields are the fields of everything that has a name in the description.
func originFields[T any](origin func(T) model.Origin) []field {
	return []field{
		named("name", "Name, as the description gives it.", func(o T) string { return origin(o).Name }),
		named("path", "Place in the description, such as modules.m1.ports.3.", func(o T) string { return origin(o).Path }),
	}
}

// ambientFields are the fields of an air temperature range that is always known.
func ambientFields[T any](get func(T) model.AmbientRange) []field {
	return []field{
		amount("ambient_min", "Lowest air temperature.", func(o T) model.Temperature { return get(o).Min }),
		amount("ambient_max", "Highest air temperature.", func(o T) model.Temperature { return get(o).Max }),
	}
}

// permittedFields are the fields of the air temperatures that a data sheet permits.
func permittedFields[T any](get func(T) *model.TemperatureRange) []field {
	limit := func(o T, pick func(*model.TemperatureRange) *model.Temperature) *model.Temperature {
		if r := get(o); r != nil {
			return pick(r)
		}
		return nil
	}
	return []field{
		maybeAmount("temperature_min", "Lowest permitted air temperature.", func(o T) *model.Temperature {
			return limit(o, func(r *model.TemperatureRange) *model.Temperature { return r.Min })
		}),
		maybeAmount("temperature_max", "Highest permitted air temperature.", func(o T) *model.Temperature {
			return limit(o, func(r *model.TemperatureRange) *model.Temperature { return r.Max })
		}),
	}
}

// ingressFields are the degree of protection.
func ingressFields[T any](get func(T) model.IngressCode) []field {
	return []field{
		text("ingress", "Degree of protection (IEC 60529), such as IP67 or IP65/IP67; covers() compares two.", get),
	}
}

// addressFields are the addresses of a module, controller or switch.
func addressFields[T any](get func(T) *model.AddressSpec) []field {
	return []field{
		text("address", "IPv4 address.", func(o T) string {
			if a := get(o).Address; a != nil {
				return a.String()
			}
			return ""
		}),
		text("safety_network", "Safety network number of CIP Safety (IEC 61784-3-2).", func(o T) string { return get(o).SafetyNetwork }),
		statedCount("safety_address", "Safety address: F-address of PROFIsafe (IEC 61784-3-3), device address of Safety over EtherCAT (IEC 61784-3-12).", func(o T) int { return get(o).SafetyAddress }),
	}
}
