package cohort

import (
	"fmt"
	"math"
	"slices"

	"zonule/timeline/stat"
)

const (
	// smoothShare is the share of the points in the window of the smoothed line; smoothPasses the number of robust passes.
	smoothShare, smoothPasses = 2.0 / 3, 3
	// mostSmoothed bounds the points behind the smoothed line, whose time grows with their square.
	mostSmoothed = 1000
	// believed is the p value from which a floor or a bend is taken for real, corrected for the search.
	believed = 0.05
	// besideBend is the number of cases that must lie on each side of a bend.
	besideBend = 5
	// mostBends is the number of places at which a bend is sought.
	mostBends = 40
)

// rate fits log time on log case number, with the grade if asked for.
func (s *practice) rate(answer *Learning) (*stat.LinearModel, error) {
	d := stat.NewDesign(len(s.log))
	if err := d.Add("log case number", s.logN); err != nil {
		return nil, err
	}
	if s.graded {
		grade := make([]float64, len(s.grade))
		for i, g := range s.grade {
			grade[i] = g - s.centre
		}
		if slices.Min(grade) == slices.Max(grade) {
			s.graded = false
			answer.Notes = append(answer.Notes, "All eyes have the same nuclear grade: there is nothing to adjust for.")
		} else if err := d.Add("nuclear grade", grade); err != nil {
			return nil, err
		}
	}
	m, err := stat.LeastSquares(d, s.log, nil, confidence)
	if err != nil {
		return nil, err
	}
	slope := m.Coefficients[1]
	answer.Rate = &Ratio{Ratio: math.Exp2(slope.Estimate), Low: math.Exp2(slope.Interval.Lower), High: math.Exp2(slope.Interval.Upper)}
	answer.Notes = append(answer.Notes, m.Notes...)
	if s.graded {
		answer.Notes = append(answer.Notes, fmt.Sprintf("Adjusted for the nuclear grade; the curve is drawn for grade %.0f.", s.centre))
	}
	return m, nil
}

// floor adds the power law with a floor when the floor lies above 0 and the curve fits log times better than the straight
// line does. On the times themselves a few slow cases feign a floor (13 of 100 invented learners without one).
func (s *practice) floor(answer *Learning, line *stat.LinearModel, at []int) {
	with, err := stat.PowerLaw(s.number, s.total, true, confidence)
	if err != nil || with.A.Value*with.B.Value <= 0 || with.C.Interval.Lower <= 0 {
		return
	}
	var sse float64
	for i, n := range s.number {
		p, err := with.At(n)
		if err != nil || p.Value <= 0 {
			return
		}
		away := s.log[i] - math.Log(p.Value)
		sse += away * away
	}
	if stat.BetterFit(line.ResidualSD*line.ResidualSD*float64(line.DF), sse, 1, with.DF).P >= believed {
		return
	}
	answer.Floor = &Floor{Level: with.C.Value, Low: with.C.Interval.Lower, High: with.C.Interval.Upper, Curve: []SmoothPoint{}}
	for _, n := range at {
		if p, err := with.At(float64(n)); err == nil {
			answer.Floor.Curve = append(answer.Floor.Curve, SmoothPoint{n, p.Value})
		}
	}
}

// bend adds one bend of the line of log time on log case number, when it fits better even after the search for its place
// (Bonferroni over the places).
func (s *practice) bend(answer *Learning, at []int) {
	candidates := s.bends()
	if len(candidates) == 0 {
		return
	}
	line, err := stat.Segmented(s.logN, s.log, candidates, confidence)
	if err != nil {
		return
	}
	p := min(1, line.F.P*float64(len(candidates)))
	if p >= believed || line.Break == candidates[0] || line.Break == candidates[len(candidates)-1] {
		return
	}
	bend := &Break{
		At: int(math.Round(math.Exp(line.Break))), Before: math.Exp2(line.SlopeBefore), After: math.Exp2(line.SlopeAfter), P: p, Curve: []SmoothPoint{},
	}
	for _, n := range at {
		x := math.Log(float64(n))
		if height, err := line.Model.Predict([]float64{1, x, max(0, x-line.Break)}, 1); err == nil {
			bend.Curve = append(bend.Curve, SmoothPoint{n, math.Exp(height.Value)})
		}
	}
	answer.Break = bend
}

// bends gives the places at which a bend may lie: case numbers with enough cases on both sides, thinned evenly.
func (s *practice) bends() []float64 {
	sorted := slices.Sorted(slices.Values(s.logN))
	if len(sorted) < 2*besideBend+1 {
		return nil
	}
	inner := slices.Compact(slices.Clone(sorted[besideBend : len(sorted)-besideBend]))
	if len(inner) <= mostBends {
		return inner
	}
	some := make([]float64, mostBends)
	for i := range some {
		some[i] = inner[i*(len(inner)-1)/(mostBends-1)]
	}
	return some
}

