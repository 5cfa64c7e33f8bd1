package report

import (
	"fmt"
	"strings"

	"zonule/annotate"
	"zonule/server/report/words"
	"zonule/timeline"
)

// missing collects what the record cannot say, in the order in which the report would have said it.
func (b builder) missing(r Report) []Missing {
	m := &gaps{list: []Missing{}}
	b.missingBefore(m, r)
	b.missingRecording(m)
	b.missingTimes(m, r)
	b.missingOutcome(m, r)
	return m.list
}

// gaps is the list in the making.
type gaps struct{ list []Missing }

func (g *gaps) add(code string, at *Moment, format string, args ...any) {
	g.list = append(g.list, Missing{code, fmt.Sprintf(format, args...), at})
}

func (b builder) missingBefore(m *gaps, r Report) {
	if len(r.Risk.Unknown) > 0 {
		var names []string
		for _, f := range r.Risk.Factors {
			if !f.Known {
				names = append(names, words.Lower(f.Name))
			}
		}
		m.add("risk-factors", nil, "The expected risk is a range, because %s not recorded: %s.", isOrAre(len(names), "a factor is", "these factors are"), words.List(names))
	}
	switch exam := b.Case.Before.Exam; {
	case exam == nil:
		m.add("baseline-exam", nil, "No endothelial count before the operation is recorded; a loss cannot be stated.")
	case exam.Cells == nil || exam.CV == nil:
		m.add("baseline-counting-error", nil, "The count before the operation lacks the cells counted or their coefficient of variation; the counting error of any loss is not known.")
	}
	if b.Case.Operation.TechniquePlanned != b.Case.Operation.TechniquePerformed && b.Case.Operation.ConversionReason == "" {
		m.add("conversion-reason", nil, "Why the technique was changed is not recorded.")
	}
}

func isOrAre(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

func (b builder) missingRecording(m *gaps) {
	if len(b.Parts) == 0 {
		m.add("recording", nil, "There is no recording; the report has no times.")
		return
	}
	if b.unplaced != "" {
		m.add("clock", nil, "Nothing can be timed, because the parts of the recording cannot be placed on one clock. %s", b.unplaced)
	}
	for _, p := range b.Parts {
		if p.State != annotate.PartOK {
			m.add("part-state", nil, "%s of the recording is %s.", words.Part(p.Position), words.State(p.State))
		}
		if !p.RealTime {
			m.add("edited", nil, "%s is edited and it is not declared how; its times are of the film, not of the operation, and take no part in statistics.", words.Part(p.Position))
		}
		for _, cut := range p.Cuts {
			m.add("cut", b.moment(&timeline.Instant{Part: p.ID, Ms: cut}), "%s has a cut at %s, where an unknown time is missing; what spans it is a lower bound.", words.Part(p.Position), words.Instant(cut))
		}
	}
	for _, gap := range b.result.Gaps {
		m.add("gap", nil, "Between two parts %s of the operation is not recorded (from %s on the case clock); what spans it is a lower bound.", words.Length(gap.Length()), words.Instant(gap.Start))
	}
}

func (b builder) missingTimes(m *gaps, r Report) {
	switch {
	case b.Reading == nil:
		m.add("reading", nil, "No reading is accepted; the report has no steps.")
		return
	case len(b.Reading.Markers) == 0:
		m.add("markers", nil, "The accepted reading has no step markers.")
		return
	}
	for _, s := range r.Steps {
		switch {
		case s.Running:
			m.add("no-end", s.Moment, "%s has no end; its length is a lower bound or not known.", s.Name)
		case s.Quality == timeline.LowerBound:
			m.add("lower-bound", s.Moment, "%s was not recorded whole; its length is a lower bound.", s.Name)
		case s.Quality == timeline.NotRecorded && s.Moment == nil:
			m.add("step-not-marked", nil, "%s is not marked. That it was not done cannot be told from that.", s.Name)
		case s.Quality == timeline.NotRecorded:
			m.add("step-not-recorded", s.Moment, "%s was marked outside the recording; its length is not recorded.", s.Name)
		}
	}
}

func (b builder) missingOutcome(m *gaps, r Report) {
	for _, h := range r.Happenings {
		if h.Kind == kindComplication && h.Phase == intraoperative && h.At == nil {
			m.add("complication-instant", nil, "%s has no instant in the recording, and so no step.", h.Name)
		}
	}
	if b.Case.Operation.CDE == nil && b.Case.Operation.TechniquePerformed == annotate.TechniquePhaco {
		m.add("energy", nil, "The energy used (CDE) is not recorded. The length of a step in the film is not ultrasound time, and nothing is derived from it.")
	}
	if b.Case.LostToFollowUp != nil {
		m.add("lost-to-follow-up", nil, "The eye is lost to follow-up; what came after is not known.")
		b.missingLosses(m, r)
		return
	}
	for _, plan := range b.options.Windows {
		window, found := plan.Window, !plan.Required
		for _, v := range b.Visits {
			found = found || v.Window == window
		}
		if !found {
			m.add("visit-"+string(window), nil, "The visit of %s is not recorded.", words.Window(window))
		}
	}
	b.missingLosses(m, r)
}

func (builder) missingLosses(m *gaps, r Report) {
	for _, v := range r.FollowUp.Visits {
		if v.Loss != nil && v.Loss.LossPercent == nil {
			m.add("loss", nil, "%s: %s", words.Upper(words.Window(v.Window)), strings.Join(v.Loss.Notes, " "))
		}
	}
}
