package model

import "slices"

// KindSpec says what signals a kind of device gives to the interlock logic and takes from it.
type KindSpec struct {
	// What the kind is.
	About string `yaml:"about,omitempty"`
	// Signals that the device gives, such as closed or pressed.
	Gives []string `yaml:"gives,omitempty"`
	// Signals that the device takes, such as release.
	Takes []string `yaml:"takes,omitempty"`
	// Those of the signals it gives that become false when the device demands its safety function, such as closed of a guard.
	FalseOnDemand []string `yaml:"false_on_demand,omitempty"`
	// Those that become true on a demand, such as pressed of an emergency stop. While the port or the safety connection of the device fails, the logic reads these as true and all other signals as false.
	TrueOnDemand []string `yaml:"true_on_demand,omitempty"`
}

// Gives lists the signals that the device gives to the logic: those of its kind, and escape of a guard lock whose type has
// an escape release. Its channels are not among them.
func (d *Device) Gives() []string {
	gives := d.Type.Kind.Gives
	if d.Type.Kind.Name == "guard-lock" && d.Type.EscapeRelease != nil && *d.Type.EscapeRelease {
		gives = append(slices.Clone(gives), "escape")
	}
	return gives
}

// Takes lists the signals that the device takes from the logic: those of its kind, and accepted where the device demands a
// safety function. That is the logic's word for taking the device to be in order, where it evaluates the channels itself or
// wants a fault of the port acknowledged.
func (d *Device) Takes() []string {
	kind := d.Type.Kind
	if len(kind.FalseOnDemand)+len(kind.TrueOnDemand) == 0 || slices.Contains(kind.Takes, "accepted") {
		return kind.Takes
	}
	return append(slices.Clone(kind.Takes), "accepted")
}

// BuiltinKinds returns the kinds of devices that need no declaration, by name. A file may add kinds of its own
// under kinds:. The names of kinds and signals are those of the trade. A guard lock whose type has an escape release also
// gives escape, true while the escape release is actuated; a device with two channels gives channel_1 and channel_2, each
// true while its contact is closed or its output on.
func BuiltinKinds() map[string]KindSpec {
	return map[string]KindSpec{
		"emergency-stop":     {About: "emergency stop device (ISO 13850, IEC 60947-5-5)", Gives: []string{"pressed"}, TrueOnDemand: []string{"pressed"}},
		"guard-switch":       {About: "interlocking device without guard locking (ISO 14119)", Gives: []string{"closed"}, FalseOnDemand: []string{"closed"}},
		"guard-lock":         {About: "interlocking device with guard locking (ISO 14119)", Gives: []string{"closed", "locked"}, Takes: []string{"release"}, FalseOnDemand: []string{"closed"}},
		"light-curtain":      {About: "electro-sensitive protective equipment with a light curtain (IEC 61496-2)", Gives: []string{"clear"}, Takes: []string{"muted", "overridden"}, FalseOnDemand: []string{"clear"}},
		"laser-scanner":      {About: "electro-sensitive protective equipment responsive to diffuse reflection (IEC 61496-3)", Gives: []string{"clear"}, Takes: []string{"muted", "overridden"}, FalseOnDemand: []string{"clear"}},
		"pressure-mat":       {About: "pressure-sensitive mat (ISO 13856-1)", Gives: []string{"clear"}, FalseOnDemand: []string{"clear"}},
		"rope-pull":          {About: "rope-pull emergency stop switch (ISO 13850, IEC 60947-5-5)", Gives: []string{"pulled"}, TrueOnDemand: []string{"pulled"}},
		"two-hand-control":   {About: "two-hand control device (ISO 13851)", Gives: []string{"left", "right"}, FalseOnDemand: []string{"left", "right"}},
		"enabling-device":    {About: "three-position enabling device (IEC 60947-5-8)", Gives: []string{"enabled", "squeezed"}, FalseOnDemand: []string{"enabled"}},
		"hold-to-run":        {About: "hold-to-run control device (IEC 60204-1, 9.2.3.7)", Gives: []string{"held"}, FalseOnDemand: []string{"held"}},
		"mode-selector":      {About: "mode selection switch (IEC 60204-1, 9.2.3.5)", Gives: []string{"position"}},
		"panel":              {About: "operator panel with push-buttons and lamps", Gives: []string{"reset", "start", "stop", "request", "acknowledge"}, Takes: []string{"reset_lamp"}, TrueOnDemand: []string{"stop"}},
		"button":             {About: "push-button (IEC 60947-5-1)", Gives: []string{"pressed"}},
		"standstill-monitor": {About: "monitor of standstill (IEC 61800-5-2)", Gives: []string{"standstill"}, FalseOnDemand: []string{"standstill"}},
		"speed-monitor":      {About: "monitor of safely limited speed (IEC 61800-5-2)", Gives: []string{"below_limit"}, FalseOnDemand: []string{"below_limit"}},
		"muting-sensor":      {About: "muting sensor (IEC 62046)", Gives: []string{"covered"}},
		"lamp":               {About: "indicator light (IEC 60204-1, 10.3); in_order tells that its current is monitored and flows", Gives: []string{"in_order"}, Takes: []string{"on"}},
		"trapped-key":        {About: "trapped key interlocking device (ISO 14119); present while its key is in it", Gives: []string{"present"}, FalseOnDemand: []string{"present"}},
		"sounder":            {About: "acoustic start warning (IEC 60204-1, 9.2.3.2)", Takes: []string{"on"}},
		"contactor":          {About: "contactor (IEC 60947-4-1)", Gives: []string{"dropped"}, Takes: []string{"on"}},
		"valve":              {About: "safety valve (ISO 13849-2, annexes B and C)", Gives: []string{"closed"}, Takes: []string{"on"}},
		"drive-input":        {About: "safety inputs of a power drive system (IEC 61800-5-2)", Takes: []string{"enable"}},
		"brake":              {About: "safety brake", Gives: []string{"applied"}, Takes: []string{"release"}},
	}
}
