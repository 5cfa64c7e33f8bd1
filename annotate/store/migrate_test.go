package store_test

import (
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"zonule/annotate/annotatetest"
	"zonule/annotate/store"
	"zonule/migrations"
)

// released gives the migrations of the program as files that a test may change.
func released(t *testing.T) fstest.MapFS {
	t.Helper()
	files := fstest.MapFS{}
	names, err := fs.Glob(migrations.Files, "*.sql")
	require.NoError(t, err)
	for _, name := range names {
		text, err := fs.ReadFile(migrations.Files, name)
		require.NoError(t, err)
		files[name] = &fstest.MapFile{Data: text}
	}
	return files
}

func TestMigrationsAreNumberedWithoutGaps(t *testing.T) {
	for i, name := range slices.Sorted(maps.Keys(released(t))) {
		require.Regexp(t, regexp.MustCompile(`^\d{4}_[a-z]+\.sql$`), name)
		require.Equal(t, fmt.Sprintf("%04d", i+1), name[:4], name)
	}
}

const another = "-- +goose Up\nCREATE TABLE another (id TEXT PRIMARY KEY);\n"

func TestAnUpgradeKeepsACopyFirst(t *testing.T) {
	file := filepath.Join(t.TempDir(), "unit.db")
	u := annotatetest.NewUnit(t, "sqlite:"+file)
	u.AddCase(t)
	copies, err := filepath.Glob(file + ".before*")
	require.NoError(t, err)
	require.Empty(t, copies, "a new database needs no copy")
	files := released(t)
	newest := len(files)
	files["9001_another.sql"] = &fstest.MapFile{Data: []byte(another)}
	require.NoError(t, store.MigrateWith(t.Context(), u.Address, files))
	copies, err = filepath.Glob(file + ".before*")
	require.NoError(t, err)
	require.Equal(t, []string{fmt.Sprintf("%s.before-upgrade-from-%d", file, newest)}, copies)
	before := behind(t, "sqlite:"+copies[0])
	var n int
	require.NoError(t, before.Get(&n, "SELECT COUNT(*) FROM cases"))
	require.Equal(t, 1, n)
	require.Error(t, before.Get(&n, "SELECT COUNT(*) FROM another"))
	require.NoError(t, store.MigrateWith(t.Context(), u.Address, files), "once more changes nothing")
	require.Error(t, u.Store.Ready(t.Context()), "the program that is running does not know the new tables")
}

func TestAChangedMigrationIsRefused(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		annotatetest.Open(t, address)
		files := released(t)
		files["0002_cases.sql"].Data = append(files["0002_cases.sql"].Data, "-- a harmless word\n"...)
		err := store.MigrateWith(t.Context(), address, files)
		require.ErrorContains(t, err, "migration 2")
		require.ErrorContains(t, err, "use Zonule")
		require.NoError(t, store.MigrateWith(t.Context(), address, released(t)))
	})
}

func TestANewerDatabaseIsRefused(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		files := released(t)
		files["9001_another.sql"] = &fstest.MapFile{Data: []byte(another)}
		require.NoError(t, store.MigrateWith(t.Context(), address, files))
		_, err := behind(t, address).Exec("UPDATE applied_migrations SET program = 'v3.1.4' WHERE version = 9001")
		require.NoError(t, err)
		_, err = store.Open(t.Context(), address)
		require.ErrorContains(t, err, "version 9001")
		require.ErrorContains(t, err, "use Zonule v3.1.4 or newer")
	})
}

func TestAnInterruptedUpgradeGoesOn(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		annotatetest.NewUnit(t, address)
		files := released(t)
		files["9001_another.sql"] = &fstest.MapFile{Data: []byte(another + "INSERT INTO nowhere VALUES (1);\n")}
		require.Error(t, store.MigrateWith(t.Context(), address, files))
		var n int
		require.Error(t, behind(t, address).Get(&n, "SELECT COUNT(*) FROM another"), "nothing of a broken migration is kept")
		annotatetest.Open(t, address)
		files["9001_another.sql"].Data = []byte(another)
		require.NoError(t, store.MigrateWith(t.Context(), address, files))
	})
}

