package cohort

import (
	"fmt"
	"math"
	"math/bits"
	"slices"

	"zonule/timeline"
	"zonule/timeline/stat"
)

const (
	// leastComplete is the share of the cases with a time that must be left when a term is used. Source: our choice.
	leastComplete = 0.75
	// rarest is the number of cases that must have, and lack, a yes-or-no feature.
	rarest = 3
	// casesPerTerm is how many cases beyond one per operator a term needs.
	casesPerTerm = 5
)

// adjust fills the ratios of a row whose group can be shown.
func (c *Cohort) adjust(row *ComparisonRow, v *rowView) {
	place := make([]int, len(c.operators))
	for at, operator := range v.present {
		place[operator] = at
	}
	raw := stat.NewGroupMoments(nil, len(v.present))
	centre := math.Log(row.Group.Median)
	outcome := make([]float64, 1)
	for _, e := range v.entries {
		outcome[0] = e.log - centre
		raw.Add(place[e.operator], outcome)
	}
	rawModel, err := stat.NewContrasts(raw, confidence)
	if err != nil {
		row.WhyNot = err.Error()
		return
	}
	terms := c.usableTerms(v)
	moments := c.momentsOf(v, terms, place, centre)
	model, dropped := modelOf(moments, row)
	terms.dropped = append(terms.dropped, dropped...)
	row.Dropped = append(row.Dropped, terms.dropped...)
	if model != nil {
		row.AdjustedFor = append(row.AdjustedFor, model.Terms...)
		row.Notes = append(row.Notes, spreadNote(model))
		c.tellFallen(row, v, terms)
	}
	for i := range row.Lanes {
		lane := &row.Lanes[i]
		operator := c.operatorAt(lane.Operator)
		if lane.N < fewestSummary || operator == nobody {
			continue
		}
		at := place[operator]
		if e, ok := rawModel.Alone(at); ok {
			lane.Raw = ratioOf(e, false)
		}
		if model == nil {
			continue
		}
		if moments.Size(at) < fewestSummary {
			lane.Why = join(lane.Why, fmt.Sprintf("Not adjusted: all but %s lack a fact about the eye.", plural(moments.Size(at), "case")))
			continue
		}
		if e, ok := model.Shrunken(at); ok {
			lane.Adjusted = ratioOf(e, true)
		}
		if e, ok := model.Alone(at); ok {
			lane.Alone = ratioOf(e, false)
		}
	}
}

func join(a, b string) string {
	if a == "" {
		return b
	}
	return a + " " + b
}

func ratioOf(e stat.Estimate, shrunken bool) *Ratio {
	return &Ratio{Ratio: math.Exp(e.Value), Low: math.Exp(e.Interval.Lower), High: math.Exp(e.Interval.Upper), Shrunken: shrunken}
}

// modelOf fits the terms that can be told apart; the reason why there is no model stands in the row.
func modelOf(moments *stat.GroupMoments, row *ComparisonRow) (*stat.Contrasts, []string) {
	usable, lost := moments.Usable()
	var dropped []string
	for _, term := range lost {
		switch {
		case term.Between:
			dropped = append(dropped, term.Term+": it differs between people only, so it cannot be told from the people themselves")
		case term.Reason == stat.Constant:
			dropped = append(dropped, term.Term+": the same in all cases")
		default:
			dropped = append(dropped, term.Term+": the terms before it say the same")
		}
	}
	model, err := stat.NewContrasts(usable, confidence)
	if err != nil {
		row.WhyNot = err.Error()
		return nil, dropped
	}
	return model, dropped
}

// termChoice is which of mixTerms a row can be adjusted for, what a case must know for that, how many cases do; dropped
// terms stand with the reason in words.
type termChoice struct {
	used    []int
	need    features
	known   int
	dropped []string
}

