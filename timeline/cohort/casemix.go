package cohort

import (
	"math"

	"zonule/timeline"
)

// mixTerm is one term that tells how hard an eye is, known before the operation. Value is not a number when unknown.
// Terms of the same group stand together, and are known together or not at all. Centre and scale bring values near to 0
// and 1, so that sums of products keep their digits; a scale of 0 marks a term that is 0 or 1.
type mixTerm struct {
	name          string
	group         string
	value         func(*Row) float64
	centre, scale float64
}

func (t mixTerm) twoValued() bool { return t.scale == 0 }

// mixTerms are in order of importance: where not all can be used, the first are. Source: which factors lengthen an
// operation is common practice; the order is our choice.
var mixTerms = []mixTerm{
	{"nuclear grade", "nuclear grade", func(r *Row) float64 { return number(r.Before.NuclearGrade) }, 3, 1},
	{"medium pupil", "pupil size", func(r *Row) float64 { return level(r.Before.Pupil, "medium") }, 0, 0},
	{"small pupil", "pupil size", func(r *Row) float64 { return level(r.Before.Pupil, "small") }, 0, 0},
	{"brunescent or white lens", "brunescent or white lens", func(r *Row) float64 { return yes(r.Before.BrunescentOrWhite) }, 0, 0},
	{"pseudoexfoliation", "pseudoexfoliation", func(r *Row) float64 { return yes(r.Before.Pseudoexfoliation) }, 0, 0},
	{"chamber depth", "chamber depth", func(r *Row) float64 { return number(r.Before.ChamberDepth) }, 3.1, 0.4},
	{"axial length", "axial length", func(r *Row) float64 { return number(r.Before.AxialLength) }, 23.5, 1.5},
	{"age", "age", func(r *Row) float64 { return number(r.Before.Age) }, 72, 10},
	{"small-incision technique", "technique", func(r *Row) float64 { return level(r.Technique, "msics") }, 0, 0},
	{"extracapsular technique", "technique", func(r *Row) float64 { return level(r.Technique, "ecce") }, 0, 0},
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

// features tells in bits which terms of a case are known, and which of the two-valued ones are 1: the bits of term k are
// 1 << k and oneBit << k. Cases alike in this are counted together.
type features uint32

const oneBit features = 1 << 16

// fillMix writes the terms of a case, 0 where unknown.
func fillMix(row *Row, into []float64) features {
	var f features
	for k, term := range mixTerms {
		value := term.value(row)
		if math.IsNaN(value) {
			continue
		}
		f |= 1 << k
		if !term.twoValued() {
			into[k] = (value - term.centre) / term.scale
		} else if value == 1 {
			into[k] = 1
			f |= oneBit << k
		}
	}
	return f
}
