package annotate

import (
	"context"
	"errors"
	"slices"
)

// CaseFile gives everything that a review report of the case is composed from, and notes who saw it.
func (s *Service) CaseFile(ctx context.Context, actor Actor, caseID string) (CaseFile, error) {
	var file CaseFile
	err := s.onCase(ctx, actor, caseID, ReportView, func(tx Tx, c seen) (err error) {
		if file, err = caseFile(ctx, tx, caseID, nil); err != nil {
			return err
		}
		if file.Findings, err = findingsOf(ctx, tx, caseID); err != nil {
			return err
		}
		unit, err := tx.Unit(ctx)
		if err != nil {
			return err
		}
		file.UnitName = unit.Name
		if file.Group, err = s.snapshot.group(ctx, tx, c.Operation.TechniquePerformed, caseID); err != nil {
			return err
		}
		level, err := s.levelOf(ctx, tx, file)
		if err != nil {
			return err
		}
		file.Level = &level
		file.People, err = peopleIn(ctx, tx, file)
		return err
	})
	if err != nil {
		return CaseFile{}, err
	}
	return file, s.noteView(ctx, actor, "report.view", caseID, "")
}

// peopleIn gives everybody whom the file names, in the order in which they come up.
func peopleIn(ctx context.Context, tx Tx, file CaseFile) ([]Person, error) {
	var ids []string
	add := func(id string) {
		if id != "" && !slices.Contains(ids, id) {
			ids = append(ids, id)
		}
	}
	for _, o := range file.Case.Operators {
		add(o.UserID)
	}
	add(file.Case.CreatedBy)
	for _, id := range file.Case.SharedWith {
		add(id)
	}
	for _, finding := range file.Findings {
		add(finding.AuthorID)
	}
	if r := file.Reading; r != nil {
		add(r.AuthorID)
		for _, marker := range r.Markers {
			add(marker.OperatorID)
		}
		for _, comment := range r.Comments {
			add(comment.AuthorID)
		}
		for _, acceptance := range r.Acceptances {
			add(acceptance.AuthorID)
		}
	}
	people := make([]Person, len(ids))
	for i, id := range ids {
		account, err := tx.User(ctx, id)
		if err != nil {
			return nil, err
		}
		people[i] = account.Person()
	}
	return people, nil
}

// SignReport keeps a report as it was composed from the given state of the case, for good. It is refused when the case
// has changed since, or when the content does not have the hash that the signer saw.
func (s *Service) SignReport(ctx context.Context, actor Actor, caseID string, change int64, hash string, content SignedContent) (SignedReport, error) {
	var report SignedReport
	err := s.changeCase(ctx, actor, caseID, ReportSign, func(w *work) error {
		reports, err := w.tx.Reports(ctx, caseID)
		if err != nil {
			return err
		}
		if n := len(reports); n > 0 && reports[n-1].Hash == hash && reports[n-1].CaseChange == change && reports[n-1].SignedBy == actor.ID {
			report = reports[n-1]
			return nil
		}
		if change != w.Change {
			refusal := stale("The case", map[string]int64{"change": change}, map[string]int64{"change": w.Change})
			return refusal
		}
		if hashOfBytes(content.JSON) != hash {
			var p problems
			p.add("hash", "does not belong to the report; read it again before you sign")
			return p.err("The signature")
		}
		report = SignedReport{
			ID: s.newID(), CaseID: caseID, Number: len(reports) + 1, Hash: hash, SignedBy: actor.ID, SignerName: actor.Name,
			SignedAt: w.now, CaseChange: change, Addenda: []Addendum{},
		}
		w.entries = append(w.entries, AuditEntry{
			Action: "report.sign", CaseID: caseID, ThingID: report.ID, Detail: jsonText(signatureOf(report, content)),
		})
		return w.tx.InsertReport(ctx, report, content)
	})
	if err != nil {
		return SignedReport{}, err
	}
	return report, nil
}

