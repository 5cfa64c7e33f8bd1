package cohort

import (
	"math"

	"zonule/timeline"
)

// mixTerm is one term that tells how hard an eye is, known before the operation. Value is not a number when unknown.
// Terms of the same Group are used together or not at all.
type mixTerm struct {
	name  string
	group string
	value func(*Row) float64
	// scale brings the values of an operation near to 1, so that sums of products keep their digits: it is taken off by
	// subtracting centre and dividing.
	centre, scale float64
}

// mixTerms are in order of importance: where not all can be used, the first are. Source: which factors lengthen an
// operation is common practice; the order is our choice.
var mixTerms = []mixTerm{
	{"nuclear grade", "nuclear grade", func(r *Row) float64 { return number(r.Before.NuclearGrade) }, 3, 1},
	{"medium pupil", "pupil size", func(r *Row) float64 { return level(r.Before.Pupil, "medium") }, 0, 1},
	{"small pupil", "pupil size", func(r *Row) float64 { return level(r.Before.Pupil, "small") }, 0, 1},
	{"brunescent or white lens", "brunescent or white lens", func(r *Row) float64 { return yes(r.Before.BrunescentOrWhite) }, 0, 1},
	{"pseudoexfoliation", "pseudoexfoliation", func(r *Row) float64 { return yes(r.Before.Pseudoexfoliation) }, 0, 1},
	{"chamber depth", "chamber depth", func(r *Row) float64 { return number(r.Before.ChamberDepth) }, 3.1, 0.4},
	{"axial length", "axial length", func(r *Row) float64 { return number(r.Before.AxialLength) }, 23.5, 1.5},
	{"age", "age", func(r *Row) float64 { return number(r.Before.Age) }, 72, 10},
	{"small-incision technique", "technique", func(r *Row) float64 { return level(r.Technique, "msics") }, 0, 1},
	{"extracapsular technique", "technique", func(r *Row) float64 { return level(r.Technique, "ecce") }, 0, 1},
}

func number[T int | float64](v *T) float64 {
	if v == nil {
		return math.NaN()
	}
	return float64(*v)
}

func level(value, wanted string) float64 {
	switch value {
	case "":
		return math.NaN()
	case wanted:
		return 1
	}
	return 0
}

func yes(a timeline.Answer) float64 {
	switch a {
	case timeline.Yes:
		return 1
	case timeline.No:
		return 0
	}
	return math.NaN()
}

func fillMix(row *Row, into []float64) {
	for k, term := range mixTerms {
		into[k] = (term.value(row) - term.centre) / term.scale
	}
}
