package annotate

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"

	"zonule/timeline/cohort"
)

// Mismatch is something stored that does not follow from what it should follow from.
type Mismatch struct {
	// Subject is "journal", "reading", "facts", "audit", "report", "study", "inbox" or "meeting".
	Subject string `json:"subject"`
	CaseID  string `json:"caseId,omitempty"`
	ThingID string `json:"thingId,omitempty"`
	Message string `json:"message"`
}

// String is one line for a person.
func (m Mismatch) String() string {
	line := m.Subject + ": " + m.Message
	if m.ThingID != "" {
		line += " (" + m.Subject + " " + m.ThingID + ")"
	}
	if m.CaseID != "" {
		line += " in case " + m.CaseID
	}
	return line
}

// VerifyReport says what was looked at and what did not fit.
type VerifyReport struct {
	Cases        int        `json:"cases"`
	Readings     int        `json:"readings"`
	Edits        int        `json:"edits"`
	Reports      int        `json:"reports"`
	Frozen       int        `json:"frozen"` // studies
	Meetings     int        `json:"meetings"`
	AuditEntries int        `json:"auditEntries"`
	Mismatches   []Mismatch `json:"mismatches"`
}

// OK reports whether everything fits.
func (r VerifyReport) OK() bool { return len(r.Mismatches) == 0 }

// Verify folds every journal anew and compares with the rows, makes the facts anew, and follows the hashes of journals,
// signed reports, frozen studies and the audit log. It changes nothing.
func (s *Service) Verify(ctx context.Context) (VerifyReport, error) {
	v := &verifier{report: VerifyReport{Mismatches: []Mismatch{}}, frozen: map[string]frozenSeal{}, sealed: meetingSeals{}}
	var ids []string
	err := s.store.Read(ctx, func(tx Tx) (err error) {
		if err := v.audit(ctx, tx); err != nil {
			return err
		}
		if err := v.frozenStudies(ctx, tx); err != nil {
			return err
		}
		if err := v.meetings(ctx, tx); err != nil {
			return err
		}
		ids, err = tx.CaseIDs(ctx)
		return err
	})
	if err != nil {
		return VerifyReport{}, err
	}
	for _, id := range ids {
		err := s.store.Read(ctx, func(tx Tx) error { return v.oneCase(ctx, tx, id) })
		if err != nil {
			return VerifyReport{}, fmt.Errorf("case %s: %w", id, err)
		}
	}
	return v.report, nil
}

type verifier struct {
	report VerifyReport
	caseID string
	sealed meetingSeals
	frozen map[string]frozenSeal // by the id of the frozen study, as the audit log holds them
}

func (v *verifier) tell(subject, thingID, format string, args ...any) {
	v.report.Mismatches = append(v.report.Mismatches, Mismatch{subject, v.caseID, thingID, fmt.Sprintf(format, args...)})
}

// auditBatch is how many entries are read at a time.
const auditBatch = 2000

func (v *verifier) audit(ctx context.Context, tx Tx) error {
	last := AuditEntry{}
	for {
		entries, err := tx.AuditAfter(ctx, last.Seq, auditBatch)
		if err != nil {
			return err
		}
		for _, entry := range entries {
			v.report.AuditEntries++
			switch {
			case entry.Seq != last.Seq+1:
				v.tell("audit", "", "entry %d follows entry %d: what was between is missing", entry.Seq, last.Seq)
			case entry.PrevHash != last.Hash:
				v.tell("audit", "", "entry %d does not follow from entry %d", entry.Seq, last.Seq)
			}
			if entry.Hash != entry.chained() {
				v.tell("audit", "", "entry %d was changed: its hash is another", entry.Seq)
			}
			v.keepSeal(entry)
			v.sealed.read(v, entry)
			last = entry
		}
		if len(entries) < auditBatch {
			return nil
		}
	}
}

func (v *verifier) oneCase(ctx context.Context, tx Tx, caseID string) error {
	v.report.Cases++
	v.caseID = caseID
	log, err := tx.CaseAudit(ctx, caseID)
	if err != nil {
		return err
	}
	readings, err := tx.Readings(ctx, caseID)
	if err != nil {
		return err
	}
	for _, reading := range readings {
		if err := v.reading(ctx, tx, reading, log); err != nil {
			return err
		}
	}
	if err := v.facts(ctx, tx); err != nil {
		return err
	}
	if err := v.inbox(ctx, tx, log); err != nil {
		return err
	}
	return v.reports(ctx, tx, log)
}

