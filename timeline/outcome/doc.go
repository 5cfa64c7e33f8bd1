// Package outcome studies how the time, energy and events of operations go with what came of the eyes: over a unit and for
// one case. It works on flat rows of facts and is pure. What it finds is association; it says so and never more.
package outcome
