package cohort

import (
	"fmt"
	"math"

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
	for _, e := range v.entries {
		raw.Add(place[e.operator], []float64{e.log - centre})
	}
	rawModel, err := stat.NewContrasts(raw, confidence)
	if err != nil {
		row.WhyNot = err.Error()
		return
	}
	terms := c.usableTerms(v)
	moments := c.momentsOf(v, terms.used, place, centre)
	model, dropped := modelOf(moments, row)
	terms.dropped = append(terms.dropped, dropped...)
	row.Dropped = append(row.Dropped, terms.dropped...)
	if model != nil {
		row.AdjustedFor = append(row.AdjustedFor, model.Terms...)
		row.Notes = append(row.Notes, spreadNote(model))
		c.tellFallen(row, v, terms.used)
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

// termChoice is which of mixTerms a row can be adjusted for; dropped ones with the reason in words.
type termChoice struct {
	used    []int
	dropped []string
}

// usableTerms takes the groups of terms in their order, as long as enough cases know all of them.
func (c *Cohort) usableTerms(v *rowView) termChoice {
	var choice termChoice
	complete := make([]bool, len(v.entries))
	for i := range complete {
		complete[i] = true
	}
	for from := 0; from < len(mixTerms); {
		to := from + 1
		for to < len(mixTerms) && mixTerms[to].group == mixTerms[from].group {
			to++
		}
		known, varying := c.knownTerms(v, complete, from, to)
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
		} else {
			choice.used = append(choice.used, varying...)
			for i, e := range v.entries {
				complete[i] = complete[i] && !math.IsNaN(c.cases.mix[int(e.at)*len(mixTerms)+from])
			}
		}
		from = to
	}
	return choice
}

// knownTerms counts the complete cases that know a group of terms too, and gives its terms that vary enough there.
func (c *Cohort) knownTerms(v *rowView, complete []bool, from, to int) (known int, varying []int) {
	seen := make([]int, to-from) // cases that differ from the first
	first := make([]float64, to-from)
	for i, e := range v.entries {
		values := c.cases.mix[int(e.at)*len(mixTerms)+from : int(e.at)*len(mixTerms)+to]
		if !complete[i] || math.IsNaN(values[0]) {
			continue
		}
		if known == 0 {
			copy(first, values)
		}
		known++
		for k, value := range values {
			if value != first[k] {
				seen[k]++
			}
		}
	}
	for k, others := range seen {
		if others >= rarest && known-others >= rarest || others >= rarest && !mixTerms[from+k].twoValued() {
			varying = append(varying, from+k)
		}
	}
	return known, varying
}

// momentsOf sums the cases that know all used terms. Outcomes are log ms about the centre.
func (c *Cohort) momentsOf(v *rowView, used []int, place []int, centre float64) *stat.GroupMoments {
	names := make([]string, len(used))
	for i, k := range used {
		names[i] = mixTerms[k].name
	}
	moments := stat.NewGroupMoments(names, len(v.present))
	values := make([]float64, len(used)+1)
	for _, e := range v.entries {
		if c.termsOf(e, used, values) {
			values[len(used)] = e.log - centre
			moments.Add(place[e.operator], values)
		}
	}
	return moments
}

// termsOf writes the terms of a case; false when one is not known.
func (c *Cohort) termsOf(e entry, used []int, into []float64) bool {
	row := c.cases.mix[int(e.at)*len(mixTerms) : (int(e.at)+1)*len(mixTerms)]
	for i, k := range used {
		if into[i] = row[k]; into[i] != into[i] {
			return false
		}
	}
	return true
}

// tellFallen counts the cases that lack a used term and says how they differ.
func (c *Cohort) tellFallen(row *ComparisonRow, v *rowView, used []int) {
	lacking := make([]int, len(mixTerms))
	values := make([]float64, len(used))
	var kept, fallen []int64
	for _, e := range v.entries {
		if c.termsOf(e, used, values) {
			kept = append(kept, e.total)
			continue
		}
		fallen = append(fallen, e.total)
		for i, k := range used {
			if values[i] != values[i] {
				lacking[k]++
				break // the first that is lacking; the rest is not written
			}
		}
	}
	if len(fallen) == 0 {
		return
	}
	for k, cases := range lacking {
		if cases > 0 {
			row.FellOut = append(row.FellOut, LeftOut{mixTerms[k].group + " is not known", cases})
		}
	}
	if len(fallen) >= fewestSummary && len(kept) >= fewestSummary {
		row.Notes = append(row.Notes, fmt.Sprintf(
			"The cases that fell out took %s at the median, those adjusted %s.", seconds(timeline.Quantile(fallen, 0.5)), seconds(timeline.Quantile(kept, 0.5))))
	}
}

func seconds(ms float64) string { return fmt.Sprintf("%.0f s", ms/1000) }

// spreadNote tells how far the operators differ beyond the eyes.
func spreadNote(m *stat.Contrasts) string {
	return fmt.Sprintf("For the same eye, one person's usual time differs from another's by a factor of about %.2f (one standard deviation), and one operation of a person from the next by %.2f.",
		math.Exp(m.Between), math.Exp(m.Within))
}

// twoValued tells that a term is 0 or 1.
func (t mixTerm) twoValued() bool { return t.centre == 0 }
