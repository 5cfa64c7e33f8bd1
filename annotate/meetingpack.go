package annotate

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"zonule/timeline"
	"zonule/timeline/cohort"
	"zonule/timeline/outcome"
)

// preparedMoments is how many moments are prepared at most; the presenter adds what is missing.
const preparedMoments = 12

// composed is a pack drawn from facts.
type composed struct {
	Pack
	moments []KeptMoment
}

// packFacts is what a pack is drawn from. Only codes and figures are read, never what somebody wrote: free text may name
// people, and a blinded pack must not.
type packFacts struct {
	entries   []InboxEntry
	file      CaseFile
	row       cohort.Row
	result    timeline.Result
	clock     timeline.Clock
	reference TriggerReference
	newID     func() string
}

// composed draws the pack of an item's case.
func (s *Service) composed(ctx context.Context, tx Tx, item KeptItem) (composed, error) {
	f := packFacts{newID: s.newID}
	var err error
	for _, id := range item.InboxIDs {
		entry, err := tx.InboxEntry(ctx, id)
		if err != nil {
			return composed{}, err
		}
		f.entries = append(f.entries, entry)
	}
	if f.file, err = caseFile(ctx, tx, item.CaseID, nil); err != nil {
		return composed{}, err
	}
	if f.row, err = tx.CaseRow(ctx, item.CaseID); err != nil {
		return composed{}, err
	}
	if f.reference.Times, err = s.snapshot.group(ctx, tx, Technique(f.row.Technique), item.CaseID); err != nil {
		return composed{}, err
	}
	lists, err := tx.StepLists(ctx)
	if err != nil {
		return composed{}, err
	}
	f.reference.Names = wordsOf(lists)
	in, err := Intervals(f.file)
	if err != nil {
		return composed{}, err
	}
	f.clock, f.result = in.Clock, timeline.Durations(in)
	return composed{
		Pack: Pack{
			Situation: f.situation(), Background: f.background(), Assessment: f.assessment(),
			Recommendation: "For the meeting to agree: what would have prevented it, and what would have lessened its harm.",
		},
		moments: f.prepared(),
	}, nil
}

// situation says why the case is here.
func (f packFacts) situation() string {
	var reasons []string
	for _, entry := range f.entries {
		switch entry.Kind {
		case TriggerRequested:
			reasons = append(reasons, "Somebody who took part asked to discuss the case.")
		default:
			reasons = append(reasons, entry.Reason)
		}
	}
	return strings.Join(reasons, "\n")
}

// riskWords name the factors known before the operation that make it harder, in the order in which they are told.
var riskWords = []struct {
	field string
	words string
}{
	{"brunescentOrWhite", "brunescent or white cataract"}, {"pseudoexfoliation", "pseudoexfoliation"}, {"phacodonesis", "phacodonesis"},
	{"posteriorPolar", "posterior polar cataract"}, {"previousVitrectomy", "previous vitrectomy"}, {"noFundalView", "no view of the fundus"},
	{"alphaBlocker", "alpha blocker"}, {"guttata", "guttata"}, {"cornealScar", "corneal scar"}, {"glaucoma", "glaucoma"},
	{"diabetes", "diabetes"}, {"diabeticRetinopathy", "diabetic retinopathy"}, {"deepSetOrbit", "deep-set orbit"},
	{"cannotLieFlat", "cannot lie flat"}, {"onlyEye", "only eye"}, {"amblyopia", "amblyopia"}, {"capsulePlaque", "plaque of the capsule"},
	{"previousInjections", "previous injections into the vitreous"},
}

// background tells the eye before, with the age in tens of years.
func (f packFacts) background() string {
	before, lines := f.file.Case.Before, []string{}
	eye := map[Eye]string{RightEye: "Right eye", LeftEye: "Left eye"}[f.file.Case.Eye]
	if before.Age != nil {
		eye += ageWords(*before.Age)
	}
	lines = append(lines, eye+".")
	var lens []string
	if before.NuclearGrade != nil {
		lens = append(lens, fmt.Sprintf("nuclear grade %d of 5", *before.NuclearGrade))
	}
	if before.Pupil != "" {
		lens = append(lens, before.Pupil+" pupil")
	}
	if before.ChamberDepth != nil {
		lens = append(lens, "chamber depth "+plain(*before.ChamberDepth)+" mm")
	}
	if before.AxialLength != nil {
		lens = append(lens, "axial length "+plain(*before.AxialLength)+" mm")
	}
	answers := before.answers()
	for _, risk := range riskWords {
		if answers[risk.field] == Yes {
			lens = append(lens, risk.words)
		}
	}
	if len(lens) > 0 {
		lines = append(lines, largeFirst(strings.Join(lens, ", "))+".")
	}
	if before.Exam != nil && before.Exam.Density > 0 {
		lines = append(lines, fmt.Sprintf("Endothelial count %s cells/mm².", plain(before.Exam.Density)))
	}
	chance := rounded(f.row.Before.ExpectedLow)
	if high := rounded(f.row.Before.ExpectedHigh); high != chance {
		chance += " to " + high
	}
	lines = append(lines, fmt.Sprintf("Published chance of capsule rupture or vitreous loss in such eyes: %s %%.", chance))
	operation := f.file.Case.Operation
	lines = append(lines, largeFirst(techniqueWords[operation.TechniquePlanned])+" was planned"+
		map[bool]string{true: ", " + techniqueWords[operation.TechniquePerformed] + " performed.", false: " and performed."}[f.row.Converted])
	return strings.Join(lines, "\n")
}