// spaced gives whole case numbers from the first to the last, evenly in their logarithm.
func spaced(numbers []float64) []int {
	first, last := slices.Min(numbers), slices.Max(numbers)
	var at []int
	for k := range mostCurve {
		n := int(math.Round(first * math.Pow(last/first, float64(k)/(mostCurve-1))))
		if len(at) == 0 || n > at[len(at)-1] {
			at = append(at, n)
		}
	}
	return at
}

// thinnedSmooth gives the smoothed line back in ms, at most at mostCurve places.
func thinnedSmooth(s stat.Smooth) []SmoothPoint {
	points := []SmoothPoint{}
	count := min(s.N, mostCurve)
	for k := range count {
		i := k * (s.N - 1) / max(1, count-1)
		if n := int(s.X[i]); len(points) == 0 || n > points[len(points)-1].Number {
			points = append(points, SmoothPoint{n, math.Exp(s.Fitted[i])})
		}
	}
	return points
}

// smooth follows the points; of very many, evenly chosen ones.
func (s *practice) smooth() []SmoothPoint {
	x, y := s.number, s.log
	if n := len(x); n > mostSmoothed {
		x, y = make([]float64, mostSmoothed), make([]float64, mostSmoothed)
		for k := range x {
			i := k * (n - 1) / (mostSmoothed - 1)
			x[k], y[k] = s.number[i], s.log[i]
		}
	}
	line, err := stat.LOWESS(x, y, smoothShare, smoothPasses)
	if err != nil {
		return []SmoothPoint{}
	}
	return thinnedSmooth(line)
}

// tell says in words what the fit says.
func (s *practice) tell(answer *Learning) {
	r := answer.Rate
	switch {
	case r.High < 1:
		answer.Words = append(answer.Words, fmt.Sprintf("Each doubling of cases takes %s off (95 %% interval %s to %s).",
			percent(1-r.Ratio), percent(1-r.High), percent(1-r.Low)))
	case r.Low > 1:
		answer.Words = append(answer.Words, fmt.Sprintf("Each doubling of cases adds %s (95 %% interval %s to %s).",
			percent(r.Ratio-1), percent(r.Low-1), percent(r.High-1)))
	default:
		answer.Words = append(answer.Words, fmt.Sprintf("The times do not show a change with practice: each doubling of cases multiplies them by %.2f (95 %% interval %.2f to %.2f).",
			r.Ratio, r.Low, r.High))
	}
	if f := answer.Floor; f != nil {
		answer.Words = append(answer.Words, fmt.Sprintf("The curve approaches a level of %s (95 %% interval %s to %s).",
			seconds(f.Level), seconds(f.Low), seconds(f.High)))
	}
	if b := answer.Break; b != nil {
		answer.Words = append(answer.Words, fmt.Sprintf("The curve bends at about case %d: before it each doubling multiplies the time by %.2f, after it by %.2f.",
			b.At, b.Before, b.After))
	}
	if o := answer.Others; o != nil && len(answer.Curve) > 0 {
		last := answer.Curve[len(answer.Curve)-1]
		answer.Words = append(answer.Words, fmt.Sprintf("At case %d the curve stands at %s; the median of the others is %s.",
			last.Number, seconds(last.Value), seconds(o.Median)))
	}
}

func percent(share float64) string { return fmt.Sprintf("%.0f %%", 100*share) }

// learningMethods are the methods behind a learning curve.
var learningMethods = []Method{
	{
		Name:    "Case number",
		Formula: "Operations of the technique, by date, in which the person did the item; cases supervised are not counted.",
		Source:  "our definition", Status: "our definition",
		Caution: "Operations before the first one recorded here are not counted; a person with earlier experience starts too low.",
	},
	{
		Name:    "Rate of learning",
		Formula: "Least squares of log time on log case number, slope b; each doubling multiplies the time by 2^b. Student interval; bands of the line and of one new case.",
		Source:  "Wright TP. J Aeronaut Sci 1936;3:122-8", Status: "from memory; checked against R lm",
		Caution: "Eyes grow harder as a trainee advances: unless adjusted for the grade, that hides learning.",
	},
	{
		Name:    "Level that practice approaches",
		Formula: "time = A n^-B + C by least squares; shown when C lies above 0 with its interval and the curve fits log times better than the straight line (F test, p < 0.05).",
		Source:  "textbook nonlinear least squares", Status: "checked against R nls",
		Caution: "A level from few cases is a guess: look at the points.",
	},
	{
		Name:    "Bend",
		Formula: "Two straight lines of log time on log case number that meet; the best of at most 40 places; shown when p < 0.05 after Bonferroni's correction for the search.",
		Source:  "Hudson DJ. J Am Stat Assoc 1966;61:1097-129", Status: "from memory; checked against R lm",
		Caution: "A change of list, machine or supervisor bends a curve too.",
	},
	{
		Name:    "Smoothed line",
		Formula: "Locally weighted straight lines through log time, two thirds of the points, three robust passes.",
		Source:  "Cleveland WS. J Am Stat Assoc 1979;74:829-36", Status: "from memory; checked against statsmodels 0.13.5",
		Caution: "For the eye: it has no interval.",
	},
}
