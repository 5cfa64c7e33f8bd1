package annotate_test

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
	"zonule/timeline"
)

// fullUnit holds something of everything.
func fullUnit(t *testing.T, address string) (*annotatetest.Unit, annotate.Case) {
	t.Helper()
	u := annotatetest.NewUnit(t, address)
	c := u.AddCase(t, func(c *annotate.Case) {
		c.Before.Exam = &annotate.EndothelialExam{Density: 2480.7, CV: pointerTo(0.31)}
		c.SharedWith = []string{u.Chair.ID}
		c.Consent = annotate.Consent{Recording: annotate.Yes, Review: annotate.Yes, WithdrawnOn: "2026-06-01", Note: "By telephone."}
	})
	part, second, reading := u.AddPart(t, c.ID, 60_000), u.AddPart(t, c.ID, 45_000), u.AddReading(t, u.Surgeon, c.ID)
	m := u.Marker(part.ID, "cortex", 1000, 2000)
	deed := u.Add(m, u.Marker(part.ID, "removal", 3000, 4000))
	undo := edit(u, "undo", annotate.Change{Thing: annotate.ThingMarker, ID: m.ID, Base: 1})
	undo.Undoes = deed.ID
	remark := say(u, second.ID, "Schön — très bien — 好", "")
	remark.Shape = &annotate.Shape{Kind: "ring", Points: [][2]float64{{0.1, 0.3}, {1.0 / 3, 0.7}}}
	event := annotate.Event{ID: u.NewID(), Kind: annotate.EventConversion, At: m.Start, StepList: &annotate.StepListRef{ID: "msics", Version: 1}}
	add(t, u, u.Surgeon, reading.ID, deed, undo, edit(u, "add", annotate.Change{Thing: annotate.ThingEvent, ID: event.ID, Event: &event}))
	add(t, u, u.Chair, reading.ID, edit(u, "comment", speak(remark, 0)))
	add(t, u, u.Trainer, reading.ID, edit(u, "accept-warning", annotate.Change{
		Thing: annotate.ThingAcceptance, ID: "required-step-absent:side-port", Acceptance: &annotate.Acceptance{Reason: "Not filmed"},
	}))
	own := u.AddReading(t, u.Trainer, c.ID)
	require.NoError(t, u.AcceptReading(t.Context(), u.Trainer, own.ID, "To see a choice move."))
	require.NoError(t, u.AcceptReading(t.Context(), u.Trainer, reading.ID, "And back."))
	taught(t, u, c)
	_, err := u.AskToDiscuss(t.Context(), u.Trainee, c.ID, "Why did the tear run out?")
	require.NoError(t, err)
	_, err = u.PutComplication(t.Context(), u.Surgeon, annotate.Complication{
		ID: u.NewID(), CaseID: c.ID, Kind: "rhexis-tear", At: &timeline.Instant{Part: part.ID, Ms: 1500}, Severity: 1,
	})
	require.NoError(t, err)
	_, err = u.PutVisit(t.Context(), u.Clinic, annotate.Visit{ID: u.NewID(), CaseID: c.ID, Window: annotate.WindowDay1, Date: "2026-05-05", Pressure: pointerTo(17.3)})
	require.NoError(t, err)
	report := signed(t, u, c.ID)
	_, err = u.AddAddendum(t.Context(), u.Surgeon, report.ID, u.NewID(), "Later.")
	require.NoError(t, err)
	u.AddCase(t)
	studyFrozen(t, u)
	return u, c
}

// studyFrozen freezes two studies; one is taken away afterwards.
func studyFrozen(t *testing.T, u *annotatetest.Unit) {
	t.Helper()
	own := question()
	own.Population.Operator = annotate.Myself
	for i, name := range []string{"Kept", "Taken away"} {
		study := saved(t, u, u.Surgeon, name, true, own)
		_, err := freeze(t, u, u.Surgeon, study)
		require.NoError(t, err)
		if i > 0 {
			require.NoError(t, u.RemoveStudy(t.Context(), u.Surgeon, study.ID, 1))
		}
	}
}

// taught adds an assessment with a form of the unit's own, a learning point, a cleared picture and a goal.
func taught(t *testing.T, u *annotatetest.Unit, c annotate.Case) {
	t.Helper()
	form, err := u.PutAssessmentForm(t.Context(), u.Trainer, annotate.AssessmentForm{
		ID: "ours", Name: "Ours", Scale: []annotate.ScaleLevel{{Value: 0, Label: "Not yet"}, {Value: 1, Label: "Yes"}},
		Items: []annotate.AssessmentItem{{Code: "calm", Text: "Calm"}},
	})
	require.NoError(t, err)
	_, err = u.PutAssessment(t.Context(), u.Trainer, annotate.Assessment{
		ID: u.NewID(), CaseID: c.ID, Form: annotate.AssessmentFormRef{ID: form.ID, Version: form.Version}, SubjectID: u.Surgeon.ID,
		Marks: []annotate.Mark{{Item: "calm", Value: 1, Note: "Throughout."}},
	})
	require.NoError(t, err)
	_, err = u.PutFinding(t.Context(), u.Trainer, annotate.Finding{ID: u.NewID(), CaseID: c.ID, Kind: annotate.FindingLearning, Place: 1, Text: "Pause at @1:12."})
	require.NoError(t, err)
	parts, err := u.Parts(t.Context(), u.Surgeon, c.ID)
	require.NoError(t, err)
	_, err = u.ClearPart(t.Context(), u.Trainee, c.ID, parts[0].ID, true)
	require.NoError(t, err)
	_, err = u.PutGoal(t.Context(), u.Trainer, annotate.Goal{ID: u.NewID(), TraineeID: u.Surgeon.ID, Text: "Faster", AgreedOn: "2026-06-01", State: annotate.GoalOpen})
	require.NoError(t, err)
}

