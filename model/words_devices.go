package model

// Colour is a colour of a push-button or a light (IEC 60204-1:2016, 10.2.1 and 10.3.2).
type Colour string

// The colours.
const (
	Red    Colour = "red"
	Yellow Colour = "yellow"
	Green  Colour = "green"
	Blue   Colour = "blue"
	White  Colour = "white"
	Grey   Colour = "grey"
	Black  Colour = "black"
)

// Values lists the colours.
func (Colour) Values() []string {
	return []string{string(Red), string(Yellow), string(Green), string(Blue), string(White), string(Grey), string(Black)}
}

// LightMeaning is what an indicator light tells (IEC 60204-1:2016, table 4; IEC 60073).
type LightMeaning string

// The meanings of lights.
const (
	MeansEmergency LightMeaning = "emergency" // dangerous condition: red
	MeansAbnormal  LightMeaning = "abnormal"  // abnormal or impending critical condition: yellow
	MeansNormal    LightMeaning = "normal"    // normal condition: green
	MeansMandatory LightMeaning = "mandatory" // condition that asks the operator to act: blue
	MeansNeutral   LightMeaning = "neutral"   // other conditions: white
)

// Values lists the meanings of lights.
func (LightMeaning) Values() []string {
	return []string{string(MeansEmergency), string(MeansAbnormal), string(MeansNormal), string(MeansMandatory), string(MeansNeutral)}
}

// PinUse is what a contact of a plug carries. The words are the same at both ends of a cable.
type PinUse string

// The uses of contacts.
const (
	PinPlus         PinUse = "plus"          // 24 V of the sensor circuit
	PinZero         PinUse = "zero"          // 0 V of the sensor circuit
	PinActuatorPlus PinUse = "actuator-plus" // 24 V of the actuator circuit
	PinActuatorZero PinUse = "actuator-zero" // 0 V of the actuator circuit
	PinChannel1     PinUse = "channel-1"     // first signal from the device
	PinChannel2     PinUse = "channel-2"     // second signal from the device
	PinPulse1       PinUse = "pulse-1"       // test pulses for the first contact of the device
	PinPulse2       PinUse = "pulse-2"       // test pulses for the second contact of the device
	PinCommand1     PinUse = "command-1"     // first signal to the device
	PinCommand2     PinUse = "command-2"     // second signal to the device
	PinDiagnosis    PinUse = "diagnosis"     // signal that no safety function uses
	PinEarth        PinUse = "earth"         // functional earth
	PinUnused       PinUse = "unused"        // not connected
)

// Values lists the uses of contacts.
func (PinUse) Values() []string {
	return []string{string(PinPlus), string(PinZero), string(PinActuatorPlus), string(PinActuatorZero), string(PinChannel1), string(PinChannel2),
		string(PinPulse1), string(PinPulse2), string(PinCommand1), string(PinCommand2), string(PinDiagnosis), string(PinEarth), string(PinUnused)}
}
