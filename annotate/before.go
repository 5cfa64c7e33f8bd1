package annotate

import (
	"maps"
	"slices"

	"zonule/timeline"
)

// EyeBefore is the eye and the patient before the operation. Nil and "" mean unknown.
type EyeBefore struct {
	Age *int   `json:"age,omitempty"` // whole years
	Sex string `json:"sex,omitempty"` // "female", "male" or ""
	// NuclearGrade is nuclear hardness, 1 soft to 5 rock-hard, ascending.
	NuclearGrade *int     `json:"nuclearGrade,omitempty"`
	LOCS         *LOCS    `json:"locs,omitempty"`
	Pupil        string   `json:"pupil,omitempty"`        // "large", "medium", "small" or ""
	AxialLength  *float64 `json:"axialLength,omitempty"`  // mm
	ChamberDepth *float64 `json:"chamberDepth,omitempty"` // mm, epithelium to lens
	WhiteToWhite *float64 `json:"whiteToWhite,omitempty"` // mm
	Thickness    *int     `json:"thickness,omitempty"`    // central corneal thickness, um
	Pressure     *float64 `json:"pressure,omitempty"`     // intraocular, mmHg

	Acuity            string       `json:"acuity,omitempty"`            // corrected, as typed
	UncorrectedAcuity string       `json:"uncorrectedAcuity,omitempty"` // as typed
	Refraction        *Refraction  `json:"refraction,omitempty"`
	Keratometry       *Keratometry `json:"keratometry,omitempty"`

	Glaucoma            Answer `json:"glaucoma,omitempty"`
	DiabeticRetinopathy Answer `json:"diabeticRetinopathy,omitempty"`
	BrunescentOrWhite   Answer `json:"brunescentOrWhite,omitempty"`
	NoFundalView        Answer `json:"noFundalView,omitempty"`
	Pseudoexfoliation   Answer `json:"pseudoexfoliation,omitempty"`
	AlphaBlocker        Answer `json:"alphaBlocker,omitempty"`
	CannotLieFlat       Answer `json:"cannotLieFlat,omitempty"`
	Guttata             Answer `json:"guttata,omitempty"`
	DeepSetOrbit        Answer `json:"deepSetOrbit,omitempty"`
	PreviousVitrectomy  Answer `json:"previousVitrectomy,omitempty"`
	PreviousInjections  Answer `json:"previousInjections,omitempty"` // into the vitreous
	Diabetes            Answer `json:"diabetes,omitempty"`
	Amblyopia           Answer `json:"amblyopia,omitempty"`
	OnlyEye             Answer `json:"onlyEye,omitempty"`
	CornealScar         Answer `json:"cornealScar,omitempty"`
	CapsulePlaque       Answer `json:"capsulePlaque,omitempty"`
	PosteriorPolar      Answer `json:"posteriorPolar,omitempty"`
	Phacodonesis        Answer `json:"phacodonesis,omitempty"`

	// Exam is the baseline endothelial exam.
	Exam      *EndothelialExam `json:"exam,omitempty"`
	FellowEye *FellowEye       `json:"fellowEye,omitempty"`
}

// LOCS is the grading of the lens by LOCS III, in tenths.
type LOCS struct {
	NuclearOpalescence   *float64 `json:"nuclearOpalescence,omitempty"`   // 0.1 to 6.9
	NuclearColour        *float64 `json:"nuclearColour,omitempty"`        // 0.1 to 6.9
	Cortical             *float64 `json:"cortical,omitempty"`             // 0.1 to 5.9
	PosteriorSubcapsular *float64 `json:"posteriorSubcapsular,omitempty"` // 0.1 to 5.9
}

// Refraction is a sphere with a cylinder, both in dioptres, at an axis in degrees. A cylinder of 0 needs no axis.
type Refraction struct {
	Sphere   *float64 `json:"sphere,omitempty"`
	Cylinder *float64 `json:"cylinder,omitempty"`
	Axis     *float64 `json:"axis,omitempty"` // 0 to 180
}

// Keratometry is the power of the cornea in its two meridians, in dioptres.
type Keratometry struct {
	Flat  *float64 `json:"flat,omitempty"`
	Steep *float64 `json:"steep,omitempty"`
	Axis  *float64 `json:"axis,omitempty"` // of the steep meridian, degrees 0 to 180
}

// FellowEye is what is known of the other eye.
type FellowEye struct {
	Operated Answer           `json:"operated,omitempty"`
	Acuity   string           `json:"acuity,omitempty"` // as typed
	Exam     *EndothelialExam `json:"exam,omitempty"`
	Note     string           `json:"note,omitempty"`
}

// answers names every tri-state of the eye before.
func (b EyeBefore) answers() map[string]Answer {
	return map[string]Answer{
		"glaucoma": b.Glaucoma, "diabeticRetinopathy": b.DiabeticRetinopathy, "brunescentOrWhite": b.BrunescentOrWhite,
		"noFundalView": b.NoFundalView, "pseudoexfoliation": b.Pseudoexfoliation, "alphaBlocker": b.AlphaBlocker,
		"cannotLieFlat": b.CannotLieFlat, "guttata": b.Guttata, "deepSetOrbit": b.DeepSetOrbit,
		"previousVitrectomy": b.PreviousVitrectomy, "previousInjections": b.PreviousInjections, "diabetes": b.Diabetes,
		"amblyopia": b.Amblyopia, "onlyEye": b.OnlyEye, "cornealScar": b.CornealScar, "capsulePlaque": b.CapsulePlaque,
		"posteriorPolar": b.PosteriorPolar, "phacodonesis": b.Phacodonesis,
	}
}

