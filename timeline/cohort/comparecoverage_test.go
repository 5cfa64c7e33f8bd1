package cohort

import (
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestCompareCovers plants differences that are confounded with the eyes: the raw interval misses them, the adjusted one
// holds them as often as it says. UNITS is the number of units per shape; the full run takes 1,000.
func TestCompareCovers(t *testing.T) {
	units, slack := 60, 0.035
	if asked := os.Getenv("UNITS"); asked != "" {
		var err error
		units, err = strconv.Atoi(asked)
		require.NoError(t, err)
		slack = 0.02
	}
	for _, s := range shapes {
		t.Run(s.name, func(t *testing.T) {
			c := coverage(s, units)
			t.Logf("%d intervals: adjusted %.4f, alone %.4f, raw %.4f", c.total, c.adjusted, c.alone, c.raw)
			require.InDelta(t, 0.95, c.alone, slack)
			require.Greater(t, c.adjusted, 0.95-slack)
			require.Less(t, c.raw, 0.85, "the raw ratio must be wrong here, or nothing is shown")
			if !s.alike {
				require.Less(t, c.adjusted, 0.95+slack)
			}
		})
	}
}

// The ratio of a person alone holds for somebody far apart too; the shrunken one, drawn towards the others, holds less
// often than it says, as the methods note tells.
func TestAloneCoversSomeoneFarApart(t *testing.T) {
	const units = 200
	effects := []float64{-0.1, 0, 0.05, -0.05, 0, 0.1, -0.1, 0.5}
	truth := math.Exp(0.5 - 0.4/8)
	var alone, adjusted float64
	for unit := range uint64(units) {
		lane := compareOne(plan{cases: 240, effects: effects, steepness: 1.6}.invent(5000+unit), 8).Lanes[7]
		alone += holds(lane.Alone, truth) / units
		adjusted += holds(lane.Adjusted, truth) / units
	}
	t.Logf("alone %.3f, adjusted %.3f", alone, adjusted)
	require.InDelta(t, 0.95, alone, 0.045)
	require.Greater(t, adjusted, 0.8)
	require.Less(t, adjusted, alone)
}

type shape struct {
	name  string
	cases int
	plan  plan
	drawn func(random *rand.Rand, operator int) float64 // the effect of an operator, log
	// alike says that the operators hardly differ: the even prior then makes the shrunken interval wider than it must be.
	alike bool
}

// shapes are invented.
var shapes = []shape{
	{name: "8 people, 200 cases", cases: 200, plan: plan{effects: make([]float64, 8), steepness: 1.6},
		drawn: func(random *rand.Rand, _ int) float64 { return 0.2 * random.NormFloat64() }},
	{name: "slow ones get easy eyes", cases: 200, plan: plan{effects: make([]float64, 8), steepness: -1.6},
		drawn: func(random *rand.Rand, operator int) float64 {
			return 0.06*(float64(operator)-3.5) + 0.1*random.NormFloat64()
		}},
	{name: "4 people, 60 cases", cases: 60, plan: plan{effects: make([]float64, 4), steepness: 1.2},
		drawn: func(random *rand.Rand, _ int) float64 { return 0.2 * random.NormFloat64() }},
	{name: "3 people who hardly differ", alike: true, cases: 60, plan: plan{effects: make([]float64, 3), steepness: 1.2},
		drawn: func(random *rand.Rand, _ int) float64 { return 0.03 * random.NormFloat64() }},
	{name: "30 people, 1000 cases", cases: 1000, plan: plan{effects: make([]float64, 30), steepness: 1.6},
		drawn: func(random *rand.Rand, _ int) float64 { return 0.15 * random.NormFloat64() }},
	{name: "fixed effects, one far apart", cases: 240, plan: plan{effects: make([]float64, 8), steepness: 1.6},
		drawn: func(_ *rand.Rand, operator int) float64 {
			return []float64{-0.1, 0, 0.05, -0.05, 0, 0.1, -0.1, 0.5}[operator]
		}},
	{name: "skewed errors, wider in trainees", cases: 240, plan: plan{effects: make([]float64, 8), steepness: 1.6,
		error: func(random *rand.Rand, operator int) float64 {
			return (0.25 + 0.03*float64(operator)) * (random.ExpFloat64() - 1)
		}},
		drawn: func(random *rand.Rand, _ int) float64 { return 0.2 * random.NormFloat64() }},
}

type covered struct {
	adjusted, alone, raw float64
	total                int
}

func coverage(s shape, units int) covered {
	var c covered
	for unit := range units {
		random := rand.New(rand.NewPCG(uint64(unit), 99))
		p := s.plan
		p.cases = s.cases
		p.effects = make([]float64, len(s.plan.effects))
		var mean float64
		for i := range p.effects {
			p.effects[i] = s.drawn(random, i)
			mean += p.effects[i] / float64(len(p.effects))
		}
		row := compareOne(p.invent(uint64(unit)), len(p.effects))
		for i, lane := range row.Lanes {
			if lane.Adjusted == nil {
				continue
			}
			truth := math.Exp(p.effects[i] - mean)
			c.total++
			c.adjusted += holds(lane.Adjusted, truth)
			c.alone += holds(lane.Alone, truth)
			c.raw += holds(lane.Raw, truth)
		}
	}
	n := float64(c.total)
	c.adjusted, c.alone, c.raw = c.adjusted/n, c.alone/n, c.raw/n
	return c
}

func holds(r *Ratio, truth float64) float64 {
	if r.Low <= truth && truth <= r.High {
		return 1
	}
	return 0
}
