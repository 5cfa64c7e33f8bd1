package stat

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// thousandths turns the decimals of the reference file into whole numbers; shifts are then in thousandths.
func thousandths(x []float64) []int64 {
	whole := make([]int64, len(x))
	for i, v := range x {
		whole[i] = int64(math.Round(1000 * v))
	}
	return whole
}

// Source: R 4.2.2 wilcox.test, kruskal.test, cor.test, to the tolerance in the file.
func TestRankTestsAgainstR(t *testing.T) {
	eachVector(t, "rank_tests.json", func(t *testing.T, v vector, kind string) {
		switch kind {
		case "mann_whitney":
			checkMannWhitney(t, v)
		case "kruskal_wallis":
			var in struct{ Groups [][]float64 }
			var want struct{ H, DF, P float64 }
			v.read(t, &in, &want)
			groups := make([][]int64, len(in.Groups))
			for i, g := range in.Groups {
				groups[i] = thousandths(g)
			}
			got, err := KruskalWallis(groups)
			require.NoError(t, err)
			v.near(t, want.H, got.Statistic, "h")
			v.near(t, want.DF, got.DF, "df")
			v.near(t, want.P, got.P, "p")
		case "spearman":
			checkSpearman(t, v)
		default:
			t.Fatalf("no check for %q", kind)
		}
	})
}

func checkMannWhitney(t *testing.T, v vector) {
	var in struct {
		X, Y  []float64
		Level float64 `json:"conf_level"`
	}
	var want struct {
		NX       int      `json:"n_x"`
		NY       int      `json:"n_y"`
		UX       float64  `json:"u_x"`
		UY       float64  `json:"u_y"`
		PExact   *float64 `json:"p_exact"`
		PGreater *float64 `json:"p_exact_greater"`
		PLess    *float64 `json:"p_exact_less"`
		PNormal  *float64 `json:"p_normal"`
		HL       float64  `json:"hl_estimate"`
		ExactLow *float64 `json:"hl_exact_lower"`
		ExactUp  *float64 `json:"hl_exact_upper"`
		Achieved *float64 `json:"hl_exact_achieved_conf"`
		NormLow  *float64 `json:"hl_normal_lower"`
		NormUp   *float64 `json:"hl_normal_upper"`
	}
	v.read(t, &in, &want)
	got, err := MannWhitney(thousandths(in.X), thousandths(in.Y), in.Level)
	if want.PNormal == nil {
		requireReason(t, err, Constant)
	} else {
		require.NoError(t, err)
	}
	require.Equal(t, want.NX, got.NX)
	require.Equal(t, want.NY, got.NY)
	require.Equal(t, want.UX, got.UX)
	require.Equal(t, want.UY, got.UY)
	v.nearOptional(t, want.PExact, got.PExact, "exact p")
	v.nearOptional(t, want.PGreater, got.PGreater, "exact p greater")
	v.nearOptional(t, want.PLess, got.PLess, "exact p less")
	v.nearOptional(t, want.PNormal, got.PNormal, "normal p")
	v.near(t, want.HL, got.Shift.Value/1000, "shift")
	lower, upper := inUnits(got.ExactShift)
	v.nearOptional(t, want.ExactLow, lower, "exact lower")
	v.nearOptional(t, want.ExactUp, upper, "exact upper")
	if want.Achieved != nil {
		v.near(t, *want.Achieved, got.ExactShift.Level, "achieved level")
	}
	lower, upper = inUnits(got.NormalShift)
	v.nearOptional(t, want.NormLow, lower, "normal lower")
	v.nearOptional(t, want.NormUp, upper, "normal upper")
}

func inUnits(ci *Interval) (lower, upper *float64) {
	if ci == nil {
		return nil, nil
	}
	return pointTo(ci.Lower / 1000), pointTo(ci.Upper / 1000)
}

func checkSpearman(t *testing.T, v vector) {
	var in struct{ X, Y []float64 }
	var want struct {
		N      int
		Rho    float64
		PT     float64  `json:"p_t"`
		PExact *float64 `json:"p_exact"`
	}
	v.read(t, &in, &want)
	got, err := Spearman(in.X, in.Y, 0.95)
	require.NoError(t, err)
	require.Equal(t, want.N, got.Rho.N)
	v.near(t, want.Rho, got.Rho.Value, "rho")
	v.near(t, want.PT, got.PT, "p from t")
	v.nearOptional(t, want.PExact, got.PExact, "exact p")
}

