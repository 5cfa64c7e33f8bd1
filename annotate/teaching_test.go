package annotate_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
	"zonule/timeline"
)

func TestAssessments(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		c, _, _ := u.Marked(t)
		forms, err := u.AssessmentForms(t.Context(), u.Surgeon)
		require.NoError(t, err)
		require.Len(t, forms, 1)
		form := forms[0]
		a := annotate.Assessment{
			ID: u.NewID(), CaseID: c.ID, Form: annotate.AssessmentFormRef{ID: form.ID, Version: form.Version}, SubjectID: u.Surgeon.ID,
			Marks: []annotate.Mark{{Item: form.Items[0].Code, Value: 3, Note: "Held the globe well."}},
		}
		kept, err := u.PutAssessment(t.Context(), u.Trainer, a)
		require.NoError(t, err)
		require.Equal(t, u.Trainer.ID, kept.AssessorID)
		again, err := u.PutAssessment(t.Context(), u.Trainer, kept)
		require.NoError(t, err)
		require.Equal(t, kept, again)

		for name, spoil := range map[string]func(*annotate.Assessment){
			"marks[0].item":  func(a *annotate.Assessment) { a.Marks = []annotate.Mark{{Item: "none", Value: 3}} },
			"marks[0].value": func(a *annotate.Assessment) { a.Marks = []annotate.Mark{{Item: form.Items[0].Code, Value: 9}} },
			"marks[1].item":  func(a *annotate.Assessment) { a.Marks = append(a.Marks, a.Marks[0]) },
			"marks":          func(a *annotate.Assessment) { a.Marks = nil },
			"form":           func(a *annotate.Assessment) { a.Form.Version = 9 },
			"subjectId":      func(a *annotate.Assessment) { a.SubjectID = u.Stranger.ID },
		} {
			bad := a
			bad.ID = u.NewID()
			bad.Marks = append([]annotate.Mark{}, a.Marks...)
			spoil(&bad)
			_, err := u.PutAssessment(t.Context(), u.Trainer, bad)
			require.Equal(t, name, refused(t, annotate.CodeInvalid, err).Fields[0].Field)
		}

		// One may judge oneself, and nobody but the supervisor somebody else; only the author changes it.
		own := a
		own.ID = u.NewID()
		_, err = u.PutAssessment(t.Context(), u.Surgeon, own)
		require.NoError(t, err)
		other := a
		other.ID, other.SubjectID = u.NewID(), u.Trainer.ID
		_, err = u.PutAssessment(t.Context(), u.Surgeon, other)
		refused(t, annotate.CodeForbidden, err)
		_, err = u.PutAssessment(t.Context(), u.Surgeon, kept)
		refused(t, annotate.CodeForbidden, err)
		_, err = u.PutAssessment(t.Context(), u.Stranger, own)
		refused(t, annotate.CodeNotFound, err)

		changed := kept
		changed.Remark = "Next time a smaller opening."
		changed, err = u.PutAssessment(t.Context(), u.Trainer, changed)
		require.NoError(t, err)
		require.Equal(t, int64(2), changed.Revision)
		kept.Remark = "No."
		_, err = u.PutAssessment(t.Context(), u.Trainer, kept)
		refused(t, annotate.CodeStale, err)
		list, err := u.Assessments(t.Context(), u.Surgeon, c.ID)
		require.NoError(t, err)
		require.Len(t, list, 2)
		_, err = u.Assessments(t.Context(), u.Clinic, c.ID)
		refused(t, annotate.CodeForbidden, err)
		verified(t, u)
	})
}

