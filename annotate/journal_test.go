package annotate_test

import (
	"errors"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
	"zonule/timeline"
)

// refused gives the refusal that err is, which must have the code.
func refused(t *testing.T, code annotate.Code, err error) *annotate.Error {
	t.Helper()
	var refusal *annotate.Error
	require.True(t, errors.As(err, &refusal), "%v", err)
	require.Equal(t, code, refusal.Code, "%v", refusal)
	require.NotEmpty(t, refusal.Message)
	return refusal
}

// verified checks that everything stored follows from what it should follow from.
func verified(t *testing.T, u *annotatetest.Unit) {
	t.Helper()
	report, err := u.Verify(t.Context())
	require.NoError(t, err)
	require.Empty(t, report.Mismatches)
}

// put is the change that gives a marker a new value.
func put(m annotate.Marker, base int64) annotate.Change {
	return annotate.Change{Thing: annotate.ThingMarker, ID: m.ID, Base: base, Marker: &m}
}

func say(u *annotatetest.Unit, part, text, replyTo string) annotate.Comment {
	return annotate.Comment{ID: u.NewID(), At: timeline.Instant{Part: part, Ms: 5000}, Text: text, ReplyTo: replyTo}
}

func speak(c annotate.Comment, base int64) annotate.Change {
	return annotate.Change{Thing: annotate.ThingComment, ID: c.ID, Base: base, Comment: &c}
}

func edit(u *annotatetest.Unit, action string, changes ...annotate.Change) annotate.Edit {
	return annotate.Edit{ID: u.NewID(), Action: action, Changes: changes}
}

func add(t *testing.T, u *annotatetest.Unit, actor annotate.Actor, reading string, edits ...annotate.Edit) []annotate.EditAnswer {
	t.Helper()
	answers, err := u.AddEdits(t.Context(), actor, reading, edits)
	require.NoError(t, err)
	require.Len(t, answers, len(edits))
	return answers
}

func stateOf(t *testing.T, u *annotatetest.Unit, reading string) annotate.ReadingState {
	t.Helper()
	state, err := u.ReadingState(t.Context(), u.Surgeon, reading)
	require.NoError(t, err)
	return state
}

func TestAnEditCountsOnce(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		c, part, reading := u.Marked(t)
		first, second := u.Add(u.Marker(part.ID, "side-port", 0, 900)), u.Add(u.Marker(part.ID, "main-incision", 2000, 4000))
		require.Equal(t, []annotate.EditAnswer{{ID: first.ID, Seq: 1}}, add(t, u, u.Surgeon, reading.ID, first))
		changed, err := u.Case(t.Context(), u.Surgeon, c.ID)
		require.NoError(t, err)

		require.Equal(t, []annotate.EditAnswer{{ID: first.ID, Seq: 1, AlreadyDone: true}}, add(t, u, u.Surgeon, reading.ID, first))
		again, err := u.Case(t.Context(), u.Surgeon, c.ID)
		require.NoError(t, err)
		require.Equal(t, changed.Change, again.Change, "an edit that was done already changes nothing")

		require.Equal(t, []annotate.EditAnswer{{ID: first.ID, Seq: 1, AlreadyDone: true}, {ID: second.ID, Seq: 2}, {ID: second.ID, Seq: 2, AlreadyDone: true}},
			add(t, u, u.Surgeon, reading.ID, first, second, second))
		state := stateOf(t, u, reading.ID)
		require.Len(t, state.Markers, 2)
		require.Equal(t, int64(2), state.Seq)

		other := u.AddReading(t, u.Trainer, c.ID)
		_, err = u.AddEdits(t.Context(), u.Trainer, other.ID, []annotate.Edit{first})
		refused(t, annotate.CodeTaken, err)

		journal, err := u.Edits(t.Context(), u.Surgeon, reading.ID, 1)
		require.NoError(t, err)
		require.Len(t, journal, 1)
		require.Equal(t, second.ID, journal[0].ID)
		require.Equal(t, u.Surgeon.ID, journal[0].AuthorID)
		require.Equal(t, u.Clock.Now().UnixMilli(), journal[0].MadeAt)
		verified(t, u)
	})
}

