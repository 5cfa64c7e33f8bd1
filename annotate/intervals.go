package annotate

import (
	"context"
	"slices"

	"zonule/timeline"
)

// groupEnough is how many cases a reference group needs before anything is read from it (computation 1).
const groupEnough = 20

// Intervals turns the reading of a case file into what the timeline computes from. A case without a reading, or
// without a recording, gives an input without marks.
func Intervals(file CaseFile) (timeline.Input, error) {
	clock, err := clockOf(file.Parts)
	if err != nil {
		return timeline.Input{}, err
	}
	in := timeline.Input{Clock: clock, Stages: []string{}, Steps: []timeline.Step{}}
	for i, list := range file.StepLists {
		addList(&in, list, i > 0 && !hasID(file.StepLists[:i], list.ID))
	}
	if file.Reading != nil {
		for _, m := range file.Reading.Markers {
			operator := m.OperatorID
			if operator == "" {
				operator = file.Case.lead()
			}
			in.Marks = append(in.Marks, timeline.Mark{ID: m.ID, Step: m.Step, Operator: operator, Start: m.Start, End: m.End})
		}
	}
	for _, c := range file.Complications {
		if c.At != nil {
			in.Complications = append(in.Complications, timeline.Happening{ID: c.ID, Kind: c.Kind, At: *c.At})
		}
	}
	in.Reference = medians(in.Steps, file.Group)
	return in, nil
}

func hasID(lists []StepList, id string) bool {
	return slices.ContainsFunc(lists, func(l StepList) bool { return l.ID == id })
}

// addList joins a list to those before it. A list of another technique follows a conversion; another version of the
// same list only adds the steps that it alone has.
func addList(in *timeline.Input, list StepList, converted bool) {
	for _, stage := range list.Stages {
		if !slices.Contains(in.Stages, stage.Code) {
			in.Stages = append(in.Stages, stage.Code)
		}
	}
	steps := make([]timeline.Step, len(list.Steps))
	for i, step := range list.Steps {
		steps[i] = timeline.Step{Code: step.Code, Name: step.Name, Stage: step.Stage, Exclusive: step.Exclusive, Required: step.Required}
	}
	switch {
	case len(in.Steps) == 0:
		in.Steps = steps
	case converted:
		in.Steps = timeline.MergeSteps(in.Steps, steps)
	default:
		required := map[string]bool{}
		for _, step := range in.Steps {
			required[step.Code] = step.Required
		}
		in.Steps = timeline.MergeSteps(in.Steps, steps)
		for i, step := range in.Steps {
			in.Steps[i].Required = required[step.Code]
		}
	}
}

// medians gives the median of each step in the unit's reference group, where that is large enough.
func medians(steps []timeline.Step, group map[string][]int64) map[string]int64 {
	found := map[string]int64{}
	for _, step := range steps {
		totals := group[step.Code]
		if len(totals) < groupEnough {
			continue
		}
		sorted := make([]float64, len(totals))
		for i, total := range totals {
			sorted[i] = float64(total)
		}
		slices.Sort(sorted)
		found[step.Code] = int64(timeline.Quantile(sorted, 0.5))
	}
	return found
}

// listsOf gives every list version in use by a reading: its own first, then those that conversions and markers name,
// in the order of the operation as far as markers tell it.
func listsOf(ctx context.Context, tx Tx, state ReadingState) ([]StepList, error) {
	refs := []StepListRef{state.StepList}
	add := func(ref StepListRef) {
		if !slices.Contains(refs, ref) {
			refs = append(refs, ref)
		}
	}
	for _, event := range state.Events {
		if event.StepList != nil {
			add(*event.StepList)
		}
	}
	for _, marker := range state.Markers {
		add(marker.StepList)
	}
	lists := make([]StepList, len(refs))
	for i, ref := range refs {
		list, err := tx.StepList(ctx, ref)
		if err != nil {
			return nil, err
		}
		lists[i] = list
	}
	return lists, nil
}