func TestAssessmentForms(t *testing.T) {
	u := annotatetest.NewUnit(t, annotatetest.SQLiteAddress(t))
	forms, err := u.AssessmentForms(t.Context(), u.Trainer)
	require.NoError(t, err)
	shipped := forms[0]
	_, err = u.PutAssessmentForm(t.Context(), u.Trainer, shipped)
	require.Equal(t, "id", refused(t, annotate.CodeInvalid, err).Fields[0].Field)
	own := shipped
	own.ID, own.Version, own.Name = "ours", 0, "Ours"
	_, err = u.PutAssessmentForm(t.Context(), u.Trainee, own)
	refused(t, annotate.CodeForbidden, err)
	first, err := u.PutAssessmentForm(t.Context(), u.Trainer, own)
	require.NoError(t, err)
	require.Equal(t, 1, first.Version)
	require.False(t, first.Shipped)
	second := first
	second.Items = second.Items[:2]
	second, err = u.PutAssessmentForm(t.Context(), u.Admin, second)
	require.NoError(t, err)
	require.Equal(t, 2, second.Version)
	_, err = u.PutAssessmentForm(t.Context(), u.Admin, first)
	refused(t, annotate.CodeStale, err)
	bad := second
	bad.Scale = bad.Scale[:1]
	bad.Items = append(bad.Items[:1:1], bad.Items[0])
	_, err = u.PutAssessmentForm(t.Context(), u.Admin, bad)
	require.Len(t, refused(t, annotate.CodeInvalid, err).Fields, 2)
}

func TestGoals(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		c, _, _ := u.Marked(t)
		require.Equal(t, u.Surgeon.ID, c.Operators[0].UserID)
		goal := annotate.Goal{ID: u.NewID(), TraineeID: u.Surgeon.ID, Text: "Capsulorhexis without refolding the flap", Step: "capsulorhexis", AgreedOn: "2026-06-01", DueOn: "2026-09-01", State: annotate.GoalOpen}
		kept, err := u.PutGoal(t.Context(), u.Trainer, goal)
		require.NoError(t, err)
		require.Equal(t, u.Trainer.ID, kept.AuthorID)
		_, err = u.PutGoal(t.Context(), u.Stranger, goal)
		refused(t, annotate.CodeNotFound, err)
		_, err = u.Goals(t.Context(), u.Chair, u.Surgeon.ID)
		refused(t, annotate.CodeNotFound, err)

		met := kept
		met.State, met.Outcome = annotate.GoalMet, "Three in a row."
		met, err = u.PutGoal(t.Context(), u.Surgeon, met)
		require.NoError(t, err)
		require.Equal(t, "2026-06-15", met.ClosedOn)
		_, err = u.PutGoal(t.Context(), u.Surgeon, kept)
		refused(t, annotate.CodeStale, err)
		dropped := met
		dropped.State, dropped.Outcome = annotate.GoalDropped, ""
		_, err = u.PutGoal(t.Context(), u.Surgeon, dropped)
		require.Equal(t, "outcome", refused(t, annotate.CodeInvalid, err).Fields[0].Field)
		goals, err := u.Goals(t.Context(), u.Trainer, u.Surgeon.ID)
		require.NoError(t, err)
		require.Equal(t, []annotate.Goal{met}, goals)
		verified(t, u)
	})
}

func TestFeedbackReachesThoseWhoTookPart(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		c, part, reading := u.Marked(t)
		say := func(actor annotate.Actor, text, replyTo string) string {
			id := u.NewID()
			_, err := u.AddEdits(t.Context(), actor, reading.ID, []annotate.Edit{{ID: u.NewID(), Action: "comment", Changes: []annotate.Change{{
				Thing: annotate.ThingComment, ID: id,
				Comment: &annotate.Comment{ID: id, At: timeline.Instant{Part: part.ID, Ms: 4000}, Text: text, ReplyTo: replyTo},
			}}}})
			require.NoError(t, err)
			return id
		}
		opened := say(u.Trainer, "Tip too deep here.", "")
		list, err := u.Feedback(t.Context(), u.Surgeon)
		require.NoError(t, err)
		require.Len(t, list, 1)
		require.Equal(t, opened, list[0].CommentID)
		require.Equal(t, c.Pseudonym, list[0].Pseudonym)
		require.False(t, list[0].Seen)
		mine, err := u.Feedback(t.Context(), u.Trainer)
		require.NoError(t, err)
		require.Empty(t, mine)

		require.NoError(t, u.SeeComments(t.Context(), u.Surgeon, reading.ID, []string{opened, "none"}))
		require.NoError(t, u.SeeComments(t.Context(), u.Surgeon, reading.ID, []string{opened}))
		list, err = u.Feedback(t.Context(), u.Surgeon)
		require.NoError(t, err)
		require.True(t, list[0].Seen)

		u.Clock.Move(time.Second)
		answer := say(u.Surgeon, "Seen, thank you.", opened)
		mine, err = u.Feedback(t.Context(), u.Trainer)
		require.NoError(t, err)
		require.Len(t, mine, 1)
		require.Equal(t, answer, mine[0].CommentID)
		refused(t, annotate.CodeNotFound, u.SeeComments(t.Context(), u.Stranger, reading.ID, []string{opened}))
		nobody, err := u.Feedback(t.Context(), u.Stranger)
		require.NoError(t, err)
		require.Empty(t, nobody)
	})
}

