package outcome

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

func cases(n int) string {
	if n == 1 {
		return "1 case"
	}
	return fmt.Sprintf("%d cases", n)
}

func people(n int) string {
	switch n {
	case 0:
		return "nobody"
	case 1:
		return "one person"
	}
	return fmt.Sprintf("%d people", n)
}

func capital(text string) string {
	if text == "" {
		return text
	}
	return strings.ToUpper(text[:1]) + text[1:]
}

func driveThis(n int) string {
	if n == 1 {
		return "One case drives"
	}
	return []string{2: "Two", 3: "Three"}[n] + " cases drive"
}

func itOrThem(n int) string {
	if n == 1 {
		return "it"
	}
	return "them"
}

func lieOff(n int) string {
	if n == 1 {
		return "1 case lies"
	}
	return fmt.Sprintf("%d cases lie", n)
}

// listed joins words as a sentence does.
func listed(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " and " + words[last]
}

func namesOf(factors []Adjustment) []string {
	names := make([]string, len(factors))
	for i, a := range factors {
		names[i] = a.Name
	}
	return names
}

// pWords writes a p value to stand after "p".
func pWords(p float64) string {
	if p < 0.001 {
		return "under 0.001"
	}
	return "= " + figure(p)
}

// figure writes a number with two or three digits.
func figure(v float64) string {
	size := math.Abs(v)
	switch {
	case size >= math.MaxFloat64/2:
		return "any size"
	case size >= 1e6:
		return "over a million"
	case size >= 100:
		return fmt.Sprintf("%.0f", v)
	case size >= 10:
		return fmt.Sprintf("%.1f", v)
	case size >= 0.095:
		return fmt.Sprintf("%.2f", v)
	case size == 0:
		return "0"
	}
	return fmt.Sprintf("%.2g", v)
}

// sides are the words for more and less of an outcome: a number of units, more or less, of what.
var sides = map[OutcomeKind]struct{ unit, more, less, of string }{
	Loss:       {" %", " fewer", " more", " cells left"},
	Oedema:     {" grades", " more", " less", ""},
	Thickness:  {" %", " more", " less", " thickness"},
	AcuityGain: {" logMAR", " more", " less", " gain"},
}

// sizeWords tells a size with its interval.
func (t *table) sizeWords(s Size) string {
	if t.definition.Outcome.Kind == Complication {
		return fmt.Sprintf("an odds ratio of %s (95 %% interval %s to %s)", figure(s.Value), figure(s.Low), figure(s.High))
	}
	side := sides[t.definition.Outcome.Kind]
	about := func(v float64) string {
		if v < 0 {
			return figure(-v) + side.unit + side.less
		}
		return figure(v) + side.unit + side.more
	}
	interval := about(s.Low) + " to " + about(s.High)
	switch {
	case s.Low >= 0:
		interval = figure(s.Low) + " to " + figure(s.High) + side.unit
	case s.High <= 0:
		interval = figure(-s.High) + " to " + figure(-s.Low) + side.unit
	}
	return about(s.Value) + side.of + " (95 % interval " + interval + ")"
}

// isFound reports whether a size leaves "no relation" out.
func (t *table) isFound(s Size) bool {
	if t.definition.Outcome.Kind == Complication {
		return oddsFound(s)
	}
	return found(s)
}

