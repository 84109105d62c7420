// Package record reads the recorded trace of a real machine, a CSV file with a column of times and a column for each signal,
// and turns it into the cycles in which the rules about interlock logic count. Package rules judges them.
//
// # The file
//
// The first line names the columns. They are separated by commas, semicolons or tabs, and follow RFC 4180; a byte order mark
// and either kind of line end are taken. A [Mapping] (a small YAML file) says which column is which signal and how the cells
// are to be read; without one, the names of the columns are those of the signals, such as es1.pressed, and the column called
// time has its unit in its name, as in time [ms], or holds time stamps of RFC 3339 with their zone.
//
// Nothing is guessed and nothing is skipped. A cell is one of the words for true, false or unknown, a whole number or a word of
// the signal; anything else is a problem with its line and column, as is a row with too few or too many cells, and time that
// goes back. Rows of the same time must be the same.
//
// # From times to cycles
//
// Rules count in safety cycles. How rows become cycles is stated by rows: in the mapping.
//
//   - samples (the default): the rows were taken at their times, whenever that was. The cycles begin with the first row and
//     follow each other by the safety cycle of the controller. A cycle in whose moment a row was taken has its values. Between
//     two rows that agree in a signal, it had this value; between two that don't, nobody knows when it changed, so in the
//     cycles between them it is unknown.
//   - changes: a row was written whenever something changed, and its values hold until the next row. The cycles lie as before.
//   - cycles: the controller wrote a row in each of its safety cycles. The times only tell which rows are missing.
//
// Where two rows are farther apart than longest_gap (two safety cycles for samples, one and a half for cycles, no limit for
// changes), the cycles between them are lost: every signal is unknown in them, and after them all memories of rules and logic
// are unknown until the recorded values settle them. A signal that changes more than once from one cycle to the next is
// unknown in that one, because nobody knows what the controller saw of it.
//
// Samples and changes need not be in step with the controller: it reads its inputs somewhere between two of the cycles above.
// Then a rule that looks at single cycles, such as that motion begins only with an edge, can be judged wrongly by one cycle.
// unsure: 1 makes each signal unknown in the cycle before a change as well; what is still told then holds wherever between the
// rows the controller's cycles lay. Where the recorder writes outputs some cycles later than inputs, lag: says by how many.
//
// # Caution
//
// A record shows what a machine did while it was watched. That nothing was found in it does not mean that the machine is
// safe: it supports, and does not replace, risk assessment, validation, local codes and a competent person's judgement.
package record
