package annotate

import (
	"cmp"
	"context"
	"slices"

	"zonule/timeline"
	"zonule/timeline/cohort"
	"zonule/timeline/outcome"
)

// CaseLevel is one case beside the unit's other cases of the same technique, which never hold the case itself.
type CaseLevel struct {
	Technique Technique              `json:"technique"`
	Others    int                    `json:"others"` // the unit's other cases of the technique
	Exposures []outcome.CaseExposure `json:"exposures"`
	Loss      *outcome.CaseLoss      `json:"loss"`
	// WhyNoLoss says what is missing where Loss is null.
	WhyNoLoss     string              `json:"whyNoLoss"`
	Complications []LevelComplication `json:"complications"`
	StandsOut     string              `json:"standsOut"` // one sentence
	CannotSay     string              `json:"cannotSay"` // one sentence
	Notes         []string            `json:"notes"`
}

// LevelComplication is a complication of the case, how often its step carries it, and what came before it.
type LevelComplication struct {
	ID string `json:"id"`
	outcome.CaseComplication
	At    *timeline.Instant `json:"at"`    // null when the recording does not show it
	Clock *int64            `json:"clock"` // null when the instant lies in no part
	// Before is null without a place on the case clock or without an accepted reading.
	Before *MinutesBefore `json:"before"`
}

// MinutesBefore is what the minutes before a complication looked like. Times are on the case clock, ms.
type MinutesBefore struct {
	Minutes int `json:"minutes"`
	// Span begins no earlier than the first step.
	Span       timeline.Span    `json:"span"`
	Events     []HappenedBefore `json:"events"` // by time
	Gaps       []timeline.Span  `json:"gaps"`   // recorded, but in no marked step, over 2 s
	Unrecorded []timeline.Span  `json:"unrecorded"`
	// Since is when the episode of the running step began, null when none ran. StepLength is the whole length of that step
	// in this case, which what followed the complication is part of.
	Since       *int64           `json:"since"`
	StepLength  *int64           `json:"stepLength"`
	StepQuality timeline.Quality `json:"stepQuality"`
	// StepReference is that of the unit's other cases; null when no step ran.
	StepReference *StepReference `json:"stepReference"`
}

// HappenedBefore is an event or another complication in the minutes before.
type HappenedBefore struct {
	Kind         string           `json:"kind"`
	Name         string           `json:"name"`
	Complication bool             `json:"complication"`
	At           timeline.Instant `json:"at"`
	Clock        int64            `json:"clock"`
}

// StepReference is the length of a step in the unit's other cases of the technique, ms; the figures are null under 20.
type StepReference struct {
	N      int      `json:"n"`
	Median *float64 `json:"median"`
	Q1     *float64 `json:"q1"`
	Q3     *float64 `json:"q3"`
}

// leastGap is the longest gap between steps that is not told. Source: a boundary picked by hand is good to about 1 s, which is
// found (open data set), and a gap has two.
const leastGap = 2000

// minutesBefore is how far back a reader is shown. Source: our choice.
const minutesBefore = 3

// CaseLevel tells one case beside the unit's others, by its accepted reading.
func (s *Service) CaseLevel(ctx context.Context, actor Actor, caseID string) (CaseLevel, error) {
	var level CaseLevel
	err := s.onCase(ctx, actor, caseID, ReadingView, func(tx Tx, c seen) error {
		file, err := caseFile(ctx, tx, caseID, nil)
		if err != nil {
			return err
		}
		if file.Group, err = s.snapshot.group(ctx, tx, c.Operation.TechniquePerformed, caseID); err != nil {
			return err
		}
		level, err = s.levelOf(ctx, tx, file)
		return err
	})
	return level, err
}

// levelOf joins what the rows tell of the case with its own record. The file must hold the reference group.
func (s *Service) levelOf(ctx context.Context, tx Tx, file CaseFile) (CaseLevel, error) {
	rows, err := s.snapshot.cohort(ctx, tx)
	if err != nil {
		return CaseLevel{}, err
	}
	return BesideOthers(file, rows.Of(string(file.Case.Operation.TechniquePerformed))), nil
}