// tell composes the answer from the figures.
func (t *table) tell(r *Result) {
	held := 0
	for i := range r.Relations {
		rel := &r.Relations[i]
		rel.Text = t.relationWords(r, rel)
		r.Answer = append(r.Answer, rel.Text)
		if rel.Adjusted != nil && t.isFound(*rel.Adjusted) && rel.Holm != nil && *rel.Holm < 0.05 {
			held++
		}
	}
	if tried := len(r.Relations); tried > 1 {
		r.Notes = append(r.Notes, fmt.Sprintf("%d exposures were tried in this study, so that some may stand out by chance. Allowing for their number (Holm), %s.", tried, stands(held)))
	}
	if r.Operators < fewestOperators {
		r.Notes = append(r.Notes, fmt.Sprintf("There are fewer than %d operators, so that the intervals take all cases for independent. They are too narrow if the cases of one operator go together.", fewestOperators))
	}
	if slices.Contains(t.operators, "") {
		r.Notes = append(r.Notes, "In some cases nobody is recorded as having led, so that the intervals take all cases for independent. They are too narrow if the cases of one operator go together.")
	}
	if terms := 1 + len(t.terms); t.definition.Outcome.Kind != Complication && len(t.rows) < casesPerTerm*terms {
		r.Notes = append(r.Notes, fmt.Sprintf("There are %s for %d terms, under %d for each: with so many factors the figures follow chance.", cases(len(t.rows)), terms, casesPerTerm))
	}
	switch t.definition.Outcome.Kind {
	case Loss:
		if n := t.acrossAll(); n > 0 {
			r.Notes = append(r.Notes, fmt.Sprintf("In %s the two counts are of different instruments or methods and are compared at the case's request; %s", cases(n), betweenInstruments))
		}
	case Oedema:
		r.Notes = append(r.Notes, "The grades of oedema are taken as equal steps, which they are not quite.")
	case Complication:
		r.Notes = append(r.Notes, "A case without a recorded complication counts as one without it. A complication also makes an operation longer: time after it is part of the time counted here.")
	}
	r.CannotSay = append(r.CannotSay, "These are relations between what this unit recorded and what came of its eyes. They do not tell what would have come of an eye with a shorter time or less energy.")
	if text := t.reverse(r.Relations); text != "" {
		r.CannotSay = append(r.CannotSay, text)
	}
	r.CannotSay = append(r.CannotSay, "Two eyes of one patient count as two cases that tell nothing of each other, which is not quite so: where many patients had both eyes operated the intervals are too narrow.")
	if len(r.NotAdjusted) > 0 {
		r.CannotSay = append(r.CannotSay, "Not allowed for: "+listed(namesOf(r.NotAdjusted))+". What the record does not hold is not allowed for either.")
	} else {
		r.CannotSay = append(r.CannotSay, "What the record does not hold is not allowed for.")
	}
}

func stands(n int) string {
	if n == 1 {
		return "1 of them still stands out"
	}
	if n == 0 {
		return "none of them stands out"
	}
	return fmt.Sprintf("%d of them still stand out", n)
}

// relationWords is the answer about one exposure.
func (t *table) relationWords(r *Result, rel *Relation) string {
	if rel.Adjusted == nil {
		return fmt.Sprintf("%s: nothing can be said. %s", capital(rel.Name), rel.Why)
	}
	allowing := "with nothing else allowed for"
	if len(r.AdjustedFor) > 0 {
		allowing = "allowing for " + listed(namesOf(r.AdjustedFor))
	}
	text := fmt.Sprintf("%s goes with %s in %s, %s.", rel.Exposure.each(rel.Measure, rel.Per), t.sizeWords(*rel.Adjusted), cases(rel.Adjusted.N), allowing)
	if t.isFound(*rel.Adjusted) {
		return text
	}
	text = fmt.Sprintf("No relation is shown between %s and %s: each %s goes with %s in %s, %s.", rel.Name, r.Outcome.Name, rel.Per, t.sizeWords(*rel.Adjusted), cases(rel.Adjusted.N), allowing)
	if rel.SmallestSeen != nil {
		text += fmt.Sprintf(" That is no proof of none: only %s or more would have shown in four studies of five like this one.", t.smallestWords(*rel.SmallestSeen))
	}
	return text
}

func (t *table) smallestWords(v float64) string {
	if t.definition.Outcome.Kind == Complication {
		return "an odds ratio of " + figure(v)
	}
	side := sides[t.definition.Outcome.Kind]
	return figure(v) + side.unit + side.more + side.of
}

// counting tells how the error of counting came in.
func (t *table) counting(r *Result) {
	if t.variances == nil {
		return
	}
	c := &CountingError{}
	var known []float64
	for _, v := range t.variances {
		if !math.IsNaN(v) {
			known = append(known, v)
		}
	}
	c.Known = len(known)
	r.CountingError = c
	if t.assumed() == nil {
		c.Text = "The counting error is known of fewer than half of the cases (cells counted or their variation is missing): all counts weigh the same, and how much of the spread is counting is not known."
		return
	}
	c.Assumed = 100 * math.Sqrt(spreadOf(known).Median)
	if fit, err := t.fit(t.design(nil, t.terms)); err == nil {
		c.Share = 100 * fit.share
	}
	c.Text = fmt.Sprintf("Each loss weighs by how exactly it was counted; counting error makes about %.0f %% of the spread that the factors leave. It widens the intervals and does not bend the line.", c.Share)
	if missing := len(t.variances) - len(known); missing > 0 {
		c.Text += fmt.Sprintf(" In %s it is not known and taken as the middle of the others (%s %%).", cases(missing), figure(c.Assumed))
	}
}
