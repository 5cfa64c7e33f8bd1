package annotate

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func namesOf(list []FieldError) []string {
	var names []string
	for _, f := range list {
		names = append(names, f.Field)
	}
	return names
}

// whole is a case with every new field of the record filled in plausibly. It is invented.
func whole() Case {
	exam := &EndothelialExam{ImageCounts: []ImageCount{{2400, 80, pointer(0.30)}, {2500, 90, pointer(31.0)}}}
	c := Case{
		ID: "c", Pseudonym: "K", Eye: RightEye, Date: "2026-01-30",
		Before: EyeBefore{
			UncorrectedAcuity: "6/36", Acuity: "6/18", Pressure: pointer(15.0), WhiteToWhite: pointer(11.8),
			Refraction:  &Refraction{pointer(-2.0), pointer(-0.75), pointer(90.0)},
			LOCS:        &LOCS{pointer(3.2), pointer(3.0), pointer(2.1), pointer(0.4)},
			Keratometry: &Keratometry{pointer(43.1), pointer(44.0), pointer(85.0)},
			Guttata:     No, Phacodonesis: No, Exam: exam,
			FellowEye: &FellowEye{Operated: Yes, Acuity: "6/6", Exam: &EndothelialExam{Density: 2300, CV: pointer(32.0)}, Note: "done in 2024"},
		},
		Operation: Operation{
			TechniquePlanned: TechniquePhaco, TechniquePerformed: TechniquePhaco, IncisionSite: "temporal", IncisionSize: pointer(2.4),
			OVDs: []string{"dispersive", "cohesive"}, Dye: No, PupilDevice: "none", LensKind: "one-piece", LensPower: pointer(21.5),
			LensPosition: "bag", TargetRefraction: pointer(-0.3), EPT: pointer(9.0), TorsionalTime: pointer(40.0),
			TorsionalAmplitude: pointer(60.0), LongitudinalTime: pointer(1.0), LongitudinalPower: pointer(20.0), AspirationTime: pointer(200.0),
			Settings: []StageSettings{{Stage: "nucleus", Vacuum: pointer(400.0), Flow: pointer(40.0), Power: pointer(60.0), Pressure: pointer(60.0)}},
		},
		Operators:      []Operator{{UserID: "u", Role: OperatorLead}},
		LostToFollowUp: &LostToFollowUp{On: "2026-03-01", Reason: "Moved away."},
	}
	c.normalise()
	return c
}

func TestAWholeRecordIsTakenWithoutADoubt(t *testing.T) {
	p := whole().check("2026-06-01")
	require.Empty(t, p.fields)
	require.Empty(t, p.doubts)
}

func TestRecordRefusesAndDoubts(t *testing.T) {
	for _, row := range []struct {
		field   string
		change  func(*Case)
		refused bool
	}{
		{field: "before.pressure", change: func(c *Case) { c.Before.Pressure = pointer(101.0) }, refused: true},
		{field: "before.pressure", change: func(c *Case) { c.Before.Pressure = pointer(45.0) }},
		{field: "before.locs.nuclearColour", change: func(c *Case) { c.Before.LOCS.NuclearColour = pointer(7.0) }, refused: true},
		{field: "before.locs.cortical", change: func(c *Case) { c.Before.LOCS.Cortical = pointer(6.0) }, refused: true},
		{field: "before.whiteToWhite", change: func(c *Case) { c.Before.WhiteToWhite = pointer(10.4) }},
		{field: "before.axialLength", change: func(c *Case) { c.Before.AxialLength = pointer(31.0) }},
		{field: "before.axialLength", change: func(c *Case) { c.Before.AxialLength = pointer(41.0) }, refused: true},
		{field: "before.keratometry.flat", change: func(c *Case) { c.Before.Keratometry.Flat = pointer(45.0) }},
		{field: "before.keratometry.steep", change: func(c *Case) { c.Before.Keratometry.Steep = pointer(430.0) }, refused: true},
		{field: "before.refraction.axis", change: func(c *Case) { c.Before.Refraction.Axis = pointer(181.0) }, refused: true},
		{field: "before.refraction.axis", change: func(c *Case) { c.Before.Refraction.Axis = nil }},
		{field: "before.refraction.sphere", change: func(c *Case) { c.Before.Refraction.Sphere = pointer(-23.0) }},
		{field: "before.uncorrectedAcuity", change: func(c *Case) { c.Before.UncorrectedAcuity = "0.3" }},
		{field: "before.fellowEye.acuity", change: func(c *Case) { c.Before.FellowEye.Acuity = "good" }},
		{field: "before.guttata", change: func(c *Case) { c.Before.Guttata = "some" }, refused: true},
		{field: "before.fellowEye.exam.density", change: func(c *Case) { c.Before.FellowEye.Exam.Density = 0 }, refused: true},
		{field: "before.exam.density", change: func(c *Case) { c.Before.Exam.Density = 2600 }},
		{field: "before.exam.cells", change: func(c *Case) { c.Before.Exam.Cells = pointer(171) }},
		{field: "before.exam.imageCounts[1].cells", change: func(c *Case) { c.Before.Exam.ImageCounts[1].Cells = 0 }, refused: true},
		{field: "before.exam.imageCounts[0].cv", change: func(c *Case) { c.Before.Exam.ImageCounts[0].CV = pointer(3.0) }, refused: true},
		{field: "operation.incisionSite", change: func(c *Case) { c.Operation.IncisionSite = "below" }, refused: true},
		{field: "operation.ovds[1]", change: func(c *Case) { c.Operation.OVDs = []string{"cohesive", "cohesive"} }, refused: true},
		{field: "operation.ovds[0]", change: func(c *Case) { c.Operation.OVDs = []string{"water"} }, refused: true},
		{field: "operation.lensPower", change: func(c *Case) { c.Operation.LensPosition = "none" }},
		{field: "operation.torsionalAmplitude", change: func(c *Case) { c.Operation.TorsionalAmplitude = pointer(100.5) }, refused: true},
		{field: "operation.settings[0].vacuum", change: func(c *Case) { c.Operation.Settings[0].Vacuum = pointer(800.0) }},
		{field: "operation.settings[1].stage", change: func(c *Case) {
			c.Operation.Settings = append(c.Operation.Settings, StageSettings{Stage: "nucleus"})
		}, refused: true},
		{field: "lostToFollowUp.reason", change: func(c *Case) { c.LostToFollowUp.Reason = " " }, refused: true},
		{field: "lostToFollowUp.on", change: func(c *Case) { c.LostToFollowUp.On = "2026-01-29" }, refused: true},
		{field: "lostToFollowUp.on", change: func(c *Case) { c.LostToFollowUp.On = "2026-06-02" }, refused: true},
	} {
		c := whole()
		row.change(&c)
		p := c.check("2026-06-01")
		if row.refused {
			require.Equal(t, []string{row.field}, namesOf(p.fields))
			continue
		}
		require.Empty(t, p.fields, row.field)
		require.Equal(t, []string{row.field}, namesOf(p.doubts))
	}
}