func export(t *testing.T, u *annotatetest.Unit, caseID string) []byte {
	t.Helper()
	var out bytes.Buffer
	require.NoError(t, u.Export(t.Context(), annotate.House(), caseID, &out))
	return out.Bytes()
}

func read(t *testing.T, text []byte) annotate.Bundle {
	t.Helper()
	var bundle annotate.Bundle
	require.NoError(t, json.Unmarshal(text, &bundle))
	return bundle
}

// TestAUnitMovesToTheOtherDatabase goes from each database into the other and compares what the other gives.
func TestAUnitMovesToTheOtherDatabase(t *testing.T) {
	addresses := map[string]func(testing.TB) string{"sqlite": annotatetest.SQLiteAddress, "postgres": annotatetest.PostgresAddress}
	for from, to := range map[string]string{"sqlite": "postgres", "postgres": "sqlite"} {
		t.Run("from "+from, func(t *testing.T) {
			old, c := fullUnit(t, addresses[from](t))
			text := export(t, old, "")
			moved := annotatetest.EmptyUnit(t, addresses[to](t))
			require.NoError(t, moved.Import(t.Context(), annotate.House(), bytes.NewReader(text)))
			verified(t, moved)
			want, got := read(t, text), read(t, export(t, moved, ""))
			require.Equal(t, want.Audit, got.Audit[:len(want.Audit)], "the audit log goes on where it was")
			require.Greater(t, len(got.Audit), len(want.Audit))
			want.Audit, got.Audit, want.MadeAt, got.MadeAt = nil, nil, 0, 0
			require.Equal(t, want, got)
			require.Len(t, got.Cases[0].Findings, 1)
			require.Positive(t, got.Cases[0].Parts[0].ClearedAt)

			before, err := old.Durations(t.Context(), old.Surgeon, want.Cases[0].Readings[0].ID)
			require.NoError(t, err)
			after, err := moved.Durations(t.Context(), old.Surgeon, want.Cases[0].Readings[0].ID)
			require.NoError(t, err)
			require.Equal(t, before, after)
			oldFile, err := old.CaseFile(t.Context(), old.Surgeon, c.ID)
			require.NoError(t, err)
			newFile, err := moved.CaseFile(t.Context(), old.Surgeon, c.ID)
			require.NoError(t, err)
			require.Equal(t, oldFile, newFile)
			_, err = moved.SignIn(t.Context(), "surgeon", annotatetest.Password, "10.0.0.1")
			require.NoError(t, err, "accounts move with their passwords")

			err = moved.Import(t.Context(), annotate.House(), bytes.NewReader(text))
			refused(t, annotate.CodeTaken, err)
		})
	}
}

func TestACaseMovesToAnotherUnit(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		old, c := fullUnit(t, annotatetest.SQLiteAddress(t))
		text := export(t, old, c.ID)
		require.NotContains(t, string(text), "plain:", "no password leaves with a case")
		require.Len(t, read(t, text).Cases, 1)
		u := annotatetest.NewUnit(t, address)
		guest := u.Surgeon // has the same id as the surgeon there
		require.NoError(t, u.Import(t.Context(), annotate.House(), bytes.NewReader(text)))
		verified(t, u)
		kept, err := u.Case(t.Context(), guest, c.ID)
		require.NoError(t, err)
		require.Equal(t, c.Before, kept.Before)
		refused(t, annotate.CodeTaken, u.Import(t.Context(), annotate.House(), bytes.NewReader(text)))
		verified(t, u)

		empty := annotatetest.EmptyUnit(t, annotatetest.SQLiteAddress(t))
		require.NoError(t, empty.Import(t.Context(), annotate.House(), bytes.NewReader(text)))
		users, err := empty.Users(t.Context(), annotate.House())
		require.NoError(t, err)
		require.Len(t, users, 4, "surgeon, trainer, trainee and chair; the clinic wrote nothing that names it")
		for _, user := range users {
			require.False(t, user.Active, "people of another unit cannot sign in here")
		}
		verified(t, empty)
	})
}

func TestOnlyTheHouseMovesBundles(t *testing.T) {
	u := annotatetest.NewUnit(t, annotatetest.SQLiteAddress(t))
	for _, actor := range []annotate.Actor{u.Admin, u.Surgeon} {
		refused(t, annotate.CodeForbidden, u.Export(t.Context(), actor, "", &bytes.Buffer{}))
		refused(t, annotate.CodeForbidden, u.Import(t.Context(), actor, strings.NewReader("{}")))
	}
	refused(t, annotate.CodeNotFound, u.Export(t.Context(), annotate.House(), "none", &bytes.Buffer{}))
}

