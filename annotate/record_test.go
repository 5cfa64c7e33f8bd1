package annotate_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
)

func TestRecord(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		c := u.AddCase(t, func(c *annotate.Case) {
			c.Before.Acuity, c.Before.UncorrectedAcuity = "6/18", "LP"
			c.Before.Refraction = &annotate.Refraction{Sphere: pointerTo(2.0), Cylinder: pointerTo(-1.5), Axis: pointerTo(180.0)}
			c.Before.Exam = &annotate.EndothelialExam{Density: 2500, Cells: pointerTo(100), CV: pointerTo(0.30)}
			c.Before.FellowEye = &annotate.FellowEye{Acuity: "0.3", Exam: &annotate.EndothelialExam{Density: 2300}}
			c.Before.AxialLength = pointerTo(31.0)
			c.Operation.TargetRefraction = pointerTo(-0.5)
			// Check value 30 of the energy: 25 s at 60 % torsional and 5 s at 20 % longitudinal give 7.00. Arithmetic.
			c.Operation.TorsionalTime, c.Operation.TorsionalAmplitude = pointerTo(25.0), pointerTo(60.0)
			c.Operation.LongitudinalTime, c.Operation.LongitudinalPower = pointerTo(5.0), pointerTo(20.0)
			c.Operation.CDE, c.Operation.EPT = pointerTo(7.5), pointerTo(1.0)
			c.Operation.TechniquePerformed = annotate.TechniqueECCE
		})
		visit := deepVisit(u, c.ID, annotate.WindowMonth1, "2026-06-01")
		_, err := u.PutVisit(t.Context(), u.Clinic, visit)
		require.NoError(t, err)
		record, err := u.Record(t.Context(), u.Clinic, c.ID)
		require.NoError(t, err)

		var warned []string
		for _, warning := range record.Warnings {
			warned = append(warned, warning.Field)
		}
		require.Equal(t, []string{"before.axialLength", "before.fellowEye.acuity", "operation.conversionReason", "operation.cde"}, warned)

		require.InDelta(t, 0.4771, *record.Acuity.Before.LogMAR, 5e-5, "check value 19; arithmetic")
		require.Nil(t, record.Acuity.UncorrectedBefore.LogMAR)
		require.NotEmpty(t, record.Acuity.UncorrectedBefore.Why)
		require.Equal(t, "0.3", record.Acuity.FellowEye.Typed)
		require.Contains(t, record.Acuity.FellowEye.Why, "may be decimal or logMAR")
		require.Len(t, record.Acuity.Visits, 1)
		require.InDelta(t, 0.4771-0.0969, *record.Acuity.Visits[0].Gain, 1e-4, "6/18 to 6/7.5, which is 20/25: check values 19 and 21; arithmetic")

		require.InDelta(t, 1.25, *record.Refraction.SphericalEquivalent, 1e-12, "check value 63; arithmetic")
		require.InDelta(t, 0.75, record.Refraction.Vector.J0, 1e-12, "check value 64; arithmetic, sign from memory")
		require.InDelta(t, 0.0, *record.Refraction.Visits[0].FromTarget, 1e-12, "-0.25 - 0.25 is the target")

		require.InDelta(t, 7.0, *record.Energy.CDEComputed, 1e-12)
		require.True(t, record.Energy.CDEDiffers)
		require.InDelta(t, 1.0, *record.Energy.EPTComputed, 1e-12)
		require.False(t, record.Energy.EPTDiffers)

		require.Len(t, record.Endothelium, 3)
		before, after, fellow := record.Endothelium[0], record.Endothelium[1], record.Endothelium[2]
		// CV 0.30 over 100 cells: 3 %, so that the interval is 2500 exp(-+1.96 x 0.03). Arithmetic.
		require.InDelta(t, 2500*math.Exp(-0.0588), *before.Low, 1e-6)
		require.InDelta(t, 2500*math.Exp(0.0588), *before.High, 1e-6)
		require.InDelta(t, 8.0, *after.Loss.LossPercent, 1e-9)
		require.Equal(t, annotate.LeftEye, fellow.Eye)
		require.Nil(t, fellow.Low)

		_, err = u.Record(t.Context(), u.Stranger, c.ID)
		refused(t, annotate.CodeNotFound, err)
	})
}

