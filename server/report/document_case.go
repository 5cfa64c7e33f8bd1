package report

import (
	"cmp"
	"fmt"
	"strings"

	"zonule/annotate"
	"zonule/server/report/sheet"
	"zonule/server/report/words"
	"zonule/timeline"
)

// facts collects values that are known; the rest is not set, since section "what the record cannot say" tells it.
type facts struct{ list sheet.Facts }

func (f *facts) add(name, value string) {
	if value != "" {
		f.list = append(f.list, sheet.Fact{Name: name, Value: value})
	}
}

func whole(value *int, unit string) string {
	if value == nil {
		return ""
	}
	return strings.TrimSpace(fmt.Sprintf("%d %s", *value, unit))
}

func decimal(value *float64, unit string) string {
	if value == nil {
		return ""
	}
	return strings.TrimSpace(words.AsEntered(*value) + " " + unit)
}

func (w writer) eye() []sheet.Block {
	before, o := w.Case.Before, w.Case.Operation
	f := &facts{}
	f.add("Eye", words.Upper(words.Eye(w.Case.Eye))+" ("+string(w.Case.Eye)+")")
	f.add("Date", words.Date(w.Case.Date))
	f.add("Age and sex", strings.Join(present(whole(before.Age, "years"), before.Sex), ", "))
	if before.NuclearGrade != nil {
		f.add("Nuclear grade", fmt.Sprintf("%d of 5", *before.NuclearGrade))
	}
	w.recordFacts(f)
	f.add("Pupil", before.Pupil)
	f.add("Axial length", decimal(before.AxialLength, "mm"))
	f.add("Chamber depth", decimal(before.ChamberDepth, "mm"))
	f.add("Corneal thickness", whole(before.Thickness, "µm"))
	if before.Exam != nil {
		f.add("Endothelium before", sayExam(*before.Exam))
	}
	f.add("Findings", words.Upper(words.List(findings(before))))
	f.add("Expected risk of rupture", w.chanceAsFact())
	f.add("Anaesthesia", words.Upper(words.Anaesthesia(o.Anaesthesia)))
	for _, person := range w.Operators {
		f.add(words.Upper(cmp.Or(words.Role(person.Role), "also operated")), w.sayPerson(person))
	}
	f.add("Planned", words.Upper(words.Technique(o.TechniquePlanned)))
	f.add("Performed", words.Upper(words.Technique(o.TechniquePerformed)))
	w.operationFacts(f)
	blocks := []sheet.Block{f.list}
	if o.Note != "" {
		blocks = append(blocks, sheet.Paragraph{Text: "Note: " + o.Note})
	}
	return blocks
}

// present keeps the texts that are not empty.
func present(texts ...string) []string {
	var kept []string
	for _, t := range texts {
		if t != "" {
			kept = append(kept, t)
		}
	}
	return kept
}

// findings lists what was answered with yes.
func findings(before annotate.EyeBefore) []string {
	var found []string
	for _, q := range []struct {
		answer annotate.Answer
		words  string
	}{
		{before.Glaucoma, "glaucoma"},
		{before.DiabeticRetinopathy, "diabetic retinopathy"},
		{before.BrunescentOrWhite, "brunescent or white cataract"},
		{before.NoFundalView, "no view of the fundus"},
		{before.Pseudoexfoliation, "pseudoexfoliation or phacodonesis"},
		{before.AlphaBlocker, "alpha-blocker taken"},
		{before.CannotLieFlat, "cannot lie flat"},
		{before.Guttata, "guttata"},
		{before.DeepSetOrbit, "deep-set orbit"},
		{before.PreviousVitrectomy, "vitrectomy before"},
		{before.PreviousInjections, "injections into the vitreous before"},
		{before.Diabetes, "diabetes"},
		{before.Amblyopia, "amblyopia"},
		{before.OnlyEye, "only eye"},
		{before.CornealScar, "corneal scar"},
		{before.CapsulePlaque, "plaque of the posterior capsule"},
		{before.PosteriorPolar, "posterior polar cataract"},
		{before.Phacodonesis, "phacodonesis"},
	} {
		if q.answer == annotate.Yes {
			found = append(found, q.words)
		}
	}
	return found
}

func (w writer) sayPerson(o OperatorFacts) string {
	text := named(o)
	if o.Operated != nil && o.Quality != timeline.NotRecorded && len(w.Operation.Operators) > 1 {
		text += ", operated " + words.Measured(o.Operated, o.Quality)
	}
	return text
}

