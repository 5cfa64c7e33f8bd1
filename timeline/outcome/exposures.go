package outcome

import (
	"fmt"
	"math"
	"slices"

	"zonule/timeline/cohort"
)

// exposureRule is what is told of one kind of exposure, and how it is read.
type exposureRule struct {
	kind ExposureKind
	// name has a place for the words of the code where there is one.
	name string
	// code is what its code is of, "" without one.
	code NameKind
	unit string
	per  string // what one step is called
	// each is what one step is called in full, with a place for the words of the code where there is one; "": per of name.
	each string
	// step is the number of units by which the relation is told; 0 is 1.
	step float64
	// fromZero says that it may be 0 and so cannot be told per doubling.
	fromZero bool
	// byNucleus reports whether a hard nucleus by itself makes it larger; nil: it does not.
	byNucleus func(code string) bool
	// read gives how it is read. Family is the machine family whose energy figures count.
	read func(code, family string) reading
}

var exposureRules = []exposureRule{
	{kind: OperationTime, name: "operation time", unit: "min", per: "minute", byNucleus: always, read: plainly(func(r *cohort.Row) (float64, string) {
		return measuredTime(r, r.Time, r.Measured, "The operation time")
	})},
	{kind: StepTime, name: "time in the step %s", code: StepName, unit: "min", per: "minute", byNucleus: among("sculpting", "division", "removal"), read: func(code, _ string) reading {
		return func(r *cohort.Row) (float64, string) { return partTime(r, r.Steps, code) }
	}},
	{kind: StageTime, name: "time in the %s stage", code: StageName, unit: "min", per: "minute", byNucleus: among("nucleus"), read: func(code, _ string) reading {
		return func(r *cohort.Row) (float64, string) { return partTime(r, r.Stages, code) }
	}},
	{kind: Interruption, name: "time between episodes of the same step", unit: "min", per: "minute", fromZero: true, read: plainly(func(r *cohort.Row) (float64, string) {
		return measuredTime(r, &r.Interruption, r.Measured, "The time between episodes")
	})},
	{kind: HandedOver, name: "time operated by another than who led", unit: "min", per: "minute", fromZero: true, read: plainly(handedOver)},
	{kind: Dissipated, name: "CDE", per: "unit", byNucleus: always, read: func(_, family string) reading {
		return energy(family, "CDE", func(r *cohort.Row) *float64 { return r.Operation.CDE })
	}},
	{kind: EffectiveTime, name: "EPT", unit: "s", per: "second", byNucleus: always, read: func(_, family string) reading {
		return energy(family, "EPT", func(r *cohort.Row) *float64 { return r.Operation.EPT })
	}},
	{kind: UltrasoundTime, name: "ultrasound time", unit: "s", per: "second", byNucleus: always, read: plainly(
		entered("The ultrasound time", func(r *cohort.Row) *float64 { return r.Operation.UltrasoundTime }))},
	{kind: AspirationTime, name: "aspiration time", unit: "s", per: "second", byNucleus: always, read: plainly(
		entered("The aspiration time", func(r *cohort.Row) *float64 { return r.Operation.AspirationTime }))},
	{kind: Fluid, name: "fluid used", unit: "ml", per: "10 ml", step: 10, byNucleus: always, read: plainly(
		entered("The fluid used", func(r *cohort.Row) *float64 { return r.Operation.FluidUsed }))},
	{kind: OVDTopUps, name: "OVD top-ups", per: "top-up", each: "OVD top-up", fromZero: true, byNucleus: always, read: plainly(counted("ovd-top-up"))},
	{kind: Contacts, name: "contacts of fragments with the endothelium", per: "contact", each: "contact of a fragment with the endothelium", fromZero: true, byNucleus: always, read: plainly(counted("fragment-contact"))},
	{kind: Events, name: "%s", code: EventName, per: "event", each: "event of the kind %s", fromZero: true, read: func(code, _ string) reading { return counted(code) }},
}

func always(string) bool { return true }

func among(codes ...string) func(string) bool {
	return func(code string) bool { return slices.Contains(codes, code) }
}

// plainly is a reading that needs neither code nor family.
func plainly(read reading) func(code, family string) reading {
	return func(string, string) reading { return read }
}

// rule gives what is told of the kind of the exposure; false for a kind that there is not.
func (e Exposure) rule() (exposureRule, bool) {
	at := slices.IndexFunc(exposureRules, func(r exposureRule) bool { return r.kind == e.Kind })
	if at < 0 {
		return exposureRule{}, false
	}
	return exposureRules[at], true
}

// measure names the exposure and the step by which a relation is told.
func (e Exposure) measure(names Names) (m Measure, per string) {
	rule, _ := e.rule()
	m, per = Measure{string(e.Kind), rule.name, rule.unit}, rule.per
	if rule.code != "" {
		m.Code, m.Name = m.Code+":"+e.Code, fmt.Sprintf(rule.name, names.of(rule.code, e.Code))
	}
	if e.Scale == PerDoubling {
		per = "doubling"
	}
	return m, per
}

// each begins a sentence about one step more.
func (e Exposure) each(m Measure, per string) string {
	rule, _ := e.rule()
	switch {
	case e.Scale == PerDoubling:
		return "Each doubling of the " + m.Name
	case rule.each == "":
		return "Each further " + per + " of " + m.Name
	case rule.code != "":
		return "Each further " + fmt.Sprintf(rule.each, m.Name)
	}
	return "Each further " + rule.each
}

// reading gives how the exposure is read. Family is the machine family whose energy figures count.
func (e Exposure) reading(family string) reading {
	rule, _ := e.rule()
	return rule.read(e.Code, family)
}

// nearNucleus reports whether a hard nucleus by itself makes the exposure larger.
func (e Exposure) nearNucleus() bool {
	rule, known := e.rule()
	return known && rule.byNucleus != nil && rule.byNucleus(e.Code)
}

// step is the number of units by which the relation is told.
func (e Exposure) step() float64 {
	rule, _ := e.rule()
	return max(1, rule.step)
}

// scaled is the value by whose step the relation is told.
func (e Exposure) scaled(value float64) (float64, string) {
	switch {
	case e.Scale == PerDoubling && value <= 0:
		return math.NaN(), "A value of 0 cannot be told per doubling."
	case e.Scale == PerDoubling:
		return math.Log2(value), ""
	}
	return value / e.step(), ""
}

// unscaled takes a scaled value back to its unit.
func (e Exposure) unscaled(value float64) float64 {
	if e.Scale == PerDoubling {
		return math.Exp2(value)
	}
	return value * e.step()
}
