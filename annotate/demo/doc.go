// Package demo invents a unit: people, eyes, operations, markers and follow-up, all from a seed.
//
// Nothing in it is real. Saltmere, its harbour and its eye unit do not exist. The sizes are chosen so that the
// pages look as a department's would; step medians lie near the figures of openly published markings, and
// everything else is our own invention.
//
// # What is planted
//
// A relation that the pages should be able to find again must be known exactly, so here it is. Natural
// logarithms throughout; N(m, s) is a normal draw; g is nuclear grade, 1 to 5.
//
//	skill(n)   = floor + amplitude / (1 + n/pace)              n: operations done before, per operator (cast.go)
//	step time  = median · exp(share·skill + grade·(g-2.5) + pupil + lift·h + N(0, 0.12) + N(0, spread))
//	             the first N is drawn once per case, the second once per step (steps.go)
//	h          = N(0, 1), the toughness of this nucleus beyond its grade, once per case
//	CDE        = 5 · exp(0.50·(g-2.5) + 0.30·skill + 0.18·h + N(0, 0.20))
//	loss       = 0.045 + 0.022·(g-1) + 0.0035·CDE + 0.006·contacts + 0.05·[capsule rupture] + N(0, 0.04)
//	             -log(density after / density before) of the whole endothelium at one month
//	count      = density · exp(N(0, CV/√cells)), drawn anew for each exam
//
// A manual small-incision operation has no CDE; its loss has 0.07 in place of the two terms of grade and CDE.
// Loss at day 1 is not counted: the cornea is too swollen for a count that anybody would trust (common practice).
//
// Capsule rupture is drawn with odds 0.008 · (trainee: 2.5 · exp(skill)) · exp(0.35·(g-2.5)) · (small pupil: 1.45).
package demo
