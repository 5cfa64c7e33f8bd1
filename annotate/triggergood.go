package annotate

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"time"

	"zonule/timeline"
	"zonule/timeline/cohort"
)

// goodMonths is for how many closed months a good case may still be drawn, so that results entered late are not lost.
const goodMonths = 3

// closedMonths gives the latest months of operations, such as "2026-03" and the latest first, whose last operation has
// passed the time of the visit at month 1, when what became of the eyes is known.
func (u Unit) closedMonths(today string) []string {
	late := 0
	for _, plan := range slices.Concat(UsualWindows, u.Windows) {
		if plan.Window == WindowMonth1 {
			late = plan.LateDays
		}
	}
	now, err := time.Parse(time.DateOnly, addDays(today, -late))
	if err != nil {
		return nil
	}
	first := time.Date(now.Year(), now.Month(), 1, 0, 0, 0, 0, time.UTC)
	months := make([]string, goodMonths)
	for i := range months {
		months[i] = first.AddDate(0, -i-1, 0).Format("2006-01")
	}
	return months
}

// wentWell reports whether the record holds nothing that went wrong, of an operation that was measured wholly.
func wentWell(row *cohort.Row) bool {
	return row.Tagged && row.Measured && !row.Converted && !row.CapsuleRupture && len(row.Complications) == 0
}

// firstMonthLoss is the loss, in percent, at month 1; nil when it is not known.
func firstMonthLoss(row *cohort.Row) *float64 {
	for _, seen := range slices.Backward(row.After) {
		if seen.Window != string(WindowMonth1) {
			continue
		}
		if loss := lossAt(row, seen); loss != nil {
			return loss
		}
	}
	return nil
}

// monthLoss is a case whose loss at month 1 is known, percent.
type monthLoss struct {
	row  *cohort.Row
	loss float64
}

// firstMonthLosses gives the cases whose loss at month 1 is known.
func firstMonthLosses(rows []cohort.Row) []monthLoss {
	var known []monthLoss
	for i := range rows {
		if loss := firstMonthLoss(&rows[i]); loss != nil {
			known = append(known, monthLoss{&rows[i], *loss})
		}
	}
	return known
}

// GoodCase draws one of the operations of a month that went well and lost less than the median of the unit's operations of
// the technique, of which at least 20 are known. The lot is the SHA-256 of unit, month and case, so that the same record
// gives the same case. The id is "" when there is none.
func (u Unit) GoodCase(rows []cohort.Row, month string) (caseID string, reason TriggerReason) {
	return u.goodCase(firstMonthLosses(rows), month)
}

func (u Unit) goodCase(known []monthLoss, month string) (caseID string, reason TriggerReason) {
	losses := map[string][]float64{}
	var candidates []monthLoss
	for _, one := range known {
		losses[one.row.Technique] = append(losses[one.row.Technique], one.loss)
		if monthOf(one.row.Date) == month && wentWell(one.row) {
			candidates = append(candidates, one)
		}
	}
	if len(candidates) == 0 {
		return "", TriggerReason{}
	}
	medians := map[string]float64{}
	for technique, of := range losses {
		if len(of) >= timeline.SmallestGroup {
			slices.Sort(of)
			medians[technique] = timeline.Quantile(of, 0.5)
		}
	}
	candidates = slices.DeleteFunc(candidates, func(c monthLoss) bool {
		median, told := medians[c.row.Technique]
		return !told || c.loss >= median
	})
	if len(candidates) == 0 {
		return "", TriggerReason{}
	}
	drawn := slices.MinFunc(candidates, func(a, b monthLoss) int { return cmp.Compare(u.lot(month, a.row.CaseID), u.lot(month, b.row.CaseID)) })
	technique := drawn.row.Technique
	return drawn.row.CaseID, TriggerReason{TriggerGoodCase, fmt.Sprintf(
		"What went right: measured wholly, nothing went wrong, a loss of endothelial cells of %s %% at month 1 (the unit's median is %s %%, %d cases). Drawn by lot.",
		rounded(drawn.loss), rounded(medians[technique]), len(losses[technique]))}
}

func (u Unit) lot(month, caseID string) string {
	sum := sha256.Sum256([]byte(u.Name + "\n" + month + "\n" + caseID))
	return hex.EncodeToString(sum[:])
}
