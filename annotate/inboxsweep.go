package annotate

import (
	"context"
	"slices"
	"time"

	"zonule/timeline/cohort"
	"zonule/timeline/outcome"
)

const (
	// sweptAtOnce is how many cases are judged before what was found is kept.
	sweptAtOnce = 100
	// sweepFor bounds how long a reader of the inbox waits for cases to be judged; the next reader goes on.
	sweepFor = 3 * time.Second
	// inboxReach is how many days after the operation a case may still come to the inbox by itself, so that a unit that
	// begins is not asked to discuss its past. Source: our choice.
	inboxReach = 365
)

// rulesID stands in the audit log for the rules of the unit, by which reasons come and go.
const rulesID = "rules"

// judged is one case with the reasons that the rules find.
type judged struct {
	caseID  string
	reasons []TriggerReason
	good    bool // a good case that was drawn would still be one
	recent  bool // it may still come to the inbox by itself
}

// sweeping is what one reading of the rows found.
type sweeping struct {
	unit  Unit
	had   InboxSweep
	next  InboxSweep
	cases []judged
	drawn []judged // good cases
	more  bool     // there are rows left to judge
}

// sweepInbox judges the cases that changed since they were last judged, by this server or another, and keeps the reasons.
// Sweeping twice, or on two servers at once, keeps each reason once. More is set when cases are left for the next sweep.
func (s *Service) sweepInbox(ctx context.Context, actor Actor) (more bool, err error) {
	until := s.now().Add(sweepFor)
	for {
		var found sweeping
		err := s.store.Read(ctx, func(tx Tx) (err error) {
			found, err = s.judge(ctx, tx, until)
			return err
		})
		if err != nil || found.had == found.next && len(found.drawn) == 0 {
			return false, err
		}
		if err := s.store.Write(ctx, func(tx Tx) error { return s.keepSwept(ctx, tx, actor, found) }); err != nil {
			return false, err
		}
		if found.more && s.now().After(until) {
			return true, nil
		}
	}
}

// SweepInbox holds all cases that changed against the unit's rules, so that the first reader of the inbox after a start does
// not wait for it.
func (s *Service) SweepInbox(ctx context.Context) error {
	for {
		more, err := s.sweepInbox(ctx, Actor{})
		if err != nil || !more {
			return err
		}
	}
}

// judge holds the next cases against the rules, at least one and no more once the time has passed; it changes nothing.
func (s *Service) judge(ctx context.Context, tx Tx, until time.Time) (sweeping, error) {
	unit, err := unitOf(ctx, tx)
	if err != nil {
		return sweeping{}, err
	}
	had, err := tx.InboxSweep(ctx)
	if err != nil {
		return sweeping{}, err
	}
	found := sweeping{unit: unit, had: had, next: InboxSweep{Number: had.Number, Rules: hashOf([]any{unit.Triggers, unit.LossLimitPercent})}}
	if found.next.Rules != had.Rules {
		found.next.Number = 0
	}
	kept, err := tx.CaseRowsAfter(ctx, found.next.Number, sweptAtOnce)
	if err != nil {
		return sweeping{}, err
	}
	found.more = len(kept) == sweptAtOnce
	all, err := s.snapshot.cohort(ctx, tx)
	if err != nil {
		return sweeping{}, err
	}
	if len(kept) == 0 {
		found.drawn, err = s.draw(ctx, tx, unit, all, found.next)
		return found, err
	}
	lists, err := tx.StepLists(ctx)
	if err != nil {
		return sweeping{}, err
	}
	names := wordsOf(lists)
	known, err := tx.InboxEntriesOf(ctx, caseIDsOf(kept)...)
	if err != nil {
		return sweeping{}, err
	}
	oldest := addDays(s.today(), -inboxReach)
	for i := range kept {
		if i > 0 && s.now().After(until) {
			found.more = true
			break
		}
		row := &kept[i].Row
		one := judged{caseID: row.CaseID, good: wentWell(row), recent: row.Date >= oldest}
		if one.recent || slices.ContainsFunc(known, func(e InboxEntry) bool { return e.CaseID == row.CaseID }) {
			reference, err := s.referenceOf(ctx, tx, unit, all, row, names)
			if err != nil {
				return sweeping{}, err
			}
			one.reasons = unit.Reasons(row, reference)
		}
		found.cases, found.next.Number = append(found.cases, one), kept[i].Number
	}
	return found, nil
}

func caseIDsOf(rows []KeptRow) []string {
	ids := make([]string, len(rows))
	for i, row := range rows {
		ids[i] = row.CaseID
	}
	return ids
}

// referenceOf gives what a case is judged beside, as far as the unit's rules ask for it.
func (s *Service) referenceOf(ctx context.Context, tx Tx, unit Unit, all *cohort.Cohort, row *cohort.Row, names outcome.Names) (TriggerReference, error) {
	reference := TriggerReference{Names: names}
	if _, loss := lastLoss(row); loss != nil && unit.trigger(TriggerLossBeyond).On {
		reference.Loss = outcome.CaseLevel(all.Of(row.Technique), row, names).Loss
	}
	if !unit.trigger(TriggerLongStep).On {
		return reference, nil
	}
	var err error
	reference.Times, err = s.snapshot.group(ctx, tx, Technique(row.Technique), row.CaseID)
	return reference, err
}

// drawing is one look for good cases: on the same day, in the same rows and by the same rules it finds the same.
type drawing struct {
	day   string
	sweep InboxSweep
}

// draw gives the good cases of the closed months that have none yet.
func (s *Service) draw(ctx context.Context, tx Tx, unit Unit, all *cohort.Cohort, sweep InboxSweep) ([]judged, error) {
	now := drawing{s.today(), sweep}
	if last := s.drawnNone.Load(); !unit.trigger(TriggerGoodCase).On || last != nil && *last == now {
		return nil, nil
	}
	taken, err := goodMonthsTaken(ctx, tx)
	if err != nil {
		return nil, err
	}
	var drawn []judged
	losses := firstMonthLosses(all.Rows())
	for _, month := range unit.closedMonths(s.today()) {
		if taken[month] {
			continue
		}
		if id, reason := unit.goodCase(losses, month); id != "" {
			drawn = append(drawn, judged{caseID: id, reasons: []TriggerReason{reason}, good: true, recent: true})
		}
	}
	if len(drawn) == 0 {
		s.drawnNone.Store(&now)
	}
	return drawn, nil
}