func TestAConflictShowsBothVersions(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		_, part, reading := u.Marked(t)
		m := u.Marker(part.ID, "cortex", 10_000, 20_000)
		add(t, u, u.Surgeon, reading.ID, u.Add(m))
		theirs := m
		theirs.Start.Ms = 11_000
		add(t, u, u.Trainer, reading.ID, edit(u, "move", put(theirs, 1)))

		mine := m
		mine.Start.Ms = 9_000
		harmless := u.Add(u.Marker(part.ID, "polishing", 30_000, 31_000))
		_, err := u.AddEdits(t.Context(), u.Surgeon, reading.ID, []annotate.Edit{harmless, edit(u, "move", put(mine, 1))})
		refusal := refused(t, annotate.CodeStale, err)
		require.Equal(t, "edits[1].changes[0].base", refusal.Fields[0].Field)
		require.Equal(t, int64(9_000), refusal.Yours.(annotate.Change).Marker.Start.Ms)
		kept := refusal.Theirs.(annotate.Change)
		require.Equal(t, int64(11_000), kept.Marker.Start.Ms)
		require.Equal(t, int64(2), kept.Base)
		require.Equal(t, int64(2), kept.Marker.Seq)
		require.Equal(t, int64(2), stateOf(t, u, reading.ID).Seq, "nothing of the call was kept")

		_, err = u.AddEdits(t.Context(), u.Surgeon, reading.ID, []annotate.Edit{edit(u, "remove", annotate.Change{Thing: annotate.ThingMarker, ID: m.ID, Base: 1})})
		refused(t, annotate.CodeStale, err)
		add(t, u, u.Surgeon, reading.ID, edit(u, "remove", annotate.Change{Thing: annotate.ThingMarker, ID: m.ID, Base: 2}))
		_, err = u.AddEdits(t.Context(), u.Trainer, reading.ID, []annotate.Edit{edit(u, "move", put(theirs, 2))})
		require.True(t, refused(t, annotate.CodeStale, err).Theirs.(annotate.Change).Removes(), "it is gone")
		verified(t, u)
	})
}

// TestAnOutboxNeedNotWait: a page that makes a marker and moves it before the first answer sends both with the version
// that it knew, in one call or again after a lost answer.
func TestAnOutboxNeedNotWait(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		_, part, reading := u.Marked(t)
		m := u.Marker(part.ID, "cortex", 10_000, 20_000)
		moved, again := m, m
		moved.Start.Ms, again.Start.Ms = 11_000, 12_000
		outbox := []annotate.Edit{u.Add(m), edit(u, "move", put(moved, 0)), edit(u, "move", put(again, 0))}
		add(t, u, u.Surgeon, reading.ID, outbox[:2]...)
		require.Equal(t, []annotate.EditAnswer{{ID: outbox[0].ID, Seq: 1, AlreadyDone: true}, {ID: outbox[1].ID, Seq: 2, AlreadyDone: true}, {ID: outbox[2].ID, Seq: 3}},
			add(t, u, u.Surgeon, reading.ID, outbox...))
		require.Equal(t, int64(12_000), stateOf(t, u, reading.ID).Markers[0].Start.Ms)
		journal, err := u.Edits(t.Context(), u.Surgeon, reading.ID, 0)
		require.NoError(t, err)
		require.Equal(t, int64(2), journal[2].Changes[0].Base, "the journal holds the version that really stood")

		// But what somebody else did in between is not passed over.
		theirs := m
		theirs.Start.Ms = 15_000
		add(t, u, u.Trainer, reading.ID, edit(u, "move", put(theirs, 3)))
		_, err = u.AddEdits(t.Context(), u.Surgeon, reading.ID, append(outbox, edit(u, "move", put(m, 0))))
		refused(t, annotate.CodeStale, err)
		add(t, u, u.Trainer, reading.ID, edit(u, "remove", annotate.Change{Thing: annotate.ThingMarker, ID: m.ID, Base: 4}))
		_, err = u.AddEdits(t.Context(), u.Surgeon, reading.ID, append(outbox, edit(u, "move", put(m, 0))))
		refused(t, annotate.CodeStale, err)
		verified(t, u)
	})
}

