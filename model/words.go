package model

// Circuit is one of the two supply circuits of a module.
type Circuit string

// The circuits.
const (
	Sensor   Circuit = "sensor"   // supply of sensors, logic and electronics
	Actuator Circuit = "actuator" // supply of outputs, coils and lamps
)

// Values lists the circuits.
func (Circuit) Values() []string { return []string{string(Sensor), string(Actuator)} }

// Circuits lists the circuits in their fixed order.
func Circuits() []Circuit { return []Circuit{Sensor, Actuator} }

// OutputKind is what a device puts on its signal cores.
type OutputKind string

// The output kinds.
const (
	OSSD     OutputKind = "ossd"     // semiconductor outputs that test themselves (IEC 61496-1)
	Contacts OutputKind = "contacts" // volt-free contacts
)

// Values lists the output kinds.
func (OutputKind) Values() []string { return []string{string(OSSD), string(Contacts)} }

// LayingMethod is a method of installation of IEC 60204-1:2016 D.1.2.
type LayingMethod string

// The methods of installation.
const (
	LayingB1 LayingMethod = "B1" // conductors in conduit or duct
	LayingB2 LayingMethod = "B2" // cables in conduit or duct
	LayingC  LayingMethod = "C"  // cables on walls or in open trays, without gaps
	LayingE  LayingMethod = "E"  // cables on open ladders or perforated trays
)

// Values lists the methods of installation.
func (LayingMethod) Values() []string {
	return []string{string(LayingB1), string(LayingB2), string(LayingC), string(LayingE)}
}

// AmpacityStandard is a standard, with its edition, whose ampacity tables are used.
type AmpacityStandard string

// The ampacity standards.
const (
	IEC60204 AmpacityStandard = "IEC 60204-1:2016" // Table 6 and Annex D
	NFPA79   AmpacityStandard = "NFPA 79:2021"     // clause 12.5
)

// Values lists the ampacity standards.
func (AmpacityStandard) Values() []string { return []string{string(IEC60204), string(NFPA79)} }

// ProtectionKind is the principle of an overcurrent protective device.
type ProtectionKind string

// The principles of protective devices.
const (
	Electronic    ProtectionKind = "electronic"     // semiconductor switch with a current limit or a trip time
	Breaker       ProtectionKind = "breaker"        // circuit breaker to IEC 60898-1
	MeltingFuse   ProtectionKind = "melting-fuse"   // fuse link to IEC 60269 or IEC 60127
	SelfResetting ProtectionKind = "self-resetting" // polymeric thermistor
)

// Values lists the principles of protective devices.
func (ProtectionKind) Values() []string {
	return []string{string(Electronic), string(Breaker), string(MeltingFuse), string(SelfResetting)}
}

// Characteristic is the instantaneous trip band of a circuit breaker (IEC 60898-1 Table 2).
type Characteristic string

// The instantaneous trip bands, in multiples of the rated current.
const (
	BandB Characteristic = "B" // 3 to 5
	BandC Characteristic = "C" // 5 to 10
	BandD Characteristic = "D" // 10 to 20
)

// Values lists the trip bands.
func (Characteristic) Values() []string { return []string{string(BandB), string(BandC), string(BandD)} }

// Separation is how an extra-low voltage source is separated from the mains (IEC 61140).
type Separation string

// The kinds of separation.
const (
	PELV         Separation = "PELV"
	SELV         Separation = "SELV"
	NoSeparation Separation = "none"
)

// Values lists the kinds of separation.
func (Separation) Values() []string {
	return []string{string(PELV), string(SELV), string(NoSeparation)}
}

// LockPrinciple is what holds the bolt of a guard lock (ISO 14119).
type LockPrinciple string

// The principles of guard locks.
const (
	PowerToRelease LockPrinciple = "power-to-release" // a spring locks, power frees
	PowerToLock    LockPrinciple = "power-to-lock"    // power locks, a spring frees
)

// Values lists the principles of guard locks.
func (LockPrinciple) Values() []string {
	return []string{string(PowerToRelease), string(PowerToLock)}
}

// CodingLevel is how hard the actuator of an interlocking device is to replace by another (ISO 14119).
type CodingLevel string

// The coding levels.
const (
	Uncoded    CodingLevel = "uncoded"
	LowCoded   CodingLevel = "low"
	MediumCode CodingLevel = "medium"
	HighCoded  CodingLevel = "high"
)

// Values lists the coding levels.
func (CodingLevel) Values() []string {
	return []string{string(Uncoded), string(LowCoded), string(MediumCode), string(HighCoded)}
}

// Level is a required performance level (ISO 13849-1) or safety integrity level (IEC 62061).
type Level string

// The levels.
const (
	PLa  Level = "PL a"
	PLb  Level = "PL b"
	PLc  Level = "PL c"
	PLd  Level = "PL d"
	PLe  Level = "PL e"
	SIL1 Level = "SIL 1"
	SIL2 Level = "SIL 2"
	SIL3 Level = "SIL 3"
)

// Values lists the levels.
func (Level) Values() []string {
	return []string{string(PLa), string(PLb), string(PLc), string(PLd), string(PLe), string(SIL1), string(SIL2), string(SIL3)}
}

// ApproachDirection is the direction of the approach to a detection zone (ISO 13855:2010, clause 6).
type ApproachDirection string

// The directions of approach.
const (
	Orthogonal ApproachDirection = "orthogonal"
	Parallel   ApproachDirection = "parallel"
	Angled     ApproachDirection = "angled"
)

// Values lists the directions of approach.
func (ApproachDirection) Values() []string {
	return []string{string(Orthogonal), string(Parallel), string(Angled)}
}

// Protocol is a safety protocol of the IEC 61784-3 series.
type Protocol string

// The safety protocols.
const (
	CIPSafety          Protocol = "cip-safety"           // IEC 61784-3-2, on EtherNet/IP
	PROFIsafe          Protocol = "profisafe"            // IEC 61784-3-3, on PROFINET
	SafetyOverEtherCAT Protocol = "safety-over-ethercat" // IEC 61784-3-12
)

// Values lists the safety protocols.
func (Protocol) Values() []string {
	return []string{string(CIPSafety), string(PROFIsafe), string(SafetyOverEtherCAT)}
}

// RingProtocol is a protocol that keeps a ring open at one place and closes it after a break.
type RingProtocol string

// The ring protocols.
const (
	DLR RingProtocol = "dlr" // device level ring, the ring protocol of EtherNet/IP
	MRP RingProtocol = "mrp" // media redundancy protocol, IEC 62439-2
	// RSTP is the rapid spanning tree protocol of IEEE 802.1Q.
	RSTP RingProtocol = "rstp"
	// CableRedundancy closes an EtherCAT segment back to a second port of its controller.
	CableRedundancy RingProtocol = "cable-redundancy"
)

// Values lists the ring protocols.
func (RingProtocol) Values() []string {
	return []string{string(DLR), string(MRP), string(RSTP), string(CableRedundancy)}
}

// Medium is what a network link is made of.
type Medium string

// The media.
const (
	Copper  Medium = "copper"
	Optical Medium = "optical"
	Radio   Medium = "radio"
)

// Values lists the media.
func (Medium) Values() []string { return []string{string(Copper), string(Optical), string(Radio)} }
