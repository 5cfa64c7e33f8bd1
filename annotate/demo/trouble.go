package demo

import (
	"math"

	"zonule/annotate"
)

// trouble says which complications an operation meets, and in which step.
type trouble struct {
	rupture, vitreous bool
	ruptureStep       string
	rhexisTear        bool
	floppy            bool
	iris              bool
	descemet          bool
	misdirection      bool
}

// Where trainees' capsules ruptured: removal of the segments 44 %, cortex 21 % (Grinton 2021, Eye 35:1213-20,
// read in the public text); the rest is spread over what is left (our own).
var (
	ruptureSteps   = []string{"removal", "cortex", "sculpting", "division", "polishing", "lens-insertion"}
	ruptureWeights = []float64{0.44, 0.21, 0.10, 0.11, 0.08, 0.06}
)

// troubles draws before the first step, so that a step's own draws do not depend on them.
func (d *director) troubles(technique annotate.Technique) trouble {
	var t trouble
	skill := d.slot.lead.skill(d.slot.done)
	odds := 0.008 * math.Exp(0.35*(float64(d.patient.grade)-2.5))
	if d.slot.lead.byTrainer != "" {
		odds *= 2.5 * math.Exp(skill)
	}
	if d.before.Pupil == "small" {
		odds *= 1.45
	}
	t.rupture = d.chance(odds / (1 + odds))
	t.vitreous = t.rupture && d.chance(0.6)
	t.ruptureStep = ruptureSteps[d.weighted(ruptureWeights)]
	if technique == annotate.TechniqueMSICS {
		t.ruptureStep = []string{"nucleus-delivery", "cortex"}[d.IntN(2)]
	}
	t.rhexisTear = d.chance(0.008 * math.Exp(1.4*skill))
	t.floppy = d.before.AlphaBlocker == annotate.Yes && d.chance(0.5)
	t.iris = d.chance(0.012)
	t.descemet = d.chance(0.007)
	t.misdirection = d.chance(0.004)
	return t
}

// incidents adds what happened during the step that has just been performed.
func (d *director) incidents(p pace, t trouble) {
	last := d.course.episodes[len(d.course.episodes)-1]
	within := func() int64 { return last.start + int64(float64(last.end-last.start)*(0.25+0.65*d.Float64())) }
	skill := d.slot.lead.skill(d.slot.done)
	complicate := func(kind string) {
		d.course.complications = append(d.course.complications, moment{kind, within()})
	}
	if p.handed && p.list == phaco {
		for range d.poisson(0.10 + 0.16*math.Max(0, float64(d.patient.grade)-2) + 0.3*skill) {
			d.course.contacts++
			d.note("fragment-contact", within())
		}
	}
	switch {
	case p.step == "capsulorhexis" && t.rhexisTear:
		at := within()
		d.note("capsule-tear", at)
		d.course.complications = append(d.course.complications, moment{"rhexis-tear", at})
	case p.step == "hydrodissection" && t.floppy:
		complicate("floppy-iris")
	case p.step == "main-incision" && t.iris:
		at := within()
		d.note("iris-contact", at)
		d.course.complications = append(d.course.complications, moment{"iris-trauma", at})
	case p.step == "wound-closure" && t.descemet:
		complicate("descemet-detachment")
	case p.step == "cortex" && t.misdirection:
		complicate("fluid-misdirection")
	}
	if p.step == "removal" && d.chance(0.05+0.06*skill) {
		d.note("chamber-collapse", within())
	}
	if d.chance(0.012) {
		d.note("view-lost", within())
	}
	if t.rupture && p.step == t.ruptureStep && !d.course.rupture {
		d.ruptured(last, t.vitreous)
	}
}

// ruptured records the rupture, and what follows from it: the supervisor takes over, vitreous is cleared.
func (d *director) ruptured(in episode, vitreous bool) {
	at := in.start + int64(float64(in.end-in.start)*(0.5+0.4*d.Float64()))
	d.course.rupture = true
	d.course.complications = append(d.course.complications, moment{"posterior-capsule-rupture", at})
	d.taken = d.slot.trainer != "" && d.chance(0.85)
	if !vitreous {
		return
	}
	d.course.complications = append(d.course.complications, moment{"vitreous-loss", at + int64(d.between(4_000, 30_000))})
	d.pause()
	d.perform(pace{step: vitrectomy.step, list: in.list, median: vitrectomy.median, spread: vitrectomy.spread, share: vitrectomy.share})
}

// poisson draws a count with the given mean (Knuth's product of uniforms; the means here are below 3).
func (d *director) poisson(mean float64) int {
	limit, product, n := math.Exp(-mean), d.Float64(), 0
	for product > limit {
		product *= d.Float64()
		n++
	}
	return n
}