// Source: R 4.2.2 p.adjust, to the tolerance in the file.
func TestMultipleTestingAgainstR(t *testing.T) {
	eachVector(t, "multiple_testing.json", func(t *testing.T, v vector, _ string) {
		var in struct{ P []*float64 }
		var want struct {
			Holm       []*float64
			BH         []*float64 `json:"benjamini_hochberg"`
			Bonferroni []*float64
		}
		v.read(t, &in, &want)
		got, err := Adjust(in.P)
		require.NoError(t, err)
		for i := range in.P {
			v.nearOptional(t, want.Holm[i], got.Holm[i], "Holm")
			v.nearOptional(t, want.BH[i], got.BenjaminiHochberg[i], "Benjamini-Hochberg")
			v.nearOptional(t, want.Bonferroni[i], got.Bonferroni[i], "Bonferroni")
		}
	})
}

// Seconds that tie on paper must tie in the ranks: 0.1 + 0.2 is not 0.3 in floating point, 100 + 200 ms is 300 ms.
func TestWholeMillisecondsTie(t *testing.T) {
	got, err := MannWhitney([]int64{100 + 200, 500}, []int64{300, 900}, 0.95)
	require.NoError(t, err)
	require.Equal(t, 1.5, got.UX)
	require.Nil(t, got.PExact)
	require.NotEmpty(t, got.Shift.Notes)
}

func TestRankTestsRefuse(t *testing.T) {
	_, err := MannWhitney(nil, []int64{1}, 0.95)
	requireReason(t, err, TooFew)
	_, err = MannWhitney([]int64{4, 4}, []int64{4}, 0.95)
	requireReason(t, err, Constant)
	_, err = KruskalWallis([][]int64{{1, 2}})
	requireReason(t, err, TooFew)
	_, err = KruskalWallis([][]int64{{1, 2}, {}})
	requireReason(t, err, TooFew)
	_, err = KruskalWallis([][]int64{{3, 3}, {3}})
	requireReason(t, err, Constant)
	_, err = Spearman([]float64{1, 2, 3}, []float64{1, 1, 1}, 0.95)
	requireReason(t, err, Constant)
	_, err = Spearman([]float64{1, 2}, []float64{1, 2}, 0.95)
	requireReason(t, err, TooFew)
	_, err = Adjust([]*float64{pointTo(1.5)})
	requireReason(t, err, Invalid)
}

// The k-th difference, counted without listing them, equals the k-th of the sorted list.
func TestDifferencesAgainstTheList(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.SliceOfN(rapid.Int64Range(-50, 50), 1, 12).Draw(t, "x")
		y := rapid.SliceOfN(rapid.Int64Range(-50, 50), 1, 12).Draw(t, "y")
		var list []int64
		for _, a := range x {
			for _, b := range y {
				list = append(list, a-b)
			}
		}
		slices.Sort(list)
		pairs := newDifferences(x, y)
		for k := range list {
			require.Equal(t, list[k], pairs.at(int64(k+1)))
		}
	})
}

// Exchanging the groups mirrors everything; shifting one moves the estimate by as much (algebra).
func TestMannWhitneyIsEquivariant(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.SliceOfN(rapid.Int64Range(0, 2000), 2, 25).Draw(t, "x")
		y := rapid.SliceOfN(rapid.Int64Range(0, 2000), 2, 25).Draw(t, "y")
		a, err := MannWhitney(x, y, 0.95)
		if err != nil {
			return
		}
		b, err := MannWhitney(y, x, 0.95)
		require.NoError(t, err)
		require.Equal(t, a.UX, b.UY)
		require.Equal(t, a.Shift.Value, -b.Shift.Value)
		require.InDelta(t, *a.P, *b.P, 1e-12)
		require.Equal(t, a.Shift.Interval.Lower, -b.Shift.Interval.Upper)
		moved := make([]int64, len(x))
		for i, v := range x {
			moved[i] = v + 5000
		}
		c, err := MannWhitney(moved, y, 0.95)
		require.NoError(t, err)
		require.Equal(t, a.Shift.Value+5000, c.Shift.Value)
	})
}

// Ten thousand against ten thousand need no list of their hundred million differences.
func BenchmarkMannWhitney(b *testing.B) {
	x, y := make([]int64, 10_000), make([]int64, 10_000)
	for i := range x {
		x[i], y[i] = int64(i*7919%100_003), int64(i*6101%90_001)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := MannWhitney(x, y, 0.95); err != nil {
			b.Fatal(err)
		}
	}
}
