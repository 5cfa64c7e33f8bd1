package annotate

import (
	"context"

	"zonule/timeline"
)

// Recalibration fits the published risk to the unit by one multiplier on the odds, with which the unit's expected number
// of capsule ruptures over a window of its operations equals the observed. Source: recalibration in the large, common
// practice.
type Recalibration struct {
	On   bool   `json:"on"`
	From string `json:"from"` // dates of operations, inclusive
	To   string `json:"to"`
	// The rest is computed when it is turned on or asked for anew (ComputedAt 0); what a change says of it is not taken.
	OddsMultiplier *float64 `json:"oddsMultiplier" required:"false"` // null while off
	// Operations are those of the window in which every factor of the risk is known; the multiplier rests on them alone.
	Operations int `json:"operations" required:"false"`
	InWindow   int `json:"inWindow" required:"false"` // all operations of the window
	// Observed counts the operations with a capsule rupture under the audit definition.
	Observed        int      `json:"observed" required:"false"`
	ExpectedPercent *float64 `json:"expectedPercent" required:"false"` // mean published risk of the operations
	ComputedAt      int64    `json:"computedAt" required:"false"`      // Unix ms
}

const (
	// With 5 events the exact 95 % interval of their number runs from 1.6 to 11.7 (Poisson; arithmetic), so that the
	// multiplier is known to within a factor of three; with fewer it would say nothing. 200 operations are what 5 events
	// come from at 2.5 %. Source: our definition.
	fewestRuptures   = 5
	fewestOperations = 200
)

// asks reports whether a change asks for the multiplier to be computed.
func (r *Recalibration) asks(stored *Recalibration) bool {
	if r == nil || !r.On {
		return false
	}
	return stored == nil || !stored.On || r.From != stored.From || r.To != stored.To || r.ComputedAt != stored.ComputedAt
}

// takeRecalibration puts into a changed unit what follows from what it asks for.
func (s *Service) takeRecalibration(ctx context.Context, tx Tx, unit *Unit, stored Unit) error {
	switch asked := unit.Recalibration; {
	case asked == nil:
		unit.Recalibration = stored.Recalibration
	case asked.asks(stored.Recalibration):
		computed, err := s.recalibrate(ctx, tx, asked.From, asked.To)
		unit.Recalibration = computed
		return err
	case asked.On:
		unit.Recalibration = stored.Recalibration
	default:
		unit.Recalibration = &Recalibration{From: asked.From, To: asked.To}
	}
	return nil
}

// recalibrate computes the multiplier over the unit's operations of a window.
func (s *Service) recalibrate(ctx context.Context, tx Tx, from, to string) (*Recalibration, error) {
	var p problems
	if p.date("recalibration.from", from, true) && p.date("recalibration.to", to, true) && from > to {
		p.add("recalibration.to", "lies before the beginning of the window")
	}
	if err := p.err("The unit"); err != nil {
		return nil, err
	}
	tally, err := s.tallyOf(ctx, tx, CaseQuery{CaseFilter: CaseFilter{From: from, To: min(to, s.today())}, All: true})
	if err != nil {
		return nil, err
	}
	chances, observed := tally.known()
	result := &Recalibration{
		On: true, From: from, To: to, Operations: len(chances), InWindow: len(tally.rows), Observed: observed, ComputedAt: s.nowMs(),
	}
	if len(chances) < fewestOperations || observed < fewestRuptures {
		p.add("recalibration", "needs at least %d operations with every factor of the risk known and %d capsule ruptures among them; "+
			"from %s to %s there are %d operations, %d of them with every factor known, and among these %d ruptures. Choose a longer window, or fill in the risk factors",
			fewestOperations, fewestRuptures, from, to, result.InWindow, result.Operations, observed)
		return nil, p.err("The unit")
	}
	multiplier, ok := timeline.RecalibratingMultiplier(chances, observed)
	if !ok {
		p.add("recalibration", "cannot be computed: every operation of the window has a capsule rupture")
		return nil, p.err("The unit")
	}
	expected := 100 * mean(chances)
	result.OddsMultiplier, result.ExpectedPercent = &multiplier, &expected
	return result, nil
}

func mean(values []float64) float64 {
	var sum float64
	for _, value := range values {
		sum += value
	}
	return sum / float64(len(values))
}

// OddsMultiplier is the one with which the unit's risks are computed; nil while recalibration is off.
func (u Unit) OddsMultiplier() *float64 {
	if u.Recalibration == nil || !u.Recalibration.On {
		return nil
	}
	return u.Recalibration.OddsMultiplier
}

// RiskOf is the expected risk of a case, fitted to the unit when the unit says so; the published one then stands beside.
func (u Unit) RiskOf(c Case) (risk timeline.Risk, published *timeline.Risk) {
	in := c.RiskInput()
	asPublished := timeline.ExpectedRisk(in)
	if in.OddsMultiplier = u.OddsMultiplier(); in.OddsMultiplier == nil {
		return asPublished, nil
	}
	return timeline.ExpectedRisk(in), &asPublished
}
