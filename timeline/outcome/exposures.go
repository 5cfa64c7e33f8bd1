package outcome

import (
	"math"

	"zonule/timeline"
	"zonule/timeline/cohort"
)

const minute = 60_000 // ms

// reading gives the value of a quantity in a case, or the reason why it has none.
type reading func(row *cohort.Row) (value float64, reason string)

const notTagged = "The recording is not tagged, or no reading is accepted."

// Name names the exposure in the words of a unit.
func (e Exposure) Name(names Names) string {
	m, _ := e.measure(names)
	return m.Name
}

// measure names the exposure and the step by which a relation is told.
func (e Exposure) measure(names Names) (m Measure, per string) {
	code := string(e.Kind)
	if e.Code != "" {
		code += ":" + e.Code
	}
	switch e.Kind {
	case OperationTime:
		m, per = Measure{code, "operation time", "min"}, "minute"
	case StepTime:
		m, per = Measure{code, "time in the step " + names.of(StepName, e.Code), "min"}, "minute"
	case StageTime:
		m, per = Measure{code, "time in the " + names.of(StageName, e.Code) + " stage", "min"}, "minute"
	case Interruption:
		m, per = Measure{code, "time between episodes of the same step", "min"}, "minute"
	case HandedOver:
		m, per = Measure{code, "time operated by another than who led", "min"}, "minute"
	case Dissipated:
		m, per = Measure{code, "CDE", ""}, "unit"
	case EffectiveTime:
		m, per = Measure{code, "EPT", "s"}, "second"
	case UltrasoundTime:
		m, per = Measure{code, "ultrasound time", "s"}, "second"
	case AspirationTime:
		m, per = Measure{code, "aspiration time", "s"}, "second"
	case Fluid:
		m, per = Measure{code, "fluid used", "ml"}, "10 ml"
	case OVDTopUps:
		m, per = Measure{code, "OVD top-ups", ""}, "top-up"
	case Contacts:
		m, per = Measure{code, "contacts of fragments with the endothelium", ""}, "contact"
	case Events:
		m, per = Measure{code, names.of(EventName, e.Code), ""}, "event"
	}
	if e.Scale == PerDoubling {
		per = "doubling"
	}
	return m, per
}

// reading gives how the exposure is read. Family is the machine family whose energy figures count.
func (e Exposure) reading(family string) reading {
	switch e.Kind {
	case OperationTime:
		return func(r *cohort.Row) (float64, string) {
			return measuredTime(r, r.Time, r.Measured, "The operation time")
		}
	case StepTime:
		return func(r *cohort.Row) (float64, string) { return partTime(r, r.Steps, e.Code) }
	case StageTime:
		return func(r *cohort.Row) (float64, string) { return partTime(r, r.Stages, e.Code) }
	case Interruption:
		return func(r *cohort.Row) (float64, string) {
			return measuredTime(r, &r.Interruption, r.Measured, "The time between episodes")
		}
	case HandedOver:
		return handedOver
	case Dissipated:
		return energy(family, "CDE", func(r *cohort.Row) *float64 { return r.Operation.CDE })
	case EffectiveTime:
		return energy(family, "EPT", func(r *cohort.Row) *float64 { return r.Operation.EPT })
	case UltrasoundTime:
		return entered("The ultrasound time", func(r *cohort.Row) *float64 { return r.Operation.UltrasoundTime })
	case AspirationTime:
		return entered("The aspiration time", func(r *cohort.Row) *float64 { return r.Operation.AspirationTime })
	case Fluid:
		return entered("The fluid used", func(r *cohort.Row) *float64 { return r.Operation.FluidUsed })
	case OVDTopUps:
		return counted("ovd-top-up")
	case Contacts:
		return counted("fragment-contact")
	default:
		return counted(e.Code)
	}
}

