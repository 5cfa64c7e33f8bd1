package report

import (
	"cmp"
	"slices"

	"zonule/annotate"
	"zonule/timeline"
)

// Options are the unit's choices that a report is made with.
type Options struct {
	// LossLimitPercent and DensityLimit (cells/mm2) are the limits beyond which a count is flagged; 0 means the usual
	// 20 % and 1000.
	LossLimitPercent float64
	DensityLimit     float64
	// Windows is the unit's plan of follow-up; nil means the usual one.
	Windows []annotate.WindowPlan
	// Recalibration fits the published risk to the unit; nil: off.
	Recalibration *annotate.Recalibration
	// Sections of the letter in the unit's order, by annotate.ReportSections; nil: all in the usual order.
	Sections []string
	// Invented marks a unit whose data are made up.
	Invented bool
}

// The usual limits. Source: common practice; a unit may set its own.
const (
	usualLossLimit    = 20.0
	usualDensityLimit = 1000.0
)

// builder holds what all sections need.
type builder struct {
	annotate.CaseFile
	options Options
	input   timeline.Input
	result  timeline.Result
	// unplaced says why the parts of the recording cannot be placed on one clock; "" when they can.
	unplaced string
}

// Build composes the report of a case. The same file and options give the same report.
func Build(file annotate.CaseFile, options Options) Report {
	options.LossLimitPercent = cmp.Or(options.LossLimitPercent, usualLossLimit)
	options.DensityLimit = cmp.Or(options.DensityLimit, usualDensityLimit)
	if options.Sections == nil {
		options.Sections = []string{}
	}
	if options.Windows == nil {
		options.Windows = annotate.UsualWindows
	}
	b := builder{CaseFile: file, options: options}
	b.measure()
	r := Report{
		Format: Format, Unit: file.UnitName, Invented: options.Invented, CaseID: file.Case.ID, CaseChange: file.Case.Change,
		Case: CaseFacts{file.Case.Pseudonym, file.Case.Eye, file.Case.Date, file.Case.Before, file.Case.Operation},

		Operators: b.operators(),
		Recording: b.recording(),
		Plan:      b.plan(),
		Sheet:     b.sheet(),
		Figure:    b.figure(),
		Operation: OperationLine{b.result.Operation, b.place("", b.result.Operation.Time, b.result.Operation.Quality)},
		Stages:    b.stages(),
		Steps:     b.steps(),
		Published: b.published(),

		Happenings: b.happenings(),
		Energy:     b.energy(),
		FollowUp:   b.followUp(),
		Level:      b.level(),
		Findings:   b.findings(),
		Threads:    b.threads(),

		Warnings: b.warnings(),
		Cautions: cautions,
		Versions: b.versions(),
		Sections: options.Sections,
	}
	b.record(&r)
	if r.RiskPublished != nil {
		r.Recalibration = options.Recalibration
	}
	r.Missing = b.missing(r)
	r.Summary = summarise(r)
	return r
}

// reading is the accepted reading; empty when there is none.
func (b builder) reading() annotate.ReadingState {
	if b.Reading == nil {
		return annotate.ReadingState{}
	}
	return *b.Reading
}

// person gives a name; one who is not in the file is told by their id, never left out.
func (b builder) person(id string) string {
	for _, p := range b.People {
		if p.ID == id {
			return p.Name
		}
	}
	return id
}

// lead is the operator of the case, who is meant where a marker names nobody.
func (b builder) lead() string {
	for _, o := range b.Case.Operators {
		if o.Role == annotate.OperatorLead {
			return o.UserID
		}
	}
	return ""
}

// operators lists the people of the case, then those who operated without being named in it.
func (b builder) operators() []OperatorFacts {
	all := []OperatorFacts{}
	times := slices.Clone(b.result.Operation.Operators)
	for _, o := range b.Case.Operators {
		facts := OperatorFacts{ID: o.UserID, Name: b.person(o.UserID), Role: o.Role, Grade: o.Grade, Quality: timeline.NotRecorded}
		if i := slices.IndexFunc(times, func(f timeline.OperatorFigure) bool { return f.Operator == o.UserID }); i >= 0 {
			facts.Operated, facts.Quality = times[i].Total, times[i].Quality
			times = slices.Delete(times, i, i+1)
		}
		all = append(all, facts)
	}
	for _, f := range times {
		if f.Operator != "" {
			all = append(all, OperatorFacts{ID: f.Operator, Name: b.person(f.Operator), Operated: f.Total, Quality: f.Quality})
		}
	}
	return all
}

func (b builder) recording() []PartFacts {
	all := []PartFacts{}
	for _, p := range b.Parts {
		facts := PartFacts{
			ID: p.ID, Part: p.Position, Duration: p.Facts.Duration, Rate: p.Facts.FrameRate, State: p.State, RealTime: p.RealTime,
			Cuts: len(p.Cuts), Sped: len(p.Rates), Fingerprint: p.Facts.Fingerprint, Cleared: p.ClearedAt > 0,
		}
		if start, err := b.input.Clock.Case(timeline.Instant{Part: p.ID}); err == nil {
			facts.Start = &start
		}
		all = append(all, facts)
	}
	return all
}

func (b builder) energy() EnergyFacts {
	o := b.Case.Operation
	return EnergyFacts{o.MachineFamily, o.CDE, o.UltrasoundTime, o.FluidUsed, annotate.EnergyOf(o)}
}

func (b builder) versions() Versions {
	v := Versions{Rules: Rules, StepLists: []StepListVersion{}}
	for _, list := range b.StepLists {
		v.StepLists = append(v.StepLists, StepListVersion{annotate.StepListRef{ID: list.ID, Version: list.Version}, list.Name})
	}
	if b.Reading != nil {
		v.Reading, v.Edit = b.Reading.ID, b.Reading.Seq
	}
	return v
}

// record takes over what follows from the clinical record.
func (b builder) record(r *Report) {
	record := annotate.RecordOf(b.unit(), b.Case, b.Visits, b.Complications)
	r.Risk, r.RiskPublished, r.Rupture = record.Risk, record.RiskPublished, record.Rupture
	r.Completeness, r.Doubts = record.Completeness, record.Warnings
}

// unit holds the unit's choices as the rules of the record take them.
func (b builder) unit() annotate.Unit {
	return annotate.Unit{LossLimitPercent: b.options.LossLimitPercent, DensityLimit: b.options.DensityLimit, Recalibration: b.options.Recalibration}
}
