package annotate

import (
	"cmp"
	"slices"

	"zonule/timeline"
)

// DensityPoint is one count with the 95 % interval from counting error alone.
type DensityPoint struct {
	Eye     Eye      `json:"eye"`
	Window  Window   `json:"window"`  // "" before the operation
	VisitID string   `json:"visitId"` // "" before the operation
	Date    string   `json:"date"`
	Density float64  `json:"density"` // cells/mm2
	Low     *float64 `json:"low"`     // nil while cells or coefficient of variation are unknown
	High    *float64 `json:"high"`
	// Loss is against the count of the same eye before the operation; nil for that one and without one.
	Loss *timeline.LossResult `json:"loss"`
	// ExpectedWithoutSurgery is the density (cells/mm2) that ageing alone would leave of the count before; nil until
	// half a year has passed.
	ExpectedWithoutSurgery *float64 `json:"expectedWithoutSurgery"`
	Flags                  []string `json:"flags"` // which limits of the unit it passes, in words
}

// densitiesOf lists the counts by date, the eye before first: those of the operated eye, then those of the fellow eye.
func densitiesOf(unit Unit, c Case, visits []Visit) []DensityPoint {
	points := seriesOf(unit, c, c.Eye, c.Before.Exam, visits, func(v Visit) *EndothelialExam { return v.Exam })
	var fellow *EndothelialExam
	if c.Before.FellowEye != nil {
		fellow = c.Before.FellowEye.Exam
	}
	return append(points, seriesOf(unit, c, otherEye(c.Eye), fellow, visits, func(v Visit) *EndothelialExam { return v.FellowExam })...)
}

// seriesOf lists the counts of one eye by date.
func seriesOf(unit Unit, c Case, eye Eye, before *EndothelialExam, visits []Visit, of func(Visit) *EndothelialExam) []DensityPoint {
	points := []DensityPoint{}
	if before != nil {
		point := pointOf(*before, eye, cmp.Or(before.Date, c.Date))
		point.Flags = unit.CountFlags(before.Density, nil)
		points = append(points, point)
	}
	for _, v := range visits {
		exam := of(v)
		if exam == nil {
			continue
		}
		point := pointOf(*exam, eye, cmp.Or(exam.Date, v.Date))
		point.Window, point.VisitID = v.Window, v.ID
		if point.Loss = c.LossBetween(before, exam, v); point.Loss != nil {
			point.ExpectedWithoutSurgery = point.Loss.ExpectedWithoutSurgery
		}
		var loss *timeline.LossResult
		if eye == c.Eye {
			loss = point.Loss
		}
		point.Flags = unit.CountFlags(exam.Density, loss)
		points = append(points, point)
	}
	slices.SortStableFunc(points, func(a, b DensityPoint) int { return cmp.Compare(a.Date, b.Date) })
	return points
}

func otherEye(eye Eye) Eye {
	if eye == RightEye {
		return LeftEye
	}
	return RightEye
}

func pointOf(e EndothelialExam, eye Eye, date string) DensityPoint {
	point := DensityPoint{Eye: eye, Date: date, Density: e.Density}
	if low, high, err := timeline.DensityInterval(e.Count()); err == nil {
		point.Low, point.High = &low, &high
	}
	return point
}

// LossBetween compares the count of an eye at a visit with the one before the operation; nil without both. A count
// without a date of its own was made on the day of its visit, or of the operation. Counts from different instruments
// are compared only when the case says so, and the result then says so too.
func (c Case) LossBetween(before, after *EndothelialExam, v Visit) *timeline.LossResult {
	if before == nil || after == nil {
		return nil
	}
	compare := timeline.Loss
	if c.CompareInstruments {
		compare = timeline.LossAcrossInstruments
	}
	loss := compare(before.Count(), after.Count(), yearsBetween(cmp.Or(before.Date, c.Date), cmp.Or(after.Date, v.Date)))
	return &loss
}

// CountFlags says in words which limits of the unit a count passes; the loss is nil where it is not told.
func (u Unit) CountFlags(density float64, loss *timeline.LossResult) []string {
	flags := []string{}
	if density > 0 && density < u.DensityLimit {
		flags = append(flags, "density under "+plain(u.DensityLimit)+" cells/mm²")
	}
	if loss != nil && loss.LossPercent != nil && *loss.LossPercent > u.LossLimitPercent {
		flags = append(flags, "loss over "+plain(u.LossLimitPercent)+" %")
	}
	return flags
}
