package annotate_test

import (
	"strings"
	"testing"

	"github.com/jmoiron/sqlx"
	"github.com/stretchr/testify/require"

	"zonule/annotate/annotatetest"
)

// behind opens the database of a unit behind the back of the program.
func behind(t *testing.T, address string) *sqlx.DB {
	t.Helper()
	driver, name := "postgres", address
	if file, ok := strings.CutPrefix(address, "sqlite:"); ok {
		driver, name = "sqlite", file
	}
	db, err := sqlx.Open(driver, name)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, db.Close()) })
	return db
}

// TestVerifyFindsWhatIsWrong plants one corruption after another and takes it back.
func TestVerifyFindsWhatIsWrong(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u, _ := fullUnit(t, address)
		db := behind(t, address)
		report, err := u.Verify(t.Context())
		require.NoError(t, err)
		require.True(t, report.OK())
		require.Equal(t, []int{2, 2, 5, 1}, []int{report.Cases, report.Readings, report.Edits, report.Reports})
		require.Positive(t, report.AuditEntries)
		for _, row := range []struct {
			name, subject string
			table, column string
			value         string // SQL
			where         string
		}{
			{"a moved marker", "reading", "markers", "start_ms", "start_ms + 1", "1 = 1"},
			{"a lost comment", "reading", "comments", "id", "'gone'", "1 = 1"},
			{"a forged comment", "reading", "comments", "body", "'Bad.'", "1 = 1"},
			{"a rewritten edit", "journal", "edits", "changes", "REPLACE(changes, '3000', '3001')", "seq = 1"},
			{"another author", "journal", "edits", "author_id", "(SELECT id FROM users WHERE login = 'stranger')", "seq = 1"},
			{"a lost edit", "journal", "edits", "seq", "99", "seq = 5"},
			{"a wrong operation time", "facts", "case_facts", "operation_ms", "1", "operation_ms IS NOT NULL"},
			{"a wrong step time", "facts", "case_steps", "total_ms", "total_ms + 1", "kind = 'operation'"},
			{"a wrong row for comparisons", "facts", "case_rows", "body", `REPLACE(body, '"phaco"', '"msics"')`, `body LIKE '%rhexis-tear%'`},
			{"a missing visit", "facts", "visits", "visit_window", "'other'", "1 = 1"},
			{"a changed report", "report", "reports", "content_json", "content_pdf", "1 = 1"},
			{"a changed print", "report", "reports", "content_pdf", "content_csv", "1 = 1"},
			{"another signer", "report", "reports", "signed_by", "(SELECT id FROM users WHERE login = 'stranger')", "1 = 1"},
			{"a changed addendum", "report", "addenda", "body", "'Never.'", "1 = 1"},
			{"a rewritten reason", "inbox", "inbox_entries", "reason", "'Never.'", "1 = 1"},
			{"a reason put away", "inbox", "inbox_entries", "state", "'dismissed'", "1 = 1"},
			{"a changed table", "study", "frozen_studies", "content_csv", "content_pdf", "1 = 1"},
			{"a changed study print", "study", "frozen_studies", "content_html", "content_csv", "1 = 1"},
			{"a renamed frozen study", "study", "frozen_studies", "body", `REPLACE(body, '"Kept"', '"Lost"')`, `body LIKE '%Kept%'`},
			{"a lost frozen study", "study", "frozen_studies", "id", "'gone'", `body LIKE '%Kept%'`},
			{"a hidden view", "audit", "audit", "actor_id", "'nobody'", "action = 'case.view'"},
			{"a hidden change", "audit", "audit", "detail", "''", "seq = 3"},
			{"a lost entry", "audit", "audit", "seq", "9999", "seq = 4"},
		} {
			t.Run(row.name, func(t *testing.T) {
				var key, was any
				keyOf := map[string]string{"case_steps": "code", "case_facts": "case_id", "case_rows": "case_id", "audit": "hash", "comments": "made_at", "edits": "id", "frozen_studies": "study_id"}[row.table]
				if keyOf == "" {
					keyOf = "id"
				}
				read := "SELECT " + keyOf + ", " + row.column + " FROM " + row.table + " WHERE " + row.where + " ORDER BY " + keyOf + " LIMIT 1"
				require.NoError(t, db.QueryRow(read).Scan(&key, &was))
				set := db.Rebind("UPDATE " + row.table + " SET " + row.column + " = ? WHERE " + keyOf + " = ?")
				var planted any
				require.NoError(t, db.QueryRow(db.Rebind("SELECT "+row.value+" FROM "+row.table+" WHERE "+keyOf+" = ?"), key).Scan(&planted))
				_, err := db.Exec(set, planted, key)
				require.NoError(t, err)
				report, err := u.Verify(t.Context())
				require.NoError(t, err)
				require.False(t, report.OK())
				subjects := []string{}
				for _, mismatch := range report.Mismatches {
					subjects = append(subjects, mismatch.Subject)
					require.NotEmpty(t, mismatch.String())
				}
				require.Contains(t, subjects, row.subject, "%v", report.Mismatches)
				_, err = db.Exec(set, was, key)
				require.NoError(t, err)
				verified(t, u)
			})
		}
	})
}
