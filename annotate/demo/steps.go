package demo

import (
	"math"

	"zonule/annotate"
)

// pace of one step: how long it takes an expert on grade 2.5 and what stretches it.
type pace struct {
	step string
	list string // id of the step list
	// median in s; for phacoemulsification near the medians of the open markings that package timeline ships
	// (idle time excluded), otherwise common practice.
	median float64
	spread float64 // of log time from case to case
	share  float64 // how much of the operator's skill shows
	grade  float64 // log time per grade above 2.5
	lift   float64 // log time per unit of toughness
	chance float64 // that the step occurs at all
	// handed steps are those a supervisor takes over in a part-case.
	handed bool
}

const (
	phaco = "phaco"
	msics = "msics"
)

// phacoSteps is the usual order of an operation.
var phacoSteps = []pace{
	{step: "side-port", list: phaco, median: 5, spread: 0.35, share: 0.9, chance: 1},
	{step: "ovd", list: phaco, median: 11, spread: 0.28, share: 0.6, chance: 1},
	{step: "main-incision", list: phaco, median: 7.5, spread: 0.40, share: 0.9, chance: 1},
	{step: "capsulorhexis", list: phaco, median: 27, spread: 0.28, share: 1.15, chance: 1},
	{step: "hydrodissection", list: phaco, median: 18, spread: 0.35, share: 0.8, chance: 0.98},
	{step: "sculpting", list: phaco, median: 27, spread: 0.24, share: 1.1, grade: 0.24, lift: 0.12, chance: 0.86, handed: true},
	{step: "division", list: phaco, median: 17, spread: 0.28, share: 1.2, grade: 0.20, lift: 0.14, chance: 1, handed: true},
	{step: "removal", list: phaco, median: 48, spread: 0.22, share: 1.05, grade: 0.22, lift: 0.14, chance: 1, handed: true},
	{step: "cortex", list: phaco, median: 42, spread: 0.30, share: 0.95, chance: 1},
	{step: "polishing", list: phaco, median: 11, spread: 0.50, share: 0.7, chance: 0.62},
	{step: "bag-filling", list: phaco, median: 10, spread: 0.28, share: 0.6, chance: 1},
	{step: "lens-insertion", list: phaco, median: 12, spread: 0.33, share: 0.9, chance: 1},
	{step: "lens-positioning", list: phaco, median: 8.5, spread: 0.50, share: 0.9, chance: 0.88},
	{step: "ovd-removal", list: phaco, median: 29, spread: 0.32, share: 0.8, chance: 1},
	{step: "wound-closure", list: phaco, median: 18, spread: 0.36, share: 0.7, chance: 1},
	{step: "antibiotic", list: phaco, median: 6, spread: 0.30, share: 0.3, chance: 0.97},
}

// msicsSteps is the usual order of manual small-incision surgery; medians are common practice, of a size that
// gives the 13 minutes reported for such operations (SICS-155, mean of 155 recordings).
var msicsSteps = []pace{
	{step: "peritomy", list: msics, median: 38, spread: 0.30, share: 0.7, chance: 1},
	{step: "cautery", list: msics, median: 24, spread: 0.35, share: 0.5, chance: 0.9},
	{step: "scleral-groove", list: msics, median: 22, spread: 0.30, share: 0.8, chance: 1},
	{step: "tunnel", list: msics, median: 62, spread: 0.28, share: 1, chance: 1},
	{step: "side-port", list: msics, median: 6, spread: 0.35, share: 0.8, chance: 0.95},
	{step: "dye", list: msics, median: 21, spread: 0.30, share: 0.4, chance: 0.8},
	{step: "ovd", list: msics, median: 14, spread: 0.30, share: 0.5, chance: 1},
	{step: "capsulorhexis", list: msics, median: 48, spread: 0.30, share: 1.1, chance: 1},
	{step: "main-incision", list: msics, median: 19, spread: 0.32, share: 0.8, chance: 1},
	{step: "hydrodissection", list: msics, median: 26, spread: 0.35, share: 0.8, chance: 1},
	{step: "nucleus-prolapse", list: msics, median: 36, spread: 0.35, share: 1.1, grade: 0.08, lift: 0.08, chance: 1, handed: true},
	{step: "nucleus-delivery", list: msics, median: 29, spread: 0.36, share: 1.1, grade: 0.10, lift: 0.08, chance: 1, handed: true},
	{step: "cortex", list: msics, median: 78, spread: 0.30, share: 0.9, chance: 1},
	{step: "bag-filling", list: msics, median: 12, spread: 0.30, share: 0.5, chance: 1},
	{step: "lens-insertion", list: msics, median: 18, spread: 0.32, share: 0.9, chance: 1},
	{step: "ovd-removal", list: msics, median: 34, spread: 0.30, share: 0.7, chance: 1},
	{step: "wound-closure", list: msics, median: 32, spread: 0.36, share: 0.7, chance: 1},
}

// Steps that occur only when the eye asks for them.
var (
	staining     = pace{step: "dye", list: phaco, median: 19, spread: 0.30, share: 0.4, chance: 1}
	pupilSupport = pace{step: "pupil-support", list: phaco, median: 52, spread: 0.35, share: 0.9, chance: 1}
	tensionRing  = pace{step: "tension-ring", list: phaco, median: 26, spread: 0.35, share: 0.9, chance: 1}
	vitrectomy   = pace{step: "vitrectomy", list: phaco, median: 115, spread: 0.40, share: 0.4, chance: 1}
	suturing     = pace{step: "suturing", list: phaco, median: 74, spread: 0.35, share: 0.8, chance: 1}
)

// hand is whose skill drives a step and what the eye adds to it.
type hand struct {
	skill     float64
	grade     float64
	toughness float64
	pupil     string
	day       float64 // the case's own draw, shared by all its steps
}

// duration draws the length of one step in ms; the formula is in the package's comment.
func (p pace) duration(r random, h hand) int64 {
	log := p.share*h.skill + p.grade*(h.grade-2.5) + p.lift*h.toughness + h.day + r.normal(0, p.spread)
	if h.pupil == "small" && (p.step == "capsulorhexis" || p.handed || p.step == "cortex") {
		log += 0.16
	}
	return max(1200, int64(1000*p.median*math.Exp(log)))
}

// order lists the steps of one operation on one eye.
func order(r random, technique annotate.Technique, before annotate.EyeBefore) []pace {
	usual := phacoSteps
	if technique == annotate.TechniqueMSICS {
		usual = msicsSteps
	}
	var steps []pace
	for _, p := range usual {
		if p.step == "capsulorhexis" && p.list == phaco && before.NoFundalView == annotate.Yes {
			steps = append(steps, staining)
		}
		if p.step == "capsulorhexis" && p.list == phaco && (before.Pupil == "small" && r.chance(0.45) || before.AlphaBlocker == annotate.Yes && r.chance(0.4)) {
			steps = append(steps, pupilSupport)
		}
		if p.step == "lens-insertion" && p.list == phaco && before.Pseudoexfoliation == annotate.Yes && r.chance(0.4) {
			steps = append(steps, tensionRing)
		}
		if r.chance(p.chance) {
			steps = append(steps, p)
		}
	}
	return steps
}