func (b EyeBefore) validate(p *problems, operated string) {
	maybe(p, "before.age", "before.age", b.Age)
	oneOf(p, "before.sex", b.Sex, false, "female", "male")
	maybe(p, "before.nuclearGrade", "before.nuclearGrade", b.NuclearGrade)
	oneOf(p, "before.pupil", b.Pupil, false, "large", "medium", "small")
	maybe(p, "before.axialLength", "before.axialLength", b.AxialLength)
	maybe(p, "before.chamberDepth", "before.chamberDepth", b.ChamberDepth)
	maybe(p, "before.whiteToWhite", "before.whiteToWhite", b.WhiteToWhite)
	maybe(p, "before.thickness", "before.thickness", b.Thickness)
	maybe(p, "before.pressure", "before.pressure", b.Pressure)
	p.acuity("before.acuity", b.Acuity)
	p.acuity("before.uncorrectedAcuity", b.UncorrectedAcuity)
	b.Refraction.validate(p, "before.refraction.")
	b.LOCS.validate(p)
	b.Keratometry.validate(p)
	answers := b.answers()
	for _, name := range slices.Sorted(maps.Keys(answers)) {
		oneOf(p, "before."+name, answers[name], false, Yes, No)
	}
	b.Exam.validateBefore(p, "before.exam.", operated)
	if f := b.FellowEye; f != nil {
		oneOf(p, "before.fellowEye.operated", f.Operated, false, Yes, No)
		p.acuity("before.fellowEye.acuity", f.Acuity)
		p.text("before.fellowEye.note", f.Note, 0, 1000)
		f.Exam.validateBefore(p, "before.fellowEye.exam.", operated)
	}
}

func (l *LOCS) validate(p *problems) {
	if l == nil {
		return
	}
	maybe(p, "before.locs.nuclearOpalescence", "before.locs.nuclearOpalescence", l.NuclearOpalescence)
	maybe(p, "before.locs.nuclearColour", "before.locs.nuclearColour", l.NuclearColour)
	maybe(p, "before.locs.cortical", "before.locs.cortical", l.Cortical)
	maybe(p, "before.locs.posteriorSubcapsular", "before.locs.posteriorSubcapsular", l.PosteriorSubcapsular)
}

func (r *Refraction) validate(p *problems, path string) {
	if r == nil {
		return
	}
	maybe(p, path+"sphere", "refraction.sphere", r.Sphere)
	maybe(p, path+"cylinder", "refraction.cylinder", r.Cylinder)
	maybe(p, path+"axis", "refraction.axis", r.Axis)
	if r.Cylinder != nil && *r.Cylinder != 0 && r.Axis == nil {
		p.doubt(path+"axis", "is missing; a cylinder means little without it")
	}
}

// equivalent is the spherical equivalent in dioptres; nil while sphere or cylinder is unknown.
func (r *Refraction) equivalent() *float64 {
	value, _ := r.computed()
	return value
}

// computed gives the spherical equivalent in dioptres, nil while sphere or cylinder is unknown, and the power vector,
// which also needs the axis of a cylinder.
func (r *Refraction) computed() (*float64, *timeline.PowerVector) {
	if r == nil || r.Sphere == nil || r.Cylinder == nil {
		return nil, nil
	}
	equivalent := timeline.SphericalEquivalent(*r.Sphere, *r.Cylinder)
	var axis float64
	switch {
	case r.Axis != nil:
		axis = *r.Axis
	case *r.Cylinder != 0:
		return &equivalent, nil
	}
	vector := timeline.Vector(*r.Sphere, *r.Cylinder, axis)
	return &equivalent, &vector
}

func (k *Keratometry) validate(p *problems) {
	if k == nil {
		return
	}
	maybe(p, "before.keratometry.flat", "before.keratometry.flat", k.Flat)
	maybe(p, "before.keratometry.steep", "before.keratometry.steep", k.Steep)
	maybe(p, "before.keratometry.axis", "before.keratometry.axis", k.Axis)
	if k.Flat != nil && k.Steep != nil && *k.Flat > *k.Steep {
		p.doubt("before.keratometry.flat", "is more than the steep meridian; the two may have been changed over")
	}
}

// RiskInput is what the expected risk is computed from. The published factor joins pseudoexfoliation and phacodonesis:
// either is enough; without an answer about phacodonesis that about pseudoexfoliation stands for both, as it was asked.
func (c Case) RiskInput() timeline.RiskInput {
	b := c.Before
	zonules := b.Pseudoexfoliation
	if b.Phacodonesis == Yes {
		zonules = Yes
	}
	in := timeline.RiskInput{
		Age: b.Age, Sex: b.Sex, Pupil: b.Pupil, AxialLength: b.AxialLength, Glaucoma: timeline.Answer(b.Glaucoma),
		DiabeticRetinopathy: timeline.Answer(b.DiabeticRetinopathy), BrunescentOrWhite: timeline.Answer(b.BrunescentOrWhite),
		NoFundalView: timeline.Answer(b.NoFundalView), Pseudoexfoliation: timeline.Answer(zonules),
		AlphaBlocker: timeline.Answer(b.AlphaBlocker), CannotLieFlat: timeline.Answer(b.CannotLieFlat),
	}
	for _, o := range c.Operators {
		if o.Role == OperatorLead {
			in.Grade = string(o.Grade)
		}
	}
	return in
}
