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
//	loss       = 0.042 + 0.022·(g-1) + 0.0035·CDE + 0.006·contacts + 0.03·ln(t/90) - 0.015·d + 0.05·[capsule rupture] + N(0, 0.04)
//	             -log(density after / density before) of the whole endothelium at one month, at least -0.02
//	t          = time of sculpting, division and removal in s, at least 20
//	d          = 1 when a dispersive OVD was used, with chance 0.30 + 0.12·(g-1): the hard nuclei get it, so that without
//	             adjustment for the grade it looks useless or worse
//	count      = density · exp(N(0, CV/√cells)), drawn anew for each exam
//	year 1     = density at one month · exp(-0.006 - |N(0, 0.01)|)
//
// A manual small-incision operation has no CDE; its loss has 0.07 in place of the terms of grade, CDE and nucleus time.
// Loss at day 1 is not counted: the cornea is too swollen for a count that anybody would trust (common practice).
//
// Capsule rupture is drawn with odds 0.008 · (trainee: 2.5 · exp(skill)) · exp(0.35·(g-2.5)) · (small pupil: 1.45).
//
// # What follows from it
//
//   - Learning: each trainee gets quicker along skill(n); haruka and tomas begin near the top of their curve, eleni near
//     the end of hers. Trainers do not change.
//   - Speed confounded with grade: trainers keep the hard nuclei, 20 % of grade 4 and 5 against 11 % of the trainees'
//     (eye.go). A raw comparison therefore makes trainers look slower than they are and the difference between them
//     and trainees smaller than skill makes it. Among trainers anand is slower than mara by exp(0.10).
//   - Loss and nucleus time: longer nuclei lose more cells, partly by 0.03·ln(t/90), partly because grade, skill and
//     toughness drive the time, the energy and the contacts as well. Adjusted for grade less is left than without.
//   - One count in 25 at one month comes from another instrument that gives 200 cells more (revisit.go): such losses are
//     too small until the difference of the instruments is heeded.
//   - About half of those who have not come by the eleventh week are declared lost, with a reason.
//
// What else the record holds (LOCS III, keratometry, refraction, answers, energy by its parts, settings, lens) agrees
// with itself, is drawn from a second stream of each case, and leads to nothing. What patients agreed to comes from a third.
package demo
