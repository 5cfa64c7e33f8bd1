package annotate_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
)

func newFinding(u *annotatetest.Unit, caseID, text string) annotate.Finding {
	return annotate.Finding{ID: u.NewID(), CaseID: caseID, Kind: annotate.FindingSeen, Place: 1, Text: text}
}

func TestFindings(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		c := u.AddCase(t)
		learning := newFinding(u, c.ID, "Stain early.")
		learning.Kind = annotate.FindingLearning
		learning, err := u.PutFinding(t.Context(), u.Trainee, learning)
		require.NoError(t, err)
		require.Equal(t, u.Trainee.ID, learning.AuthorID)
		require.Equal(t, int64(1), learning.Revision)
		second := newFinding(u, c.ID, "Chamber flat at @4:10.")
		second.Place, second.AuthorID = 2, u.Trainee.ID
		second, err = u.PutFinding(t.Context(), u.Surgeon, second)
		require.NoError(t, err)
		require.Equal(t, u.Surgeon.ID, second.AuthorID, "whoever writes is the author")
		first, err := u.PutFinding(t.Context(), u.Surgeon, newFinding(u, c.ID, "The flap ran out at @3:12."))
		require.NoError(t, err)
		again := newFinding(u, c.ID, first.Text)
		again.ID = first.ID
		again, err = u.PutFinding(t.Context(), u.Surgeon, again)
		require.NoError(t, err)
		require.Equal(t, first, again, "sent twice, kept once")

		list, err := u.Findings(t.Context(), u.Trainer, c.ID)
		require.NoError(t, err)
		require.Equal(t, []annotate.Finding{first, second, learning}, list)

		changed := first
		changed.Text, changed.NamesNobody = "The flap ran out at @3:12 and was brought back.", true
		changed, err = u.PutFinding(t.Context(), u.Trainer, changed)
		require.NoError(t, err)
		require.Equal(t, int64(2), changed.Revision)
		require.Equal(t, u.Surgeon.ID, changed.AuthorID, "whoever changes it does not take it over")
		stalePut := first
		stalePut.Text = "Something else."
		_, err = u.PutFinding(t.Context(), u.Surgeon, stalePut)
		refused(t, annotate.CodeStale, err)
		refused(t, annotate.CodeStale, u.RemoveFinding(t.Context(), u.Surgeon, c.ID, first.ID, 1))

		for _, actor := range []annotate.Actor{u.Stranger, u.Chair, u.Admin} {
			_, err = u.Findings(t.Context(), actor, c.ID)
			refused(t, annotate.CodeNotFound, err)
			_, err = u.PutFinding(t.Context(), actor, newFinding(u, c.ID, "Not mine."))
			refused(t, annotate.CodeNotFound, err)
			refused(t, annotate.CodeNotFound, u.RemoveFinding(t.Context(), actor, c.ID, first.ID, 2))
		}
		_, err = u.PutFinding(t.Context(), u.Clinic, newFinding(u, c.ID, "From the clinic."))
		refused(t, annotate.CodeForbidden, err)
		other := u.AddCase(t)
		moved := changed
		moved.CaseID = other.ID
		_, err = u.PutFinding(t.Context(), u.Surgeon, moved)
		refused(t, annotate.CodeNotFound, err)

		file, err := u.CaseFile(t.Context(), u.Surgeon, c.ID)
		require.NoError(t, err)
		require.Len(t, file.Findings, 3)
		require.NoError(t, u.RemoveFinding(t.Context(), u.Trainee, c.ID, first.ID, 2))
		list, err = u.Findings(t.Context(), u.Surgeon, c.ID)
		require.NoError(t, err)
		require.Len(t, list, 2)
		history, err := u.CaseHistory(t.Context(), u.Surgeon, c.ID)
		require.NoError(t, err)
		told := fmt.Sprint(history)
		for _, action := range []string{"finding.add", "finding.change", "finding.remove"} {
			require.Contains(t, told, action)
		}
		verified(t, u)
	})
}

func TestFindingsRefuse(t *testing.T) {
	u := annotatetest.NewUnit(t, annotatetest.SQLiteAddress(t))
	c := u.AddCase(t)
	for name, change := range map[string]func(*annotate.Finding){
		"no text":       func(f *annotate.Finding) { f.Text = "" },
		"a long text":   func(f *annotate.Finding) { f.Text = strings.Repeat("x", 2001) },
		"no kind":       func(f *annotate.Finding) { f.Kind = "" },
		"another kind":  func(f *annotate.Finding) { f.Kind = "blame" },
		"no place":      func(f *annotate.Finding) { f.Place = 0 },
		"no id":         func(f *annotate.Finding) { f.ID = "" },
		"place too far": func(f *annotate.Finding) { f.Place = 10_001 },
	} {
		f := newFinding(u, c.ID, "Fine.")
		change(&f)
		_, err := u.PutFinding(t.Context(), u.Surgeon, f)
		require.Error(t, err, name)
		refused(t, annotate.CodeInvalid, err)
	}
	f := newFinding(u, c.ID, "Fine.")
	f.Revision = 3
	_, err := u.PutFinding(t.Context(), u.Surgeon, f)
	refused(t, annotate.CodeNotFound, err)
	for i := range 200 {
		_, err := u.PutFinding(t.Context(), u.Surgeon, newFinding(u, c.ID, fmt.Sprintf("Number %d.", i)))
		require.NoError(t, err)
	}
	_, err = u.PutFinding(t.Context(), u.Surgeon, newFinding(u, c.ID, "One more."))
	refused(t, annotate.CodeInvalid, err)
}
