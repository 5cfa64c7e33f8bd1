package report

import (
	"fmt"
	"math"
	"strings"

	"zonule/annotate"
	"zonule/server/report/words"
	"zonule/timeline"
)

// sayAcuity writes an acuity as typed with what it is in logMAR, where it can be converted.
func sayAcuity(typed string) string {
	if told := sayLogMAR(typed); told != "" {
		return typed + " (" + told + ")"
	}
	return typed
}

// sayLogMAR is "" where the acuity has no number.
func sayLogMAR(typed string) string {
	converted := annotate.Convert(typed)
	if converted == nil || converted.LogMAR == nil {
		return ""
	}
	text := "logMAR " + words.Number(*converted.LogMAR, 2)
	if converted.Convention != "" {
		text += ", by " + converted.Convention
	}
	return text
}

// logMAR is nil where the acuity has no number.
func logMAR(typed string) *float64 {
	if converted := annotate.Convert(typed); converted != nil {
		return converted.LogMAR
	}
	return nil
}

// sayRefraction writes sphere, cylinder and axis with the spherical equivalent.
func sayRefraction(r *annotate.Refraction) string {
	if r == nil {
		return ""
	}
	var parts []string
	if r.Sphere != nil {
		parts = append(parts, dioptres(*r.Sphere))
	}
	if r.Cylinder != nil && *r.Cylinder != 0 {
		cylinder := dioptres(*r.Cylinder)
		if r.Axis != nil {
			cylinder += " × " + words.AsEntered(*r.Axis) + "°"
		}
		parts = append(parts, cylinder)
	}
	if len(parts) == 0 {
		return ""
	}
	text := strings.Join(parts, " ")
	if r.Sphere == nil || r.Cylinder == nil {
		return text + " D"
	}
	return text + " D, spherical equivalent " + dioptres(timeline.SphericalEquivalent(*r.Sphere, *r.Cylinder)) + " D"
}

// dioptres writes a power with its sign.
func dioptres(value float64) string {
	if value > 0 {
		return "+" + words.Number(value, 2)
	}
	return words.Number(value, 2)
}

func sayLOCS(l *annotate.LOCS) string {
	if l == nil {
		return ""
	}
	var parts []string
	for _, grade := range []struct {
		name  string
		value *float64
	}{{"NO", l.NuclearOpalescence}, {"NC", l.NuclearColour}, {"C", l.Cortical}, {"P", l.PosteriorSubcapsular}} {
		if grade.value != nil {
			parts = append(parts, grade.name+" "+words.Number(*grade.value, 1))
		}
	}
	return strings.Join(parts, ", ")
}

func sayKeratometry(k *annotate.Keratometry) string {
	if k == nil {
		return ""
	}
	text := strings.Join(present(decimal(k.Flat, "D flat"), decimal(k.Steep, "D steep")), ", ")
	if k.Axis != nil && k.Steep != nil {
		text += " at " + words.AsEntered(*k.Axis) + "°"
	}
	return text
}

func sayFellowEye(f *annotate.FellowEye) string {
	if f == nil {
		return ""
	}
	parts := present(map[annotate.Answer]string{annotate.Yes: "operated before", annotate.No: "not operated"}[f.Operated], sayAcuity(f.Acuity))
	if f.Exam != nil {
		parts = append(parts, sayExam(*f.Exam))
	}
	return words.Upper(strings.Join(append(parts, present(f.Note)...), "; "))
}

// recordFacts adds what is known of refraction, lens and fellow eye.
func (w writer) recordFacts(f *facts) {
	before := w.Case.Before
	f.add("Acuity before", sayAcuity(before.Acuity))
	f.add("Uncorrected", sayAcuity(before.UncorrectedAcuity))
	f.add("Refraction before", sayRefraction(before.Refraction))
	f.add("Pressure before", decimal(before.Pressure, "mmHg"))
	f.add("LOCS III", sayLOCS(before.LOCS))
	f.add("Keratometry", sayKeratometry(before.Keratometry))
	f.add("White-to-white", decimal(before.WhiteToWhite, "mm"))
	f.add("Fellow eye", sayFellowEye(before.FellowEye))
}

// operationFacts adds incision, devices and lens.
func (w writer) operationFacts(f *facts) {
	o := w.Case.Operation
	f.add("Incision", words.Upper(strings.Join(present(o.IncisionSite, decimal(o.IncisionSize, "mm")), ", ")))
	f.add("OVD", words.Upper(words.List(o.OVDs)))
	f.add("Capsule stained", string(o.Dye))
	f.add("Pupil device", o.PupilDevice)
	lens := present(o.LensKind, decimal(o.LensPower, "D"), map[string]string{
		"bag": "in the bag", "sulcus": "in the sulcus", "anterior-chamber": "in the anterior chamber", "scleral": "fixed to the sclera", "none": "no lens implanted",
	}[o.LensPosition])
	f.add("Lens", words.Upper(strings.Join(lens, ", ")))
	if o.TargetRefraction != nil {
		f.add("Target refraction", dioptres(*o.TargetRefraction)+" D")
	}
	f.add("Completeness", sayCompleteness(w.Completeness))
}

// sayCompleteness names the sets that the items are from.
func sayCompleteness(c annotate.Completeness) string {
	var sets []string
	for _, set := range c.Sets {
		sets = append(sets, fmt.Sprintf("%s %d of %d", set.Code, set.Have, set.Of))
	}
	return fmt.Sprintf("%d of %d items of the published minimum sets (%s)", c.Have, c.Of, strings.Join(sets, ", "))
}

// refraction tells the refraction of a visit and how far it lies from the target.
func (w writer) refraction(v VisitLine) string {
	text := sayRefraction(v.Refraction)
	target := w.Case.Operation.TargetRefraction
	if text == "" || target == nil || v.Refraction.Sphere == nil || v.Refraction.Cylinder == nil {
		return text
	}
	from := timeline.SphericalEquivalent(*v.Refraction.Sphere, *v.Refraction.Cylinder) - *target
	within := "more than 1.00 D"
	switch {
	case math.Abs(from) <= 0.5:
		within = "within 0.50 D"
	case math.Abs(from) <= 1:
		within = "within 1.00 D"
	}
	return text + ", " + dioptres(from) + " D from the target (" + within + ")"
}
