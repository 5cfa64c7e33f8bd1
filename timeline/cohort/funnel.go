package cohort

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"zonule/timeline"
	"zonule/timeline/stat"
)

const (
	// fewCases is under what a point is marked as resting on few cases. Source: found, the national audit shows a surgeon
	// from 50 operations on.
	fewCases = 50
	// fewestOthers is how many other operators there must be for their points to stay unnamed.
	fewestOthers = 3
	// curvePoints is the number of places at which the limits are drawn.
	curvePoints = 120
)

// FunnelOf places every operator of the unit, unnamed, between the exact limits of chance around the target. An operator
// whose eyes expect more is given more: the rate shown is observed over expected, times the target.
func FunnelOf(c *Cohort, q FunnelQuestion) Funnel {
	if q.Against == "" {
		q.Against = "unit"
	}
	f := Funnel{Question: q, LeftOut: []LeftOut{}, Points: []FunnelPoint{}, Curves: []FunnelCurve{}, Text: []string{}, Notes: []string{}, Methods: funnelMethods}
	if q.Against != "unit" && q.Against != "published" {
		f.Why = "The comparison is against the unit or against the published chances."
		return f
	}
	s := c.series(watch{kind: q.Kind, technique: q.Technique, from: q.From, to: q.To, baseline: q.Baseline, multiplier: q.OddsMultiplier})
	s.named()
	f.N, f.Events, f.Basis, f.Why = len(s.cases), s.events, s.basis, s.why
	f.LeftOut, f.Notes = append(f.LeftOut, s.leftOut...), append(f.Notes, s.notes...)
	if f.Why == "" {
		f.Why = f.against(&s)
	}
	if f.Why != "" {
		return f
	}
	groups := s.byOperator()
	z := make([]float64, 0, len(groups))
	for _, g := range groups {
		point, distance, err := f.place(g)
		if err != nil {
			f.Why = err.Error()
			return f
		}
		point.Own = q.Own != "" && g.operator == q.Own
		f.Points, z = append(f.Points, point), append(z, distance)
	}
	f.spread(z)
	f.hide()
	f.curves()
	f.tell()
	return f
}

// named leaves out cases without an operator.
func (s *series) named() {
	before := len(s.cases)
	s.cases = slices.DeleteFunc(s.cases, func(one watched) bool { return one.row.Operator == "" })
	s.leaveOut("Nobody is recorded as having led.", before-len(s.cases))
	s.events = 0
	for _, one := range s.cases {
		if one.failed {
			s.events++
		}
	}
	if len(s.cases) == 0 && s.why == "" {
		s.why = "There is no case with an operator in this period."
	}
}

// against sets the target and, against the unit itself, moves all chances by one multiplier of the odds so that as many
// events are expected as were seen.
func (f *Funnel) against(s *series) string {
	if f.Question.Against == "unit" && f.Question.Baseline == nil {
		multiplier, ok := timeline.RecalibratingMultiplier(s.chances(middleOf), s.events)
		if !ok {
			return "The unit has no event in these cases, or nothing but events: there is no rate of its own to compare with. Compare with the published chances."
		}
		for i := range s.cases {
			s.cases[i].middle = recalibrated(s.cases[i].middle, &multiplier)
		}
		f.Basis += fmt.Sprintf(" All chances were then multiplied by one factor (%s times the odds), so that the unit expects as many events as it had.", figure(multiplier))
	}
	var expected float64
	for _, one := range s.cases {
		expected += one.middle
	}
	f.Target = 100 * expected / float64(len(s.cases))
	return ""
}

// operatorSum is what one operator did and was expected to.
type operatorSum struct {
	operator  string
	n, events int
	expected  float64
}

// byOperator sums per operator, most cases first. The order tells no more than the points do.
func (s *series) byOperator() []operatorSum {
	place := map[string]int{}
	var groups []operatorSum
	for _, one := range s.cases {
		at, known := place[one.row.Operator]
		if !known {
			at = len(groups)
			place[one.row.Operator] = at
			groups = append(groups, operatorSum{operator: one.row.Operator})
		}
		g := &groups[at]
		g.n++
		g.expected += one.middle
		if one.failed {
			g.events++
		}
	}
	slices.SortFunc(groups, func(a, b operatorSum) int {
		return cmp.Or(cmp.Compare(b.n, a.n), cmp.Compare(a.events, b.events), cmp.Compare(a.expected, b.expected))
	})
	return groups
}

// place puts one operator into the funnel. Its limits are those of a binomial with the operator's own mean chance; a mix of
// chances spreads a little less, so that the limits are a little wide.
func (f *Funnel) place(g operatorSum) (FunnelPoint, float64, error) {
	mean := g.expected / float64(g.n)
	limits, err := stat.FunnelAt(g.n, mean)
	if err != nil {
		return FunnelPoint{}, 0, err
	}
	rate := float64(g.events) / float64(g.n)
	scale := f.Target / mean // from the operator's own scale to percent of the target
	p := FunnelPoint{
		N: g.n, Events: g.events, Expected: g.expected, Raw: 100 * rate, Rate: rate * scale, Few: g.n < fewCases,
		Lower95: limits.Lower95 * scale, Upper95: limits.Upper95 * scale, Lower998: limits.Lower998 * scale, Upper998: limits.Upper998 * scale,
	}
	switch {
	case rate > limits.Upper998 || rate < limits.Lower998:
		p.Outside = "99.8"
	case rate > limits.Upper95 || rate < limits.Lower95:
		p.Outside = "95"
	}
	return p, (rate - mean) / math.Sqrt(mean*(1-mean)/float64(g.n)), nil
}

