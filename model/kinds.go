package model

// KindSpec says what signals a kind of device gives to the interlock logic and takes from it.
type KindSpec struct {
	// What the kind is.
	About string `yaml:"about,omitempty"`
	// Signals that the device gives, such as closed or pressed.
	Gives []string `yaml:"gives,omitempty"`
	// Signals that the device takes, such as release.
	Takes []string `yaml:"takes,omitempty"`
}

// BuiltinKinds returns the kinds of devices that need no declaration, by name. A file may add kinds of its own
// under kinds:. The names of kinds and signals are those of the trade.
func BuiltinKinds() map[string]KindSpec {
	return map[string]KindSpec{
		"emergency-stop":     {About: "emergency stop device (ISO 13850, IEC 60947-5-5)", Gives: []string{"pressed"}},
		"guard-switch":       {About: "interlocking device without guard locking (ISO 14119)", Gives: []string{"closed"}},
		"guard-lock":         {About: "interlocking device with guard locking (ISO 14119)", Gives: []string{"closed", "locked"}, Takes: []string{"release"}},
		"light-curtain":      {About: "electro-sensitive protective equipment with a light curtain (IEC 61496-2)", Gives: []string{"clear"}, Takes: []string{"muted", "overridden"}},
		"laser-scanner":      {About: "electro-sensitive protective equipment responsive to diffuse reflection (IEC 61496-3)", Gives: []string{"clear"}, Takes: []string{"muted", "overridden"}},
		"pressure-mat":       {About: "pressure-sensitive mat (ISO 13856-1)", Gives: []string{"clear"}},
		"rope-pull":          {About: "rope-pull emergency stop switch (ISO 13850, IEC 60947-5-5)", Gives: []string{"pulled"}},
		"two-hand-control":   {About: "two-hand control device (ISO 13851)", Gives: []string{"left", "right"}},
		"enabling-device":    {About: "three-position enabling device (IEC 60947-5-8)", Gives: []string{"enabled", "squeezed"}},
		"hold-to-run":        {About: "hold-to-run control device (IEC 60204-1, 9.2.3.7)", Gives: []string{"held"}},
		"mode-selector":      {About: "mode selection switch (IEC 60204-1, 9.2.3.5)", Gives: []string{"position"}},
		"panel":              {About: "operator panel with push-buttons and lamps", Gives: []string{"reset", "start", "stop", "request"}, Takes: []string{"reset_lamp"}},
		"button":             {About: "push-button (IEC 60947-5-1)", Gives: []string{"pressed"}},
		"standstill-monitor": {About: "monitor of standstill (IEC 61800-5-2)", Gives: []string{"standstill"}},
		"speed-monitor":      {About: "monitor of safely limited speed (IEC 61800-5-2)", Gives: []string{"below_limit"}},
		"muting-sensor":      {About: "muting sensor (IEC 62046)", Gives: []string{"covered"}},
		"lamp":               {About: "indicator light (IEC 60204-1, 10.3)", Takes: []string{"on"}},
		"sounder":            {About: "acoustic start warning (IEC 60204-1, 9.2.3.2)", Takes: []string{"on"}},
		"contactor":          {About: "contactor (IEC 60947-4-1)", Gives: []string{"dropped"}, Takes: []string{"on"}},
		"valve":              {About: "safety valve (ISO 13849-2, annexes B and C)", Gives: []string{"closed"}, Takes: []string{"on"}},
		"drive-input":        {About: "safety inputs of a power drive system (IEC 61800-5-2)", Takes: []string{"enable"}},
		"brake":              {About: "safety brake", Gives: []string{"applied"}, Takes: []string{"release"}},
	}
}
