package report

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"zonule/annotate"
	"zonule/server/report/sheet"
	"zonule/server/report/words"
	"zonule/timeline/outcome"
)

// question is the study in a sentence, and why it is asked.
func (s study) question() []sheet.Block {
	blocks := []sheet.Block{sheet.Paragraph{Text: s.inASentence(), Tone: sheet.Lead}}
	if s.Question != "" {
		blocks = append(blocks, sheet.Paragraph{Head: "Why it is asked", Text: s.Question})
	}
	facts := sheet.Facts{
		{Name: "Cases chosen", Value: strconv.Itoa(s.Population)}, {Name: "Cases with everything known", Value: strconv.Itoa(s.N)},
		{Name: "People who led them", Value: strconv.Itoa(s.Operators)},
	}
	if s.complication() {
		facts = append(facts, sheet.Fact{Name: "Cases with the complication", Value: strconv.Itoa(s.Events)})
	} else if s.Summary != nil {
		facts = append(facts, sheet.Fact{Name: "Outcome, median (middle half)", Value: medianOf(*s.Summary, s.Outcome.Unit)})
	}
	return append(blocks, facts)
}

func (s study) complication() bool { return s.Definition.Outcome.Kind == outcome.Complication }

// inASentence asks the question of the definition.
func (s study) inASentence() string {
	var names []string // each once, though it be told on two scales
	for i, e := range s.Definition.Exposures {
		name := e.Name(s.Names)
		if i < len(s.Relations) {
			name = s.Relations[i].Name
		}
		if !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	verb := "Does "
	if len(names) > 1 {
		verb = "Do "
	}
	given := ""
	if len(s.AdjustedFor) > 0 {
		given = ", given " + words.List(namesOf(s.AdjustedFor)) + ","
	}
	return fmt.Sprintf("%s%s go with %s%s in %s?", verb, words.List(names), s.Outcome.Name, given, s.population())
}

func namesOf(factors []outcome.Adjustment) []string {
	names := make([]string, len(factors))
	for i, a := range factors {
		names[i] = a.Name
	}
	return names
}

// population says which cases are chosen.
func (s study) population() string {
	p := s.Definition.Population
	text := "all cases"
	if p.Technique != "" {
		text = "cases of " + words.Technique(annotate.Technique(p.Technique))
	}
	if p.Operator != "" {
		text += " that one person led"
	}
	switch {
	case p.From != "" && p.To != "":
		text += " from " + words.Date(p.From) + " to " + words.Date(p.To)
	case p.From != "":
		text += " since " + words.Date(p.From)
	case p.To != "":
		text += " until " + words.Date(p.To)
	}
	switch {
	case p.GradeFrom != nil && p.GradeTo != nil && *p.GradeFrom == *p.GradeTo:
		text += fmt.Sprintf(" with nuclear grade %d", *p.GradeFrom)
	case p.GradeFrom != nil && p.GradeTo != nil:
		text += fmt.Sprintf(" with nuclear grade %d to %d", *p.GradeFrom, *p.GradeTo)
	case p.GradeFrom != nil:
		text += fmt.Sprintf(" with nuclear grade %d or more", *p.GradeFrom)
	case p.GradeTo != nil:
		text += fmt.Sprintf(" with nuclear grade %d or less", *p.GradeTo)
	}
	if !s.complication() && !p.WithRuptures {
		text += ", without those whose capsule ruptured"
	}
	return text
}

// answer is in the words of the result; where nothing is modelled it says what is missing.
func (s study) answer() []sheet.Block {
	if s.Why != "" {
		return []sheet.Block{sheet.Paragraph{Head: "Nothing is modelled.", Text: s.Why, Tone: sheet.Warning}}
	}
	var blocks []sheet.Block
	for _, text := range s.Answer {
		blocks = append(blocks, sheet.Paragraph{Text: text, Tone: sheet.Lead})
	}
	if len(s.Notes) > 0 {
		blocks = append(blocks, sheet.Paragraph{Head: "To be read with it.", Text: strings.Join(s.Notes, " ")})
	}
	return blocks
}

// medianOf writes the middle of values and their middle half.
func medianOf(s outcome.Spread, unit string) string {
	text := fmt.Sprintf("%s (%s to %s)", words.Figure(s.Median), words.Figure(s.Q1), words.Figure(s.Q3))
	return strings.TrimSpace(text + " " + unit)
}
