package store_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
)

// TestFactsOfOlderRulesAreMadeAnew: what an older program left, or an upgrade has not made yet, is computed when the
// record of the unit is asked for, and made good when the rows are filled.
func TestFactsOfOlderRulesAreMadeAnew(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		for range 12 {
			u.AddCase(t, func(c *annotate.Case) { c.Before.Sex = "female" })
		}
		want, err := u.UnitRecord(t.Context(), u.Chair, annotate.UnitFilter{})
		require.NoError(t, err)
		db := behind(t, address)
		_, err = db.Exec("UPDATE case_facts SET item_rules = 0, missing_items = 0, expected_low = 0, expected_high = 0")
		require.NoError(t, err)
		got, err := u.UnitRecord(t.Context(), u.Chair, annotate.UnitFilter{})
		require.NoError(t, err)
		require.Equal(t, want, got)
		report, err := u.Verify(t.Context())
		require.NoError(t, err)
		require.True(t, report.OK(), report.Mismatches)

		_, err = db.Exec("DELETE FROM case_rows")
		require.NoError(t, err)
		require.NoError(t, u.FillRows(t.Context()))
		var stale int
		require.NoError(t, db.Get(&stale, "SELECT COUNT(*) FROM case_facts WHERE item_rules = 0"))
		require.Zero(t, stale)

		_, err = db.Exec("UPDATE case_facts SET missing_items = 0")
		require.NoError(t, err)
		report, err = u.Verify(t.Context())
		require.NoError(t, err)
		require.False(t, report.OK(), "facts of today's rules that do not follow from the case are told")
	})
}
