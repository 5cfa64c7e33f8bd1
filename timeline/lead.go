package timeline

// Lead is what the time before an instant looked like, on the case clock. It begins no earlier than the first exclusive
// step, or the recording when no such step began before.
type Lead struct {
	Span
	// Unmarked is recorded time in no exclusive step, Unrecorded lies between the parts.
	Unmarked   []Span `json:"unmarked"`
	Unrecorded []Span `json:"unrecorded"`
	// Step is the exclusive step that ran at the instant, "" for none, and Since when its episode began, whoever operated.
	Step  string `json:"step"`
	Since int64  `json:"since"`
}

// LeadTo looks back from an instant over so many ms. The error is ErrUnrecorded.
func LeadTo(in Input, at Instant, ms int64) (Lead, error) {
	end, err := in.Clock.Case(at)
	if err != nil {
		return Lead{}, err
	}
	s := layOut(in)
	marks := s.exclusive()
	lead := Lead{Span: Span{max(end-ms, s.Clock.Extent().Start), end}}
	if len(marks) > 0 && marks[0].start != nil && *marks[0].start <= end {
		lead.Start = max(lead.Start, *marks[0].start)
	}
	claimed := s.covers(marks)
	for i, cover := range claimed {
		if cover.Holds(end) {
			lead.Step = marks[i].Step
		}
	}
	var own []Span
	for i, cover := range claimed {
		if marks[i].Step == lead.Step {
			own = append(own, cover)
		}
	}
	for _, episode := range Union(own) {
		if episode.Holds(end) {
			lead.Since = episode.Start
		}
	}
	lead.Unrecorded = Clip(s.Clock.Gaps(), lead.Span)
	lead.Unmarked = Subtract(Subtract([]Span{lead.Span}, claimed), lead.Unrecorded)
	return lead, nil
}
