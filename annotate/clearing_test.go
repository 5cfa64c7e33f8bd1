package annotate_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
)

func TestClearPart(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		c, part, _ := u.Marked(t)
		require.Zero(t, part.ClearedAt, "nobody looked at it")
		_, err := u.ClearPart(t.Context(), u.Stranger, c.ID, part.ID, true)
		refused(t, annotate.CodeNotFound, err)
		_, err = u.ClearPart(t.Context(), u.Clinic, c.ID, part.ID, true)
		refused(t, annotate.CodeForbidden, err)
		_, err = u.ClearPart(t.Context(), u.Surgeon, c.ID, "another", true)
		refused(t, annotate.CodeNotFound, err)

		cleared, err := u.ClearPart(t.Context(), u.Trainee, c.ID, part.ID, true)
		require.NoError(t, err)
		require.Equal(t, u.Trainee.ID, cleared.ClearedBy)
		require.Equal(t, u.Clock.Now().UnixMilli(), cleared.ClearedAt)
		again, err := u.ClearPart(t.Context(), u.Surgeon, c.ID, part.ID, true)
		require.NoError(t, err)
		require.Equal(t, cleared, again, "said once")

		moved := cleared
		moved.Cuts = []int64{1000}
		moved.ClearedBy, moved.ClearedAt = u.Surgeon.ID, 5
		moved, err = u.PutPart(t.Context(), u.Surgeon, moved)
		require.NoError(t, err)
		require.Equal(t, cleared.ClearedAt, moved.ClearedAt, "another place on the clock is the same picture")
		require.Equal(t, u.Trainee.ID, moved.ClearedBy)

		taken, err := u.ClearPart(t.Context(), u.Surgeon, c.ID, part.ID, false)
		require.NoError(t, err)
		require.Zero(t, taken.ClearedAt)
		require.Empty(t, taken.ClearedBy)
		taken, err = u.ClearPart(t.Context(), u.Surgeon, c.ID, part.ID, true)
		require.NoError(t, err)

		u.Media.Set("films:another.mp4", 600_000)
		taken.Source = "films:another.mp4"
		taken, err = u.PutPart(t.Context(), u.Surgeon, taken)
		require.NoError(t, err)
		require.Zero(t, taken.ClearedAt, "another file is another picture")
		verified(t, u)
	})
}

func TestAReplacedFileIsNotCleared(t *testing.T) {
	u := annotatetest.NewUnit(t, annotatetest.SQLiteAddress(t))
	c, part, _ := u.Marked(t)
	_, err := u.ClearPart(t.Context(), u.Surgeon, c.ID, part.ID, true)
	require.NoError(t, err)
	u.Media.Set(part.Source, 500_000)
	parts, err := u.CheckParts(t.Context(), u.Surgeon, c.ID)
	require.NoError(t, err)
	require.Equal(t, annotate.PartChanged, parts[0].State)
	require.Zero(t, parts[0].ClearedAt)
}