// scaled is the value by whose step the relation is told.
func (e Exposure) scaled(value float64) (float64, string) {
	switch {
	case e.Scale == PerDoubling && value <= 0:
		return math.NaN(), "A value of 0 cannot be told per doubling."
	case e.Scale == PerDoubling:
		return math.Log2(value), ""
	case e.Kind == Fluid:
		return value / 10, ""
	}
	return value, ""
}

// unscaled takes a scaled value back to its unit.
func (e Exposure) unscaled(value float64) float64 {
	switch {
	case e.Scale == PerDoubling:
		return math.Exp2(value)
	case e.Kind == Fluid:
		return 10 * value
	}
	return value
}

func measuredTime(r *cohort.Row, total *int64, measured bool, what string) (float64, string) {
	switch {
	case !r.Tagged:
		return math.NaN(), notTagged
	case total == nil:
		return math.NaN(), what + " is not recorded."
	case !measured:
		return math.NaN(), what + " is not fully recorded."
	}
	return float64(*total) / minute, ""
}

func partTime(r *cohort.Row, parts []cohort.Part, code string) (float64, string) {
	for i := range parts {
		if parts[i].Code == code {
			return measuredTime(r, parts[i].Total, parts[i].Quality == timeline.Measured, "Its time")
		}
	}
	return measuredTime(r, nil, false, "Its time")
}

// handedOver sums the shares of others in the steps.
func handedOver(r *cohort.Row) (float64, string) {
	var total int64
	if r.Operator == "" {
		return math.NaN(), "Nobody is recorded as having led."
	}
	for i := range r.Steps {
		for _, share := range r.Steps[i].ByOperator {
			if share.Operator == "" || share.Operator == r.Operator || share.Episodes == 0 {
				continue
			}
			if share.Total == nil || share.Quality != timeline.Measured {
				return math.NaN(), "The time of another operator is not fully recorded."
			}
			total += *share.Total
		}
	}
	return measuredTime(r, &total, r.Measured, "The time of operators")
}

func energy(family, what string, pick func(*cohort.Row) *float64) reading {
	return func(r *cohort.Row) (float64, string) {
		v := pick(r)
		switch {
		case v == nil:
			return math.NaN(), "The " + what + " is not recorded."
		case r.Operation.MachineFamily == "":
			return math.NaN(), "The machine is not recorded, so that its " + what + " cannot be compared."
		case r.Operation.MachineFamily != family:
			return math.NaN(), "The " + what + " is of another family of machines; theirs are never mixed."
		}
		return *v, ""
	}
}

func entered(what string, pick func(*cohort.Row) *float64) reading {
	return func(r *cohort.Row) (float64, string) {
		if v := pick(r); v != nil {
			return *v, ""
		}
		return math.NaN(), what + " is not recorded."
	}
}

func counted(kind string) reading {
	return func(r *cohort.Row) (float64, string) {
		if !r.Tagged {
			return math.NaN(), notTagged
		}
		return float64(r.Events[kind]), ""
	}
}

// commonFamily is the machine family with the most cases that have an energy figure, the first by name among equals.
func commonFamily(rows []*cohort.Row) string {
	counts := map[string]int{}
	best := ""
	for _, r := range rows {
		family := r.Operation.MachineFamily
		if family == "" || r.Operation.CDE == nil && r.Operation.EPT == nil {
			continue
		}
		counts[family]++
	}
	for family, n := range counts {
		if best == "" || n > counts[best] || n == counts[best] && family < best {
			best = family
		}
	}
	return best
}

// nearNucleus reports whether a hard nucleus by itself makes the exposure larger.
func (e Exposure) nearNucleus() bool {
	switch e.Kind {
	case Dissipated, EffectiveTime, UltrasoundTime, Fluid, OperationTime, OVDTopUps, Contacts, AspirationTime:
		return true
	case StageTime:
		return e.Code == "nucleus"
	case StepTime:
		return e.Code == "sculpting" || e.Code == "division" || e.Code == "removal"
	}
	return false
}
