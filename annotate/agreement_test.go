package annotate_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
)

func TestTwoReadingsOfACase(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		c, part, first := u.Marked(t)
		second := u.AddReading(t, u.Trainer, c.ID)
		_, err := u.ReadingsBeside(t.Context(), u.Surgeon, c.ID, first.ID, second.ID)
		refused(t, annotate.CodeInvalid, err)
		mark := func(actor annotate.Actor, reading annotate.Reading, spans ...[2]int64) {
			steps := []string{"capsulorhexis", "sculpting"}
			for i, span := range spans {
				_, err := u.AddEdits(t.Context(), actor, reading.ID, []annotate.Edit{u.Add(u.Marker(part.ID, steps[i], span[0], span[1]))})
				require.NoError(t, err)
			}
		}
		mark(u.Surgeon, first, [2]int64{10_000, 50_000}, [2]int64{60_000, 160_000})
		mark(u.Trainer, second, [2]int64{10_500, 50_000}, [2]int64{60_000, 140_000})

		beside, err := u.ReadingsBeside(t.Context(), u.Surgeon, c.ID, first.ID, second.ID)
		require.NoError(t, err)
		require.Len(t, beside.Differences, 2)
		require.True(t, beside.Differences[0].Within, "half a second is what a hand-picked instant is good for")
		late := beside.Differences[1]
		require.Equal(t, []any{"sculpting", "", int64(140_000), int64(160_000), false}, []any{late.First, late.Second, late.Start, late.End, late.Within})
		require.Equal(t, int64(140_000), beside.Moments[1].Ms)
		require.InDelta(t, 0.5+20, float64(beside.Differences[0].Length()+late.Length())/1000, 1e-9)

		// Those with whom the case is shared see only the accepted reading.
		c.SharedWith = []string{u.Stranger.ID}
		_, err = u.PutCase(t.Context(), u.Surgeon, c)
		require.NoError(t, err)
		_, err = u.ReadingsBeside(t.Context(), u.Stranger, c.ID, first.ID, second.ID)
		refused(t, annotate.CodeNotFound, err)
		_, err = u.ReadingsBeside(t.Context(), u.Clinic, c.ID, first.ID, second.ID)
		refused(t, annotate.CodeForbidden, err)

		readers, err := u.Readers(t.Context(), u.Trainer)
		require.NoError(t, err)
		require.Len(t, readers, 1)
		require.ElementsMatch(t, []string{u.Surgeon.ID, u.Trainer.ID}, []string{readers[0].First, readers[0].Second})
		none, err := u.Readers(t.Context(), u.Stranger)
		require.NoError(t, err)
		require.Empty(t, none)

		over, err := u.Agreement(t.Context(), u.Trainer, u.Surgeon.ID, u.Trainer.ID)
		require.NoError(t, err)
		require.Equal(t, 1, over.Cases)
		for _, step := range over.Steps {
			if step.Code == "sculpting" {
				require.Equal(t, -20_000.0, step.Points[0].Difference)
			}
		}
		turned, err := u.Agreement(t.Context(), u.Trainer, u.Trainer.ID, u.Surgeon.ID)
		require.NoError(t, err)
		for _, step := range turned.Steps {
			if step.Code == "sculpting" {
				require.Equal(t, 20_000.0, step.Points[0].Difference)
			}
		}

		refused(t, annotate.CodeInvalid, u.AcceptReading(t.Context(), u.Trainer, second.ID, " "))
		require.NoError(t, u.AcceptReading(t.Context(), u.Trainer, second.ID, "Frame by frame, after the meeting."))
		readings, err := u.Readings(t.Context(), u.Surgeon, c.ID)
		require.NoError(t, err)
		require.Nil(t, readings[0].Choice)
		require.Equal(t, &annotate.ReadingChoice{By: u.Trainer.ID, At: u.Clock.Now().UnixMilli(), Reason: "Frame by frame, after the meeting."}, readings[1].Choice)
		verified(t, u)
	})
}
