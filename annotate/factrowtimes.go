package annotate

import (
	"slices"

	"zonule/timeline"
	"zonule/timeline/cohort"
)

// timeRow takes over the times of the accepted reading.
func timeRow(row *cohort.Row, file CaseFile, result timeline.Result) {
	operation := result.Operation
	row.StepList = file.Reading.StepList.ID
	row.Time, row.Measured = operation.Time, operation.Quality == timeline.Measured
	if operation.Untagged != nil {
		row.Untagged = *operation.Untagged
	}
	marked := marksOf(file, result)
	alone := !slices.ContainsFunc(marked, func(m markedStep) bool { return m.operator != row.Operator })
	for _, step := range result.Steps {
		part := cohort.Part{Code: step.Code, Total: step.Total, Episodes: step.Episodes, Quality: step.Quality, At: step.At}
		if step.Interrupted != nil {
			row.Interruption += *step.Interrupted
		}
		for _, own := range step.Operators {
			if alone {
				break
			}
			part.ByOperator = append(part.ByOperator, cohort.Share{
				Operator: own.Operator, Total: own.Total, Episodes: own.Episodes, Quality: own.Quality,
				At: firstOf(marked, func(m markedStep) bool { return m.step.Code == step.Code && m.operator == own.Operator }),
			})
		}
		row.Steps = append(row.Steps, part)
	}
	for _, stage := range result.Stages {
		of := keep(marked, func(m markedStep) bool { return m.step.Exclusive && m.step.Stage == stage.Stage })
		part := cohort.Part{
			Code: stage.Stage, Total: stage.Total, Episodes: stage.Episodes, Quality: stage.Quality,
			At: firstOf(of, all),
		}
		if !alone {
			part.ByOperator = sharesOf(of, stage.Quality, result.Gaps)
		}
		row.Stages = append(row.Stages, part)
	}
	for _, event := range file.Reading.Events {
		if row.Events == nil {
			row.Events = map[string]int{}
		}
		row.Events[event.Kind]++
	}
}

// markedStep is a marker with who operated and where it lies on the case clock.
type markedStep struct {
	step     timeline.Step
	operator string
	at       timeline.Instant
	span     timeline.Span
}

// marksOf gives the markers that lie on the case clock, by start.
func marksOf(file CaseFile, result timeline.Result) []markedStep {
	markers := map[string]Marker{}
	for _, marker := range file.Reading.Markers {
		markers[marker.ID] = marker
	}
	var marked []markedStep
	for _, figure := range result.Marks {
		step, listed := result.Step(figure.Step)
		if figure.Start == nil || !listed {
			continue
		}
		m := markedStep{step.Step, markers[figure.ID].OperatorID, markers[figure.ID].Start, timeline.Span{Start: *figure.Start, End: *figure.Start}}
		if m.operator == "" {
			m.operator = file.Case.lead()
		}
		if figure.End != nil {
			m.span.End = max(m.span.Start, *figure.End)
		}
		marked = append(marked, m)
	}
	return marked
}

func keep(marked []markedStep, wanted func(markedStep) bool) []markedStep {
	var kept []markedStep
	for _, m := range marked {
		if wanted(m) {
			kept = append(kept, m)
		}
	}
	return kept
}

func all(markedStep) bool { return true }

// firstOf gives where the first of the markers starts; nil when none is wanted.
func firstOf(marked []markedStep, wanted func(markedStep) bool) *timeline.Instant {
	at := slices.IndexFunc(marked, wanted)
	if at < 0 {
		return nil
	}
	start := marked[at].at
	return &start
}

// sharesOf splits a stage by operator, in the order in which they began, as timeline.Durations does a step: the length of
// the union of one's episodes without what lies in gaps of the recording. What is doubtful of the stage is so of each.
func sharesOf(marked []markedStep, quality timeline.Quality, gaps []timeline.Span) []cohort.Share {
	var shares []cohort.Share
	for _, m := range marked {
		if slices.ContainsFunc(shares, func(s cohort.Share) bool { return s.Operator == m.operator }) {
			continue
		}
		var spans []timeline.Span
		for _, own := range marked {
			if own.operator == m.operator {
				spans = append(spans, own.span)
			}
		}
		share := cohort.Share{Operator: m.operator, Quality: quality, At: firstOf([]markedStep{m}, all)}
		if union := timeline.Union(spans); len(union) > 0 {
			total := timeline.Length(union) - timeline.Length(timeline.Intersect(union, gaps))
			share.Total, share.Episodes = &total, len(union)
		}
		shares = append(shares, share)
	}
	return shares
}
