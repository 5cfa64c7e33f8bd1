package cohort

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/timeline"
	"zonule/timeline/stat"
)

func episode(label string, from, to int64) stat.Episode {
	return stat.Episode{Label: label, Span: timeline.Span{Start: from, End: to}}
}

// readPair is two readings of steps a, b and c, the second with its boundaries moved by up to spread ms either way.
func readPair(random *rand.Rand, id int, spread int64) ReadingPair {
	var first, second []stat.Episode
	moved := func(at int64) int64 { return at + random.Int64N(2*spread+1) - spread }
	at := int64(10_000)
	for _, label := range []string{"a", "b", "c"} {
		end := at + 30_000 + random.Int64N(60_000)
		first, second = append(first, episode(label, at, end)), append(second, episode(label, moved(at), moved(end)))
		at = end + 10_000
	}
	return ReadingPair{
		CaseID: fmt.Sprintf("case%d", id), Date: "2026-03-01",
		Readings: stat.Readings{A: first, B: second, Exclusive: []string{"a", "b", "c"}},
	}
}

var agreed = []Item{{OfStep, "a", "A"}, {OfStep, "b", "B"}, {OfStep, "c", "C"}, {OfStage, "x", "not compared"}}

func TestAgreementOverCases(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 3))
	var pairs []ReadingPair
	for i := range 12 {
		pairs = append(pairs, readPair(random, i, 2000))
	}
	pairs = append(pairs, ReadingPair{CaseID: "empty", Readings: stat.Readings{Exclusive: []string{"a"}}})
	answer := AgreementOver(pairs, agreed)
	require.Equal(t, 12, answer.Cases)
	require.Equal(t, []LeftOut{{"neither reading has a marker", 1}}, answer.LeftOut)
	require.Len(t, answer.Steps, 3)
	require.Greater(t, answer.Kappa.Value, 0.9)
	require.Less(t, answer.Kappa.Interval.Lower, answer.Kappa.Value)
	require.Less(t, answer.Kappa.Interval.Upper, 1.0)
	step := answer.Steps[1]
	require.Equal(t, 12, step.Both)
	var first, second []float64
	for _, pair := range pairs[:12] {
		first, second = append(first, float64(pair.Readings.A[1].Length())), append(second, float64(pair.Readings.B[1].Length()))
	}
	want, err := stat.BlandAltman(second, first, 0.95)
	require.NoError(t, err)
	require.Equal(t, want, *step.Limits)
	require.InDelta(t, second[4]-first[4], step.Points[4].Difference, 0)
	require.InDelta(t, (second[4]+first[4])/2, step.Points[4].Mean, 0)
	require.Equal(t, 24, step.Boundaries.Matched)
	require.LessOrEqual(t, *step.Boundaries.P90Abs, 2000.0)
	require.NotEmpty(t, answer.Methods)
}

// Readings that are the same agree wholly, and swapping the readers turns the differences round.
func TestAgreementProperties(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 5))
	var same, pairs, swapped []ReadingPair
	for i := range 6 {
		pair := readPair(random, i, 3000)
		pairs = append(pairs, pair)
		turned := pair
		turned.Readings.A, turned.Readings.B = pair.Readings.B, pair.Readings.A
		swapped = append(swapped, turned)
		pair.Readings.B = pair.Readings.A
		same = append(same, pair)
	}
	whole := AgreementOver(same, agreed)
	require.InDelta(t, 1, whole.Kappa.Value, 1e-12)
	require.Zero(t, whole.Steps[0].Limits.Bias.Value)
	require.InDelta(t, 1, *whole.Steps[0].Overlap, 1e-12)
	one, other := AgreementOver(pairs, agreed), AgreementOver(swapped, agreed)
	require.InDelta(t, one.Kappa.Value, other.Kappa.Value, 1e-12)
	require.InDelta(t, one.Steps[2].Limits.Bias.Value, -other.Steps[2].Limits.Bias.Value, 1e-9)
	require.InDelta(t, one.Steps[2].Limits.Lower.Value, -other.Steps[2].Limits.Upper.Value, 1e-9)
	few := AgreementOver(pairs[:4], agreed)
	require.NotNil(t, few.Kappa)
	require.Nil(t, few.Kappa.Interval)
	require.Nil(t, few.Steps[0].Limits)
	require.Equal(t, "Both readings have it in 4 cases: limits of agreement need 5.", few.Steps[0].Why)
	require.Nil(t, AgreementOver(nil, agreed).Kappa)
}

