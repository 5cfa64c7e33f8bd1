package annotate

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"slices"
)

// A bundle is the whole unit, or one case, as one JSON object. Recordings are referred to and not copied.
const (
	BundleFormat  = "zonule-bundle"
	BundleVersion = 1
)

// BundleHead comes first in a bundle.
type BundleHead struct {
	Format  string `json:"format"`
	Version int    `json:"version"`
	MadeAt  int64  `json:"madeAt"` // Unix ms
	// Unit is null in a bundle of one case.
	Unit *Unit `json:"unit"`
	// Users are the accounts of a unit, with their password hashes; of one case, the people that it names, without.
	Users     []Account  `json:"users"`
	StepLists []StepList `json:"stepLists"`
	// Reviews are those of a unit's charts; one from before there were charts has none.
	Reviews []MonitoringReview `json:"reviews,omitempty"`
	// AssessmentForms are those of a unit, or of one case those that it was assessed with.
	AssessmentForms []AssessmentForm `json:"assessmentForms,omitempty"`
	Goals           []Goal           `json:"goals,omitempty"` // of a unit
	// Studies are those of a unit, with removed ones.
	Studies []StudyRecord `json:"studies,omitempty"`
}

// Bundle is a bundle as a whole. Export and Import handle one case at a time; this type is for making small ones.
type Bundle struct {
	BundleHead
	Cases []CaseRecord `json:"cases"`
	// FrozenStudies are those of a unit.
	FrozenStudies []FrozenRecord `json:"frozenStudies,omitempty"`
	// Meetings are those of a unit.
	Meetings []MeetingRecord `json:"meetings,omitempty"`
	// Audit is the unit's log; a bundle of one case has none.
	Audit []AuditEntry `json:"audit"`
}

// CaseRecord is everything that belongs to one case. What follows from it (the items of readings, facts) is made anew.
type CaseRecord struct {
	Case          Case            `json:"case"`
	Parts         []Part          `json:"parts"`
	Readings      []ReadingRecord `json:"readings"`
	Complications []Complication  `json:"complications"`
	Visits        []Visit         `json:"visits"`
	Reports       []ReportRecord  `json:"reports"`
	Assessments   []Assessment    `json:"assessments,omitempty"`
	Inbox         []InboxEntry    `json:"inbox,omitempty"` // in the bundle of a unit
	Findings      []Finding       `json:"findings,omitempty"`
}

// ReadingRecord is a reading with its whole journal.
type ReadingRecord struct {
	Reading
	Edits []Edit `json:"edits"`
}

// ReportRecord is a signed report with its content.
type ReportRecord struct {
	SignedReport
	Content SignedContent `json:"content"`
}

// Export writes the whole unit, or with an id one case, as a bundle. Only the command line may.
func (s *Service) Export(ctx context.Context, actor Actor, caseID string, w io.Writer) error {
	if err := mayManage(actor, BundleUse); err != nil {
		return err
	}
	action := "unit.export"
	if caseID != "" {
		action = "case.export"
	}
	if err := s.noteView(ctx, actor, action, caseID, ""); err != nil {
		return err
	}
	return s.store.Read(ctx, func(tx Tx) error {
		out := &bundleWriter{w: w}
		head := BundleHead{Format: BundleFormat, Version: BundleVersion, MadeAt: s.nowMs()}
		if caseID != "" {
			return exportCase(ctx, tx, out, head, caseID)
		}
		return exportUnit(ctx, tx, out, head)
	})
}

// bundleWriter writes the parts of a bundle one after another; the first error stays.
type bundleWriter struct {
	w   io.Writer
	err error
}

func (b *bundleWriter) text(text string) {
	if b.err == nil {
		_, b.err = io.WriteString(b.w, text)
	}
}

func (b *bundleWriter) value(value any) {
	if b.err != nil {
		return
	}
	var encoded []byte
	if encoded, b.err = json.Marshal(value); b.err == nil {
		_, b.err = b.w.Write(encoded)
	}
}

// head writes the fields of the head and opens the list of cases.
func (b *bundleWriter) head(head BundleHead) {
	encoded, err := json.Marshal(head)
	b.err = errors.Join(b.err, err)
	b.text(string(bytes.TrimSuffix(encoded, []byte("}"))) + ",\"cases\":[\n")
}

