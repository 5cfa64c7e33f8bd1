package report

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"zonule/annotate"
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
	if fellow := b.Case.Before.FellowEye; fellow != nil {
		line.FellowLoss = b.loss(fellow.Exam, v.FellowExam, v)
	}
	line.Loss = b.loss(b.Case.Before.Exam, v.Exam, v)
	if v.Exam != nil {
		line.Flags = b.unit().CountFlags(v.Exam.Density, line.Loss)
	}
	return line
}

func (b builder) loss(before, after *annotate.EndothelialExam, v annotate.Visit) *timeline.LossResult {
	loss := b.Case.LossBetween(before, after, v)
	if loss != nil {
		for i, note := range loss.Notes {
			loss.Notes[i] = strings.ReplaceAll(note, "/mm2", "/mm²")
		}
	}
	return loss
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