func (v *verifier) reading(ctx context.Context, tx Tx, reading Reading, log []AuditEntry) error {
	v.report.Readings++
	journal, err := tx.Edits(ctx, reading.ID, 0)
	if err != nil {
		return err
	}
	v.report.Edits += len(journal)
	for i, edit := range journal {
		if edit.Seq != int64(i)+1 {
			v.tell("journal", reading.ID, "edit %d is missing", i+1)
			break
		}
	}
	state, err := tx.ReadingState(ctx, reading.ID)
	if err != nil {
		return err
	}
	for _, d := range Differences(Fold(reading, journal), state) {
		v.tell("reading", reading.ID, "%s does not follow from the journal", d.Field)
	}
	return v.seals(reading, journal, log)
}

// seals compares the journal with the hashes that the audit log holds of it: every edit is covered by at least one.
func (v *verifier) seals(reading Reading, journal []Edit, log []AuditEntry) error {
	sealed := make([]bool, len(journal))
	for _, entry := range log {
		if entry.ThingID != reading.ID || entry.Action != "reading.edit" && entry.Action != "reading.import" {
			continue
		}
		var seal journalSeal
		if err := json.Unmarshal([]byte(entry.Detail), &seal); err != nil {
			v.tell("audit", reading.ID, "entry %d cannot be read", entry.Seq)
			continue
		}
		if seal.From < 1 || seal.To > int64(len(journal)) || seal.From > seal.To {
			v.tell("journal", reading.ID, "edits %d to %d are named by audit entry %d and are not all there", seal.From, seal.To, entry.Seq)
			continue
		}
		if hashOf(journal[seal.From-1:seal.To]) != seal.Hash {
			v.tell("journal", reading.ID, "edits %d to %d are not those that audit entry %d names", seal.From, seal.To, entry.Seq)
		}
		for i := seal.From - 1; i < seal.To; i++ {
			sealed[i] = true
		}
	}
	if at := slices.Index(sealed, false); at >= 0 {
		v.tell("journal", reading.ID, "edit %d is in no entry of the audit log", at+1)
	}
	return nil
}

func (v *verifier) facts(ctx context.Context, tx Tx) error {
	stored, err := tx.CaseFacts(ctx, v.caseID)
	if errors.Is(err, ErrNoRow) {
		v.tell("facts", "", "the case has no facts")
		return nil
	}
	if err != nil {
		return err
	}
	fresh, row, err := caseFacts(ctx, tx, v.caseID, nil)
	if err != nil {
		return err
	}
	if stored.Items.Rules != itemRules {
		stored.Items = fresh.Items // made by other rules, and anew whenever they are asked for
	}
	for _, d := range Differences(fresh, stored) {
		v.tell("facts", "", "%s is not what the case gives", d.Field)
	}
	return v.row(ctx, tx, row)
}

// row compares the flat row from which comparisons answer.
func (v *verifier) row(ctx context.Context, tx Tx, fresh cohort.Row) error {
	stored, err := tx.CaseRow(ctx, v.caseID)
	if errors.Is(err, ErrNoRow) {
		v.tell("facts", "", "the case has no row for comparisons")
		return nil
	}
	if err != nil {
		return err
	}
	for _, d := range Differences(fresh, stored) {
		v.tell("facts", "", "%s of the row for comparisons is not what the case gives", d.Field)
	}
	return nil
}

func (v *verifier) reports(ctx context.Context, tx Tx, log []AuditEntry) error {
	reports, err := tx.Reports(ctx, v.caseID)
	if err != nil {
		return err
	}
	for i, report := range reports {
		v.report.Reports++
		content, err := tx.ReportContent(ctx, report.ID)
		if err != nil {
			return err
		}
		if report.Number != i+1 {
			v.tell("report", report.ID, "report %d is missing", i+1)
		}
		v.signature(report, content, log)
	}
	return nil
}

func (v *verifier) signature(report SignedReport, content SignedContent, log []AuditEntry) {
	if hashOfBytes(content.JSON) != report.Hash {
		v.tell("report", report.ID, "the content is not what was signed")
	}
	named := slices.ContainsFunc(log, func(e AuditEntry) bool {
		var signed signature
		kind := e.Action == "report.sign" || e.Action == "report.import"
		return kind && e.ThingID == report.ID && json.Unmarshal([]byte(e.Detail), &signed) == nil && signed == signatureOf(report, content)
	})
	if !named {
		v.tell("report", report.ID, "the audit log does not hold this signature")
	}
	before := report.Hash
	for i, addendum := range report.Addenda {
		if addendum.Hash != addendum.chained(before) {
			v.tell("report", report.ID, "addendum %d was changed", i+1)
		}
		before = addendum.Hash
	}
}