func ageWords(age int) string {
	if age >= 90 {
		return ", aged 90 or more"
	}
	from := age / 10 * 10
	return fmt.Sprintf(", aged %d to %d", from, from+9)
}

// assessment tells the times, what happened, and what became of the eye.
func (f packFacts) assessment() string {
	lines := []string{}
	if f.row.Measured && f.row.Time != nil {
		lines = append(lines, "Operation time "+minutes(float64(*f.row.Time))+beside(float64(*f.row.Time), f.reference.Times[""])+".")
	}
	if long := judgeSteps(Unit{}, TriggerRule{Kind: TriggerLongStep, On: true}, &f.row, f.reference); long != "" {
		lines = append(lines, long)
	}
	if mishaps := mishapWords(&f.row, f.reference, func(string) bool { return true }); mishaps != "" {
		lines = append(lines, mishaps)
	}
	var events []string
	kinds := make([]string, 0, len(f.row.Events))
	for kind := range f.row.Events {
		kinds = append(kinds, kind)
	}
	slices.Sort(kinds)
	for _, kind := range kinds {
		events = append(events, fmt.Sprintf("%s (%d)", f.reference.name(outcome.EventName, kind), f.row.Events[kind]))
	}
	if len(events) > 0 {
		lines = append(lines, "Events: "+strings.Join(events, ", ")+".")
	}
	for _, seen := range f.row.After {
		if line := f.after(seen); line != "" {
			lines = append(lines, line)
		}
	}
	if len(f.row.After) == 0 {
		lines = append(lines, "No visit after the operation is recorded.")
	}
	return strings.Join(lines, "\n")
}

// beside places a time among those of the unit's other operations, where there are enough.
func beside(time float64, others []int64) string {
	if len(others) < timeline.SmallestGroup {
		return ""
	}
	return fmt.Sprintf("; the middle half of the unit's %d others took %s to %s", len(others),
		minutes(timeline.Quantile(others, 0.25)), minutes(timeline.Quantile(others, 0.75)))
}

// after tells one visit by its window, never by its date.
func (f packFacts) after(seen cohort.Seen) string {
	var found []string
	if seen.OedemaGrade != nil {
		found = append(found, fmt.Sprintf("oedema grade %d of 4", *seen.OedemaGrade))
	}
	if seen.LogMAR != nil {
		found = append(found, "corrected acuity logMAR "+fmt.Sprintf("%.2f", *seen.LogMAR))
	}
	if loss := lossAt(&f.row, seen); loss != nil {
		found = append(found, "loss of endothelial cells "+rounded(*loss)+" %")
	}
	if len(found) == 0 {
		return ""
	}
	return largeFirst(f.reference.name(outcome.WindowName, seen.Window)) + ": " + strings.Join(found, ", ") + "."
}

// candidate is a moment that may be prepared, on the case clock. A smaller weight goes first when there are too many.
type candidate struct {
	KeptMoment
	clock  int64
	weight int
}

// prepared gives the moments worth looking at, in the order of the operation: complications, then steps longer than 95 % of
// the others, then events other than top-ups.
func (f packFacts) prepared() []KeptMoment {
	var found []candidate
	add := func(at timeline.Instant, weight int, line string) {
		clock, err := f.clock.Case(at)
		if err != nil {
			return
		}
		found = append(found, candidate{KeptMoment{ID: f.newID(), PartID: at.Part, Ms: at.Ms, Line: line, Step: f.stepAt(clock)}, clock, weight})
	}
	for _, c := range f.file.Complications {
		if c.At != nil {
			add(*c.At, 0, largeFirst(f.reference.name(outcome.ComplicationName, c.Kind)))
		}
	}
	for _, step := range f.row.Steps {
		others := f.reference.Times[step.Code]
		if step.At == nil || step.Total == nil || step.Quality != timeline.Measured || len(others) < timeline.SmallestGroup ||
			float64(*step.Total) <= timeline.Quantile(others, longFrom) {
			continue
		}
		add(*step.At, 1, fmt.Sprintf("%s begins; %s, longer than 95 %% of the unit's others",
			largeFirst(f.reference.name(outcome.StepName, step.Code)), minutes(float64(*step.Total))))
	}
	if f.file.Reading != nil {
		for _, event := range f.file.Reading.Events {
			if event.Kind != eventTopUp {
				add(event.At, 2, largeFirst(f.reference.name(outcome.EventName, event.Kind)))
			}
		}
	}
	slices.SortStableFunc(found, func(a, b candidate) int {
		return cmp.Or(cmp.Compare(a.weight, b.weight), cmp.Compare(a.clock, b.clock))
	})
	found = found[:min(len(found), preparedMoments)]
	slices.SortStableFunc(found, func(a, b candidate) int {
		return cmp.Or(cmp.Compare(a.clock, b.clock), cmp.Compare(a.weight, b.weight))
	})
	moments := make([]KeptMoment, len(found))
	for i, c := range found {
		moments[i] = c.KeptMoment
	}
	return moments
}

// eventTopUp is routine and shown only when somebody prepares it.
const eventTopUp = "ovd-top-up"

// stepAt names the exclusive step that runs at a time of the case clock, "" between steps.
func (f packFacts) stepAt(clock int64) string {
	if f.file.Reading == nil {
		return ""
	}
	for _, m := range marksOf(f.file, f.result) {
		if m.step.Exclusive && m.span.Start <= clock && clock < m.span.End {
			return largeFirst(f.reference.name(outcome.StepName, m.step.Code))
		}
	}
	return ""
}
