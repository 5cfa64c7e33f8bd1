// Package timeline computes what the marks of a recording mean: durations, warnings, reference positions and the
// arithmetic of the clinical record. It is pure: the standard library only, no database, no web, no clock, no randomness.
//
// Times are whole milliseconds and spans are half open. Nothing is rounded before it is shown. The status beside each
// source says how far it was checked: found (read in public text), from memory (not looked up), common practice
// (no single published source) or arithmetic.
package timeline
