package rules

import (
	"cmp"
	"maps"
	"slices"
	"strconv"

	"github.com/guardwright/guardwright/model"
)

// colourOf is the colour of one push-button or light of a device.
type colourOf struct {
	of     string
	colour model.Colour
}

func coloursOf(stated map[string]model.Colour) []*colourOf {
	var out []*colourOf
	for _, name := range slices.Sorted(maps.Keys(stated)) {
		out = append(out, &colourOf{name, stated[name]})
	}
	return out
}

func colourKind() *kind {
	type c = *colourOf
	return partOnly(shown(kindOf[c]("Component data", "colour", "The colour of a push-button or a light of a device.",
		named("of", "Signal of the push-button or light, such as reset, or background.", func(o c) string { return o.of }),
		named("is", "red, yellow, green, blue, white, grey or black.", func(o c) model.Colour { return o.colour }),
	), func(o c) string { return o.of + " " + string(o.colour) }))
}

// pin is one contact of a plug or port.
type pin struct {
	number int
	use    model.PinUse
}

// pinsOf lists contacts by their number; what is no number was found when the machine was loaded.
func pinsOf(stated map[string]model.PinUse) []*pin {
	var out []*pin
	for text, use := range stated {
		if number, err := strconv.Atoi(text); err == nil {
			out = append(out, &pin{number, use})
		}
	}
	slices.SortFunc(out, func(a, b *pin) int { return cmp.Compare(a.number, b.number) })
	return out
}

func pinKind() *kind {
	type p = *pin
	return partOnly(shown(kindOf[p]("Component data", "pin", "One contact of a plug or port.",
		count("number", "Number of the contact.", func(o p) int { return o.number }),
		named("use", "What it carries, such as plus, zero or channel-1.", func(o p) model.PinUse { return o.use }),
	), func(o p) string { return strconv.Itoa(o.number) + " " + string(o.use) }))
}
