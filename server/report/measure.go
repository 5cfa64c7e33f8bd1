package report

import (
	"slices"

	"zonule/annotate"
	"zonule/timeline"
)

// measure lays the reading on the case clock and computes its times. Parts that cannot be placed leave the clock empty,
// so that nothing is measured from a wrong place.
func (b *builder) measure() {
	input, err := annotate.Intervals(b.CaseFile)
	if err != nil {
		without := b.CaseFile
		without.Parts = nil
		input, _ = annotate.Intervals(without) // without parts there is nothing to place and so no error
		b.unplaced = err.Error()
	}
	b.input, b.result = input, timeline.Durations(input)
}

// stageNumber is the place of a stage in the operation, from 1; 0 for one that is in no list.
func (b builder) stageNumber(code string) int {
	return slices.Index(b.input.Stages, code) + 1
}

func (b builder) stageName(code string) string {
	for _, list := range b.StepLists {
		for _, stage := range list.Stages {
			if stage.Code == code {
				return stage.Name
			}
		}
	}
	return code
}

// step finds a step; one that is in no list has its code for a name.
func (b builder) step(code string) timeline.Step {
	for _, s := range b.input.Steps {
		if s.Code == code {
			return s
		}
	}
	return timeline.Step{Code: code, Name: code}
}

// eventName is the name of a kind of event in the step lists.
func (b builder) eventName(code string) string {
	for _, list := range b.StepLists {
		for _, kind := range list.EventKinds {
			if kind.Code == code {
				return kind.Name
			}
		}
	}
	return code
}

// running names the exclusive step that runs at an instant; "" when none does.
func (b builder) running(at *timeline.Instant) string {
	if at == nil {
		return ""
	}
	running, ok := timeline.StepAt(b.input, *at)
	if !ok {
		return ""
	}
	return b.step(running.Step).Name
}