// spread judges whether the operators differ more than chance makes them.
func (f *Funnel) spread(z []float64) {
	if len(z) < 3 {
		return
	}
	test, err := stat.Overdispersion(z)
	if err != nil {
		return
	}
	f.Dispersion, f.PDispersion = &test.Statistic, &test.P
	if slices.ContainsFunc(f.Points, func(p FunnelPoint) bool { return p.Expected < 1 }) {
		f.Notes = append(f.Notes, "Some operators expect less than one event: their limits and the check of the spread are coarse.")
	}
}

// hide keeps only the viewer's own point when the others are too few to stay unnamed, and numbers what is left.
func (f *Funnel) hide() {
	others := 0
	for _, p := range f.Points {
		if !p.Own {
			others++
		}
	}
	if others < fewestOthers {
		f.Points = slices.DeleteFunc(f.Points, func(p FunnelPoint) bool { return !p.Own })
		f.Dispersion, f.PDispersion = nil, nil
		f.Notes = append(f.Notes, fmt.Sprintf("Fewer than %d other operators: too few to stay unnamed, so their points are not shown.", fewestOthers))
	}
	for i := range f.Points {
		f.Points[i].Index = i + 1
	}
}

// curves draws the limits at the target, evenly over the root of the number of cases, where they bend most.
func (f *Funnel) curves() {
	most := 0
	for _, p := range f.Points {
		most = max(most, p.N)
	}
	last := 0
	for k := 1; k <= curvePoints && most > 0; k++ {
		share := float64(k) / curvePoints
		n := max(1, int(math.Round(1.1*float64(most)*share*share)))
		if n == last {
			continue
		}
		last = n
		limits, err := stat.FunnelAt(n, f.Target/100)
		if err != nil {
			return // the target is that of the cases, strictly between 0 and 1
		}
		f.Curves = append(f.Curves, FunnelCurve{
			N: n, Lower95: 100 * limits.Lower95, Upper95: 100 * limits.Upper95, Lower998: 100 * limits.Lower998, Upper998: 100 * limits.Upper998,
		})
	}
}

func (f *Funnel) tell() {
	f.Text = append(f.Text, fmt.Sprintf("%s in %s; the target is %s %%.", plural(f.Events, "event"), plural(f.N, "case"), figure(f.Target)))
	outside95, outside998 := 0, 0
	for _, p := range f.Points {
		switch p.Outside {
		case "95":
			outside95++
		case "99.8":
			outside95++
			outside998++
		}
		if p.Own {
			f.Text = append(f.Text, p.words())
		}
	}
	if len(f.Points) > 1 {
		f.Text = append(f.Text, fmt.Sprintf("Of %s, %s outside the 95 %% limits and %s outside the 99.8 %% limits; chance alone would put about %s outside the 95 %% limits.",
			plural(len(f.Points), "operator"), isOrAre(outside95), isOrAre(outside998), figure(0.05*float64(len(f.Points)))))
	}
	if f.PDispersion != nil {
		if *f.PDispersion < 0.05 {
			f.Notes = append(f.Notes, fmt.Sprintf("The operators differ more than chance and these risk factors explain (spread %s times that of chance, p = %s): the limits accuse too many. Look for what the record does not hold before looking at people.", figure(*f.Dispersion), figure(*f.PDispersion)))
		} else {
			f.Notes = append(f.Notes, fmt.Sprintf("The spread between operators (%s times that of chance) is no more than chance explains.", figure(*f.Dispersion)))
		}
	}
	f.Notes = append(f.Notes, "The points stand by number of cases and in no order of merit. A team operates: the one who led is not alone responsible.")
}

func (p FunnelPoint) words() string {
	where := "inside both limits"
	switch p.Outside {
	case "95":
		where = "outside the 95 % limits and inside the 99.8 % limits"
	case "99.8":
		where = "outside the 99.8 % limits"
	}
	text := fmt.Sprintf("You: %s in %s where %s were expected, %s %% after allowing for the mix of cases; %s.",
		plural(p.Events, "event"), plural(p.N, "case"), figure(p.Expected), figure(p.Rate), where)
	if p.Few {
		text += fmt.Sprintf(" Under %d cases little can be said either way.", fewCases)
	}
	return text
}

func isOrAre(n int) string {
	if n == 1 {
		return "1 is"
	}
	return count(n) + " are"
}

// funnelMethods tells where the figures of the funnel come from.
var funnelMethods = []Method{
	{
		Name:    "Funnel plot",
		Formula: "Limits from the exact binomial distribution with n cases and the target rate, interpolated between counts: 2.5, 97.5, 0.1 and 99.9 %. Rate shown = observed / expected x target.",
		Source:  "Spiegelhalter DJ. Stat Med 2005;24:1185-202", Status: "method found, formula from memory",
		Caution: "Inside or outside, never a ranking. The adjustment knows only the risk factors in the record.",
	},
	{
		Name:    "Spread between operators",
		Formula: "Mean of z squared, z = (rate - expected rate) / sqrt(expected rate x (1 - expected rate) / n); tested as chi-squared with as many degrees of freedom as operators.",
		Source:  "Spiegelhalter DJ. Stat Med 2005;24:1185-202", Status: "from memory",
		Caution: "Coarse where an operator expects less than one event.",
	},
}