// sayExam writes a count with what its precision rests on.
func sayExam(e annotate.EndothelialExam) string {
	parts := []string{words.Number(e.Density, 0) + " cells/mm²"}
	if e.Cells != nil {
		parts = append(parts, fmt.Sprintf("%d cells counted", *e.Cells))
	}
	if e.CV != nil {
		parts = append(parts, "CV "+words.Number(*e.CV, 2))
	}
	if e.Hexagonality != nil {
		parts = append(parts, words.Number(*e.Hexagonality, 0)+" % hexagonal")
	}
	return strings.Join(append(parts, present(e.Instrument)...), ", ")
}

// sayChance writes the expected chance, or its range while factors are unknown.
func sayChance(r timeline.Risk) string {
	if r.Percent != nil {
		return words.Number(*r.Percent, 1) + " %"
	}
	return fmt.Sprintf("%s to %s %%", words.Number(r.LowPercent, 1), words.Number(r.HighPercent, 1))
}

// mostNamed is how many unknown factors are named with their odds ratios.
const mostNamed = 4

// widestRange is how many times its low end the high end of a chance may be and still stand among the facts.
const widestRange = 5

// chanceAsFact is the chance among the facts, where a range that says nothing has no place.
func (w writer) chanceAsFact() string {
	if w.Risk.HighPercent > widestRange*w.Risk.LowPercent {
		return words.Plural(len(w.Risk.Unknown), "factor", "factors") + " not recorded"
	}
	return sayChance(w.Risk)
}

func (w writer) risk() []sheet.Block {
	r := w.Risk
	text := fmt.Sprintf("Expected chance of capsule rupture or vitreous loss in cases like this: %s (composite odds ratio %s to %s); it is a range, because not every factor is recorded.",
		sayChance(r), words.Number(r.CompositeLow, 2), words.Number(r.CompositeHigh, 2))
	if r.Percent != nil {
		text = fmt.Sprintf("Expected chance of capsule rupture or vitreous loss in cases like this: %s (composite odds ratio %s).", sayChance(r), words.Number(r.CompositeLow, 2))
	}
	var raising, unknown []string
	for _, f := range r.Factors {
		switch {
		case !f.Known:
			unknown = append(unknown, fmt.Sprintf("%s (%s to %s)", words.Lower(f.Name), words.Number(f.Low, 2), words.Number(f.High, 2)))
		case f.Low != 1:
			level := strings.TrimSuffix(" "+words.Grade(annotate.Grade(f.Level)), " "+string(annotate.Yes))
			raising = append(raising, fmt.Sprintf("%s%s (%s)", words.Lower(f.Name), level, words.Number(f.Low, 2)))
		}
	}
	if len(raising) > 0 {
		text += " What moves it, as odds ratios: " + words.List(raising) + "."
	}
	switch {
	case len(unknown) > mostNamed:
		text += fmt.Sprintf(" %d of %d factors are not recorded.", len(unknown), len(r.Factors))
	case len(unknown) > 0:
		text += " Not recorded: " + words.List(unknown) + "."
	}
	blocks := []sheet.Block{sheet.Paragraph{Text: text}}
	if told := w.sayRecalibration(); told != "" {
		blocks = append(blocks, sheet.Paragraph{Text: told})
	}
	return append(blocks, sheet.Paragraph{Text: r.Source + ". " + r.Status + " " + r.Limits, Tone: sheet.Quiet})
}

// sayRecalibration tells what the unit's own multiplier rests on, and the published chance beside; "" while it is off.
func (w writer) sayRecalibration() string {
	c := w.Recalibration
	if w.RiskPublished == nil || c == nil || c.OddsMultiplier == nil || c.ExpectedPercent == nil {
		return ""
	}
	return fmt.Sprintf("Fitted to the unit: the odds are multiplied by %s, with which the unit's expected events equal the observed ones. "+
		"It rests on %d of the %d operations from %s to %s, those with every factor recorded: %s with capsule rupture (%s %%), where %s %% were expected as published. As published the chance here is %s.",
		words.Number(*c.OddsMultiplier, 2), c.Operations, c.InWindow, words.Date(c.From), words.Date(c.To), words.Plural(c.Observed, "operation", "operations"),
		words.Number(100*float64(c.Observed)/float64(c.Operations), 2), words.Number(*c.ExpectedPercent, 2), sayChance(*w.RiskPublished))
}
