package demo

import (
	"math"

	"zonule/annotate"
)

// patient is the eye before the operation, with what the record does not show.
type patient struct {
	before annotate.EyeBefore
	grade  int
	// toughness of the nucleus beyond its grade, a standard normal draw.
	toughness float64
	// density is the true count per mm2; the exam adds counting noise to it.
	density float64
	cv      float64
}

// instrument is what the invented clinic counts with.
const instrument = "non-contact specular microscope"

func drawPatient(r random, date string, trainee bool) patient {
	age := int(min(94, max(41, math.Round(r.normal(72, 9)))))
	// Trainers keep the hardest nuclei to themselves, so that skill and grade are confounded as in life.
	weights := []float64{0.08, 0.38, 0.34, 0.15, 0.05}
	if trainee {
		weights = []float64{0.12, 0.45, 0.32, 0.09, 0.02}
	}
	p := patient{grade: 1 + r.weighted(weights), toughness: r.NormFloat64()}
	p.density = min(3300, max(1350, r.normal(2560-6*float64(age-70), 270)))
	p.cv = rounded(min(0.45, max(0.22, r.normal(0.31, 0.035))), 2)
	male := r.chance(0.44)
	p.before = annotate.EyeBefore{
		Age: &age, Sex: map[bool]string{true: "male", false: "female"}[male], NuclearGrade: &p.grade,
		Pupil:               []string{"large", "medium", "small"}[r.weighted([]float64{0.6, 0.29, 0.11})],
		AxialLength:         pointer(rounded(r.normal(23.6, 1.1), 2)),
		ChamberDepth:        pointer(rounded(min(3.9, max(2.1, r.normal(3.1, 0.32))), 2)),
		Thickness:           pointer(int(r.normal(541, 31))),
		Acuity:              []string{"6/9", "6/12", "6/18", "6/24", "6/36", "6/60", "CF", "HM"}[r.weighted([]float64{7, 20, 26, 19, 12, 9, 5, float64(p.grade) / 2})],
		Glaucoma:            answer(r, 0.09),
		DiabeticRetinopathy: answer(r, 0.08),
		BrunescentOrWhite:   answer(r, []float64{0, 0, 0.01, 0.08, 0.75}[p.grade-1]),
		NoFundalView:        answer(r, []float64{0, 0.01, 0.03, 0.12, 0.5}[p.grade-1]),
		Pseudoexfoliation:   answer(r, 0.035),
		AlphaBlocker:        answer(r, map[bool]float64{true: 0.07, false: 0.01}[male]),
		CannotLieFlat:       answer(r, 0.02),
	}
	if r.chance(0.96) {
		p.before.Exam = exam(r, p.density, p.cv, date)
	}
	return p
}

// answer is yes with probability p and left open for three eyes in a hundred.
func answer(r random, p float64) annotate.Answer {
	switch {
	case r.chance(0.03):
		return annotate.Unknown
	case r.chance(p):
		return annotate.Yes
	}
	return annotate.No
}

// exam counts a true density with the noise of the cells counted; the formula is in the package's comment.
func exam(r random, density, cv float64, date string) *annotate.EndothelialExam {
	cells := r.between(78, 165)
	seen := density * math.Exp(r.normal(0, cv/math.Sqrt(float64(cells))))
	return &annotate.EndothelialExam{
		Density: math.Round(seen), Cells: &cells, CV: pointer(rounded(cv+r.normal(0, 0.012), 2)),
		Hexagonality: pointer(float64(r.between(44, 68))), Images: pointer(r.between(1, 3)),
		Instrument: instrument, Method: "centre of cells, fixed frame", Date: date,
	}
}