func TestUndoAndRedoAreNewEntries(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		_, part, reading := u.Marked(t)
		m := u.Marker(part.ID, "cortex", 10_000, 20_000)
		deed := u.Add(m)
		add(t, u, u.Surgeon, reading.ID, deed)
		undo := edit(u, "undo", annotate.Change{Thing: annotate.ThingMarker, ID: m.ID, Base: 1})
		undo.Undoes = deed.ID
		add(t, u, u.Surgeon, reading.ID, undo)
		require.Empty(t, stateOf(t, u, reading.ID).Markers)
		redo := edit(u, "redo", put(m, 0))
		redo.Undoes = deed.ID
		add(t, u, u.Surgeon, reading.ID, redo)
		restored := stateOf(t, u, reading.ID).Markers[0]
		require.Equal(t, int64(3), restored.Seq)
		restored.Seq = 0
		require.Equal(t, m, restored)

		stray := edit(u, "undo", annotate.Change{Thing: annotate.ThingMarker, ID: m.ID, Base: 3})
		stray.Undoes = u.NewID()
		_, err := u.AddEdits(t.Context(), u.Surgeon, reading.ID, []annotate.Edit{stray})
		refused(t, annotate.CodeInvalid, err)
		verified(t, u)
	})
}

func TestWhatAnEditMayNotSay(t *testing.T) {
	u := annotatetest.NewUnit(t, annotatetest.SQLiteAddress(t))
	c, part, reading := u.Marked(t)
	second := u.AddPart(t, c.ID, 60_000)
	m := u.Marker(part.ID, "cortex", 10_000, 20_000)
	marker := func(change func(*annotate.Marker)) annotate.Change {
		changed := m
		end := *m.End
		changed.End = &end
		change(&changed)
		return put(changed, 0)
	}
	event := func(e annotate.Event) annotate.Change {
		e.ID = u.NewID()
		return annotate.Change{Thing: annotate.ThingEvent, ID: e.ID, Event: &e}
	}
	comment := func(change func(*annotate.Comment)) annotate.Change {
		c := say(u, part.ID, "Look here", "")
		change(&c)
		return speak(c, 0)
	}
	at := timeline.Instant{Part: part.ID, Ms: 1}
	msics := annotate.StepListRef{ID: "msics", Version: 1}
	for _, row := range []struct {
		name   string
		change annotate.Change
		field  string // after edits[0].changes[0]. ; "" is taken
	}{
		{"plain", put(m, 0), ""},
		{"unknown step", marker(func(m *annotate.Marker) { m.Step = "coffee" }), "marker.step"},
		{"step of another list", marker(func(m *annotate.Marker) { m.Step = "nucleus-delivery" }), "marker.step"},
		{"that list", marker(func(m *annotate.Marker) { m.Step, m.StepList = "nucleus-delivery", msics }), ""},
		{"unknown list", marker(func(m *annotate.Marker) { m.StepList.Version = 9 }), "marker.stepList"},
		{"end before start", marker(func(m *annotate.Marker) { m.End.Ms = 9_999 }), "marker.end"},
		{"no length", marker(func(m *annotate.Marker) { m.End.Ms = 10_000 }), ""},
		{"still running", marker(func(m *annotate.Marker) { m.End = nil }), ""},
		{"before the part", marker(func(m *annotate.Marker) { m.Start.Ms = -1 }), "marker.start.ms"},
		{"to the last millisecond", marker(func(m *annotate.Marker) { m.End.Ms = 600_000 }), ""},
		{"after the part", marker(func(m *annotate.Marker) { m.End.Ms = 600_001 }), "marker.end.ms"},
		{"unknown part", marker(func(m *annotate.Marker) { m.Start.Part = "elsewhere" }), "marker.start.part"},
		{"into the next part", marker(func(m *annotate.Marker) { m.End.Part, m.End.Ms = second.ID, 5 }), ""},
		{"back into the part before", marker(func(m *annotate.Marker) { m.Start.Part, m.Start.Ms = second.ID, 5 }), "marker.end"},
		{"stranger operates", marker(func(m *annotate.Marker) { m.OperatorID = u.Stranger.ID }), "marker.operatorId"},
		{"assistant operates", marker(func(m *annotate.Marker) { m.OperatorID = u.Trainee.ID }), ""},
		{"not UTF-8", marker(func(m *annotate.Marker) { m.Note = "\xc3(" }), "marker.note"},
		{"long note", marker(func(m *annotate.Marker) { m.Note = strings.Repeat("n", 2001) }), "marker.note"},
		{"event", event(annotate.Event{Kind: "view-lost", At: at}), ""},
		{"unknown event", event(annotate.Event{Kind: "phone-rang", At: at}), "event.kind"},
		{"conversion", event(annotate.Event{Kind: annotate.EventConversion, At: at, StepList: &msics}), ""},
		{"conversion to nothing", event(annotate.Event{Kind: annotate.EventConversion, At: at}), "event.stepList"},
		{"conversion to an unknown list", event(annotate.Event{Kind: annotate.EventConversion, At: at, StepList: &annotate.StepListRef{ID: "x", Version: 1}}), "event.stepList"},
		{"event with a list", event(annotate.Event{Kind: "view-lost", At: at, StepList: &msics}), "event.stepList"},
		{"comment", comment(func(*annotate.Comment) {}), ""},
		{"4,000 characters", comment(func(c *annotate.Comment) { c.Text = strings.Repeat("字", 4000) }), ""},
		{"4,001 characters", comment(func(c *annotate.Comment) { c.Text = strings.Repeat("字", 4001) }), "comment.text"},
		{"nothing said", comment(func(c *annotate.Comment) { c.Text = " \n" }), "comment.text"},
		{"bell", comment(func(c *annotate.Comment) { c.Text = "ding\a" }), "comment.text"},
		{"answer to nothing", comment(func(c *annotate.Comment) { c.ReplyTo = "x" }), "comment.replyTo"},
		{"answer to itself", comment(func(c *annotate.Comment) { c.ReplyTo = c.ID }), "comment.replyTo"},
		{"arrow", comment(func(c *annotate.Comment) {
			c.Shape = &annotate.Shape{Kind: "arrow", Points: [][2]float64{{0, 0}, {1, 1}}}
		}), ""},
		{"outside the frame", comment(func(c *annotate.Comment) {
			c.Shape = &annotate.Shape{Kind: "arrow", Points: [][2]float64{{0, 0}, {1, 1.01}}}
		}), "comment.shape.points[1]"},
		{"arrow to nowhere", comment(func(c *annotate.Comment) { c.Shape = &annotate.Shape{Kind: "arrow", Points: [][2]float64{{0, 0}}} }), "comment.shape.points"},
		{"star", comment(func(c *annotate.Comment) {
			c.Shape = &annotate.Shape{Kind: "star", Points: [][2]float64{{0, 0}, {1, 1}}}
		}), "comment.shape.kind"},
		{"no reason", annotate.Change{Thing: annotate.ThingAcceptance, ID: "no-end:x", Acceptance: &annotate.Acceptance{}}, "acceptance.reason"},
		{"reason", annotate.Change{Thing: annotate.ThingAcceptance, ID: "no-end:x", Acceptance: &annotate.Acceptance{Reason: "Cut off"}}, ""},
		{"kind of thing", annotate.Change{Thing: "sticker", ID: "x"}, "thing"},
		{"two things", annotate.Change{Thing: annotate.ThingEvent, ID: m.ID, Marker: &m}, "marker"},
		{"two ids", annotate.Change{Thing: annotate.ThingMarker, ID: "y", Marker: &m}, "marker.id"},
		{"negative version", put(m, -1), "base"},
	} {
		t.Run(row.name, func(t *testing.T) {
			before := stateOf(t, u, reading.ID)
			_, err := u.AddEdits(t.Context(), u.Surgeon, reading.ID, []annotate.Edit{edit(u, "add", row.change)})
			if row.field == "" {
				require.NoError(t, err)
				after := stateOf(t, u, reading.ID)
				for _, kept := range after.Markers {
					if kept.ID == m.ID {
						add(t, u, u.Surgeon, reading.ID, edit(u, "remove", annotate.Change{Thing: annotate.ThingMarker, ID: m.ID, Base: kept.Seq}))
					}
				}
				for _, kept := range after.Acceptances {
					add(t, u, u.Surgeon, reading.ID, edit(u, "remove", annotate.Change{Thing: annotate.ThingAcceptance, ID: kept.ID, Base: kept.Seq}))
				}
				return
			}
			refusal := refused(t, annotate.CodeInvalid, err)
			require.Equal(t, "edits[0].changes[0]."+row.field, refusal.Fields[0].Field)
			require.Equal(t, before, stateOf(t, u, reading.ID), "nothing was changed")
		})
	}
	verified(t, u)
}

