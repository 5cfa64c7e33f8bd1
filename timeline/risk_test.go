package timeline

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// plain is a woman in her late fifties with no risk factor, operated on by a consultant.
func plain() RiskInput {
	return RiskInput{Age: pointTo(58), Sex: "female", Pupil: "large", AxialLength: pointTo(23.4), Glaucoma: No, DiabeticRetinopathy: No,
		BrunescentOrWhite: No, NoFundalView: No, Pseudoexfoliation: No, AlphaBlocker: No, CannotLieFlat: No, Grade: "consultant"}
}

func caseD() RiskInput {
	d := plain()
	d.Age, d.Sex, d.BrunescentOrWhite, d.NoFundalView, d.CannotLieFlat, d.AlphaBlocker = pointTo(92), "male", Yes, Yes, Yes, Yes
	return d
}

// Check values 33 to 40. Case definitions found (BMJ Open Ophthalmol table); odds ratios of Narendran 2009 from memory,
// the products arithmetic.
func TestRiskCheckValues(t *testing.T) {
	for _, c := range []struct {
		name                       string
		change                     func(*RiskInput)
		composite, percent, within float64
	}{
		{"33: B", func(*RiskInput) {}, 1, 0.736, 0.001},
		{"34: A", func(r *RiskInput) { r.Age, r.Glaucoma = pointTo(78), Yes }, 1.846, 1.35, 0.01},
		{"35: C", func(r *RiskInput) {
			r.Age, r.Sex, r.Pseudoexfoliation, r.AxialLength, r.Pupil = pointTo(68), "male", Yes, pointTo(26.1), "medium"
		}, 7.1404, 5.03, 0.01},
		{"36: D", func(r *RiskInput) { *r = caseD() }, 42.790, 24.09, 0.01},
		{"37: E", func(r *RiskInput) { r.Age, r.Sex, r.Glaucoma, r.AxialLength = pointTo(82), "male", Yes, pointTo(20.8) }, 2.6291, 1.91, 0.01},
		{"38: junior", func(r *RiskInput) { r.Grade = "junior-trainee" }, 3.73, 2.69, 0.01},
		{"39: D by a junior", func(r *RiskInput) { *r = caseD(); r.Grade = "junior-trainee" }, 159.61, 54.20, 0.02},
		{"40: all patient factors worst, published over 75 %", func(r *RiskInput) {
			*r = caseD()
			r.Glaucoma, r.DiabeticRetinopathy, r.Pseudoexfoliation, r.Pupil, r.AxialLength = Yes, Yes, Yes, "small", pointTo(26.0)
		}, 564.34, 80.71, 0.02},
	} {
		in := plain()
		c.change(&in)
		risk := ExpectedRisk(in)
		require.InDelta(t, c.percent, *risk.Percent, c.within, c.name)
		require.InEpsilon(t, c.composite, risk.CompositeLow, 0.0005, c.name)
		require.Equal(t, risk.LowPercent, risk.HighPercent, c.name)
		require.Empty(t, risk.Unknown, c.name)
		require.Len(t, risk.Factors, 12, c.name)
	}
}

// Every level of the table once, alone. Source: Narendran 2009 from memory, except male sex (found).
func TestRiskTable(t *testing.T) {
	for _, c := range []struct {
		code   string
		change func(*RiskInput)
		ratio  float64
	}{
		{"age", func(r *RiskInput) { r.Age = pointTo(59) }, 1}, {"age", func(r *RiskInput) { r.Age = pointTo(60) }, 1.14},
		{"age", func(r *RiskInput) { r.Age = pointTo(79) }, 1.42}, {"age", func(r *RiskInput) { r.Age = pointTo(80) }, 1.58},
		{"age", func(r *RiskInput) { r.Age = pointTo(90) }, 2.37}, {"sex", func(r *RiskInput) { r.Sex = "male" }, 1.28},
		{"glaucoma", func(r *RiskInput) { r.Glaucoma = Yes }, 1.30}, {"diabeticRetinopathy", func(r *RiskInput) { r.DiabeticRetinopathy = Yes }, 1.63},
		{"brunescentOrWhite", func(r *RiskInput) { r.BrunescentOrWhite = Yes }, 2.99}, {"noFundalView", func(r *RiskInput) { r.NoFundalView = Yes }, 2.46},
		{"pseudoexfoliation", func(r *RiskInput) { r.Pseudoexfoliation = Yes }, 2.92}, {"pupil", func(r *RiskInput) { r.Pupil = "medium" }, 1.14},
		{"pupil", func(r *RiskInput) { r.Pupil = "small" }, 1.45}, {"axialLength", func(r *RiskInput) { r.AxialLength = pointTo(25.99) }, 1},
		{"axialLength", func(r *RiskInput) { r.AxialLength = pointTo(26.0) }, 1.47}, {"alphaBlocker", func(r *RiskInput) { r.AlphaBlocker = Yes }, 1.51},
		{"cannotLieFlat", func(r *RiskInput) { r.CannotLieFlat = Yes }, 1.27}, {"grade", func(r *RiskInput) { r.Grade = "associate-specialist" }, 0.87},
		{"grade", func(r *RiskInput) { r.Grade = "specialty-doctor" }, 0.36}, {"grade", func(r *RiskInput) { r.Grade = "fellow" }, 1.65},
		{"grade", func(r *RiskInput) { r.Grade = "senior-trainee" }, 1.60}, {"grade", func(r *RiskInput) { r.Grade = "junior-trainee" }, 3.73},
	} {
		in := plain()
		c.change(&in)
		risk := ExpectedRisk(in)
		require.InDelta(t, c.ratio, risk.CompositeLow, 1e-12, c.code)
		for _, factor := range risk.Factors {
			if factor.Code == c.code {
				require.InDelta(t, c.ratio, factor.Low, 1e-12, c.code)
			}
			require.Equal(t, map[bool]string{true: "found", false: "from memory"}[factor.Code == "sex"], factor.Status, factor.Code)
		}
	}
}