func exportUnit(ctx context.Context, tx Tx, out *bundleWriter, head BundleHead) error {
	unit, err := tx.Unit(ctx)
	if err != nil {
		return err
	}
	head.Unit = &unit
	if head.Users, err = tx.Users(ctx); err != nil {
		return err
	}
	if head.StepLists, err = tx.StepLists(ctx); err != nil {
		return err
	}
	if head.Reviews, err = tx.AllMonitoringReviews(ctx); err != nil {
		return err
	}
	if err := teachingOf(ctx, tx, &head); err != nil {
		return err
	}
	if head.Studies, err = studyRecords(ctx, tx); err != nil {
		return err
	}
	ids, err := tx.CaseIDs(ctx)
	if err != nil {
		return err
	}
	out.head(head)
	for i, id := range ids {
		if i > 0 {
			out.text(",\n")
		}
		record, err := caseRecord(ctx, tx, id)
		if err != nil {
			return err
		}
		if record.Inbox, err = tx.InboxEntriesOf(ctx, id); err != nil {
			return err
		}
		out.value(record)
	}
	if err := out.frozenStudies(ctx, tx); err != nil {
		return err
	}
	if err := out.meetings(ctx, tx); err != nil {
		return err
	}
	out.text("],\"audit\":[\n")
	var seq int64
	for {
		entries, err := tx.AuditAfter(ctx, seq, auditBatch)
		if err != nil {
			return err
		}
		for _, entry := range entries {
			if seq > 0 {
				out.text(",\n")
			}
			out.value(entry)
			seq = entry.Seq
		}
		if len(entries) < auditBatch {
			break
		}
	}
	out.text("]}\n")
	return out.err
}

func exportCase(ctx context.Context, tx Tx, out *bundleWriter, head BundleHead, caseID string) error {
	record, err := caseRecord(ctx, tx, caseID)
	if errors.Is(err, ErrNoRow) {
		return notFound("case")
	}
	if err != nil {
		return err
	}
	for _, id := range record.peopleNamed() {
		account, err := tx.User(ctx, id)
		if err != nil {
			return err
		}
		account.PasswordHash = ""
		head.Users = append(head.Users, account)
	}
	for _, reading := range record.Readings {
		lists, err := listsOf(ctx, tx, Fold(reading.Reading, reading.Edits))
		if err != nil {
			return err
		}
		for _, list := range lists {
			if !slices.ContainsFunc(head.StepLists, func(l StepList) bool { return l.ref() == list.ref() }) {
				head.StepLists = append(head.StepLists, list)
			}
		}
	}
	if head.AssessmentForms, err = formsOf(ctx, tx, record.Assessments); err != nil {
		return err
	}
	out.head(head)
	out.value(record)
	out.text("],\"audit\":[]}\n")
	return out.err
}

// peopleNamed gives the ids of everybody whom the record refers to.
func (r CaseRecord) peopleNamed() []string {
	ids := append([]string{r.Case.CreatedBy}, r.Case.SharedWith...)
	for _, o := range r.Case.Operators {
		ids = append(ids, o.UserID)
	}
	for _, part := range r.Parts {
		if part.ClearedBy != "" {
			ids = append(ids, part.ClearedBy)
		}
	}
	for _, reading := range r.Readings {
		ids = append(ids, reading.AuthorID)
		if reading.Choice != nil {
			ids = append(ids, reading.Choice.By)
		}
		for _, edit := range reading.Edits {
			ids = append(ids, edit.AuthorID)
		}
	}
	for _, report := range r.Reports {
		ids = append(ids, report.SignedBy)
		for _, addendum := range report.Addenda {
			ids = append(ids, addendum.AuthorID)
		}
	}
	for _, a := range r.Assessments {
		ids = append(ids, a.AssessorID, a.SubjectID)
	}
	for _, f := range r.Findings {
		ids = append(ids, f.AuthorID)
	}
	slices.Sort(ids)
	return slices.Compact(ids)
}

func caseRecord(ctx context.Context, tx Tx, caseID string) (CaseRecord, error) {
	var r CaseRecord
	var err error
	if r.Case, err = tx.Case(ctx, caseID); err != nil {
		return r, err
	}
	if r.Parts, err = tx.Parts(ctx, caseID); err != nil {
		return r, err
	}
	if r.Complications, err = tx.Complications(ctx, caseID); err != nil {
		return r, err
	}
	if r.Visits, err = tx.Visits(ctx, caseID); err != nil {
		return r, err
	}
	r.Readings, r.Reports = []ReadingRecord{}, []ReportRecord{}
	readings, err := tx.Readings(ctx, caseID)
	if err != nil {
		return r, err
	}
	for _, reading := range readings {
		edits, err := tx.Edits(ctx, reading.ID, 0)
		if err != nil {
			return r, err
		}
		r.Readings = append(r.Readings, ReadingRecord{Reading: reading, Edits: edits})
	}
	if r.Assessments, err = tx.Assessments(ctx, caseID); err != nil {
		return r, err
	}
	if r.Findings, err = tx.Findings(ctx, caseID); err != nil {
		return r, err
	}
	reports, err := tx.Reports(ctx, caseID)
	if err != nil {
		return r, err
	}
	for _, report := range reports {
		content, err := tx.ReportContent(ctx, report.ID)
		if err != nil {
			return r, err
		}
		r.Reports = append(r.Reports, ReportRecord{SignedReport: report, Content: content})
	}
	return r, nil
}
