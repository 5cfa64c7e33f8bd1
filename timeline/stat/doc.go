// Package stat holds the statistical methods behind Zonule's comparisons, charts and studies. It is pure: the standard
// library, gonum and timeline only; no clock, no input or output, and no randomness. Sums run in a fixed order, so a
// result does not depend on the number of cores.
//
// Every method says where it comes from. Where a method does not apply to its input, it returns a *Degenerate error with
// the reason instead of a number. What a number leaves out, or makes doubtful, stands in its notes. Everything found here
// is an association; the pages that show it say so.
package stat