func TestAnExamIsPooledFromItsImages(t *testing.T) {
	exam := *whole().Before.Exam
	// 80 cells at 2400/mm² and 90 at 2500/mm² fill 0.033333 + 0.036 mm². Arithmetic.
	require.InDelta(t, 170/(80.0/2400+90.0/2500), exam.Density, 1e-9)
	require.Equal(t, 170, *exam.Cells)
	require.Equal(t, 2, *exam.Images)
	require.InDelta(t, 0.31, *exam.ImageCounts[1].CV, 1e-12)
	// Areas 416.67 (sd 125) and 400 (sd 124) µm²: squares 79·125² + 89·124² + 80·8.82² + 90·7.84² over 169, root over 407.84.
	require.InDelta(t, 0.30498, *exam.CV, 1e-5)

	entered := *normalisedExam(&EndothelialExam{Density: 2700, ImageCounts: exam.ImageCounts})
	require.InDelta(t, 2700, entered.Density, 0, "what was entered stands")
	require.Equal(t, 170, *entered.Cells)
	bad := normalisedExam(&EndothelialExam{ImageCounts: []ImageCount{{Density: 2400}}})
	require.Zero(t, bad.Density, "nothing is pooled from an image without cells")
}

func TestWindowPlans(t *testing.T) {
	for name, row := range map[string]struct {
		plans []WindowPlan
		field string
	}{
		"usual":           {UsualWindows, ""},
		"none":            {[]WindowPlan{}, ""},
		"other":           {[]WindowPlan{{WindowOther, 1, 2, true}}, "windows[0].window"},
		"twice":           {[]WindowPlan{{WindowDay1, 1, 2, true}, {WindowDay1, 3, 4, true}}, "windows[1].window"},
		"late before due": {[]WindowPlan{{WindowDay1, 3, 2, true}}, "windows[0].lateDays"},
		"out of order":    {[]WindowPlan{{WindowDay1, 9, 10, true}, {WindowWeek1, 7, 14, false}}, "windows[1].dueDays"},
		"negative":        {[]WindowPlan{{WindowDay1, -1, 2, true}}, "windows[0].dueDays"},
	} {
		var p problems
		validateWindows(&p, row.plans)
		if row.field == "" {
			require.Empty(t, p.fields, name)
			continue
		}
		require.Contains(t, namesOf(p.fields), row.field, name)
	}
	long := []WindowPlan{{WindowMonth3, 84, 140, true}}
	window, dueOn, _ := nextVisit(long, Case{Date: "2026-01-30"}, nil)
	require.Equal(t, []string{"month-3", "2026-04-24"}, []string{string(window), dueOn}, "counted on a calendar")
}
