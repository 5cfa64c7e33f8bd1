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