// orders are the list orders of the store with the index that serves each, by table. Orders of few rows need none.
var orders = map[string]struct{ table, columns string }{
	"ORDER BY id, version":                                   {"step_lists", "id, version"},
	"ORDER BY case_id, place":                                {"", "of one page of cases"},
	"ORDER BY place":                                         {"", "of one case"},
	"ORDER BY place, id":                                     {"parts", "case_id, place"},
	"ORDER BY report_id, place":                              {"addenda", "report_id, place"},
	"ORDER BY number":                                        {"reports", "case_id, number"},
	"ORDER BY number LIMIT ?":                                {"import_rows", "import_id, number"},
	"ORDER BY r.number LIMIT ?":                              {"case_rows", "number"},
	"ORDER BY seq DESC LIMIT 1":                              {"audit", "seq"},
	"ORDER BY seq DESC":                                      {"audit", "case_id, seq"},
	"ORDER BY seq LIMIT ?":                                   {"audit", "seq"},
	"ORDER BY seq":                                           {"edits", "reading_id, seq"},
	"ORDER BY created_at, id":                                {"readings", "case_id, created_at, id"},
	"ORDER BY case_id, created_at, id":                       {"readings", "case_id, created_at, id"},
	"ORDER BY date, id":                                      {"visits", "case_id, date, id"},
	"ORDER BY i.number, i.raised_at, i.id":                   {"inbox_entries", "number, raised_at, id"},
	"ORDER BY m.date, m.id":                                  {"meetings", "date, id"},
	"ORDER BY meeting_id, place":                             {"meeting_items", "meeting_id, place"},
	"ORDER BY item_id, question":                             {"meeting_votings", "item_id, question"},
	"ORDER BY item_id, question, value":                      {"meeting_votes", "item_id, question, value"},
	"ORDER BY item_id, question, user_id":                    {"meeting_voters", "item_id, question, user_id"},
	"ORDER BY made_at, id":                                   {"meeting_remarks", "meeting_id, made_at, id"},
	"ORDER BY due_on, id":                                    {"meeting_actions", "due_on, id"},
	"ORDER BY case_id, kind":                                 {"", "of one page of cases"},
	"ORDER BY version":                                       {"", "a handful of migrations"},
	"ORDER BY l.made_at DESC, l.seq DESC, l.id DESC LIMIT 1": {"", "of one thread"},
	"ORDER BY CASE WHEN s.comment_id IS NULL THEN 0 ELSE 1 END, c.made_at DESC, c.id LIMIT ?": {"", "of the comments to one person"},
	"ORDER BY sort_value": {"", "see caseOrders"},
}

// caseOrders are the orders of the case list.
var caseOrders = []struct{ expression, table, columns string }{
	{"c.date", "cases", "date, id"},
	{"c.pseudonym_key", "cases", "pseudonym_key, id"},
	{"c.nuclear_grade", "cases", "nuclear_grade, id"},
	{"f.operation_ms", "case_facts", "operation_ms, case_id"},
	{"f.late_on", "case_facts", "late_on, case_id"},
}

// TestEveryOrderHasAnIndex finds the orders in the source and their indexes in the schema. An order without a row fails,
// and so does a row without an order.
func TestEveryOrderHasAnIndex(t *testing.T) {
	indexed := indexes(t)
	source := ""
	files, err := filepath.Glob("*.go")
	require.NoError(t, err)
	for _, file := range files {
		if strings.HasSuffix(file, "_test.go") {
			continue
		}
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		source += string(text)
	}
	found := map[string]bool{}
	for _, order := range regexp.MustCompile("ORDER BY [^\"`)+]+").FindAllString(source, -1) {
		order = strings.TrimSpace(order)
		if order == "ORDER BY id" { // the primary key of each table that is listed so
			continue
		}
		row, known := orders[order]
		require.True(t, known, "%q has no row", order)
		found[order] = true
		if row.table != "" {
			require.True(t, served(indexed[row.table], row.columns), "%s has no index for %q", row.table, order)
		}
	}
	for order := range orders {
		require.True(t, found[order], "%q is no longer in the source: take the row away", order)
	}
	for _, order := range caseOrders {
		require.Contains(t, source, `"`+order.expression+`"`, "the order is no longer in the source: take the row away")
		require.True(t, served(indexed[order.table], order.columns), "%s has no index for %s", order.table, order.expression)
	}
}

func TestEveryForeignKeyHasAnIndex(t *testing.T) {
	db := behind(t, migrated(t))
	indexed := indexes(t)
	keys := 0
	for table := range indexed {
		var rows []struct {
			ID   int
			From string
		}
		require.NoError(t, db.Select(&rows, `SELECT id, "from" FROM pragma_foreign_key_list('`+table+`') ORDER BY id, seq`))
		columns := map[int][]string{}
		for _, row := range rows {
			columns[row.ID] = append(columns[row.ID], row.From)
		}
		for _, key := range columns {
			keys++
			require.True(t, served(indexed[table], strings.Join(key, ", ")), "%s has no index for its foreign key %v", table, key)
		}
	}
	require.Greater(t, keys, 20)
	require.False(t, served(indexed["markers"], "note"), "the guard can fail")
}

// served tells whether an index begins with the columns.
func served(indexes []string, columns string) bool {
	return slices.ContainsFunc(indexes, func(index string) bool { return index == columns || strings.HasPrefix(index, columns+", ") })
}

func migrated(t *testing.T) string {
	t.Helper()
	address := annotatetest.SQLiteAddress(t)
	annotatetest.Open(t, address)
	return address
}

// indexes gives the columns of each index, primary keys too, by table.
func indexes(t *testing.T) map[string][]string {
	t.Helper()
	db := behind(t, migrated(t))
	var tables []string
	require.NoError(t, db.Select(&tables, "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"))
	all := map[string][]string{}
	for _, table := range tables {
		all[table] = nil
		var key []string
		require.NoError(t, db.Select(&key, "SELECT name FROM pragma_table_info('"+table+"') WHERE pk > 0 ORDER BY pk"))
		if len(key) > 0 {
			all[table] = append(all[table], strings.Join(key, ", "))
		}
		var names []string
		require.NoError(t, db.Select(&names, "SELECT name FROM pragma_index_list('"+table+"')"))
		for _, name := range names {
			var columns []string
			require.NoError(t, db.Select(&columns, "SELECT name FROM pragma_index_info('"+name+"') ORDER BY seqno"))
			all[table] = append(all[table], strings.Join(columns, ", "))
		}
	}
	return all
}