func TestEditsHaveTheirShape(t *testing.T) {
	u := annotatetest.NewUnit(t, annotatetest.SQLiteAddress(t))
	_, part, reading := u.Marked(t)
	m := u.Marker(part.ID, "cortex", 10_000, 20_000)
	for _, row := range []struct {
		name  string
		edits []annotate.Edit
		field string
	}{
		{"none", nil, "edits"},
		{"too many", make([]annotate.Edit, 1001), "edits"},
		{"no id", []annotate.Edit{{Action: "add", Changes: []annotate.Change{put(m, 0)}}}, "edits[0].id"},
		{"unknown action", []annotate.Edit{edit(u, "sing", put(m, 0))}, "edits[0].action"},
		{"no change", []annotate.Edit{edit(u, "add")}, "edits[0].changes"},
		{"undo of nothing", []annotate.Edit{edit(u, "undo", put(m, 0))}, "edits[0].undoes"},
		{"changed twice", []annotate.Edit{edit(u, "add", put(m, 0), put(m, 0))}, "edits[0].changes[1].id"},
	} {
		_, err := u.AddEdits(t.Context(), u.Surgeon, reading.ID, row.edits)
		require.Equal(t, row.field, refused(t, annotate.CodeInvalid, err).Fields[0].Field, row.name)
	}
}