func TestEnergyNeedsWhatItIsMadeOf(t *testing.T) {
	for _, row := range []struct {
		name     string
		o        annotate.Operation
		cde, ept *float64
	}{
		{"nothing", annotate.Operation{}, nil, nil},
		{"torsional only", annotate.Operation{TorsionalTime: pointerTo(45.0), TorsionalAmplitude: pointerTo(80.0)}, nil, nil},
		{"longitudinal declared unused; check value 31", annotate.Operation{TorsionalTime: pointerTo(45.0), TorsionalAmplitude: pointerTo(80.0), LongitudinalTime: pointerTo(0.0)}, pointerTo(14.4), pointerTo(0.0)},
		{"no power; check value 32 needs one", annotate.Operation{LongitudinalTime: pointerTo(60.0)}, nil, nil},
		{"longitudinal only; check value 32", annotate.Operation{LongitudinalTime: pointerTo(60.0), LongitudinalPower: pointerTo(25.0)}, nil, pointerTo(15.0)},
	} {
		energy := annotate.RecordOf(annotate.Unit{}, annotate.Case{Operation: row.o}, nil, nil).Energy
		require.Equal(t, row.cde == nil, energy.CDEComputed == nil, row.name)
		require.Equal(t, row.ept == nil, energy.EPTComputed == nil, row.name)
		if row.cde != nil {
			require.InDelta(t, *row.cde, *energy.CDEComputed, 1e-9, row.name)
		}
		if row.ept != nil {
			require.InDelta(t, *row.ept, *energy.EPTComputed, 1e-9, row.name)
		}
	}
}

func TestPhacodonesisIsAFactorOfTheRisk(t *testing.T) {
	level := func(exfoliation, phacodonesis annotate.Answer) string {
		c := annotate.Case{Before: annotate.EyeBefore{Pseudoexfoliation: exfoliation, Phacodonesis: phacodonesis}}
		return string(c.RiskInput().Pseudoexfoliation)
	}
	require.Equal(t, "yes", level(annotate.No, annotate.Yes))
	require.Equal(t, "yes", level(annotate.Yes, annotate.No))
	require.Equal(t, "no", level(annotate.No, annotate.Unknown))
	require.Equal(t, "", level(annotate.Unknown, annotate.No))
}

func TestCompleteness(t *testing.T) {
	c := annotate.Case{Date: "2026-03-01", Operation: annotate.Operation{TechniquePerformed: annotate.TechniquePhaco}}
	nothing := annotate.RecordOf(annotate.Unit{}, c, nil, nil).Completeness
	require.Equal(t, 1, nothing.Have, "the kind of operation")
	require.Equal(t, nothing.Of, nothing.Have+len(nothing.Missing))
	require.Equal(t, annotate.MissingItem{Item: "age", Set: "ICHOM, EUREQUO, UK", Part: "before", Field: "before.age"}, nothing.Missing[0])
	for _, set := range nothing.Sets {
		require.NotEmpty(t, set.Citation)
		require.NotEmpty(t, set.Status)
		require.Positive(t, set.Of, set.Code)
	}

	visit := annotate.Visit{Acuity: "6/6", Refraction: &annotate.Refraction{Sphere: pointerTo(0.0), Cylinder: pointerTo(0.0)}}
	for date, more := range map[string]int{
		"2026-03-02": 0, "2026-03-07": 0, "2026-03-08": 2, "2026-06-01": 2, "2026-06-02": 0, // days 1, 6, 7, 92 and 93
	} {
		visit.Date = date
		got := annotate.RecordOf(annotate.Unit{}, c, []annotate.Visit{visit}, nil).Completeness
		require.Equal(t, nothing.Have+more, got.Have, date)
	}

	full := c
	full.Operators = []annotate.Operator{{Role: annotate.OperatorLead, Grade: annotate.GradeFellow}}
	full.Operation.Anaesthesia, full.Operation.LensPosition = "topical", "none"
	full.Before = annotate.EyeBefore{
		Age: pointerTo(70), Sex: "female", Acuity: "6/18", Refraction: visit.Refraction, AxialLength: pointerTo(23.0),
		Keratometry: &annotate.Keratometry{Flat: pointerTo(43.0), Steep: pointerTo(44.0)}, NuclearGrade: pointerTo(2), Pupil: "large", Glaucoma: annotate.No,
		DiabeticRetinopathy: annotate.No, Amblyopia: annotate.No, BrunescentOrWhite: annotate.No, NoFundalView: annotate.No,
		Pseudoexfoliation: annotate.No, AlphaBlocker: annotate.No, CannotLieFlat: annotate.No,
		FellowEye: &annotate.FellowEye{Operated: annotate.No},
	}
	visit.Date = "2026-03-29"
	got := annotate.RecordOf(annotate.Unit{}, full, []annotate.Visit{visit}, nil).Completeness
	require.Empty(t, got.Missing)
	require.Equal(t, got.Of, got.Have)
}