// One case pooled is that case. Source: brute-force millisecond grid (testdata/reference/segment_agreement.json).
func TestPooledKappaOfOneCase(t *testing.T) {
	text, err := os.ReadFile("../../testdata/reference/segment_agreement.json")
	require.NoError(t, err)
	var file struct {
		Cases []struct {
			Name  string
			Input struct {
				Exclusive, Concurrent []string
				A, B                  []stat.Episode
			}
			Expected struct {
				Kappa     *float64 `json:"kappa_extent"`
				Confusion [][]int64
			}
		}
	}
	require.NoError(t, json.Unmarshal(text, &file))
	require.NotEmpty(t, file.Cases)
	for _, c := range file.Cases {
		readings := stat.Readings{A: c.Input.A, B: c.Input.B, Exclusive: c.Input.Exclusive, Concurrent: c.Input.Concurrent}
		answer := AgreementOver([]ReadingPair{{CaseID: c.Name, Readings: readings}}, nil)
		if c.Expected.Kappa == nil {
			require.Nil(t, answer.Kappa, c.Name)
		} else {
			require.InDelta(t, *c.Expected.Kappa, answer.Kappa.Value, 1e-9, c.Name)
		}
		beside, err := Beside(readings)
		require.NoError(t, err)
		var off, marked int64
		for i, row := range c.Expected.Confusion {
			for j, time := range row {
				if i != j {
					off += time
				}
			}
		}
		for _, d := range beside.Differences {
			if !slices.Contains(c.Input.Concurrent, d.First+d.Second) {
				marked += d.Length()
			}
		}
		require.Equal(t, off, marked, c.Name)
	}
}

func TestBeside(t *testing.T) {
	answer, err := Beside(stat.Readings{
		A:         []stat.Episode{episode("a", 0, 10_000), episode("b", 10_000, 30_000), episode("x", 5_000, 9_000)},
		B:         []stat.Episode{episode("a", 500, 14_000), episode("b", 14_000, 30_000), episode("x", 5_000, 12_000)},
		Exclusive: []string{"a", "b"}, Concurrent: []string{"x"},
	})
	require.NoError(t, err)
	require.Equal(t, timeline.Span{Start: 0, End: 30_000}, answer.Extent)
	require.Equal(t, []Difference{
		{timeline.Span{Start: 0, End: 500}, "a", "", true},
		{timeline.Span{Start: 9_000, End: 12_000}, "", "x", false},
		{timeline.Span{Start: 10_000, End: 14_000}, "b", "a", false},
	}, answer.Differences)
	require.Equal(t, []Labelled{
		{"a", timeline.Span{Start: 0, End: 10_000}}, {"x", timeline.Span{Start: 5_000, End: 9_000}}, {"b", timeline.Span{Start: 10_000, End: 30_000}},
	}, answer.First)
	require.NotNil(t, answer.Agreement.Kappa)
	_, err = Beside(stat.Readings{Exclusive: []string{"a"}})
	require.Error(t, err)
}

// The differences of exclusive steps are the time off the diagonal of the table of labels.
func TestBesideMarksWhatDiffers(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 7))
	for i := range 50 {
		pair := readPair(random, i, 8000)
		answer, err := Beside(pair.Readings)
		require.NoError(t, err)
		var marked, off int64
		for _, d := range answer.Differences {
			marked += d.Length()
			require.NotEqual(t, d.First, d.Second)
		}
		for row, times := range answer.Agreement.Confusion {
			for column, time := range times {
				if row != column {
					off += time
				}
			}
		}
		require.Equal(t, off, marked)
	}
}
