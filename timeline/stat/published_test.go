package stat

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/require"
)

// printed is a figure as a source prints it.
type printed struct {
	What, Term    string
	Value, Within float64
}

// TestPublishedResults fits public data sets and holds the figures to those that were published of them. Source and status of
// each stand in the file.
func TestPublishedResults(t *testing.T) {
	text, err := os.ReadFile(referenceFolder + "published_models.json")
	require.NoError(t, err)
	var content struct {
		Cases []struct {
			Name, Kind, Source string
			Y                  []float64
			Predictors         []predictor
			Published          []printed
		}
	}
	require.NoError(t, json.Unmarshal(text, &content))
	require.NotEmpty(t, content.Cases)
	for _, c := range content.Cases {
		t.Run(c.Name, func(t *testing.T) {
			require.NotEmpty(t, c.Source)
			require.NotEmpty(t, c.Published)
			got := figuresOf(t, c.Kind, designOf(t, len(c.Y), c.Predictors, nil), c.Y)
			for _, p := range c.Published {
				value, known := got[p.What+":"+p.Term]
				require.True(t, known, "%s of %q", p.What, p.Term)
				require.InDelta(t, p.Value, value, p.Within*(1+1e-9), "%s of %q", p.What, p.Term)
			}
		})
	}
}

// figuresOf fits a model and gives its figures as "what:term".
func figuresOf(t *testing.T, kind string, d *Design, y []float64) map[string]float64 {
	t.Helper()
	got := map[string]float64{}
	coefficients := func(list []Coefficient) {
		for _, c := range list {
			got["estimate:"+c.Term], got["se:"+c.Term] = c.Estimate, c.SE
			if c.RobustSE != nil {
				got["hc3:"+c.Term] = *c.RobustSE
			}
		}
	}
	switch kind {
	case "line":
		m, err := LeastSquares(d, y, nil, 0.95)
		require.NoError(t, err)
		coefficients(m.Coefficients)
		got["r squared:"], got["residual sd:"] = m.RSquared, m.ResidualSD
	case "odds", "penalised odds":
		m, err := Logistic(d, y, LogisticOptions{Level: 0.95, Penalised: kind != "odds"})
		require.NoError(t, err)
		coefficients(m.Coefficients)
		got["deviance:"], got["null deviance:"] = m.Deviance, m.NullDeviance
		for j, p := range m.Profile {
			got["profile lower:"+d.Terms[j]], got["profile upper:"+d.Terms[j]] = *p.Lower, *p.Upper
		}
	case "median slope":
		line, err := TheilSen(d.columns[1], y, 0.95)
		require.NoError(t, err)
		got["slope:"] = line.Slope.Value
	}
	return got
}

// TestFourSetsOneLine: Anscombe's four sets have one line and one R squared; what tells them apart is how much single
// observations carry. In the third set one observation lies far off, in the fourth one alone decides the slope.
// Source: Anscombe FJ, Am Stat 1973;27:17-21, from memory.
func TestFourSetsOneLine(t *testing.T) {
	text, err := os.ReadFile(referenceFolder + "published_models.json")
	require.NoError(t, err)
	var content struct {
		Cases []struct {
			Name       string
			Y          []float64
			Predictors []predictor
		}
	}
	require.NoError(t, json.Unmarshal(text, &content))
	farthest, leverage := map[string]float64{}, map[string]float64{}
	for _, c := range content.Cases {
		if len(c.Predictors) != 1 || len(c.Y) != 11 {
			continue
		}
		m, err := LeastSquares(designOf(t, 11, c.Predictors, nil), c.Y, nil, 0.95)
		require.NoError(t, err)
		influence := m.Influence()
		for i, s := range influence.Studentised {
			farthest[c.Name] = max(farthest[c.Name], math.Abs(s))
			leverage[c.Name] = max(leverage[c.Name], influence.Leverage[i])
		}
	}
	require.Len(t, farthest, 4)
	require.Less(t, farthest["four_sets_1"], 3.0)
	require.Greater(t, farthest["four_sets_3"], 100.0)
	require.InDelta(t, 1, leverage["four_sets_4"], 1e-9)
	require.Less(t, leverage["four_sets_2"], 0.5)
}