func TestUnknownGivesARange(t *testing.T) {
	in := plain()
	in.Pupil, in.Glaucoma = "", Unknown
	risk := ExpectedRisk(in)
	require.Nil(t, risk.Percent)
	require.Equal(t, []string{"glaucoma", "pupil"}, risk.Unknown)
	require.InDelta(t, 1, risk.CompositeLow, 1e-12)
	require.InDelta(t, 1.30*1.45, risk.CompositeHigh, 1e-12) // by hand
	require.InDelta(t, 0.736, risk.LowPercent, 0.001)
	require.InDelta(t, 1.379, risk.HighPercent, 0.001) // odds 0.0074146 x 1.885 = 0.013976

	nothing := ExpectedRisk(RiskInput{})
	require.Len(t, nothing.Unknown, 12)
	require.InDelta(t, 0.36, nothing.CompositeLow, 1e-12)
	require.InDelta(t, 2105, nothing.CompositeHigh, 1) // all worst, by a junior: published odds in clinical notes, arithmetic
	for _, text := range []string{nothing.Source, nothing.Status, nothing.Limits} {
		require.NotEmpty(t, text)
	}
	require.Contains(t, nothing.Status, "from memory")
}

func TestRecalibration(t *testing.T) {
	in := plain()
	in.OddsMultiplier = pointTo(0.5)
	risk := ExpectedRisk(in)
	require.InDelta(t, 0.3694, *risk.Percent, 0.0001) // odds 0.0074146/2 = 0.0037073
	require.Equal(t, in.OddsMultiplier, risk.OddsMultiplier)
	in.OddsMultiplier = pointTo(0.0)
	require.Nil(t, ExpectedRisk(in).OddsMultiplier)

	// One chance for all: the multiplier is the ratio of the odds, 10/90 against 20/80, by hand.
	same := make([]float64, 100)
	for i := range same {
		same[i] = 0.20
	}
	got, ok := RecalibratingMultiplier(same, 10)
	require.True(t, ok)
	require.InDelta(t, (10.0/90)/(20.0/80), got, 1e-9)
	for _, bad := range []struct {
		chances []float64
		events  int
	}{{nil, 0}, {same, 0}, {same, 100}, {same, -1}, {[]float64{0.1, 0}, 1}, {[]float64{0.1, 1}, 1}} {
		_, ok := RecalibratingMultiplier(bad.chances, bad.events)
		require.False(t, ok)
	}
	rapid.Check(t, func(t *rapid.T) {
		chances := rapid.SliceOfN(rapid.Float64Range(0.001, 0.9), 2, 40).Draw(t, "chances")
		events := rapid.IntRange(1, len(chances)-1).Draw(t, "events")
		m, ok := RecalibratingMultiplier(chances, events)
		require.True(t, ok)
		var expected float64
		for _, p := range chances {
			odds := p / (1 - p) * m
			expected += odds / (1 + odds)
		}
		require.InDelta(t, float64(events), expected, 1e-6)
	})
}

// Answering a question never widens the range.
func TestAnswersNarrow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := plain()
		in.Glaucoma, in.AlphaBlocker = Unknown, Unknown
		in.Pupil = rapid.SampledFrom([]string{"", "small", "medium", "large"}).Draw(t, "pupil")
		wide := ExpectedRisk(in)
		in.Glaucoma = rapid.SampledFrom([]Answer{Yes, No}).Draw(t, "glaucoma")
		narrow := ExpectedRisk(in)
		require.True(t, wide.LowPercent <= narrow.LowPercent && narrow.HighPercent <= wide.HighPercent)
		require.Len(t, narrow.Unknown, len(wide.Unknown)-1)
	})
}