// TestBadBundles spoils a good bundle in many ways; nothing of any is taken.
func TestBadBundles(t *testing.T) {
	old, _ := fullUnit(t, annotatetest.SQLiteAddress(t))
	text := export(t, old, "")
	u := annotatetest.EmptyUnit(t, annotatetest.SQLiteAddress(t))
	spoilt := func(spoil func(*annotate.Bundle)) []byte {
		bundle := read(t, text)
		spoil(&bundle)
		changed, err := json.Marshal(bundle)
		require.NoError(t, err)
		return changed
	}
	for name, row := range map[string]struct {
		text []byte
		code annotate.Code
	}{
		"nothing":         {nil, annotate.CodeInvalid},
		"no JSON":         {[]byte("PK\x03\x04"), annotate.CodeInvalid},
		"a list":          {[]byte("[]"), annotate.CodeInvalid},
		"no head":         {[]byte(`{"cases":[]}`), annotate.CodeInvalid},
		"no cases":        {[]byte(`{"format":"zonule-bundle","version":1}`), annotate.CodeInvalid},
		"foreign field":   {[]byte(`{"format":"zonule-bundle","version":1,"hobby":1,"cases":[]}`), annotate.CodeInvalid},
		"cut off":         {text[:len(text)/2], annotate.CodeInvalid},
		"cut off late":    {text[:len(text)-3], annotate.CodeInvalid},
		"newer":           {spoilt(func(b *annotate.Bundle) { b.Version = 2 }), annotate.CodeInvalid},
		"another format":  {spoilt(func(b *annotate.Bundle) { b.Format = "x" }), annotate.CodeInvalid},
		"missing person":  {spoilt(func(b *annotate.Bundle) { b.Users = b.Users[:2] }), annotate.CodeInvalid},
		"person twice":    {spoilt(func(b *annotate.Bundle) { b.Users = append(b.Users, b.Users[0]) }), annotate.CodeTaken},
		"case twice":      {spoilt(func(b *annotate.Bundle) { b.Cases = append(b.Cases, b.Cases[0]) }), annotate.CodeTaken},
		"impossible age":  {spoilt(func(b *annotate.Bundle) { b.Cases[0].Case.Before.Age = pointerTo(200) }), annotate.CodeInvalid},
		"unknown list":    {spoilt(func(b *annotate.Bundle) { b.Cases[0].Readings[0].StepList.ID = "x" }), annotate.CodeInvalid},
		"another list":    {spoilt(func(b *annotate.Bundle) { b.StepLists[0].Steps[0].Name = "x" }), annotate.CodeInvalid},
		"gap in journal":  {spoilt(func(b *annotate.Bundle) { b.Cases[0].Readings[0].Edits[1].Seq = 5 }), annotate.CodeInvalid},
		"wrong base":      {spoilt(func(b *annotate.Bundle) { b.Cases[0].Readings[0].Edits[1].Changes[0].Base = 9 }), annotate.CodeInvalid},
		"unknown part":    {spoilt(func(b *annotate.Bundle) { b.Cases[0].Parts = b.Cases[0].Parts[:1] }), annotate.CodeInvalid},
		"part elsewhere":  {spoilt(func(b *annotate.Bundle) { b.Cases[0].Parts[0].CaseID = "x" }), annotate.CodeInvalid},
		"forged report":   {spoilt(func(b *annotate.Bundle) { b.Cases[0].Reports[0].Content.JSON[0]++ }), annotate.CodeInvalid},
		"forged addendum": {spoilt(func(b *annotate.Bundle) { b.Cases[0].Reports[0].Addenda[0].Text = "x" }), annotate.CodeInvalid},
		"forged study":    {spoilt(func(b *annotate.Bundle) { b.FrozenStudies[0].Content.CSV[0]++ }), annotate.CodeInvalid},
		"study without":   {spoilt(func(b *annotate.Bundle) { b.Studies = nil }), annotate.CodeInvalid},
		"empty study":     {spoilt(func(b *annotate.Bundle) { b.Studies[0].Definition.Exposures = nil }), annotate.CodeInvalid},
		"forged log":      {spoilt(func(b *annotate.Bundle) { b.Audit[1].ActorID = "x" }), annotate.CodeInvalid},
		"shortened log":   {spoilt(func(b *annotate.Bundle) { b.Audit = b.Audit[1:] }), annotate.CodeInvalid},
	} {
		t.Run(name, func(t *testing.T) {
			refused(t, row.code, u.Import(t.Context(), annotate.House(), bytes.NewReader(row.text)))
			report, err := u.Verify(t.Context())
			require.NoError(t, err)
			require.Equal(t, annotate.VerifyReport{Mismatches: []annotate.Mismatch{}}, report, "nothing was taken")
		})
	}
	require.NoError(t, u.Import(t.Context(), annotate.House(), bytes.NewReader(spoilt(func(*annotate.Bundle) {}))), "unspoilt it is taken")
	verified(t, u)
}
