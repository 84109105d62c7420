package model

// DistanceStandard is a standard, with its edition, by which separation distances are computed.
type DistanceStandard string

// The standards for separation distances.
const (
	ISO13855Edition2010 DistanceStandard = "ISO 13855:2010"
	ISO13855Edition2024 DistanceStandard = "ISO 13855:2024"
	CFR1910217          DistanceStandard = "29 CFR 1910.217" // mechanical power presses, United States
	ANSIB1119           DistanceStandard = "ANSI B11.19"     // machine tools, United States
)

// Values lists the standards for separation distances.
func (DistanceStandard) Values() []string {
	return []string{string(ISO13855Edition2010), string(ISO13855Edition2024), string(CFR1910217), string(ANSIB1119)}
}

// Arrangement is what keeps a person away from a hazard until it has ended.
type Arrangement string

// The arrangements.
const (
	DetectionField   Arrangement = "field"    // detection zone of electro-sensitive protective equipment
	SeparateBeams    Arrangement = "beams"    // one or several separate beams
	PressureMat      Arrangement = "mat"      // pressure-sensitive mat or floor
	TwoHandControl   Arrangement = "two-hand" // two-hand control device
	InterlockedGuard Arrangement = "guard"    // interlocked guard, with or without guard locking
)

// Values lists the arrangements.
func (Arrangement) Values() []string {
	return []string{string(DetectionField), string(SeparateBeams), string(PressureMat), string(TwoHandControl), string(InterlockedGuard)}
}

// OpeningShape is the shape of an opening in a guard (ISO 13857:2019 table 4).
type OpeningShape string

// The shapes of openings.
const (
	SlotOpening   OpeningShape = "slot"
	SquareOpening OpeningShape = "square"
	RoundOpening  OpeningShape = "round"
)

// Values lists the shapes of openings.
func (OpeningShape) Values() []string {
	return []string{string(SlotOpening), string(SquareOpening), string(RoundOpening)}
}

// TwoHandType is a type of two-hand control device (ISO 13851:2019, table 1).
type TwoHandType string

// The types of two-hand control devices. Type III asks for synchronous actuation; A, B and C differ in how faults are met.
const (
	TypeI    TwoHandType = "I"
	TypeII   TwoHandType = "II"
	TypeIIIA TwoHandType = "III A"
	TypeIIIB TwoHandType = "III B"
	TypeIIIC TwoHandType = "III C"
)

// Values lists the types of two-hand control devices.
func (TwoHandType) Values() []string {
	return []string{string(TypeI), string(TypeII), string(TypeIIIA), string(TypeIIIB), string(TypeIIIC)}
}