// BesideOthers tells the case of a file, which must hold its reference group, beside others from their flat rows. Parts that cannot be placed on one clock count as no recording.
func BesideOthers(file CaseFile, rows []*cohort.Row) CaseLevel {
	in, err := Intervals(file)
	if err != nil {
		file.Parts = nil
		in, _ = Intervals(file) // without parts there is nothing to place and so no error
	}
	var facts CaseFacts
	var result *timeline.Result
	if file.Reading != nil {
		computed := timeline.Durations(in)
		result = &computed
		facts.time(computed, *file.Reading)
	}
	row := rowOf(file, in, result, facts.Tagged)
	answer := outcome.CaseLevel(rows, &row, namesIn(file))
	level := CaseLevel{
		Technique: Technique(answer.Technique), Others: answer.Others, Exposures: answer.Exposures, Loss: answer.Loss, WhyNoLoss: answer.WhyNoLoss,
		Complications: []LevelComplication{}, StandsOut: answer.StandsOut, CannotSay: answer.CannotSay, Notes: answer.Notes,
	}
	// The row holds the complications in the order of the file.
	for i, c := range file.Complications {
		one := LevelComplication{ID: c.ID, CaseComplication: answer.Complications[i], At: c.At}
		if c.At != nil {
			if clock, err := in.Clock.Case(*c.At); err == nil {
				one.Clock = &clock
			}
		}
		if one.Clock != nil && result != nil {
			one.Before = before(file, in, *result, c)
		}
		level.Complications = append(level.Complications, one)
	}
	return level
}

// namesIn are the words of the case's own step lists, the reading's own list first.
func namesIn(file CaseFile) outcome.Names {
	lists := slices.Clone(file.StepLists)
	slices.Reverse(lists)
	return wordsOf(lists)
}

// before looks back from a complication that has a place on the case clock.
func before(file CaseFile, in timeline.Input, result timeline.Result, c Complication) *MinutesBefore {
	lead, err := timeline.LeadTo(in, *c.At, minutesBefore*60_000)
	if err != nil {
		return nil
	}
	b := &MinutesBefore{Minutes: minutesBefore, Span: lead.Span, Events: []HappenedBefore{}, Gaps: []timeline.Span{}, Unrecorded: lead.Unrecorded}
	for _, gap := range lead.Unmarked {
		if gap.Length() > leastGap {
			b.Gaps = append(b.Gaps, gap)
		}
	}
	add := func(kind, name string, complication bool, at timeline.Instant) {
		clock, err := in.Clock.Case(at)
		if err == nil && clock <= lead.End && clock >= lead.End-minutesBefore*60_000 {
			b.Events = append(b.Events, HappenedBefore{kind, name, complication, at, clock})
		}
	}
	names := namesIn(file)
	for _, event := range file.Reading.Events {
		add(event.Kind, cmp.Or(names(outcome.EventName, event.Kind), event.Kind), false, event.At)
	}
	for _, other := range file.Complications {
		if other.ID != c.ID && other.At != nil {
			add(other.Kind, cmp.Or(names(outcome.ComplicationName, other.Kind), other.Kind), true, *other.At)
		}
	}
	slices.SortStableFunc(b.Events, func(x, y HappenedBefore) int {
		return cmp.Or(cmp.Compare(x.Clock, y.Clock), cmp.Compare(x.Kind, y.Kind))
	})
	if lead.Step == "" {
		return b
	}
	b.Since = &lead.Since
	if step, found := result.Step(lead.Step); found {
		b.StepLength, b.StepQuality = step.Total, step.Quality
	}
	b.StepReference = referenceOf(file.Group[lead.Step])
	return b
}

func referenceOf(group []int64) *StepReference {
	ref := &StepReference{N: len(group)}
	if len(group) >= groupEnough {
		placed := timeline.Place(0, group)
		ref.Median, ref.Q1, ref.Q3 = placed.Median, placed.Q1, placed.Q3
	}
	return ref
}