// SignedReports gives the signed reports of a case with what was added to them, oldest first.
func (s *Service) SignedReports(ctx context.Context, actor Actor, caseID string) ([]SignedReport, error) {
	var reports []SignedReport
	err := s.onCase(ctx, actor, caseID, ReportView, func(tx Tx, _ seen) (err error) {
		reports, err = tx.Reports(ctx, caseID)
		return err
	})
	return reports, err
}

// SignedContent gives a signed report as it was signed, and notes who saw it.
func (s *Service) SignedContent(ctx context.Context, actor Actor, reportID string) (SignedReport, SignedContent, error) {
	report, err := s.signedReport(ctx, actor, reportID)
	if err != nil {
		return SignedReport{}, SignedContent{}, err
	}
	var content SignedContent
	err = s.store.Read(ctx, func(tx Tx) (err error) {
		content, err = tx.ReportContent(ctx, reportID)
		return err
	})
	if err != nil {
		return SignedReport{}, SignedContent{}, err
	}
	return report, content, s.noteView(ctx, actor, "report.view", report.CaseID, reportID)
}

func (s *Service) signedReport(ctx context.Context, actor Actor, reportID string) (SignedReport, error) {
	if err := present(actor); err != nil {
		return SignedReport{}, err
	}
	var report SignedReport
	err := s.store.Read(ctx, func(tx Tx) (err error) {
		report, err = tx.Report(ctx, reportID)
		if report, err = found(report, err, true, "report"); err != nil {
			return err
		}
		c, err := tx.Case(ctx, report.CaseID)
		_, err = see(actor, c, err, ReportView)
		return notFoundInstead(err, "report")
	})
	return report, err
}

// AddAddendum adds to a signed report. The same one sent again is answered as it is kept.
func (s *Service) AddAddendum(ctx context.Context, actor Actor, reportID, id, text string) (Addendum, error) {
	report, err := s.signedReport(ctx, actor, reportID)
	if err != nil {
		return Addendum{}, err
	}
	var p problems
	p.id("id", id)
	p.text("text", text, 1, 4000)
	if err := p.err("The addendum"); err != nil {
		return Addendum{}, err
	}
	var addendum Addendum
	err = s.changeCase(ctx, actor, report.CaseID, ReportAddendum, func(w *work) error {
		report, err := w.tx.Report(ctx, reportID)
		if err != nil {
			return err
		}
		before := report.Hash
		for _, kept := range report.Addenda {
			before = kept.Hash
			if kept.ID == id && kept.Text == text && kept.AuthorID == actor.ID {
				addendum = kept
				return nil
			}
			if kept.ID == id {
				return Refuse(CodeSigned, "An addendum does not change; add another.")
			}
		}
		addendum = Addendum{ID: id, ReportID: reportID, AuthorID: actor.ID, AuthorName: actor.Name, Text: text, MadeAt: w.now}
		addendum.Hash = addendum.chained(before)
		w.note("report.addendum", reportID, Differences(nil, addendum))
		err = w.tx.InsertAddendum(ctx, addendum, len(report.Addenda)+1)
		if errors.Is(err, ErrDuplicate) {
			return Refuse(CodeTaken, "The id of the addendum is in use; make another.")
		}
		return err
	})
	if err != nil {
		return Addendum{}, err
	}
	return addendum, nil
}

// chained gives the hash of an addendum: SHA-256 of its JSON with the hash before it, that of the report or of the
// addendum before, in the place of its own.
func (a Addendum) chained(before string) string {
	a.Hash = before
	return hashOf(a)
}

// signature is what the audit log keeps about a signed report: who signed what, and the hashes of every form of it.
type signature struct {
	Number   int    `json:"number"`
	SignedBy string `json:"signedBy"`
	SignedAt int64  `json:"signedAt"`
	Hash     string `json:"hash"`
	HTML     string `json:"html"`
	PDF      string `json:"pdf"`
	CSV      string `json:"csv"`
}

func signatureOf(r SignedReport, c SignedContent) signature {
	return signature{
		Number: r.Number, SignedBy: r.SignedBy, SignedAt: r.SignedAt, Hash: r.Hash,
		HTML: hashOfBytes(c.HTML), PDF: hashOfBytes(c.PDF), CSV: hashOfBytes(c.CSV),
	}
}
