package report

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"zonule/annotate"
	"zonule/server/report/words"
	"zonule/timeline"
)

// followUp sets each visit beside the eye before the operation.
func (b builder) followUp() FollowUp {
	f := FollowUp{Baseline: b.Case.Before.Exam, Visits: []VisitLine{}, Lost: b.Case.LostToFollowUp}
	for _, v := range b.Visits {
		f.Visits = append(f.Visits, b.visit(v))
	}
	slices.SortStableFunc(f.Visits, func(x, y VisitLine) int {
		return cmp.Or(cmp.Compare(x.Date, y.Date), cmp.Compare(windowOrder(x.Window), windowOrder(y.Window)), cmp.Compare(x.ID, y.ID))
	})
	return f
}

func windowOrder(w annotate.Window) int { return slices.Index(annotate.Windows, w) }

func (b builder) visit(v annotate.Visit) VisitLine {
	line := VisitLine{Visit: v, Flags: []string{}}
	if days, ok := daysBetween(b.Case.Date, v.Date); ok {
		line.Days = &days
	}
	if before := b.Case.Before.Thickness; before != nil && v.Thickness != nil {
		if change, ok := timeline.ThicknessChange(*before, *v.Thickness); ok {
			line.ThicknessChange = &change
		}
	}
	baseline := b.Case.Before.Exam
	if v.Exam == nil {
		return line
	}
	if v.Exam.Density > 0 && v.Exam.Density < b.options.DensityLimit {
		line.Flags = append(line.Flags, fmt.Sprintf("density under %s cells/mm²", words.Number(b.options.DensityLimit, 0)))
	}
	if baseline == nil {
		return line
	}
	loss := timeline.Loss(baseline.Count(), v.Exam.Count(), b.years(*baseline, v))
	for i, note := range loss.Notes {
		loss.Notes[i] = strings.ReplaceAll(note, "/mm2", "/mm²")
	}
	line.Loss = &loss
	if loss.LossPercent != nil && *loss.LossPercent > b.options.LossLimitPercent {
		line.Flags = append(line.Flags, fmt.Sprintf("loss over %s %%", words.Number(b.options.LossLimitPercent, 0)))
	}
	return line
}

// years is the time between two counts; a count without a date of its own was made on the day of its visit, or for the
// baseline of the operation.
func (b builder) years(baseline annotate.EndothelialExam, v annotate.Visit) float64 {
	days, ok := daysBetween(cmp.Or(baseline.Date, b.Case.Date), cmp.Or(v.Exam.Date, v.Date))
	if !ok {
		return 0
	}
	return float64(days) / 365.25
}

// daysBetween counts the days from one date to another; false when either is not a date.
func daysBetween(from, to string) (int, bool) {
	a, errA := time.Parse(time.DateOnly, from)
	z, errZ := time.Parse(time.DateOnly, to)
	if errA != nil || errZ != nil {
		return 0, false
	}
	return int(z.Sub(a).Hours() / 24), true
}