func TestProgress(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		c, part, reading := u.Marked(t)
		var markers []annotate.Marker
		for i, step := range []string{"side-port", "main-incision", "capsulorhexis", "removal", "cortex", "lens-insertion", "ovd-removal", "wound-closure"} {
			markers = append(markers, u.Marker(part.ID, step, int64(i)*20_000, int64(i)*20_000+15_000))
		}
		_, err := u.AddEdits(t.Context(), u.Surgeon, reading.ID, []annotate.Edit{u.Add(markers...)})
		require.NoError(t, err)
		forms, err := u.AssessmentForms(t.Context(), u.Trainer)
		require.NoError(t, err)
		item := forms[0].Items[0]
		_, err = u.PutAssessment(t.Context(), u.Trainer, annotate.Assessment{
			ID: u.NewID(), CaseID: c.ID, Form: annotate.AssessmentFormRef{ID: forms[0].ID, Version: forms[0].Version}, SubjectID: u.Surgeon.ID,
			Marks: []annotate.Mark{{Item: item.Code, Value: 4}},
		})
		require.NoError(t, err)
		for _, actor := range []annotate.Actor{u.Surgeon, u.Trainer} {
			progress, err := u.Progress(t.Context(), actor, u.Surgeon.ID, "", "")
			require.NoError(t, err)
			require.Equal(t, 1, progress.Cases.Led)
			require.Equal(t, []string{c.ID}, progress.Cases.CaseIDs)
			require.Equal(t, item.Text, progress.Assessments[0].Lines[0].Text)
			step := progress.Steps[len(progress.Steps)-1]
			require.Equal(t, "wound-closure", step.Code)
			require.Equal(t, 1, step.N)
			require.Nil(t, step.Median, "one case is no median")
			require.NotEmpty(t, step.Why)
		}
		after, err := u.Progress(t.Context(), u.Surgeon, u.Surgeon.ID, "2099-01-01", "")
		require.NoError(t, err)
		require.Zero(t, after.Cases.Led)
		require.Empty(t, after.Assessments)
		_, err = u.Progress(t.Context(), u.Surgeon, u.Surgeon.ID, "2026-02-01", "2026-01-01")
		refused(t, annotate.CodeInvalid, err)
		for name, who := range map[string]struct {
			actor annotate.Actor
			want  []string
		}{
			"a surgeon follows themself":                 {u.Surgeon, []string{u.Surgeon.ID}},
			"a trainer also whom they supervised":        {u.Trainer, []string{u.Trainer.ID, u.Surgeon.ID, u.Trainee.ID}},
			"a stranger who operates only themself":      {u.Stranger, []string{u.Stranger.ID}},
			"who does not operate or train follows none": {u.Clinic, []string{}},
		} {
			people, err := u.Followed(t.Context(), who.actor)
			require.NoError(t, err)
			ids := []string{}
			for _, person := range people {
				ids = append(ids, person.ID)
			}
			require.Equal(t, who.want, ids, name)
			for _, id := range ids {
				_, err := u.Goals(t.Context(), who.actor, id)
				require.NoError(t, err, name)
			}
		}
		for _, actor := range []annotate.Actor{u.Stranger, u.Chair, u.Clinic, u.Admin} {
			_, err := u.Progress(t.Context(), actor, u.Surgeon.ID, "", "")
			refused(t, annotate.CodeNotFound, err)
		}
	})
}
