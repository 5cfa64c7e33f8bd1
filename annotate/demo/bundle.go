package demo

import (
	"encoding/json"
	"io"

	"zonule/annotate"
)

// Write writes the unit as a bundle, one case after another, and tells how many are written. passwordHash is what
// Password hashes to; madeAt is Unix ms.
func (u Unit) Write(w io.Writer, passwordHash string, madeAt int64, written func(cases int)) error {
	head := annotate.BundleHead{
		Format: annotate.BundleFormat, Version: annotate.BundleVersion, MadeAt: madeAt,
		Unit:      &annotate.Unit{Name: u.Name, Revision: 1, LossLimitPercent: 20, DensityLimit: 1000, Invented: true},
		StepLists: []annotate.StepList{},
	}
	for _, user := range u.Users {
		head.Users = append(head.Users, annotate.Account{User: user, PasswordHash: passwordHash})
	}
	opening, err := json.Marshal(head)
	if err != nil {
		return err
	}
	if _, err := w.Write(append(opening[:len(opening)-1], `,"cases":[`...)); err != nil {
		return err
	}
	for i, record := range u.Records {
		text, err := json.Marshal(record.inBundle())
		if err != nil {
			return err
		}
		if i > 0 {
			text = append([]byte(",\n"), text...)
		}
		if _, err := w.Write(text); err != nil {
			return err
		}
		written(i + 1)
	}
	_, err = io.WriteString(w, `],"audit":[]}`)
	return err
}

func (r Record) inBundle() annotate.CaseRecord {
	record := annotate.CaseRecord{
		Case: r.Case, Parts: r.Parts, Readings: []annotate.ReadingRecord{},
		Complications: r.Complications, Visits: r.Visits, Reports: []annotate.ReportRecord{},
	}
	if r.Reading != nil {
		record.Readings = append(record.Readings, annotate.ReadingRecord{Reading: *r.Reading, Edits: r.Edits})
	}
	return record
}
