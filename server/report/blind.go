package report

import (
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strings"

	"zonule/annotate"
	"zonule/timeline"
)

// oldestAge is the highest age that is told: above it so few are alive that the age may name a person. Source: the Safe
// Harbor list of the HIPAA privacy rule, 45 CFR 164.514(b)(2)(i)(C).
const oldestAge = 89

// Blind makes the edition of a report that does not tell whose eye it is nor who operated: no names, grades, pseudonym, ids,
// unit or dates, which become days after the operation; no age over 89; no comments and no other free words, since free
// words can name anybody. Only findings whose author says that they name nobody stay, and of these none that holds a name of
// the case, its pseudonym or a date. What is computed and what is chosen from a list stays. The report itself is not
// changed.
func Blind(full Report) (Report, error) {
	r, err := copied(full)
	if err != nil {
		return Report{}, err
	}
	b := blinder{full: full, people: map[string]string{}, parts: map[string]string{}, instruments: map[string]string{}}
	b.findPeople()
	r.Findings = b.findings(r.Findings)
	r.Threads, r.Doubts, r.Versions.StepLists = []Thread{}, []annotate.FieldError{}, []StepListVersion{}
	r.CaseChange, r.Versions.Edit, r.Recalibration, r.RiskPublished = 0, 0, nil, nil
	r.Risk.Factors = slices.DeleteFunc(r.Risk.Factors, func(f timeline.RiskFactor) bool { return f.Code == "grade" })
	if age := r.Case.Before.Age; age != nil && *age > oldestAge {
		r.Case.Before.Age = nil
	}
	for i := range r.FollowUp.Visits {
		r.FollowUp.Visits[i].Revision = 0
	}
	for i := range r.Missing {
		if r.Missing[i].Code == "clock" { // it names the files
			r.Missing[i].Text = "Nothing can be timed, because the parts of the recording cannot be placed on one clock."
		}
	}
	b.walk(reflect.ValueOf(&r).Elem())
	r.Blinded = b.leftOut()
	r.Summary = summarise(r)
	return r, nil
}

// blinded tells whether a report is a blinded edition.
func (r Report) blinded() bool { return len(r.Blinded) > 0 }

func copied(r Report) (Report, error) {
	content, err := JSON(r)
	if err != nil {
		return Report{}, err
	}
	var fresh Report
	err = json.Unmarshal(content, &fresh)
	return fresh, err
}

// blinder gives everybody and everything with a name of its own another.
type blinder struct {
	full                       Report
	people, parts, instruments map[string]string
	keptBack                   int // findings
}

// findPeople numbers those who operated, by name and by id, in the order of the report.
func (b *blinder) findPeople() {
	for i, o := range b.full.Operators {
		alias := fmt.Sprintf("Operator %d", i+1)
		b.people[o.Name], b.people[o.ID] = alias, alias
	}
}

// walk empties every text whose field is not known to be safe, and gives the others what they may say. A field that is new
// is emptied until somebody says here what it holds.
func (b *blinder) walk(v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			b.walk(v.Elem())
		}
	case reflect.Slice:
		for i := range v.Len() {
			b.walk(v.Index(i))
		}
	case reflect.Struct:
		for i := range v.NumField() {
			field, name := v.Field(i), v.Type().Name()+"."+v.Type().Field(i).Name
			switch {
			case field.Kind() == reflect.String:
				field.SetString(b.text(name, field.String()))
			case field.Kind() == reflect.Slice && field.Type().Elem().Kind() == reflect.String:
				if !slices.Contains(safeTexts, name) {
					field.Set(reflect.MakeSlice(field.Type(), 0, 0))
				}
			default:
				b.walk(field)
			}
		}
	}
}

// text is what stands in a field of the blinded edition.
func (b *blinder) text(field, text string) string {
	switch {
	case text == "" || slices.Contains(safeTexts, field):
		return text
	case slices.Contains([]string{"OperatorFacts.Name", "OperatorFigure.Operator", "OperatorTime.Name", "SheetLine.Operator"}, field):
		if alias, known := b.people[text]; known {
			return alias
		}
		return "Another operator"
	case slices.Contains([]string{"PartFacts.ID", "Moment.PartID", "Instant.Part"}, field):
		return numbered(b.parts, text, "part")
	case field == "EndothelialExam.Instrument":
		return numbered(b.instruments, text, "instrument")
	case slices.Contains([]string{"EndothelialExam.Date", "Happening.OnDate", "Happening.ResolvedOn", "Visit.Date", "LostToFollowUp.On"}, field):
		if days, ok := daysBetween(b.full.Case.Date, text); ok {
			return fmt.Sprintf("day %d", days)
		}
	case strings.HasSuffix(field, "Acuity"):
		if c := annotate.Convert(text); c != nil && c.Why == "" {
			return text // it reads as an acuity, and so is nothing else
		}
	}
	return ""
}

func numbered(seen map[string]string, text, what string) string {
	if seen[text] == "" {
		seen[text] = fmt.Sprintf("%s %d", what, len(seen)+1)
	}
	return seen[text]
}

// findings keeps those whose author says that they name nobody, unless they do.
func (b *blinder) findings(lines []FindingLine) []FindingLine {
	kept := []FindingLine{}
	for _, line := range lines {
		if line.NamesNobody && !b.names(line.Text) {
			kept = append(kept, line)
		}
	}
	b.keptBack = len(lines) - len(kept)
	return kept
}

// leftOut tells the reader what this edition does not say.
func (b *blinder) leftOut() []string {
	says := []string{
		"Names, grades and ids of people, the pseudonym, the unit, comments and all other free words are left out; dates are told as days after the operation.",
		"The computed figures are those of the full report. A rare finding, or somebody who was there, may still tell whose case it is: treat this edition as confidential.",
	}
	if b.keptBack > 0 {
		says = append(says, fmt.Sprintf("%d of %d findings and learning points are left out, because nobody said that they name nobody, or because they do name somebody.", b.keptBack, len(b.full.Findings)))
	}
	if age := b.full.Case.Before.Age; age != nil && *age > oldestAge {
		says = append(says, fmt.Sprintf("The age is left out, because it is over %d.", oldestAge))
	}
	return says
}