func TestComments(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		c := u.AddCase(t, func(c *annotate.Case) { c.SharedWith = []string{u.Chair.ID} })
		part, reading := u.AddPart(t, c.ID, 60_000), u.AddReading(t, u.Surgeon, c.ID)
		opener := say(u, part.ID, "Why so fast?", "")
		opener.AuthorID, opener.MadeAt = u.Surgeon.ID, 1
		add(t, u, u.Chair, reading.ID, edit(u, "comment", speak(opener, 0)))
		kept := stateOf(t, u, reading.ID).Comments[0]
		require.Equal(t, u.Chair.ID, kept.AuthorID, "the server says who spoke")
		require.Equal(t, u.Clock.Now().UnixMilli(), kept.MadeAt)

		u.Clock.Move(time.Minute)
		answer := say(u, part.ID, "The pupil was closing.", opener.ID)
		add(t, u, u.Surgeon, reading.ID, edit(u, "comment", speak(answer, 0)))
		both := []annotate.Change{speak(say(u, part.ID, "Again", ""), 0)}
		reply := say(u, part.ID, "In one go", both[0].ID)
		add(t, u, u.Trainee, reading.ID, edit(u, "comment", speak(reply, 0), both[0]))
		_, err := u.AddEdits(t.Context(), u.Surgeon, reading.ID, []annotate.Edit{edit(u, "comment", speak(say(u, part.ID, "Deeper", answer.ID), 0))})
		require.Equal(t, "edits[0].changes[0].comment.replyTo", refused(t, annotate.CodeInvalid, err).Fields[0].Field, "threads have one level")

		rewritten := kept
		rewritten.Text = "Very good."
		_, err = u.AddEdits(t.Context(), u.Surgeon, reading.ID, []annotate.Edit{edit(u, "comment", speak(rewritten, 1))})
		refused(t, annotate.CodeForbidden, err)
		_, err = u.AddEdits(t.Context(), u.Surgeon, reading.ID, []annotate.Edit{edit(u, "remove", annotate.Change{Thing: annotate.ThingComment, ID: opener.ID, Base: 1})})
		refused(t, annotate.CodeForbidden, err)
		settled := kept
		settled.Settled = true
		add(t, u, u.Surgeon, reading.ID, edit(u, "settle", speak(settled, 1)))
		after := stateOf(t, u, reading.ID).Comments[0]
		require.True(t, after.Settled)
		require.Equal(t, u.Chair.ID, after.AuthorID, "who settles does not become the author")
		require.Equal(t, kept.MadeAt, after.MadeAt)

		_, err = u.AddEdits(t.Context(), u.Chair, reading.ID, []annotate.Edit{edit(u, "remove", annotate.Change{Thing: annotate.ThingComment, ID: opener.ID, Base: after.Seq})})
		refused(t, annotate.CodeInvalid, err)
		add(t, u, u.Surgeon, reading.ID, edit(u, "remove", annotate.Change{Thing: annotate.ThingComment, ID: answer.ID, Base: 2}))
		rewritten.Settled = true
		add(t, u, u.Chair, reading.ID, edit(u, "comment", speak(rewritten, after.Seq)))
		add(t, u, u.Chair, reading.ID, edit(u, "remove", annotate.Change{Thing: annotate.ThingComment, ID: opener.ID, Base: after.Seq + 2}))
		verified(t, u)
	})
}

