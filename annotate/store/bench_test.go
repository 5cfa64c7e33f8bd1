package store_test

import (
	"bytes"
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
)

// onBoth runs a benchmark on both databases.
func onBoth(b *testing.B, run func(b *testing.B, address string)) {
	b.Run("sqlite", func(b *testing.B) { run(b, annotatetest.SQLiteAddress(b)) })
	b.Run("postgres", func(b *testing.B) { run(b, annotatetest.PostgresAddress(b)) })
}

// BenchmarkAddEdit saves one moved marker, as a key press does, in a reading of the usual size and in a very large one.
func BenchmarkAddEdit(b *testing.B) {
	for _, standing := range []int{40, 2000} {
		b.Run(fmt.Sprintf("beside-%d", standing), func(b *testing.B) {
			onBoth(b, func(b *testing.B, address string) { benchmarkAddEdit(b, address, standing) })
		})
	}
}

func benchmarkAddEdit(b *testing.B, address string, standing int) {
	u := annotatetest.NewUnit(b, address)
	_, part, reading := u.Marked(b)
	markers := make([]annotate.Marker, standing)
	for i := range markers {
		markers[i] = u.Marker(part.ID, "removal", int64(i)*200, int64(i)*200+150)
	}
	for chunk := range slices.Chunk(markers, 500) {
		_, err := u.AddEdits(b.Context(), u.Surgeon, reading.ID, []annotate.Edit{u.Add(chunk...)})
		require.NoError(b, err)
	}
	moved := u.Marker(part.ID, "cortex", 500_000, 520_000)
	answers, err := u.AddEdits(b.Context(), u.Surgeon, reading.ID, []annotate.Edit{u.Add(moved)})
	require.NoError(b, err)
	seq := answers[0].Seq
	for b.Loop() {
		moved.Start.Ms = 500_000 + seq%1000
		answers, err := u.AddEdits(b.Context(), u.Surgeon, reading.ID, []annotate.Edit{{ID: u.NewID(), Action: "move", Changes: []annotate.Change{
			{Thing: annotate.ThingMarker, ID: moved.ID, Base: seq, Marker: &moved},
		}}})
		require.NoError(b, err)
		seq = answers[0].Seq
	}
}

// BenchmarkCasePage reads one page of a list of 5,000 cases, as clinic staff see them all.
func BenchmarkCasePage(b *testing.B) {
	text := demoBundle(b, 5000)
	onBoth(b, func(b *testing.B, address string) {
		u := annotatetest.EmptyUnit(b, address)
		require.NoError(b, u.Import(b.Context(), annotate.House(), bytes.NewReader(text)))
		people, err := u.People(b.Context(), annotate.House())
		require.NoError(b, err)
		for _, role := range []annotate.Role{annotate.RoleClinic, annotate.RoleTrainer} {
			at := slices.IndexFunc(people, func(p annotate.Person) bool { return slices.Contains(p.Roles, role) })
			actor := annotate.Actor{User: annotate.User{ID: people[at].ID, Roles: people[at].Roles, Active: true}}
			for name, filter := range map[string]annotate.CaseFilter{
				"by-date": {Descending: true}, "by-duration": {Sort: "duration"}, "search": {Query: "salt lind"}, "due": {State: "follow-up-due"},
			} {
				page, err := u.Cases(b.Context(), actor, filter)
				require.NoError(b, err)
				b.Run(fmt.Sprintf("%s/%s-of-%d", name, role, page.Total), func(b *testing.B) {
					for b.Loop() {
						_, err := u.Cases(b.Context(), actor, filter)
						require.NoError(b, err)
					}
				})
			}
		}
	})
}

// BenchmarkUnitRecord adds up 5,000 cases, as the chair of the unit sees them.
func BenchmarkUnitRecord(b *testing.B) {
	text := demoBundle(b, 5000)
	onBoth(b, func(b *testing.B, address string) {
		u := annotatetest.EmptyUnit(b, address)
		require.NoError(b, u.Import(b.Context(), annotate.House(), bytes.NewReader(text)))
		people, err := u.People(b.Context(), annotate.House())
		require.NoError(b, err)
		at := slices.IndexFunc(people, func(p annotate.Person) bool { return slices.Contains(p.Roles, annotate.RoleChair) })
		actor := annotate.Actor{User: annotate.User{ID: people[at].ID, Roles: people[at].Roles, Active: true}}
		record, err := u.UnitRecord(b.Context(), actor, annotate.UnitFilter{})
		require.NoError(b, err)
		require.Greater(b, record.Operations, 4500)
		for b.Loop() {
			_, err := u.UnitRecord(b.Context(), actor, annotate.UnitFilter{})
			require.NoError(b, err)
		}
	})
}
