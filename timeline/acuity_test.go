package timeline

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestParseAcuityCheckValues(t *testing.T) {
	for _, c := range []struct {
		source, typed string
		notation      Notation
		logMAR        float64
	}{
		{"17; arithmetic", "6/9", NotationAuto, 0.1761}, {"18; arithmetic", "6/12", NotationAuto, 0.3010},
		{"19; arithmetic", "6/18", NotationAuto, 0.4771}, {"20; arithmetic", "6/24", NotationAuto, 0.6021},
		{"20; arithmetic", "6/36", NotationAuto, 0.7782}, {"20; arithmetic", "6/60", NotationAuto, 1.0000},
		{"21; arithmetic", "20/25", NotationAuto, 0.0969}, {"22; arithmetic", "6/5", NotationSnellen, -0.0792},
		{"23; arithmetic", "3/60", NotationAuto, 1.3010}, {"23; arithmetic", "1/60", NotationAuto, 1.7782},
		{"24; arithmetic", "0.32", NotationDecimal, 0.4949},
		{"25: 85 - 50 x 0.30; from memory", "70", NotationLetters, 0.30},
	} {
		got, err := ParseAcuity(c.typed, c.notation)
		require.NoError(t, err, c.source)
		require.InDelta(t, c.logMAR, *got.LogMAR, 0.0005, "%s: %s", c.source, c.typed)
		require.Equal(t, AcuityMeasured, got.Category)
		require.Equal(t, c.typed, got.Typed)
		require.Empty(t, got.Convention)
	}
	// Check values 26 and 27: the decimals of Schulze-Bonsel 2006; found, arithmetic.
	require.InDelta(t, 1.854, LogMAR(0.014), 0.001)
	require.InDelta(t, 2.301, LogMAR(0.005), 0.001)
	// Check value 25 the other way; from memory.
	require.InDelta(t, 70, Letters(0.30), 0.5)
}

// Source: how clinics write acuity, common practice; the numbers are arithmetic.
func TestParseAcuityForms(t *testing.T) {
	for _, c := range []struct {
		typed    string
		notation Notation
		means    Notation
		logMAR   float64
		extra    int
	}{
		{" 6 / 7,5 ", NotationAuto, NotationSnellen, 0.0969, 0}, {"6/9+2", NotationAuto, NotationSnellen, 0.1761, 2},
		{"20/40 -1", NotationAuto, NotationSnellen, 0.3010, -1}, {"6/6", NotationAuto, NotationSnellen, 0, 0},
		{"logMAR 0.3", NotationAuto, NotationLogMAR, 0.3, 0}, {"0.3 LogMAR", NotationAuto, NotationLogMAR, 0.3, 0},
		{"-0.1", NotationAuto, NotationLogMAR, -0.1, 0}, {"\u22120.1", NotationAuto, NotationLogMAR, -0.1, 0}, {"0.3", NotationLogMAR, NotationLogMAR, 0.3, 0},
		{"decimal 0.5", NotationAuto, NotationDecimal, 0.3010, 0}, {"0,5 dec", NotationDecimal, NotationDecimal, 0.3010, 0},
		{".5", NotationDecimal, NotationDecimal, 0.3010, 0}, {"85 letters", NotationAuto, NotationLetters, 0, 0},
	} {
		got, err := ParseAcuity(c.typed, c.notation)
		require.NoError(t, err, c.typed)
		require.InDelta(t, c.logMAR, *got.LogMAR, 0.0005, c.typed)
		require.Equal(t, c.means, got.Notation, c.typed)
		require.Equal(t, c.extra, got.Extra, c.typed)
	}
}

