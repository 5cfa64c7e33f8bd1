package annotate_test

import (
	"crypto/sha256"
	"encoding/hex"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
)

func hashOf(content []byte) string {
	sum := sha256.Sum256(content)
	return hex.EncodeToString(sum[:])
}

var content = annotate.SignedContent{JSON: []byte(`{"a":1}`), HTML: []byte("<p>"), PDF: []byte("%PDF\x00\xff"), CSV: []byte("a\r\n")}

// signed signs the report of a case as it stands.
func signed(t *testing.T, u *annotatetest.Unit, caseID string) annotate.SignedReport {
	t.Helper()
	c, err := u.Case(t.Context(), u.Surgeon, caseID)
	require.NoError(t, err)
	report, err := u.SignReport(t.Context(), u.Surgeon, caseID, c.Change, hashOf(content.JSON), content)
	require.NoError(t, err)
	return report
}

func TestSignReport(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		c, _, _ := u.Marked(t)
		c, err := u.Case(t.Context(), u.Surgeon, c.ID)
		require.NoError(t, err)
		_, err = u.SignReport(t.Context(), u.Surgeon, c.ID, c.Change-1, hashOf(content.JSON), content)
		refused(t, annotate.CodeStale, err)
		_, err = u.SignReport(t.Context(), u.Surgeon, c.ID, c.Change, hashOf([]byte("something else")), content)
		refused(t, annotate.CodeInvalid, err)
		_, err = u.SignReport(t.Context(), u.Trainee, c.ID, c.Change, hashOf(content.JSON), content)
		refused(t, annotate.CodeForbidden, err)

		report, err := u.SignReport(t.Context(), u.Trainer, c.ID, c.Change, hashOf(content.JSON), content)
		require.NoError(t, err)
		require.Equal(t, 1, report.Number)
		require.Equal(t, u.Trainer.Name, report.SignerName)
		again, err := u.SignReport(t.Context(), u.Trainer, c.ID, c.Change, hashOf(content.JSON), content)
		require.NoError(t, err)
		require.Equal(t, report, again, "sent again it is signed once")
		second := signed(t, u, c.ID)
		require.Equal(t, 2, second.Number)

		kept, bytes, err := u.SignedContent(t.Context(), u.Surgeon, report.ID)
		require.NoError(t, err)
		require.Equal(t, report, kept)
		require.Equal(t, content, bytes)
		page, err := u.Cases(t.Context(), u.Surgeon, annotate.CaseFilter{State: "signed"})
		require.NoError(t, err)
		require.Equal(t, annotate.ReportSigned, page.Cases[0].Report)

		id := u.NewID()
		addendum, err := u.AddAddendum(t.Context(), u.Trainee, report.ID, id, "The lens was exchanged in July.")
		require.NoError(t, err)
		resent, err := u.AddAddendum(t.Context(), u.Trainee, report.ID, id, "The lens was exchanged in July.")
		require.NoError(t, err)
		require.Equal(t, addendum, resent)
		_, err = u.AddAddendum(t.Context(), u.Trainee, report.ID, id, "In August.")
		refused(t, annotate.CodeSigned, err)
		_, err = u.AddAddendum(t.Context(), u.Trainee, report.ID, u.NewID(), " ")
		refused(t, annotate.CodeInvalid, err)
		_, err = u.AddAddendum(t.Context(), u.Surgeon, report.ID, u.NewID(), "In August.")
		require.NoError(t, err)
		reports, err := u.SignedReports(t.Context(), u.Surgeon, c.ID)
		require.NoError(t, err)
		require.Len(t, reports, 2)
		require.Len(t, reports[0].Addenda, 2)
		require.Equal(t, addendum, reports[0].Addenda[0])
		require.Empty(t, reports[1].Addenda)
		verified(t, u)
	})
}

func TestCaseFile(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		other, otherPart, otherReading := u.Marked(t)
		add(t, u, u.Surgeon, otherReading.ID, u.Add(u.Marker(otherPart.ID, "cortex", 1000, 4000)))
		c, part, reading := u.Marked(t)
		m := u.Marker(part.ID, "nucleus-delivery", 30_000, 40_000)
		m.StepList, m.OperatorID = annotate.StepListRef{ID: "msics", Version: 1}, u.Trainee.ID
		event := annotate.Event{ID: u.NewID(), Kind: annotate.EventConversion, At: m.Start, StepList: &m.StepList}
		add(t, u, u.Surgeon, reading.ID,
			edit(u, "add", annotate.Change{Thing: annotate.ThingEvent, ID: event.ID, Event: &event}, put(m, 0)),
			u.Add(u.Marker(part.ID, "cortex", 1000, 3500)))
		file, err := u.CaseFile(t.Context(), u.Trainer, c.ID)
		require.NoError(t, err)
		require.Equal(t, "Eye unit", file.UnitName)
		require.Len(t, file.Parts, 1)
		require.Equal(t, []string{"phaco", "msics"}, []string{file.StepLists[0].ID, file.StepLists[1].ID})
		require.Len(t, file.Reading.Markers, 2)
		var names []string
		for _, person := range file.People {
			names = append(names, person.Name)
		}
		require.Equal(t, []string{"The surgeon", "The trainer", "The trainee"}, names)
		require.Equal(t, map[string][]int64{"cortex": {3000}, "": {3000}, "stage:cortex": {3000}}, file.Group, "the other case, by hand")
		_, err = u.CaseFile(t.Context(), annotate.House(), other.ID)
		require.NoError(t, err, "the command line writes reports")
		history, err := u.CaseHistory(t.Context(), u.Surgeon, c.ID)
		require.NoError(t, err)
		require.Equal(t, "report.view", history[0].Action)
		require.Equal(t, u.Trainer.ID, history[0].ActorID)
	})
}

func TestASignedFileIsKnownByItsBytes(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		c, _, _ := u.Marked(t)
		report := signed(t, u, c.ID)
		for form, file := range map[string][]byte{"JSON": content.JSON, "HTML": content.HTML, "PDF": content.PDF, "CSV": content.CSV} {
			found, err := u.SignedFileOf(t.Context(), annotate.House(), file)
			require.NoError(t, err)
			require.NotNil(t, found, form)
			require.Equal(t, form, found.Form)
			require.Equal(t, report.ID, found.Report.ID)
			found, err = u.SignedFileOf(t.Context(), annotate.House(), append([]byte{' '}, file...))
			require.NoError(t, err)
			require.Nil(t, found, "one byte more is another file")
		}
		_, err := u.SignedFileOf(t.Context(), u.Surgeon, content.PDF)
		refused(t, annotate.CodeForbidden, err)
	})
}
