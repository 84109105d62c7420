// Package report prints what the rules found and what was computed about a machine.
//
// [New] makes a [Report] of a result: a plain value that holds all there is to print, in a shape that does not change
// with the library's insides. It is printed as text for people ([Report.Text]) or as JSON for programs ([Report.JSON]);
// JSON that was written is read back into a Report with package encoding/json.
//
//	result, err := rules.Check(ctx, machine, sets...)
//	...
//	err = report.New(result).Text(os.Stdout, report.TextOptions{ReadFile: os.ReadFile})
//
// The package reads no files, asks for no environment and knows no clock: source lines are printed when the caller
// gives a function that reads the machine file, and colours when the caller asks for them. The same result gives the
// same bytes.
//
// # Stability
//
// The JSON form carries the version of its format in the key format. Within a version keys are added, but none is
// taken away and none changes its meaning. The text form is for people and changes without notice.
//
// # Caution
//
// A report supports, and does not replace, risk assessment, validation, the local codes and the judgement of a
// competent person. A report without findings says that the rules that were asked found nothing. It doesn't say that
// the machine is safe.
package report
