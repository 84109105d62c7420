// Package timing computes how long a safety function takes from a demand to standstill, without any fault and with one
// communication fault, and between which values the time limits of its safety connections may lie.
//
// [Compute] follows every chain from a demand device through input, network, controller, network and output to the
// switching element and the drive. Each chain is a table of contributions that add up to its totals. A contribution for
// which data are missing makes the total unknown, never zero.
//
// # Rules
//
// An unsynchronised cyclic stage counts twice: what has just been missed waits for one cycle and needs another
// (common practice, no source). With one communication fault, by protocol:
//
//   - CIP Safety (IEC 61784-3-2): each connection contributes the largest age of data that its consumer accepts, the
//     network time expectation, and the controller its cycle and its cycle watchdog.
//   - PROFIsafe (IEC 61784-3-3): the sum of the longest times without a fault, and once the largest margin by which a
//     watchdog exceeds the time that it watches.
//   - Safety over EtherCAT (IEC 61784-3-12): each connection contributes its watchdog time.
//
// # Limits of the method
//
// The safe state is taken to be off. Delays of messages are taken from the input; this package knows no network.
// Faults of devices and modules count only in PROFIsafe, where their one fault delay times are stated.
//
// # Caution
//
// The results support, and do not replace, risk assessment, validation, the local codes and the judgement of a
// competent person. They are only as good as the data sheets and the measurements behind the description.
package timing