func TestParseAcuityBelowTheChart(t *testing.T) {
	for typed, want := range map[string]AcuityCategory{
		"CF": AcuityCountingFingers, "cf at 30 cm": AcuityCountingFingers, "Counting fingers 1 m": AcuityCountingFingers,
		"HM": AcuityHandMovements, "hand motion": AcuityHandMovements, "LP": AcuityLightPerception, "PL": AcuityLightPerception,
		"Perception of light": AcuityLightPerception, "NLP": AcuityNoLightPerception, "npl": AcuityNoLightPerception,
	} {
		got, err := ParseAcuity(typed, NotationAuto)
		require.NoError(t, err, typed)
		require.Equal(t, want, got.Category, typed)
		require.Equal(t, typed, got.Typed)
		switch want {
		case AcuityCountingFingers: // Lange 2009, found
			require.InDelta(t, 1.98, *got.LogMAR, 1e-9)
			require.Equal(t, lange2009, got.Convention)
		case AcuityHandMovements: // Lange 2009, found; its decimal 0.0052
			require.InDelta(t, 2.28, *got.LogMAR, 1e-9)
			require.InDelta(t, 0.0052, *got.Decimal, 0.00005)
		default:
			require.Nil(t, got.LogMAR, "never a number")
			require.Nil(t, got.Decimal, "never a number")
			require.Empty(t, got.Convention)
		}
	}
}

func TestParseAcuityRefuses(t *testing.T) {
	for typed, notation := range map[string]Notation{
		"": NotationAuto, "0.3": NotationAuto, "1": NotationAuto, "70": NotationAuto, "good": NotationAuto, "6/": NotationAuto,
		"6/0": NotationAuto, "0/6": NotationAuto, "60/6": NotationAuto, "6/9+9": NotationAuto, "101": NotationLetters, "70.5": NotationLetters,
		"-3": NotationLetters, "5": NotationDecimal, "0": NotationDecimal, "9": NotationLogMAR, "6/9": NotationDecimal,
		"0.5": NotationSnellen, "0.3 logmar": NotationDecimal, "decimal 0.3 logmar": NotationAuto, "-0.9": NotationAuto, "CF CF": NotationAuto,
	} {
		_, err := ParseAcuity(typed, notation)
		require.Error(t, err, "%q as %q", typed, notation)
	}
}

func TestAcuityThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		logMAR := rapid.Float64Range(-0.3, 3).Draw(t, "logMAR")
		require.InDelta(t, logMAR, LogMAR(DecimalFromLogMAR(logMAR)), 1e-12)
		require.InDelta(t, logMAR, LogMARFromLetters(Letters(logMAR)), 1e-12)
	})
	require.False(t, math.Signbit(LogMAR(1)), "no minus before zero")
}

func TestRefraction(t *testing.T) {
	// Check value 63; arithmetic.
	require.InDelta(t, -1.625, SphericalEquivalent(-1.25, -0.75), 0.001)
	require.InDelta(t, 1.25, SphericalEquivalent(2.00, -1.50), 0.001)
	// Check value 64: sign convention from memory (Thibos 1997); arithmetic.
	v := Vector(2.00, -1.50, 180)
	require.InDelta(t, 1.25, v.M, 0.001)
	require.InDelta(t, 0.75, v.J0, 0.001)
	require.InDelta(t, 0, v.J45, 0.001)
	// Check value 67: 337.5/r at the mean radius of Hoffmann 2010 (found); arithmetic.
	require.InDelta(t, 43.89, KeratometricPower(7.69), 0.01)
	rapid.Check(t, func(t *rapid.T) {
		sphere, cylinder := rapid.Float64Range(-10, 10).Draw(t, "sphere"), rapid.Float64Range(-6, 0).Draw(t, "cylinder")
		axis := rapid.Float64Range(0, 180).Draw(t, "axis")
		minus, plus := Vector(sphere, cylinder, axis), Vector(sphere+cylinder, -cylinder, axis+90)
		require.InDelta(t, minus.M, plus.M, 1e-9, "the same lens written with plus cylinder")
		require.InDelta(t, minus.J0, plus.J0, 1e-9)
		require.InDelta(t, minus.J45, plus.J45, 1e-9)
		require.InDelta(t, -cylinder, 2*math.Hypot(minus.J0, minus.J45), 1e-9)
	})
}
