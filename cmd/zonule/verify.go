package main

import (
	"context"
	"fmt"
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
