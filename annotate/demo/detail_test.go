package demo

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/timeline"
)

// TestEnergyAgreesWithItself: CDE and EPT follow from the times and powers beside them, as far as these were written down.
func TestEnergyAgreesWithItself(t *testing.T) {
	whole := 0
	for _, record := range invent(t, 240).Records {
		o := record.Case.Operation
		if o.CDE == nil {
			require.Nil(t, o.LongitudinalTime)
			continue
		}
		if o.TorsionalTime == nil {
			continue
		}
		whole++
		long := timeline.Ultrasound{Seconds: *o.LongitudinalTime, Power: *o.LongitudinalPower / 100}
		cde, err := timeline.CDE(long, timeline.Ultrasound{Seconds: *o.TorsionalTime, Power: *o.TorsionalAmplitude / 100})
		require.NoError(t, err)
		require.InEpsilon(t, *o.CDE, cde, 0.02, record.Case.Pseudonym)
		ept, err := timeline.EPT(long)
		require.NoError(t, err)
		require.InDelta(t, ept, *o.EPT, 0.001)
		require.InDelta(t, *o.UltrasoundTime, *o.LongitudinalTime+*o.TorsionalTime, 0.11)
	}
	require.Greater(t, whole, 200)
}

// TestImagesGiveTheirCountBack when they are pooled, within what the record takes for rounding.
func TestImagesGiveTheirCountBack(t *testing.T) {
	listed, other, exams := 0, 0, 0
	for _, record := range invent(t, 240).Records {
		all := []*annotate.EndothelialExam{record.Case.Before.Exam, record.Case.Before.FellowEye.Exam}
		for _, visit := range record.Visits {
			all = append(all, visit.Exam)
			if visit.Exam != nil && visit.Exam.Instrument == otherInstrument {
				other++
			}
		}
		for _, e := range all {
			if e == nil {
				continue
			}
			exams++
			if len(e.ImageCounts) == 0 {
				continue
			}
			listed++
			var counts []timeline.Count
			for _, image := range e.ImageCounts {
				counts = append(counts, timeline.Count{Density: image.Density, Cells: &image.Cells, CV: image.CV})
			}
			pooled, err := timeline.Pool(counts)
			require.NoError(t, err)
			require.Len(t, e.ImageCounts, *e.Images)
			require.Equal(t, *e.Cells, *pooled.Cells)
			require.InEpsilon(t, pooled.Density, e.Density, 0.001)
			require.InEpsilon(t, *pooled.CV, *e.CV, 0.005)
		}
	}
	require.InDelta(t, 0.47, float64(listed)/float64(exams), 0.15)
	require.InDelta(t, 9, other, 8)
}

// TestTheRecordIsFilledIn, with gaps as in life: answers left open, visits without refraction, some lost, one year seen.
func TestTheRecordIsFilledIn(t *testing.T) {
	open, lost, years, refractions, months := 0, 0, 0, 0, 0
	for _, record := range invent(t, 240).Records {
		b, o := record.Case.Before, record.Case.Operation
		require.NotNil(t, b.LOCS)
		require.NotNil(t, b.Keratometry)
		require.LessOrEqual(t, *b.Keratometry.Flat, *b.Keratometry.Steep)
		require.NotEmpty(t, b.UncorrectedAcuity)
		require.NotEmpty(t, o.OVDs)
		require.NotNil(t, o.TargetRefraction)
		for _, answer := range []annotate.Answer{b.Guttata, b.DeepSetOrbit, b.Amblyopia, b.Diabetes} {
			if answer == annotate.Unknown {
				open++
			}
		}
		if record.Case.LostToFollowUp != nil {
			lost++
			require.Nil(t, visitIn(record, annotate.WindowMonth1))
			require.GreaterOrEqual(t, record.Case.LostToFollowUp.On, record.Case.Date)
			require.LessOrEqual(t, record.Case.LostToFollowUp.On, today.Format("2006-01-02"))
		}
		if visitIn(record, annotate.WindowYear1) != nil {
			years++
		}
		if month := visitIn(record, annotate.WindowMonth1); month != nil {
			months++
			if month.Refraction != nil {
				refractions++
			}
		}
	}
	require.InDelta(t, 240*4*0.06, open, 30)
	require.InDelta(t, 5, lost, 4)
	require.InDelta(t, 17, years, 12)
	require.InDelta(t, 0.92, float64(refractions)/float64(months), 0.06)
}

// TestSpeedIsConfoundedWithGrade: the trainers' nuclei are harder, so that trainees look quicker than they are.
func TestSpeedIsConfoundedWithGrade(t *testing.T) {
	var trainers, trainees []float64
	for _, record := range Invent(Options{Seed: 1, Today: today, Cases: 1200}).Records {
		grade := float64(*record.Case.Before.NuclearGrade)
		if record.Case.Operators[0].Grade == annotate.GradeConsultant {
			trainers = append(trainers, grade)
		} else {
			trainees = append(trainees, grade)
		}
	}
	require.Greater(t, mean(trainers)-mean(trainees), 0.1)
}

// TestLossGoesWithNucleusTime, also among eyes of the same grade.
func TestLossGoesWithNucleusTime(t *testing.T) {
	times, losses := map[int][]float64{}, map[int][]float64{}
	for _, record := range Invent(Options{Seed: 1, Today: today, Cases: 1200}).Records {
		before, visit := record.Case.Before, visitIn(record, annotate.WindowMonth1)
		if record.Reading == nil || record.Case.Operation.TechniquePerformed != annotate.TechniquePhaco ||
			before.Exam == nil || visit == nil || visit.Exam == nil || visit.Exam.Instrument == otherInstrument {
			continue
		}
		at := map[string]int64{}
		for _, part := range record.Parts {
			at[part.ID] = int64(part.Position-1) * chunk
		}
		total := int64(0)
		for _, m := range fold(record).Markers {
			if slices.Contains([]string{"sculpting", "division", "removal"}, m.Step) {
				total += at[m.End.Part] + m.End.Ms - at[m.Start.Part] - m.Start.Ms
			}
		}
		loss, seconds := math.Log(before.Exam.Density/visit.Exam.Density), math.Log(float64(total)/1000)
		for _, stratum := range []int{0, *before.NuclearGrade} { // 0 is all of them
			times[stratum], losses[stratum] = append(times[stratum], seconds), append(losses[stratum], loss)
		}
	}
	require.Greater(t, correlation(times[0], losses[0]), 0.3)
	for _, grade := range []int{2, 3} {
		require.Greater(t, len(times[grade]), 200)
		require.Greater(t, correlation(times[grade], losses[grade]), 0.1, "grade %d", grade)
		require.Less(t, correlation(times[grade], losses[grade]), correlation(times[0], losses[0]), "grade %d", grade)
	}
}
