// Package distance computes how far a protective device has to stand from a hazard, and how long a machine may take to
// stop where the distance is built.
//
// The formulas are plain functions that return a [Law]: separation distance against overall stopping time, to be read
// both ways. [Compute] applies them to the safety functions of a machine. The standard and its edition are an input of
// every formula; nothing is mixed from two editions.
//
// # What the formulas stand on
//
// The formulas of ISO 13855:2010, ISO 13857:2019 and ANSI B11.19, and those of 29 CFR 1910.217 as far as their comments do
// not say otherwise, were written down from memory and compared with secondary texts, not with the standards. Of ISO 13855:2024 only
// what is known to be so is computed; the rest is a [NotCoveredError] that says what is not certain. Whoever relies on a
// distance has to compare the formula that it names with the standard.
//
// # Caution
//
// The results support, and do not replace, risk assessment, validation, the local codes and the judgement of a
// competent person. A distance is only as good as the stopping time that was measured.
package distance
