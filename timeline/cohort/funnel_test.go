package cohort

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestFunnelLimits holds the drawn limits to check values 56 and 58: n = 100 and 500 at 1.92 %. Source: arithmetic of
// Spiegelhalter's method.
func TestFunnelLimits(t *testing.T) {
	var rows []Row
	for i := range 2000 {
		rows = append(rows, Row{
			CaseID: fmt.Sprintf("case-%04d", i), Date: "2026-01-01", Operator: fmt.Sprintf("operator-%d", i%4),
			Before: Before{ExpectedLow: 1.92, ExpectedHigh: 1.92}, CapsuleRupture: i%50 == 0,
		})
	}
	f := FunnelOf(New(rows), FunnelQuestion{Kind: CapsuleRupture, Against: "published", Own: "operator-2"})
	require.Empty(t, f.Why)
	require.InDelta(t, 1.92, f.Target, 1e-9)
	require.Len(t, f.Points, 4)
	own := 0
	for i, p := range f.Points {
		require.Equal(t, i+1, p.Index)
		require.Equal(t, 500, p.N)
		require.InDelta(t, 0.70, p.Lower95, 0.01)
		require.InDelta(t, 0.22, p.Lower998, 0.01)
		require.InDelta(t, 3.12, p.Upper95, 0.01)
		require.InDelta(t, 3.98, p.Upper998, 0.01)
		require.InDelta(t, p.Raw, p.Rate, 1e-9, "the same eyes everywhere: nothing to adjust")
		if p.Own {
			own++
		}
	}
	require.Equal(t, 1, own)
	// Cases 0, 50, 100, ...: operators 0 and 2 share all the events, 20 of 500 each: 4 % is outside, none of 500 too.
	for _, p := range f.Points {
		require.Equal(t, "99.8", p.Outside)
	}
	require.Greater(t, *f.Dispersion, 5.0)
	require.Contains(t, f.Notes[0], "accuse too many")
}

// TestFunnelAllowsForTheMix gives one operator all the hard eyes: the raw rate is high and the adjusted one is not.
func TestFunnelAllowsForTheMix(t *testing.T) {
	chance := rand.New(rand.NewPCG(4, 4))
	outside, raw := 0, 0
	const units = 300
	for range units {
		var rows []Row
		for i := range 2000 {
			p, operator := 0.01, i%8
			if operator == 0 {
				p = 0.06
			}
			rows = append(rows, Row{
				CaseID: fmt.Sprintf("case-%04d", i), Date: "2026-01-01", Operator: fmt.Sprint(operator),
				Before: Before{ExpectedLow: 100 * p, ExpectedHigh: 100 * p}, CapsuleRupture: chance.Float64() < p,
			})
		}
		f := FunnelOf(New(rows), FunnelQuestion{Kind: CapsuleRupture})
		require.Empty(t, f.Why)
		for _, p := range f.Points {
			if p.Outside != "" {
				outside++
			}
		}
		for _, p := range f.Points {
			if p.Expected/float64(p.N) > 0.03 && p.Raw > 2*f.Target {
				raw++
			}
		}
	}
	require.Greater(t, raw, units*8/10, "unadjusted, the operator of the hard eyes stands far out")
	// At most 5 % of the points lie outside by chance; the distribution is in steps and the target is the unit's own, so fewer.
	require.Less(t, float64(outside)/(units*8), 0.05)
	require.Greater(t, float64(outside)/(units*8), 0.01)
}

func TestFunnelHidesTheFew(t *testing.T) {
	rows := watchedUnit(12, 900, 3, 0, 1)
	f := FunnelOf(New(rows), FunnelQuestion{Kind: CapsuleRupture, Own: "operator-1"})
	require.Len(t, f.Points, 1)
	require.True(t, f.Points[0].Own)
	require.Nil(t, f.Dispersion)
	require.Contains(t, fmt.Sprint(f.Notes), "too few to stay unnamed")
	f = FunnelOf(New(rows), FunnelQuestion{Kind: "uveitis"})
	require.Contains(t, f.Why, "not recorded in any case")
	f = FunnelOf(New(rows), FunnelQuestion{Kind: CapsuleRupture, Against: "everybody"})
	require.NotEmpty(t, f.Why)
}

// TestFunnelNamesNobody looks for any operator's or case's id in the answer.
func TestFunnelNamesNobody(t *testing.T) {
	f := FunnelOf(New(watchedUnit(12, 900, 6, 0, 1)), FunnelQuestion{Kind: CapsuleRupture, Own: "operator-1"})
	require.Len(t, f.Points, 6)
	text := fmt.Sprintf("%+v", struct{ Points, Text, Notes any }{f.Points, f.Text, f.Notes})
	require.NotContains(t, text, "operator-")
	require.NotContains(t, text, "case-0")
}

// TestAnyRecordIsCharted: whatever is missing, monitoring and the funnel answer with figures that can be sent, or with the
// reason, and the cases add up.
func TestAnyRecordIsCharted(t *testing.T) {
	chance := rand.New(rand.NewPCG(18, 5))
	for range 30 {
		rows := make([]Row, pick(chance, 0, 1, 5, 60, 300))
		for i := range rows {
			low := pick(chance, 0, 0.01, 0.7, 5, 60)
			rows[i] = Row{
				CaseID: fmt.Sprint(i), Date: pick(chance, "", "2026-01-01", "2026-01-02", "2026-03-01"), Technique: "phaco",
				Operator: pick(chance, "", "a", "b", "c", "d", "e"), CapsuleRupture: chance.IntN(10) == 0,
				Before: Before{ExpectedLow: low, ExpectedHigh: low * pick(chance, 1, 1.5)},
			}
			if chance.IntN(5) == 0 {
				rows[i].Complications = []Mishap{{Kind: "corneal-oedema"}}
			}
		}
		c := New(rows)
		kind := pick(chance, CapsuleRupture, "corneal-oedema", "uveitis")
		m := Monitor(c, MonitoringQuestion{Kind: kind, Operator: pick(chance, "", "a"), Restarts: []Restart{{"2026-01-01", "reviewed"}}})
		_, err := json.Marshal(m)
		require.NoError(t, err)
		require.True(t, m.Why != "" || len(m.Points) == m.N && len(m.Text) > 1)
		f := FunnelOf(c, FunnelQuestion{Kind: kind, Own: "a", Against: pick(chance, "", "published")})
		_, err = json.Marshal(f)
		require.NoError(t, err)
		all := f.N
		for _, l := range f.LeftOut {
			all += l.Cases
		}
		require.Equal(t, len(rows), all)
		for _, p := range f.Points {
			require.LessOrEqual(t, p.Lower998, p.Lower95)
			require.LessOrEqual(t, p.Upper95, p.Upper998)
		}
	}
}

func pick[T any](chance *rand.Rand, from ...T) T { return from[chance.IntN(len(from))] }
