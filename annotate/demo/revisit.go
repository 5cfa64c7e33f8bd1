package demo

import (
	"math"
	"slices"
	"time"

	"zonule/annotate"
)

// otherInstrument is what a visiting clinic counts with: it gives more cells than the unit's own.
const (
	otherInstrument = "confocal microscope"
	// otherMore is by how much, in cells per mm2. Published differences between instruments lie at 184 to 228.
	otherMore = 200
)

// revisit fills in what the visits say beyond the first draws, adds a visit after a year to some, and declares some of
// those who never came lost. It draws from a stream of its own.
func (in *inventor) revisit(r random, s slot, p patient, record *Record) {
	for i := range record.Visits {
		switch record.Visits[i].Window {
		case annotate.WindowDay1:
			record.Visits[i].Medication = "steroid and antibiotic drops four times a day"
		case annotate.WindowMonth1:
			in.atMonthOne(r, p, record, &record.Visits[i])
		}
	}
	age := in.options.Today.Sub(s.day).Hours() / 24
	month := slices.IndexFunc(record.Visits, func(v annotate.Visit) bool { return v.Window == annotate.WindowMonth1 })
	switch {
	case month >= 0 && record.Visits[month].Exam != nil && age > 395 && r.chance(0.3):
		in.afterYear(r, s, p, record, record.Visits[month])
	case month < 0 && age > 75 && s.film == nil && r.chance(0.45):
		on := s.day.AddDate(0, 0, r.between(60, 74))
		record.Case.LostToFollowUp = &annotate.LostToFollowUp{
			On: on.Format(time.DateOnly),
			Reason: []string{
				"Moved away; the practice there was asked for its findings.", "Did not come to two appointments and could not be reached.",
				"Too frail to travel.", "Followed by another clinic.",
			}[r.IntN(4)],
		}
	}
}

func (in *inventor) atMonthOne(r random, p patient, record *Record, visit *annotate.Visit) {
	visit.Medication = "none"
	switch {
	case p.before.Glaucoma == annotate.Yes:
		visit.Medication = "glaucoma drops as before"
	case r.chance(0.2):
		visit.Medication = "steroid drops once a day, to stop in a week"
	}
	if r.chance(0.92) {
		refracted(r, p, record.Case.Operation, visit)
	}
	if visit.Exam == nil {
		return
	}
	if r.chance(0.04) {
		visit.Exam.Instrument, visit.Exam.Density = otherInstrument, visit.Exam.Density+otherMore
	}
	visit.Exam = listed(r, visit.Exam)
}

// refracted adds the refraction: near the target, with the astigmatism of the cornea and a little of the incision's.
func refracted(r random, p patient, o annotate.Operation, visit *annotate.Visit) {
	cylinder := -quarter(max(0, *p.before.Keratometry.Steep-*p.before.Keratometry.Flat+r.normal(0, 0.3)))
	equivalent := *o.TargetRefraction + r.normal(0, 0.38)
	visit.Refraction = refraction(quarter(equivalent-cylinder/2), cylinder, *p.before.Keratometry.Axis)
	visit.UncorrectedAcuity = uncorrected(visit.Acuity, visit.Refraction)
}

// afterYear adds a visit in the second year with what is left of the cells: 0.6 % a year go by age alone.
func (in *inventor) afterYear(r random, s slot, p patient, record *Record, month annotate.Visit) {
	day := s.day.AddDate(0, 0, r.between(352, 392))
	visit := in.visit(r, record, annotate.WindowYear1, day)
	visit.Acuity, visit.Medication, visit.OedemaGrade = month.Acuity, "none", pointer(0)
	visit.Pressure = pointer(math.Round(max(8, r.normal(14.5, 2.6))))
	visit.Thickness = pointer(*p.before.Thickness + int(r.normal(1, 6)))
	refracted(r, p, record.Case.Operation, &visit)
	density := month.Exam.Density
	if month.Exam.Instrument == otherInstrument {
		density -= otherMore
	}
	visit.Exam = listed(r, exam(r, density*math.Exp(-0.006-math.Abs(r.normal(0, 0.01))), p.cv, visit.Date))
	record.Visits = append(record.Visits, visit)
}
