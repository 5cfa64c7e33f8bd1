package annotate_test

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
)

// TestRecalibration: 200 operations at the baseline of 0.736 % with 6 ruptures. As all chances are alike, the expected
// odds are the observed, 6/194, so that the multiplier is (6/194)/(0.736/99.264) = 4.1712. Arithmetic.
func TestRecalibration(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		var last annotate.Case
		for i := range 200 {
			last = u.AddCase(t, everyFactor, func(c *annotate.Case) { c.Date = fmt.Sprintf("2026-01-%02d", i%28+1) })
			if i < 4 {
				complicate(t, u, last.ID, "posterior-capsule-rupture", "vitreous-loss")
			}
		}
		unknown := u.AddCase(t, func(c *annotate.Case) { c.Date = "2026-01-05" })
		complicate(t, u, unknown.ID, "posterior-capsule-rupture")

		content := annotate.SignedContent{JSON: []byte(`{"risk":0.736}`), HTML: []byte("h"), PDF: []byte("p"), CSV: []byte("c")}
		hash := sha256.Sum256(content.JSON)
		seen, err := u.Case(t.Context(), u.Surgeon, last.ID)
		require.NoError(t, err)
		signed, err := u.SignReport(t.Context(), u.Surgeon, last.ID, seen.Change, hex.EncodeToString(hash[:]), content)
		require.NoError(t, err)

		unit, err := u.Unit(t.Context())
		require.NoError(t, err)
		require.Nil(t, unit.Recalibration, "off unless asked for")
		asked := unit
		asked.Recalibration = &annotate.Recalibration{On: true, From: "2026-01-01", To: "2026-01-31"}
		_, err = u.PutUnit(t.Context(), u.Chair, asked)
		refused(t, annotate.CodeForbidden, err)
		_, err = u.PutUnit(t.Context(), u.Admin, asked)
		refusal := refused(t, annotate.CodeInvalid, err)
		require.Equal(t, "recalibration", refusal.Fields[0].Field)
		require.Contains(t, refusal.Fields[0].Message, "there are 201 operations, 200 of them with every factor known, and among these 4 ruptures")
		stored, err := u.Unit(t.Context())
		require.NoError(t, err)
		require.Equal(t, unit, stored, "nothing is kept of what was refused")

		for _, wrong := range []annotate.Recalibration{{On: true}, {On: true, From: "2026-02-01", To: "2026-01-01"}, {On: true, From: "x", To: "2026-01-01"}} {
			asked.Recalibration = &wrong
			_, err = u.PutUnit(t.Context(), u.Admin, asked)
			refused(t, annotate.CodeInvalid, err)
		}

		complicate(t, u, last.ID, "zonular-rupture-vitreous")
		before := u.AddCase(t, everyFactor, func(c *annotate.Case) { c.Date = "2025-12-31" })
		complicate(t, u, before.ID, "vitreous-loss") // outside the window
		sixth, err := u.Cases(t.Context(), u.Surgeon, annotate.CaseFilter{From: "2026-01-20", To: "2026-01-20", Limit: 1})
		require.NoError(t, err)
		complicate(t, u, sixth.Cases[0].ID, "vitreous-loss")

		asked.Recalibration = &annotate.Recalibration{On: true, From: "2026-01-01", To: "2026-01-31", OddsMultiplier: pointerTo(40.0), Observed: 77}
		unit, err = u.PutUnit(t.Context(), u.Admin, asked)
		require.NoError(t, err)
		got := unit.Recalibration
		require.InDelta(t, 4.1712, *got.OddsMultiplier, 5e-5, "what the change says of it is not taken")
		require.Equal(t, 200, got.Operations)
		require.Equal(t, 201, got.InWindow)
		require.Equal(t, 6, got.Observed)
		require.InDelta(t, 0.736, *got.ExpectedPercent, 1e-9)
		require.Equal(t, u.Clock.Now().UnixMilli(), got.ComputedAt)

		record, err := u.Record(t.Context(), u.Surgeon, last.ID)
		require.NoError(t, err)
		require.InDelta(t, 3.0, *record.Risk.Percent, 1e-9, "6 of 200")
		require.InDelta(t, *got.OddsMultiplier, *record.Risk.OddsMultiplier, 0)
		require.InDelta(t, 0.736, *record.RiskPublished.Percent, 1e-9)
		require.Nil(t, record.RiskPublished.OddsMultiplier)

		report, kept, err := u.SignedContent(t.Context(), u.Surgeon, signed.ID)
		require.NoError(t, err)
		require.Equal(t, signed, report)
		require.Equal(t, content, kept, "what is signed never changes")
		verified(t, u)

		complicate(t, u, before.ID, "posterior-capsule-rupture")
		renamed := unit
		renamed.Name = "Another name"
		renamed, err = u.PutUnit(t.Context(), u.Admin, renamed)
		require.NoError(t, err)
		require.Equal(t, got, renamed.Recalibration, "what stands is kept until it is asked for anew")
		renamed.Recalibration = nil
		renamed.Name = "A third name"
		renamed, err = u.PutUnit(t.Context(), u.Admin, renamed)
		require.NoError(t, err)
		require.Equal(t, got, renamed.Recalibration, "a change that leaves it out keeps it")

		again := renamed
		again.Recalibration = &annotate.Recalibration{On: true, From: "2025-12-01", To: "2026-01-31"}
		again, err = u.PutUnit(t.Context(), u.Admin, again)
		require.NoError(t, err)
		require.Equal(t, 7, again.Recalibration.Observed)

		again.Recalibration = &annotate.Recalibration{On: false, From: "2025-12-01", To: "2026-01-31", OddsMultiplier: pointerTo(3.0)}
		off, err := u.PutUnit(t.Context(), u.Admin, again)
		require.NoError(t, err)
		require.Equal(t, &annotate.Recalibration{From: "2025-12-01", To: "2026-01-31"}, off.Recalibration)
		record, err = u.Record(t.Context(), u.Surgeon, last.ID)
		require.NoError(t, err)
		require.Nil(t, record.RiskPublished)
		require.InDelta(t, 0.736, *record.Risk.Percent, 1e-9)
	})
}
