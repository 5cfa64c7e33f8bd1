package cohort

import (
	"fmt"
	"math"
)

// watched is one case that counts: what was expected of it and what happened.
type watched struct {
	row    *Row
	failed bool
	// low, middle and high are chances as fractions; they differ when a risk factor is unknown.
	low, middle, high float64
}

// series is the cases of a question in their order, and what the chances rest on.
type series struct {
	cases   []watched
	events  int
	leftOut []LeftOut
	basis   string
	notes   []string
	why     string // nothing can be charted
}

// watch is what monitoring and the funnel have in common.
type watch struct {
	kind, technique, from, to string
	baseline, multiplier      *float64
}

// had reports whether the case had the complication.
func (row *Row) had(kind string) bool {
	if kind == CapsuleRupture {
		return row.CapsuleRupture
	}
	for i := range row.Complications {
		if row.Complications[i].Kind == kind {
			return true
		}
	}
	return false
}

// series chooses the cases of the unit that count for the question, each with its expected chance.
func (c *Cohort) series(w watch) series {
	var s series
	undated, unrated, unknown := 0, 0, 0
	for i := range c.rows {
		row := c.rows[i]
		if w.technique != "" && row.Technique != w.technique {
			continue
		}
		if row.Date == "" {
			undated++
			continue
		}
		if w.from != "" && row.Date < w.from || w.to != "" && row.Date > w.to {
			continue
		}
		one := watched{row: row, failed: row.had(w.kind)}
		if w.kind == CapsuleRupture && w.baseline == nil {
			low, high := row.Before.ExpectedLow/100, row.Before.ExpectedHigh/100
			if !(low > 0 && low <= high && high < 1) {
				unrated++
				continue
			}
			if low < high {
				unknown++
			}
			one.low, one.high = recalibrated(low, w.multiplier), recalibrated(high, w.multiplier)
			one.middle = middleChance(one.low, one.high)
		}
		if one.failed {
			s.events++
		}
		s.cases = append(s.cases, one)
	}
	s.leaveOut("The date of the operation is not recorded.", undated)
	s.leaveOut("Nothing is known from which a chance could be expected.", unrated)
	s.rate(w, unknown)
	return s
}

func (s *series) leaveOut(reason string, cases int) {
	if cases > 0 {
		s.leftOut = append(s.leftOut, LeftOut{Reason: reason, Cases: cases})
	}
}

// rate says where the chances come from, and gives every case the same one where it is not published.
func (s *series) rate(w watch, unknown int) {
	switch {
	case len(s.cases) == 0:
		s.why = "There is no case in this period that counts."
	case w.baseline != nil:
		if !(*w.baseline > 0 && *w.baseline < 100) {
			s.why = "The expected rate must lie between 0 and 100 %."
			return
		}
		s.basis = fmt.Sprintf("A rate of %s %% set by hand for every case.", figure(*w.baseline))
		s.same(*w.baseline / 100)
	case w.kind == CapsuleRupture:
		s.basis = "The published chance of capsule rupture or vitreous loss in eyes like these (Narendran 2009, from memory)"
		if w.multiplier != nil {
			s.basis += fmt.Sprintf(", recalibrated with %s times the odds.", figure(*w.multiplier))
		} else {
			s.basis += ", not recalibrated: rates have fallen since, so that it expects too much today."
		}
		if unknown > 0 {
			s.notes = append(s.notes, fmt.Sprintf("In %s a risk factor is unknown: its chance is taken at the middle of its range, halfway between the lowest and the highest log odds. What the ends of the range would change stands beside.", ofCases(unknown, len(s.cases))))
		}
	default:
		if s.events == 0 {
			s.why = "This complication is not recorded in any case of the unit in this period, so that there is no rate to compare with. Set an expected rate."
			return
		}
		rate := float64(s.events) / float64(len(s.cases))
		if rate == 1 {
			s.why = "Every case of the unit in this period has this complication: there is nothing to watch."
			return
		}
		s.basis = fmt.Sprintf("The unit's own rate in this period, %s %% (%s), the same for every case: not adjusted for how difficult the eyes were.", figure(100*rate), ofCases(s.events, len(s.cases)))
		s.same(rate)
	}
}

func (s *series) same(chance float64) {
	for i := range s.cases {
		s.cases[i].low, s.cases[i].middle, s.cases[i].high = chance, chance, chance
	}
}

// of keeps the cases that one person led.
func (s *series) of(operator string) {
	kept := s.cases[:0:0]
	s.events = 0
	for _, one := range s.cases {
		if one.row.Operator == operator {
			kept = append(kept, one)
			if one.failed {
				s.events++
			}
		}
	}
	s.cases = kept
	if len(kept) == 0 && s.why == "" {
		s.why = "There is no case of this operator in this period that counts."
	}
}

// recalibrated multiplies the odds of a chance.
func recalibrated(chance float64, multiplier *float64) float64 {
	if multiplier == nil || !(*multiplier > 0) {
		return chance
	}
	return fromOdds(*multiplier * chance / (1 - chance))
}

// middleChance lies halfway between two chances on the scale of log odds. Source: our definition; the odds ratios of the
// published model multiply, so that the middle of their logarithms treats both ends alike.
func middleChance(low, high float64) float64 {
	if low == high {
		return low
	}
	return fromOdds(math.Sqrt(low / (1 - low) * high / (1 - high)))
}

func fromOdds(odds float64) float64 { return odds / (1 + odds) }

// chances are the expected chances of the cases at one place of their range.
func (s *series) chances(pick func(watched) float64) []float64 {
	p := make([]float64, len(s.cases))
	for i, one := range s.cases {
		p[i] = pick(one)
	}
	return p
}

func (s *series) outcomes() []bool {
	failed := make([]bool, len(s.cases))
	for i, one := range s.cases {
		failed[i] = one.failed
	}
	return failed
}

func lowChance(one watched) float64  { return one.low }
func middleOf(one watched) float64   { return one.middle }
func highChance(one watched) float64 { return one.high }
func ofCases(part, whole int) string {
	return fmt.Sprintf("%s of %s", count(part), plural(whole, "case"))
}
