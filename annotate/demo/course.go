package demo

import (
	"math"

	"zonule/annotate"
)

// episode is one stretch of a step, on the case clock in ms.
type episode struct {
	step, list string
	start, end int64
	login      string // who operated
}

// moment is something at an instant of the case clock.
type moment struct {
	kind string
	at   int64
}

// course is how one operation went.
type course struct {
	episodes      []episode
	events        []moment
	complications []moment
	length        int64 // of the recording
	converted     bool
	rupture       bool
	contacts      int // fragment touching the endothelium
}

// director makes up one operation as it goes along.
type director struct {
	random
	slot    slot
	patient patient
	before  annotate.EyeBefore
	day     float64
	now     int64
	course  course
	// taken is set once the supervisor has taken over for good, after a complication.
	taken bool
}

// direct makes up the course of one operation.
func direct(r random, s slot, p patient, technique annotate.Technique, converts bool) course {
	d := &director{random: r, slot: s, patient: p, before: p.before, day: r.normal(0, 0.12)}
	d.now = int64(r.between(12_000, 55_000))
	steps := order(r, technique, p.before)
	trouble := d.troubles(technique)
	for i := 0; i < len(steps); i++ {
		step := steps[i]
		d.pause()
		if converts && step.step == "removal" {
			d.perform(pace{step: "removal", list: phaco, median: 30, spread: 0.2, share: 1, chance: 1})
			steps, converts = append(steps[:i+1:i+1], afterConversion()...), false
			d.course.converted = true
			d.note("conversion", d.now+1500)
			continue
		}
		d.perform(step)
		d.incidents(step, trouble)
		if step.step == "wound-closure" && step.list == phaco && d.course.rupture && d.chance(0.5) {
			d.pause()
			d.perform(suturing)
		}
	}
	d.now += int64(d.between(5_000, 25_000))
	d.course.length = d.now
	d.secondInstrument()
	return d.course
}

// afterConversion is what remains once the nucleus is to be delivered by hand.
func afterConversion() []pace {
	var rest []pace
	for _, p := range msicsSteps {
		switch p.step {
		case "peritomy", "scleral-groove", "tunnel", "main-incision", "nucleus-prolapse", "nucleus-delivery", "cortex", "bag-filling", "lens-insertion", "ovd-removal", "wound-closure":
			rest = append(rest, p)
		}
	}
	return rest
}

// pause is the time with no step, while instruments change.
func (d *director) pause() {
	d.now += int64(1000 * 2.6 * math.Exp(0.6*d.slot.lead.skill(d.slot.done)+d.normal(0, 0.55)))
}

// operatorOf says who does a step.
func (d *director) operatorOf(p pace) member {
	if d.slot.trainer != "" && (d.taken || d.slot.handover && p.handed) {
		return memberNamed(d.slot.trainer)
	}
	return d.slot.lead
}

func memberNamed(login string) member {
	for _, m := range cast {
		if m.login == login {
			return m
		}
	}
	panic("nobody is named " + login)
}

// perform adds a step; the long ones now and then in two episodes, less skilled hands more often.
func (d *director) perform(p pace) {
	who := d.operatorOf(p)
	skill := who.skill(d.slot.done)
	length := p.duration(d.random, hand{skill: skill, grade: float64(d.patient.grade), toughness: d.patient.toughness, pupil: d.before.Pupil, day: d.day})
	if p.median >= 25 && length > 30_000 && d.chance(0.06+0.12*skill) {
		first := int64(float64(length) * (0.35 + 0.3*d.Float64()))
		d.add(p, who, first)
		d.pause()
		if d.chance(0.6) && p.list == phaco {
			d.note("ovd-top-up", d.now)
			d.add(pace{step: "ovd", list: phaco}, who, int64(d.between(5_000, 11_000)))
			d.pause()
		}
		length -= first
	}
	d.add(p, who, length)
}

func (d *director) add(p pace, who member, length int64) {
	d.course.episodes = append(d.course.episodes, episode{step: p.step, list: p.list, start: d.now, end: d.now + length, login: who.login})
	d.now += length
}

func (d *director) note(kind string, at int64) {
	d.course.events = append(d.course.events, moment{kind, at})
}

// secondInstrument runs beside the steps of the nucleus.
func (d *director) secondInstrument() {
	var first, last *episode
	for i, e := range d.course.episodes {
		if e.list == phaco && (e.step == "division" || e.step == "removal") {
			if first == nil {
				first = &d.course.episodes[i]
			}
			last = &d.course.episodes[i]
		}
	}
	if first == nil || last.end-first.start < 8_000 {
		return
	}
	d.course.episodes = append(d.course.episodes, episode{
		step: "second-instrument", list: phaco, start: first.start + 900, end: last.end - 1_400, login: first.login,
	})
}
