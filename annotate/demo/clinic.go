package demo

import (
	"math"

	"zonule/annotate"
	"zonule/timeline"
)

// detailed fills in what a careful clinic writes down before the operation. It draws from a stream of its own, so that
// nothing that was drawn before it changes.
func detailed(r random, p *patient, date string) {
	b := &p.before
	grade := float64(*b.NuclearGrade)
	b.LOCS = &annotate.LOCS{
		NuclearOpalescence:   pointer(within(r.normal(0.4+1.1*grade, 0.35), 0.1, 6.9)),
		NuclearColour:        pointer(within(r.normal(0.2+1.15*grade, 0.4), 0.1, 6.9)),
		Cortical:             pointer(within(r.normal(1.9, 1.1), 0.1, 5.9)),
		PosteriorSubcapsular: pointer(within(r.normal(1.2, 1.2), 0.1, 5.9)),
	}
	b.WhiteToWhite = pointer(rounded(r.normal(11.8, 0.38), 1))
	b.Pressure = pointer(math.Round(within(r.normal(15.6, 2.9), 8, 27)))
	if b.Glaucoma == annotate.Yes {
		b.Pressure = pointer(*b.Pressure + 3)
	}
	flat := r.normal(43.3-0.35*(*b.AxialLength-23.6), 1.25)
	steep := flat + math.Abs(r.normal(0.75, 0.5))
	b.Keratometry = &annotate.Keratometry{
		Flat: pointer(rounded(flat, 2)), Steep: pointer(rounded(steep, 2)), Axis: pointer(float64(r.between(1, 180))),
	}
	// Long eyes are short-sighted, and a hard nucleus makes an eye more so (common practice).
	sphere := quarter(-2.2*(*b.AxialLength-23.5) - 0.9*(flat-43.3) - 0.35*(grade-2) + r.normal(0, 0.7))
	b.Refraction = refraction(sphere, -quarter(steep-flat), *b.Keratometry.Axis)
	b.UncorrectedAcuity = uncorrected(b.Acuity, b.Refraction)
	answers(r, b)
	b.FellowEye = fellow(r, *p, date)
	if b.Exam != nil {
		b.Exam = listed(r, b.Exam)
	}
}

// answers to what an examiner asks; six in a hundred are left open.
func answers(r random, b *annotate.EyeBefore) {
	diabetes := 0.15
	if b.DiabeticRetinopathy == annotate.Yes {
		diabetes = 1
	}
	for _, asked := range []struct {
		of     *annotate.Answer
		chance float64
	}{
		{&b.Guttata, 0.045}, {&b.DeepSetOrbit, 0.05}, {&b.PreviousVitrectomy, 0.03}, {&b.PreviousInjections, 0.04}, {&b.Diabetes, diabetes},
		{&b.Amblyopia, 0.03}, {&b.OnlyEye, 0.015}, {&b.CornealScar, 0.02}, {&b.CapsulePlaque, 0.03}, {&b.PosteriorPolar, 0.008},
		{&b.Phacodonesis, 0.008},
	} {
		open, yes := r.chance(0.06), r.chance(asked.chance)
		switch {
		case yes && asked.chance == 1:
			*asked.of = annotate.Yes
		case open:
		case yes:
			*asked.of = annotate.Yes
		default:
			*asked.of = annotate.No
		}
	}
}

// fellow is the other eye: operated on before in a third, then with the usual loss behind it.
func fellow(r random, p patient, date string) *annotate.FellowEye {
	f := &annotate.FellowEye{Operated: annotate.No, Acuity: []string{"6/7.5", "6/9", "6/12", "6/18"}[r.IntN(4)]}
	density := p.density * math.Exp(r.normal(0, 0.05))
	if r.chance(0.35) {
		f.Operated, f.Acuity = annotate.Yes, []string{"6/5", "6/6", "6/7.5"}[r.IntN(3)]
		density *= math.Exp(-0.09)
	}
	if e := exam(r, density, p.cv, date); r.chance(0.7) {
		f.Exam = e
	}
	return f
}

// listed spreads a count of several images over them, so that they give it back when they are pooled.
func listed(r random, e *annotate.EndothelialExam) *annotate.EndothelialExam {
	images := *e.Images
	if images < 2 || r.chance(0.3) {
		return e
	}
	left, area := *e.Cells, float64(*e.Cells)/e.Density
	var counts []annotate.ImageCount
	var pool []timeline.Count
	for i := images; i > 0; i-- {
		cells, density := left, float64(left)/area
		if i > 1 {
			cells = left/i + r.between(-4, 4)
			density = float64(left) / area * math.Exp(r.normal(0, 0.02))
		}
		image := annotate.ImageCount{Density: math.Round(density), Cells: cells, CV: pointer(rounded(*e.CV+r.normal(0, 0.008), 2))}
		counts = append(counts, image)
		pool = append(pool, timeline.Count{Density: image.Density, Cells: &image.Cells, CV: image.CV})
		left, area = left-cells, area-float64(cells)/density
	}
	whole, err := timeline.Pool(pool)
	if err != nil {
		panic(err) // every image has cells and a density above 0
	}
	copied := *e
	copied.Density, copied.CV, copied.ImageCounts = math.Round(whole.Density), pointer(rounded(*whole.CV, 3)), counts
	return &copied
}

// refraction in quarters of a dioptre, without an axis where there is no cylinder.
func refraction(sphere, cylinder, axis float64) *annotate.Refraction {
	r := &annotate.Refraction{Sphere: &sphere, Cylinder: &cylinder}
	if cylinder != 0 {
		r.Axis = &axis
	}
	return r
}

// ladder are acuities from best to worst.
var ladder = []string{"6/5", "6/6", "6/7.5", "6/9", "6/12", "6/18", "6/24", "6/36", "6/60", "CF", "HM"}

// uncorrected takes a line from the corrected acuity for every half dioptre of blur, at most down to counting fingers.
func uncorrected(corrected string, r *annotate.Refraction) string {
	at := 0
	for i, line := range ladder {
		if line == corrected {
			at = i
		}
	}
	blur := math.Abs(*r.Sphere+*r.Cylinder/2) + math.Abs(*r.Cylinder)/3
	return ladder[max(at, min(9, at+int(2*blur)))]
}

func quarter(dioptres float64) float64 { return math.Round(4*dioptres) / 4 }

// within keeps a draw between two bounds, to one digit.
func within(x, low, high float64) float64 { return rounded(min(high, max(low, x)), 1) }
