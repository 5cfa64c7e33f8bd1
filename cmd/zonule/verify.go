package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"time"

	"zonule/annotate"
)

// verify is the command.
func (p *program) verify(ctx context.Context) error {
	u, err := p.openExisting(ctx)
	if err != nil {
		return err
	}
	defer p.shut(u)
	found, err := u.service.Verify(ctx)
	if err != nil {
		return err
	}
	for _, m := range found.Mismatches {
		fmt.Fprintf(p.stdout, "%s: case %s, %s: %s\n", m.Subject, m.CaseID, m.ThingID, m.Message)
	}
	fmt.Fprintf(p.stdout, "checked %d cases, %d readings with %d edits, %d signed reports, %d frozen studies, %d audit entries: %d differences\n",
		found.Cases, found.Readings, found.Edits, found.Reports, found.Frozen, found.AuditEntries, len(found.Mismatches))
	if !found.OK() {
		return errDifferent
	}
	return nil
}

// reportFileLimit is far above what a report needs, in bytes.
const reportFileLimit = 256 << 20

// verifyReport is the command.
func (p *program) verifyReport(ctx context.Context) error {
	name := p.config.File
	content, err := readLimited(name, reportFileLimit)
	if err != nil {
		return err
	}
	u, err := p.openExisting(ctx)
	if err != nil {
		return err
	}
	defer p.shut(u)
	found, err := u.service.SignedFileOf(ctx, annotate.House(), content)
	if err != nil {
		return err
	}
	if found == nil {
		fmt.Fprintf(p.stdout, "%s is not as it was signed: no report of this unit was signed as these bytes. It was changed, or is a draft, "+
			"a blinded edition or a report of another unit.\n", name)
		return errDifferent
	}
	r := found.Report
	fmt.Fprintf(p.stdout, "%s is report %d of case %s as it was signed (%s), by %s on %s. Not a byte was changed.\n",
		name, r.Number, r.CaseID, found.Form, r.SignerName, time.UnixMilli(r.SignedAt).Format("2 January 2006 at 15:04"))
	fmt.Fprintf(p.stdout, "content hash %s\n", r.Hash)
	if n := len(r.Addenda); n > 0 {
		fmt.Fprintf(p.stdout, "%d addenda were made since; they stand beside the report and are not in the file.\n", n)
	}
	return nil
}

func readLimited(name string, limit int64) ([]byte, error) {
	file, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	content, err := io.ReadAll(io.LimitReader(file, limit+1))
	if err == nil && int64(len(content)) > limit {
		err = fmt.Errorf("%s is larger than any report", name)
	}
	return content, err
}
