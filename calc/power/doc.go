// Package power computes the 24 V DC supply of a machine's safety installation: the voltage at every load and the
// current in every conductor, contact and protective device, each with its limit and its margin.
//
// [Compute] takes a described machine and returns a [Result]. It reads nothing else but the tables of the standards
// that are embedded in the package, keeps no state and may be called from several goroutines at once; the same
// machine gives the same result.
//
// # Caution
//
// The results support, and do not replace, risk assessment, validation, the local codes and the judgement of a
// competent person. They are only as good as the data sheets behind the description. Table values that the package
// marks as remembered must be checked against the standard before anybody relies on them.
package power
