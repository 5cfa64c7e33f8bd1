package report

import (
	"cmp"
	"fmt"
	"strings"

	"zonule/annotate"
	"zonule/server/report/words"
	"zonule/timeline"
)

// summarise composes the paragraph at the top from the facts of the report, as a clinic letter begins.
func summarise(r Report) string {
	var sentences []string
	for _, s := range []string{sayCase(r), sayOperators(r), sayTime(r), sayComplications(r), sayFollowUp(r), sayLevel(r), sayOpen(r)} {
		if s != "" {
			sentences = append(sentences, s)
		}
	}
	return strings.Join(sentences, " ")
}

func sayCase(r Report) string {
	o, before := r.Case.Operation, r.Case.Before
	text := fmt.Sprintf("%s, %s: %s", cmp.Or(r.Case.Pseudonym, "A case"), words.Eye(r.Case.Eye), words.Technique(o.TechniquePerformed))
	if o.TechniquePlanned != o.TechniquePerformed {
		text += fmt.Sprintf(" (planned as %s)", words.Technique(o.TechniquePlanned))
	}
	if o.Anaesthesia != "" {
		text += fmt.Sprintf(" under %s anaesthesia", words.Anaesthesia(o.Anaesthesia))
	}
	if r.Case.Date != "" {
		text += " on " + words.Date(r.Case.Date)
	}
	who := map[string]string{"female": "woman", "male": "man"}[before.Sex]
	switch {
	case before.Age != nil && who != "":
		text += fmt.Sprintf(", in a %s of %d", who, *before.Age)
	case before.Age != nil:
		text += fmt.Sprintf(", at the age of %d", *before.Age)
	}
	if before.NuclearGrade != nil {
		text += fmt.Sprintf(", nucleus of grade %d", *before.NuclearGrade)
	}
	return text + "."
}

// named writes a person with their grade.
func named(o OperatorFacts) string {
	if o.Grade == "" {
		return o.Name
	}
	return fmt.Sprintf("%s (%s)", o.Name, words.Grade(o.Grade))
}

func sayOperators(r Report) string {
	var lead, with, others []string
	for _, o := range r.Operators {
		switch o.Role {
		case annotate.OperatorLead:
			lead = append(lead, named(o))
		case annotate.OperatorSupervisor:
			with = append(with, named(o))
		}
		if o.Role != annotate.OperatorLead && o.Operated != nil && o.Quality != timeline.NotRecorded {
			others = append(others, fmt.Sprintf("%s operated for %s of it", o.Name, words.Measured(o.Operated, o.Quality)))
		}
	}
	if len(lead) == 0 {
		return ""
	}
	text := words.List(lead) + " operated"
	if len(with) > 0 {
		text += ", supervised by " + words.List(with)
	}
	if len(others) > 0 {
		text += "; " + words.List(others)
	}
	return text + "."
}

func sayTime(r Report) string {
	if r.Operation.Time == nil {
		return "The operation is not timed."
	}
	text := fmt.Sprintf("From the first step to the last it took %s", words.Measured(r.Operation.Time, r.Operation.Quality))
	if p := r.Operation.Place; p.Percentile != nil && p.Median != nil {
		text += fmt.Sprintf(" (%s percentile of %d other cases, median %s)", words.Percentile(*p.Percentile), p.N, words.Length(int64(*p.Median)))
	}
	var longest *StepLine
	for i, s := range r.Steps {
		if s.Total != nil && s.Exclusive && s.Quality != timeline.NotRecorded && (longest == nil || *s.Total > *longest.Total) {
			longest = &r.Steps[i]
		}
	}
	if longest != nil {
		text += fmt.Sprintf("; the longest step was %s, %s", words.Lower(longest.Name), words.Measured(longest.Total, longest.Quality))
		if longest.Episodes > 1 {
			text += fmt.Sprintf(" in %d episodes", longest.Episodes)
		}
	}
	return text + "."
}

func sayComplications(r Report) string {
	var during, after []string
	for _, h := range r.Happenings {
		if h.Kind != kindComplication {
			continue
		}
		text := words.Lower(h.Name)
		switch {
		case h.Phase == postoperative:
			if h.OnDate != "" {
				text += " on " + words.Date(h.OnDate)
			}
			after = append(after, text)
			continue
		case h.At != nil && h.At.Clock != nil:
			text += " at " + words.Instant(*h.At.Clock)
			if h.Step != "" {
				text += fmt.Sprintf(" (during %s)", words.Lower(h.Step))
			}
		}
		during = append(during, text)
	}
	var sentences []string
	if len(during) > 0 {
		sentences = append(sentences, "Recorded during the operation: "+words.List(during)+".")
	}
	if len(after) > 0 {
		sentences = append(sentences, "Recorded afterwards: "+words.List(after)+".")
	}
	if len(sentences) == 0 {
		return "No complication is recorded."
	}
	return strings.Join(sentences, " ")
}

func sayFollowUp(r Report) string {
	var sentences []string
	for _, v := range r.FollowUp.Visits {
		var facts []string
		if v.Acuity != "" {
			facts = append(facts, "acuity "+v.Acuity)
		}
		if grade := words.Oedema(v.OedemaGrade); grade != "" && v.Window == annotate.WindowDay1 {
			facts = append(facts, "cornea "+grade)
		}
		if v.Loss != nil && v.Loss.LossPercent != nil {
			facts = append(facts, sayLoss(*v.Loss))
		}
		if len(facts) > 0 {
			sentences = append(sentences, fmt.Sprintf("At %s: %s.", words.Window(v.Window), strings.Join(facts, "; ")))
		}
	}
	return strings.Join(sentences, " ")
}

// sayLoss states a loss with its counting error, as a clause.
func sayLoss(l timeline.LossResult) string {
	text := fmt.Sprintf("endothelial loss %s %%", words.Number(*l.LossPercent, 1))
	if *l.LossPercent < 0 {
		text = fmt.Sprintf("endothelial count %s %% higher than before", words.Number(-*l.LossPercent, 1))
	}
	if !l.CountingErrorKnown {
		return text + ", counting error not known"
	}
	text += fmt.Sprintf(" (95 %% interval from counting error alone %s to %s %%)", words.Number(*l.Low, 1), words.Number(*l.High, 1))
	if *l.BeyondCountingError {
		return text + ", beyond counting error"
	}
	return text + ", within counting error"
}

func sayOpen(r Report) string {
	open := 0
	for _, t := range r.Threads {
		if !t.Settled {
			open++
		}
	}
	switch {
	case open > 0:
		return fmt.Sprintf("%s open.", words.Plural(open, "comment is", "comments are"))
	case len(r.Threads) > 0:
		return "All comments are settled."
	}
	return ""
}