func TestWhoMarksWhichReading(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		c := u.AddCase(t, func(c *annotate.Case) { c.SharedWith = []string{u.Chair.ID} })
		part := u.AddPart(t, c.ID, 60_000)
		accepted, own := u.AddReading(t, u.Surgeon, c.ID), u.AddReading(t, u.Trainer, c.ID)
		require.True(t, accepted.Accepted, "the first of a case")
		require.False(t, own.Accepted)
		try := func(actor annotate.Actor, reading annotate.Reading, change annotate.Change) annotate.Code {
			_, err := u.AddEdits(t.Context(), actor, reading.ID, []annotate.Edit{edit(u, "add", change)})
			return annotate.CodeOf(err)
		}
		mark := func() annotate.Change { return put(u.Marker(part.ID, "cortex", 1, 2), 0) }
		talk := func() annotate.Change { return speak(say(u, part.ID, "Yes", ""), 0) }
		for _, row := range []struct {
			who                    annotate.Actor
			marks, talks           annotate.Code // in the accepted reading
			marksOther, talksOther annotate.Code
		}{
			{u.Surgeon, "", "", annotate.CodeForbidden, ""},
			{u.Trainer, "", "", "", ""},
			{u.Trainee, "", "", annotate.CodeForbidden, ""},
			{u.Chair, annotate.CodeForbidden, "", annotate.CodeNotFound, annotate.CodeNotFound},
			{u.Clinic, annotate.CodeForbidden, annotate.CodeForbidden, annotate.CodeForbidden, annotate.CodeForbidden},
			{u.Stranger, annotate.CodeNotFound, annotate.CodeNotFound, annotate.CodeNotFound, annotate.CodeNotFound},
			{u.Admin, annotate.CodeNotFound, annotate.CodeNotFound, annotate.CodeNotFound, annotate.CodeNotFound},
			{annotate.Actor{}, annotate.CodeSignedOut, annotate.CodeSignedOut, annotate.CodeSignedOut, annotate.CodeSignedOut},
		} {
			require.Equal(t, row.marks, try(row.who, accepted, mark()), "%s marks", row.who.Login)
			require.Equal(t, row.talks, try(row.who, accepted, talk()), "%s talks", row.who.Login)
			require.Equal(t, row.marksOther, try(row.who, own, mark()), "%s marks the other", row.who.Login)
			require.Equal(t, row.talksOther, try(row.who, own, talk()), "%s talks in the other", row.who.Login)
		}
		readings, err := u.Readings(t.Context(), u.Chair, c.ID)
		require.NoError(t, err)
		require.Len(t, readings, 1)

		require.Equal(t, annotate.CodeForbidden, annotate.CodeOf(u.AcceptReading(t.Context(), u.Trainee, own.ID, "Frame by frame.")))
		require.NoError(t, u.AcceptReading(t.Context(), u.Trainer, own.ID, "Frame by frame."))
		require.NoError(t, u.AcceptReading(t.Context(), u.Trainer, own.ID, "Frame by frame."), "twice is once")
		require.Equal(t, annotate.CodeForbidden, try(u.Trainer, accepted, mark()), "what is no longer accepted is its author's")
		require.Equal(t, annotate.Code(""), try(u.Surgeon, own, mark()))
		verified(t, u)
	})
}

func TestTwoPeopleMarkAtOnce(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		_, part, reading := u.Marked(t)
		const each = 25
		var wait sync.WaitGroup
		failures := make(chan error, 4*each)
		for _, actor := range []annotate.Actor{u.Surgeon, u.Trainer, u.Trainee, u.Surgeon} {
			wait.Go(func() {
				for i := range each {
					edit := u.Add(u.Marker(part.ID, "removal", int64(i)*1000, int64(i)*1000+500))
					if _, err := u.AddEdits(t.Context(), actor, reading.ID, []annotate.Edit{edit}); err != nil {
						failures <- err
					}
				}
			})
		}
		wait.Wait()
		close(failures)
		for err := range failures {
			require.NoError(t, err)
		}
		journal, err := u.Edits(t.Context(), u.Surgeon, reading.ID, 0)
		require.NoError(t, err)
		require.Len(t, journal, 4*each)
		for i, edit := range journal {
			require.Equal(t, int64(i+1), edit.Seq)
		}
		require.Len(t, stateOf(t, u, reading.ID).Markers, 4*each)
		verified(t, u)
	})
}
