package demo

import (
	"cmp"
	"math"
	"slices"
	"time"

	"zonule/annotate"
)

// complicate records what went wrong during the operation, at its instant where a recording shows it.
func (in *inventor) complicate(r random, s slot, c course, record *Record) {
	slices.SortStableFunc(c.complications, func(a, b moment) int { return cmp.Compare(a.at, b.at) })
	for _, m := range c.complications {
		complication := annotate.Complication{
			ID: r.id(s.begins + 4*time.Hour.Milliseconds()), CaseID: record.Case.ID, Revision: 1, Kind: m.kind,
			Severity: r.between(1, 2), Action: managed[m.kind],
		}
		if len(record.Parts) > 0 {
			complication.At = pointer(instant(record.Parts, min(m.at, c.length)))
		}
		record.Complications = append(record.Complications, complication)
	}
}

// managed says what was done, per kind of complication.
var managed = map[string]string{
	"posterior-capsule-rupture": "OVD over the tear, low flow, three-piece lens in the sulcus",
	"vitreous-loss":             "Anterior vitrectomy, pupil round at the end",
	"rhexis-tear":               "Completed from the other side",
	"floppy-iris":               "Intracameral phenylephrine, low flow",
	"iris-trauma":               "Reposited; wound kept",
	"descemet-detachment":       "Air in the chamber",
	"fluid-misdirection":        "Waited, chamber deepened",
	"corneal-oedema":            "Drops for two weeks",
	"raised-pressure":           "Pressure drops for one week",
	"uveitis":                   "Steroid drops, tapered over six weeks",
	"macular-oedema":            "Anti-inflammatory drops",
	"retained-lens-matter":      "Washed out",
}

// follow adds day 1 and month 1, as far as their time has come and somebody entered them.
func (in *inventor) follow(r random, s slot, p patient, c course, record *Record) {
	loss := trueLoss(r, p, c, record.Case.Operation)
	age := in.options.Today.Sub(s.day).Hours() / 24
	if age >= 1 && (r.chance(0.975) || s.film != nil) {
		in.dayOne(r, s, p, loss, record)
	}
	due := s.day.AddDate(0, 0, 26+r.IntN(12))
	entered := 0.55
	if age > 75 {
		entered = 0.955
	}
	if due.Before(in.options.Today) && (r.chance(entered) || s.film != nil) {
		in.monthOne(r, s, p, loss, due, record)
	}
}

// trueLoss is -log(density after / before) at one month; the formula is in the package's comment.
func trueLoss(r random, p patient, c course, o annotate.Operation) float64 {
	loss := 0.042 + 0.006*float64(c.contacts) + r.normal(0, 0.04)
	if o.CDE == nil {
		loss += 0.07
	} else {
		loss += 0.022*(float64(p.grade)-1) + 0.0035*(*o.CDE) + 0.03*math.Log(max(20, c.nucleusSeconds())/90)
	}
	if slices.Contains(o.OVDs, "dispersive") {
		loss -= 0.015
	}
	if c.rupture {
		loss += 0.05
	}
	return max(-0.02, loss)
}

func (in *inventor) dayOne(r random, s slot, p patient, loss float64, record *Record) {
	day := s.day.AddDate(0, 0, 1)
	swelling := max(0, loss*9+r.normal(0, 0.5))
	grade := min(4, int(math.Round(swelling)))
	pressure := math.Round(max(8, r.normal(16.5, 5)))
	visit := in.visit(r, record, annotate.WindowDay1, day)
	visit.Acuity = []string{"6/7.5", "6/9", "6/12", "6/18", "6/36"}[min(4, max(0, int(swelling+r.normal(0.8, 0.8))))]
	visit.Pressure = &pressure
	visit.OedemaGrade = &grade
	visit.Thickness = pointer(*p.before.Thickness + int(max(-5, 14+34*swelling+r.normal(0, 12))))
	record.Visits = append(record.Visits, visit)
	if grade >= 3 {
		in.afterwards(r, record, "corneal-oedema", day, 16)
	}
	if pressure >= 28 {
		in.afterwards(r, record, "raised-pressure", day, 7)
	}
}

func (in *inventor) monthOne(r random, s slot, p patient, loss float64, day time.Time, record *Record) {
	visit := in.visit(r, record, annotate.WindowMonth1, day)
	visit.Acuity = []string{"6/5", "6/6", "6/7.5", "6/9", "6/12", "6/18"}[min(5, max(0, int(r.normal(1.2, 0.9)+4*loss)))]
	visit.Pressure = pointer(math.Round(max(8, r.normal(14.2, 2.6))))
	visit.OedemaGrade = pointer(0)
	visit.Thickness = pointer(*p.before.Thickness + int(r.normal(3+20*loss, 7)))
	if r.chance(0.97) {
		visit.Exam = exam(r, p.density*math.Exp(-loss), min(0.48, p.cv+0.02), visit.Date)
	}
	record.Visits = append(record.Visits, visit)
	switch {
	case r.chance(0.012):
		in.afterwards(r, record, "macular-oedema", day, 60)
	case r.chance(0.01):
		in.afterwards(r, record, "uveitis", day.AddDate(0, 0, -12), 45)
	}
}

func (in *inventor) visit(r random, record *Record, window annotate.Window, day time.Time) annotate.Visit {
	return annotate.Visit{
		ID: r.id(day.UnixMilli() + int64(r.between(32_400_000, 57_600_000))), CaseID: record.Case.ID, Revision: 1,
		Window: window, Date: day.Format(time.DateOnly),
	}
}

// afterwards adds a postoperative complication; it is resolved after about so many days, if those are over.
func (in *inventor) afterwards(r random, record *Record, kind string, day time.Time, days int) {
	complication := annotate.Complication{
		ID: r.id(day.UnixMilli()), CaseID: record.Case.ID, Revision: 1, Kind: kind, OnDate: day.Format(time.DateOnly),
		Severity: r.between(1, 2), Action: managed[kind],
	}
	if end := day.AddDate(0, 0, days+r.between(-3, 6)); end.Before(in.options.Today) {
		complication.ResolvedOn = end.Format(time.DateOnly)
	}
	record.Complications = append(record.Complications, complication)
}
