// Package power computes the 24 V DC supply of a machine's safety installation: the voltage at every load and the
// current in every conductor, contact and protective device, each with its limit and its margin.
//
// [Compute] takes a described machine and returns a [Result]. It reads nothing else but the tables of the standards
// that are embedded in the package, keeps no state and may be called from several goroutines at once; the same
// machine gives the same result. [LongestRun], [SmallestSection] and [FurtherModules] ask the same computation what
// would still hold. Every figure is a [Check]: a value, a limit, a margin and a [Status] that says which of them there
// are, or why not.
//
// # Network
//
// Each supply feeds protective devices, these feed cables, these modules, these further modules and the devices at
// their ports: a tree for each circuit. A conductor has the resistance of its cores in parallel, of which every core
// carries an equal share, and of every contact on its way. A protective device has its resistance in plus. A module
// has its pass-through resistance between its incoming and its outgoing connector; its own loads and its ports hang on
// the incoming one. The wiring to a protective device counts with one core for plus and one for the return. A supply
// has its source resistance; without one its branches do not depend on each other.
//
// Loads draw constant current, constant power or follow Ohm's law. The operating point is exact (package radial);
// constant-power loads can make it impossible, and then [Operation] says where the network collapses and by how much
// the loads are too large. Where it exists, the collapse factor says how far away that is. Currents of signals are
// left out.
//
// One core or two parallel conductors that return both circuits are solved exactly, by repeating the trees with what
// the other circuit drops in the shared return. A module that joins the 0 V of circuits which come from different
// supplies, or by different ways, makes a mesh; that is not covered, and [Result].Limits says on which side the
// numbers lie.
//
// # Cases
//
// A [Case] is a supply voltage, a conductor temperature and a set of loads that are on. Lowest voltages come from
// Lowest, highest ones from Highest. Currents are the greatest of Lowest, HighestLoaded and Nominal, because a
// constant power draws most at the lowest voltage and a resistance at the highest. All loads are taken to be on
// together: the description states no simultaneity. A resistive load that is on alone draws a little more than in
// HighestLoaded, by the drop that the others then do not cause.
//
// # Copper
//
// Resistance goes with R(t) = R20·(234.5+t)/254.5, the exact formula of IEC 60228:2004 Annex B, see [CopperAt]. The
// values of IEC 60228 are maxima at 20 °C; those of NEC Chapter 9 Table 8 are nominal at 75 °C and become comparable
// with [CopperTo20]. A cross-section without a table value (0.14, 0.25, 0.34 mm²) needs its resistance stated.
//
// # Currents
//
// Ampacity is that of IEC 60204-1:2016 Table 6 with the factors of Annex D, or of NFPA 79 clause 12.5, as the machine
// says. A contact carries its rating or, where that is less, 80 % of its base curve at the highest air temperature
// (IEC 60512-5-2). Protective devices, fuses of ports and supplies are taken at their highest temperature for what
// they hold and at their lowest for when they open.
//
// # Short circuits
//
// The smallest fault current lies between plus and return at the end of each cable, with the lowest supply voltage,
// hot conductors and all contacts: Ik = min(limit, V/R). Whether a protective device opens is judged with all other
// loads still drawing their currents, which is less. A breaker opens within 0.1 s at the upper edge of its
// instantaneous band (IEC 60898-1) times its factor for direct current; without that factor the question is not
// decidable. The largest fault current lies at the start of a cable, with the highest voltage and cold conductors,
// bounded by the supply's limit or boost; what the capacitors at its output add for a moment is left out. Faults
// between the circuits, and to earth, are not covered.
//
// Selectivity compares the latest opening of one device with the earliest of the one before it, over the whole range
// of fault currents, by the stated points alone: nothing is assumed between them.
//
// # Caution
//
// The results support, and do not replace, risk assessment, validation, the local codes and the judgement of a
// competent person. They are only as good as the data sheets behind the description. Table values that the package
// marks as remembered (column how_known of the files in tables) must be checked against the standard before anybody
// relies on them.
package power
