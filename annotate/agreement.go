package annotate

import (
	"cmp"
	"context"
	"errors"
	"slices"

	"zonule/timeline"
	"zonule/timeline/cohort"
	"zonule/timeline/stat"
)

// ReadingsBeside is two readings of one case on one axis.
type ReadingsBeside struct {
	FirstReading  Reading       `json:"firstReading"`
	SecondReading Reading       `json:"secondReading"`
	Items         []cohort.Item `json:"items"` // the exclusive steps of either list, which are compared
	cohort.SideBySide
	// Moments says where each of the differences starts in the recording; null in a gap.
	Moments []*timeline.Instant `json:"moments"`
}

// Readers are two people who marked some of the same cases, or the same person twice.
type Readers struct {
	First  string `json:"first"`
	Second string `json:"second"`
	Cases  int    `json:"cases"`
}

// ReadingsBeside lays two readings of a case side by side. Both must be the actor's to see.
func (s *Service) ReadingsBeside(ctx context.Context, actor Actor, caseID, firstID, secondID string) (ReadingsBeside, error) {
	var answer ReadingsBeside
	err := s.onCase(ctx, actor, caseID, ReadingView, func(tx Tx, c seen) error {
		readings, err := tx.Readings(ctx, caseID)
		if err != nil {
			return err
		}
		for _, wanted := range []struct {
			id   string
			into *Reading
		}{{firstID, &answer.FirstReading}, {secondID, &answer.SecondReading}} {
			at := slices.IndexFunc(readings, func(r Reading) bool { return r.ID == wanted.id && c.seesReading(r) })
			if at < 0 {
				return notFound("reading")
			}
			*wanted.into = readings[at]
		}
		pair, items, clock, err := readingPair(ctx, tx, c.Case, answer.FirstReading, answer.SecondReading)
		if err != nil {
			return err
		}
		answer.Items = items
		answer.SideBySide, err = cohort.Beside(pair.Readings)
		var degenerate *stat.Degenerate
		if errors.As(err, &degenerate) {
			return Refuse(CodeInvalid, "There is nothing to compare yet: neither reading has a step with start and end.").Because(err)
		}
		answer.Moments = make([]*timeline.Instant, len(answer.Differences))
		for i, d := range answer.Differences {
			if at, ok := clock.Media(d.Start); ok {
				answer.Moments[i] = &at
			}
		}
		return err
	})
	return answer, err
}

// readingPair brings two readings of a case onto the case clock.
func readingPair(ctx context.Context, tx Tx, c Case, first, second Reading) (cohort.ReadingPair, []cohort.Item, timeline.Clock, error) {
	pair := cohort.ReadingPair{CaseID: c.ID, Date: c.Date}
	var items []cohort.Item
	var clock timeline.Clock
	for i, reading := range []Reading{first, second} {
		state, err := tx.ReadingState(ctx, reading.ID)
		if err != nil {
			return pair, nil, clock, err
		}
		file, err := caseFile(ctx, tx, c.ID, &state)
		if err != nil {
			return pair, nil, clock, err
		}
		in, err := Intervals(file)
		if err != nil {
			return pair, nil, clock, err
		}
		clock = in.Clock
		for _, step := range in.Steps {
			known := slices.ContainsFunc(items, func(item cohort.Item) bool { return item.Code == step.Code })
			if step.Exclusive && !known {
				items = append(items, cohort.Item{Kind: cohort.OfStep, Code: step.Code, Name: step.Name})
			}
		}
		episodes := closedEpisodes(in)
		if i == 0 {
			pair.Readings.A = episodes
		} else {
			pair.Readings.B = episodes
		}
	}
	for _, item := range items {
		pair.Readings.Exclusive = append(pair.Readings.Exclusive, item.Code)
	}
	pair.Readings.Timeline = clock.Extent()
	return pair, items, clock, nil
}

// closedEpisodes gives the episodes of exclusive steps that have a start and an end.
func closedEpisodes(in timeline.Input) []stat.Episode {
	exclusive := map[string]bool{}
	for _, step := range in.Steps {
		exclusive[step.Code] = step.Exclusive
	}
	var episodes []stat.Episode
	for _, mark := range timeline.Durations(in).Marks {
		if mark.Start != nil && mark.End != nil && exclusive[mark.Step] {
			episodes = append(episodes, stat.Episode{Label: mark.Step, Span: timeline.Span{Start: *mark.Start, End: *mark.End}})
		}
	}
	return episodes
}