// usableTerms takes the groups of terms in their order, as long as enough cases know all of them. Cases are counted by
// their features.
func (c *Cohort) usableTerms(v *rowView) termChoice {
	count := make([]int, len(c.cases.sets))
	for _, e := range v.entries {
		count[c.cases.set[e.at]]++
	}
	having := func(bits features) int {
		cases := 0
		for at, f := range c.cases.sets {
			if f&bits == bits {
				cases += count[at]
			}
		}
		return cases
	}
	choice := termChoice{known: len(v.entries)}
	for from, to := 0, 0; from < len(mixTerms); from = to {
		need := choice.need
		for to = from; to < len(mixTerms) && mixTerms[to].group == mixTerms[from].group; to++ {
			need |= 1 << to
		}
		known := having(need)
		var varying []int
		for k := from; k < to; k++ {
			ones := having(need | oneBit<<k)
			if !mixTerms[k].twoValued() || ones >= rarest && known-ones >= rarest {
				varying = append(varying, k)
			}
		}
		reason := ""
		switch {
		case known == 0:
			reason = "never known"
		case float64(known) < leastComplete*float64(len(v.entries)):
			reason = fmt.Sprintf("known, with the terms before it, in only %d %% of the cases", 100*known/len(v.entries))
		case len(varying) == 0:
			reason = "the same in all cases, or nearly"
		case (known-len(v.present))/casesPerTerm < len(choice.used)+len(varying):
			reason = "too few cases for another term"
		}
		if reason != "" {
			choice.dropped = append(choice.dropped, mixTerms[from].group+": "+reason)
			continue
		}
		choice.used, choice.need, choice.known = append(choice.used, varying...), need, known
	}
	return choice
}

// momentsOf sums the cases that know all used terms. Outcomes are log ms about the centre.
func (c *Cohort) momentsOf(v *rowView, terms termChoice, place []int, centre float64) *stat.GroupMoments {
	names := make([]string, len(terms.used))
	for i, k := range terms.used {
		names[i] = mixTerms[k].name
	}
	moments := stat.NewGroupMoments(names, len(v.present))
	values := make([]float64, len(terms.used)+1)
	for _, e := range v.entries {
		if c.featuresOf(e)&terms.need != terms.need {
			continue
		}
		mix := c.cases.mix[int(e.at)*len(mixTerms) : (int(e.at)+1)*len(mixTerms)]
		for i, k := range terms.used {
			values[i] = mix[k]
		}
		values[len(terms.used)] = e.log - centre
		moments.Add(place[e.operator], values)
	}
	return moments
}

func (c *Cohort) featuresOf(e entry) features { return c.cases.sets[c.cases.set[e.at]] }

// tellFallen counts the cases that lack a used term and says how they differ.
func (c *Cohort) tellFallen(row *ComparisonRow, v *rowView, terms termChoice) {
	if terms.known == len(v.entries) {
		return
	}
	lacking := make([]int, len(mixTerms))
	fallen := make([]int64, 0, len(v.entries)-terms.known)
	for _, e := range v.entries {
		missing := terms.need &^ c.featuresOf(e)
		if missing != 0 {
			fallen = append(fallen, e.total)
			lacking[bits.TrailingZeros32(uint32(missing))]++
		}
	}
	for k, cases := range lacking {
		if cases > 0 {
			row.FellOut = append(row.FellOut, LeftOut{mixTerms[k].group + " is not known", cases})
		}
	}
	slices.Sort(fallen)
	kept := without(v.totals, fallen)
	if len(fallen) >= fewestSummary && len(kept) >= fewestSummary {
		row.Notes = append(row.Notes, fmt.Sprintf("The cases that fell out took %s at the median, those adjusted %s.",
			seconds(timeline.Quantile(fallen, 0.5)), seconds(timeline.Quantile(kept, 0.5))))
	}
}

// without takes some of the times out, both ascending.
func without(all, some []int64) []int64 {
	rest := make([]int64, 0, len(all)-len(some))
	for _, total := range all {
		if len(some) > 0 && some[0] == total {
			some = some[1:]
			continue
		}
		rest = append(rest, total)
	}
	return rest
}

func seconds(ms float64) string { return fmt.Sprintf("%.0f s", ms/1000) }

// spreadNote tells how far the operators differ beyond the eyes.
func spreadNote(m *stat.Contrasts) string {
	return fmt.Sprintf("For the same eye, one person's usual time differs from another's by a factor of about %.2f (one standard deviation), and one operation of a person from the next by %.2f.",
		math.Exp(m.Between), math.Exp(m.Within))
}
