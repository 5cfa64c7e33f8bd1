package annotate_test

import (
	"slices"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
)

// groupBySQL is the reference group as the database adds it up from the times of the list.
func groupBySQL(t *testing.T, address string, technique annotate.Technique, exceptCase string) map[string][]int64 {
	t.Helper()
	db := behind(t, address)
	var rows []struct {
		Kind, Code string
		Total      int64 `db:"total_ms"`
	}
	require.NoError(t, db.Select(&rows, db.Rebind(`SELECT s.kind, s.code, s.total_ms FROM cases c JOIN case_steps s ON s.case_id = c.id
		WHERE c.technique_performed = ? AND c.id <> ? AND s.quality = 'measured' AND s.total_ms IS NOT NULL ORDER BY s.total_ms`), technique, exceptCase))
	group := map[string][]int64{}
	for _, row := range rows {
		code := row.Code
		if row.Kind == "stage" {
			code = "stage:" + code
		}
		group[code] = append(group[code], row.Total)
	}
	return group
}

// TestTheReferenceGroupOfSeveralServers changes cases by two servers in turn; both then tell the same group as the
// database itself.
func TestTheReferenceGroupOfSeveralServers(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		one := annotatetest.NewUnit(t, address)
		two := annotatetest.EmptyUnit(t, address)
		subject, _, _ := one.Marked(t)
		check := func() {
			t.Helper()
			want := groupBySQL(t, address, annotate.TechniquePhaco, subject.ID)
			for _, u := range []*annotatetest.Unit{one, two} {
				file, err := u.CaseFile(t.Context(), one.Surgeon, subject.ID)
				require.NoError(t, err)
				require.Equal(t, want, file.Group)
			}
		}
		check()
		for i := range 4 {
			_, part, reading := one.Marked(t)
			marker := one.Marker(part.ID, "removal", 1000, 20_000+int64(i)*777)
			by := []*annotatetest.Unit{one, two}[i%2]
			add(t, by, one.Surgeon, reading.ID, one.Add(marker, one.Marker(part.ID, "cortex", 90_000, 95_000)))
			check()
			moved := marker
			moved.End.Ms += 5000
			add(t, by, one.Surgeon, reading.ID, edit(one, "move", annotate.Change{Thing: annotate.ThingMarker, ID: moved.ID, Base: 1, Marker: &moved}))
			check()
		}
		cases, err := one.Cases(t.Context(), one.Surgeon, annotate.CaseFilter{})
		require.NoError(t, err)
		at := slices.IndexFunc(cases.Cases, func(c annotate.CaseSummary) bool { return c.ID != subject.ID })
		other, err := one.Case(t.Context(), one.Surgeon, cases.Cases[at].ID)
		require.NoError(t, err)
		other.Operation.TechniquePerformed = annotate.TechniqueMSICS
		_, err = two.PutCase(t.Context(), one.Surgeon, other)
		require.NoError(t, err)
		check()
	})
}

// TestTheSnapshotIsReadWhileItChanges is for the race detector as much as for the numbers.
func TestTheSnapshotIsReadWhileItChanges(t *testing.T) {
	u := annotatetest.NewUnit(t, annotatetest.SQLiteAddress(t))
	subject, _, _ := u.Marked(t)
	_, part, reading := u.Marked(t)
	var readers sync.WaitGroup
	faults := make([]error, 4)
	for r := range faults {
		readers.Go(func() {
			for range 20 {
				if _, faults[r] = u.CaseFile(t.Context(), u.Surgeon, subject.ID); faults[r] != nil {
					return
				}
			}
		})
	}
	for i := range int64(20) {
		add(t, u, u.Surgeon, reading.ID, u.Add(u.Marker(part.ID, "removal", i*10_000, i*10_000+5000)))
	}
	readers.Wait()
	for _, err := range faults {
		require.NoError(t, err)
	}
	file, err := u.CaseFile(t.Context(), u.Surgeon, subject.ID)
	require.NoError(t, err)
	require.Equal(t, []int64{100_000}, file.Group["removal"])
}
