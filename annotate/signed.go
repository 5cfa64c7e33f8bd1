package annotate

import (
	"context"
	"encoding/json"
	"errors"
)

// SignedFile says which signed report a file is, byte for byte.
type SignedFile struct {
	Report SignedReport
	// Form is "JSON", "HTML", "PDF" or "CSV".
	Form string
}

// SignedFileOf finds the signed report that a file holds, by the hashes that the audit log kept when it was signed. It is nil
// when no report of this unit was signed as these bytes.
func (s *Service) SignedFileOf(ctx context.Context, actor Actor, content []byte) (*SignedFile, error) {
	if !Can(actor, BundleUse, RelationNone) {
		return nil, forbidden(BundleUse)
	}
	hash := hashOfBytes(content)
	var found *SignedFile
	err := s.store.Read(ctx, func(tx Tx) error {
		var last AuditEntry
		for {
			entries, err := tx.AuditAfter(ctx, last.Seq, auditBatch)
			if err != nil || len(entries) == 0 {
				return err
			}
			for _, e := range entries {
				form := formSigned(e, hash)
				if form == "" {
					continue
				}
				report, err := tx.Report(ctx, e.ThingID)
				if errors.Is(err, ErrNoRow) {
					continue
				}
				found = &SignedFile{Report: report, Form: form}
				return err
			}
			last = entries[len(entries)-1]
		}
	})
	return found, err
}

// formSigned gives the form in which the hash was signed by the entry, "" for none.
func formSigned(e AuditEntry, hash string) string {
	if e.Action != "report.sign" && e.Action != "report.import" {
		return ""
	}
	var signed signature
	if json.Unmarshal([]byte(e.Detail), &signed) != nil {
		return ""
	}
	switch hash {
	case signed.Hash:
		return "JSON"
	case signed.HTML:
		return "HTML"
	case signed.PDF:
		return "PDF"
	case signed.CSV:
		return "CSV"
	}
	return ""
}