// twiceRead gives, by case, the readings that the actor may see of cases that were read more than once, oldest first.
func twiceRead(ctx context.Context, tx Tx, actor Actor) (map[string][]Reading, map[string]Case, error) {
	readings, err := tx.RepeatedReadings(ctx)
	if err != nil {
		return nil, nil, err
	}
	var ids []string
	for _, reading := range readings {
		if len(ids) == 0 || ids[len(ids)-1] != reading.CaseID { // they come by case
			ids = append(ids, reading.CaseID)
		}
	}
	cases, err := tx.Cases(ctx, ids)
	if err != nil {
		return nil, nil, err
	}
	visible := map[string][]Reading{}
	for _, reading := range readings {
		c, known := cases[reading.CaseID]
		if !known {
			continue
		}
		viewed := seen{Case: c, relation: RelationTo(actor.User, c), actor: actor}
		if viewed.seesReading(reading) {
			visible[c.ID] = append(visible[c.ID], reading)
		}
	}
	return visible, cases, nil
}

// Readers gives who marked the same cases, as far as the actor sees both readings, those with most cases first.
func (s *Service) Readers(ctx context.Context, actor Actor) ([]Readers, error) {
	if err := present(actor); err != nil {
		return nil, err
	}
	list := []Readers{}
	err := s.store.Read(ctx, func(tx Tx) error {
		visible, _, err := twiceRead(ctx, tx, actor)
		counts := map[[2]string]int{}
		for _, readings := range visible {
			for pair := range pairsOf(readings) {
				counts[pair]++
			}
		}
		for pair, n := range counts {
			list = append(list, Readers{pair[0], pair[1], n})
		}
		return err
	})
	slices.SortFunc(list, func(a, b Readers) int {
		return cmp.Or(cmp.Compare(b.Cases, a.Cases), cmp.Compare(a.First, b.First), cmp.Compare(a.Second, b.Second))
	})
	return list, err
}

// pairsOf gives the two oldest readings of each pair of readers of one case; the ids of a pair are in order.
func pairsOf(readings []Reading) map[[2]string][2]Reading {
	pairs := map[[2]string][2]Reading{}
	for i, a := range readings {
		for _, b := range readings[i+1:] {
			first, second := a, b
			if first.AuthorID > second.AuthorID {
				first, second = second, first
			}
			key := [2]string{first.AuthorID, second.AuthorID}
			if _, known := pairs[key]; !known {
				pairs[key] = [2]Reading{first, second}
			}
		}
	}
	return pairs
}

// Agreement compares the readings of two people over all cases that both marked and whose readings the actor sees.
func (s *Service) Agreement(ctx context.Context, actor Actor, first, second string) (cohort.Agreement, error) {
	if err := present(actor); err != nil {
		return cohort.Agreement{}, err
	}
	var pairs []cohort.ReadingPair
	var items []cohort.Item
	err := s.store.Read(ctx, func(tx Tx) error {
		visible, cases, err := twiceRead(ctx, tx, actor)
		if err != nil {
			return err
		}
		key := [2]string{min(first, second), max(first, second)}
		for id, readings := range visible {
			both, found := pairsOf(readings)[key]
			if !found {
				continue
			}
			if first > second {
				both[0], both[1] = both[1], both[0]
			}
			pair, steps, _, err := readingPair(ctx, tx, cases[id], both[0], both[1])
			if err != nil {
				return err
			}
			pairs = append(pairs, pair)
			for _, step := range steps {
				if !slices.ContainsFunc(items, func(i cohort.Item) bool { return i.Code == step.Code }) {
					items = append(items, step)
				}
			}
		}
		return nil
	})
	slices.SortFunc(pairs, func(a, b cohort.ReadingPair) int {
		return cmp.Or(cmp.Compare(a.Date, b.Date), cmp.Compare(a.CaseID, b.CaseID))
	})
	if err != nil {
		return cohort.Agreement{}, err
	}
	return cohort.AgreementOver(pairs, items), nil
}
