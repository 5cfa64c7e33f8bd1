package demo

import (
	"math"
	"slices"

	"zonule/annotate"
)

// furnished fills in what the operation note and the machine say besides the timing. Like detailed it has a stream of
// its own. energy comes out as entered: CDE from the times and powers, to rounding.
func furnished(r random, o *annotate.Operation, p patient, c course, hand float64) {
	o.IncisionSite, o.IncisionSize = "temporal", pointer([]float64{2.2, 2.4, 2.75}[r.IntN(3)])
	if o.TechniquePerformed == annotate.TechniqueMSICS {
		o.IncisionSite, o.IncisionSize = "superior", pointer(rounded(r.normal(6.3, 0.3), 1))
	}
	o.OVDs = []string{"cohesive"}
	if r.chance(dispersiveChance(p)) {
		o.OVDs = []string{"dispersive", "cohesive"}
	}
	o.Dye, o.PupilDevice = annotate.No, "none"
	for _, e := range c.episodes {
		switch e.step {
		case "dye":
			o.Dye = annotate.Yes
		case "pupil-support":
			o.PupilDevice = []string{"ring", "hooks"}[r.IntN(2)]
		}
	}
	implanted(r, o, p, c)
	if o.CDE == nil {
		return
	}
	energetic(r, o, c)
	o.Settings = []annotate.StageSettings{
		{Stage: "nucleus", Vacuum: pointer(float64(10 * r.between(32, 48))), Flow: pointer(float64(r.between(28, 40))), Power: pointer(float64(5 * r.between(10, 16))), Pressure: pointer(float64(r.between(52, 72)))},
		{Stage: "cortex", Vacuum: pointer(float64(10 * r.between(45, 60))), Flow: pointer(float64(r.between(30, 42))), Pressure: pointer(float64(r.between(45, 62)))},
	}
	if hand > 0.5 {
		// The unit's habit with beginners: slower machine.
		o.Settings[0].Vacuum, o.Settings[0].Flow = pointer(300.0), pointer(25.0)
	}
}

// dispersiveChance: the harder the nucleus, the more often; the formula is in the package's comment.
func dispersiveChance(p patient) float64 { return 0.30 + 0.12*float64(p.grade-1) }

// implanted chooses the lens. Power by P = A - 2.5 L - 0.9 K with A 118.4 (the first regression formula of that kind, from
// memory), in half dioptres; the eye then ends up near the target.
func implanted(r random, o *annotate.Operation, p patient, c course) {
	k := p.before.Keratometry
	power := 118.4 - 2.5**p.before.AxialLength - 0.9*(*k.Flat+*k.Steep)/2
	target := []float64{-0.25, 0, -0.5, -2.25}[r.weighted([]float64{0.6, 0.15, 0.17, 0.08})]
	o.TargetRefraction = &target
	o.LensPower = pointer(math.Round(2*min(34, max(1, power-1.5*target))) / 2)
	o.LensKind, o.LensPosition = "one-piece hydrophobic acrylic", "bag"
	switch {
	case o.TechniquePerformed == annotate.TechniqueMSICS:
		o.LensKind = "rigid, one piece"
	case c.rupture && r.chance(0.7):
		o.LensKind, o.LensPosition = "three-piece acrylic", "sulcus"
	}
}

// energetic splits the ultrasound time into its two kinds so that CDE = long·power + 0.4·torsional·amplitude.
func energetic(r random, o *annotate.Operation, c course) {
	whole := *o.UltrasoundTime
	long := rounded(whole*(0.04+0.08*r.Float64()), 1)
	power := float64(r.between(12, 35))
	torsional := rounded(whole-long, 1)
	amplitude := 100 * (*o.CDE - long*power/100) / (0.4 * torsional)
	if amplitude < 5 || amplitude > 100 {
		return // the note has the total only
	}
	o.LongitudinalTime, o.LongitudinalPower = &long, &power
	o.TorsionalTime, o.TorsionalAmplitude = &torsional, pointer(rounded(amplitude, 1))
	o.EPT = pointer(rounded(long*power/100, 3))
	aspirated := int64(0)
	for _, e := range c.episodes {
		if slices.Contains([]string{"sculpting", "division", "removal", "cortex", "polishing", "ovd-removal"}, e.step) {
			aspirated += e.end - e.start
		}
	}
	if aspirated > 0 {
		o.AspirationTime = pointer(math.Round(float64(aspirated) / 1000 * (0.78 + 0.12*r.Float64())))
	}
}

// nucleusSeconds is the time of the steps that take the nucleus out by ultrasound, in s.
func (c course) nucleusSeconds() float64 {
	total := int64(0)
	for _, e := range c.episodes {
		if e.list == phaco && slices.Contains([]string{"sculpting", "division", "removal"}, e.step) {
			total += e.end - e.start
		}
	}
	return float64(total) / 1000
}
