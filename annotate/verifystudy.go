package annotate

import (
	"context"
	"encoding/json"
	"errors"
)

// keepSeal remembers, while the log is read, the seal that it holds of a frozen study.
func (v *verifier) keepSeal(entry AuditEntry) {
	var seal frozenSeal
	if entry.Action != "study.freeze" {
		return
	}
	if err := json.Unmarshal([]byte(entry.Detail), &seal); err != nil {
		v.tell("audit", entry.ThingID, "entry %d cannot be read", entry.Seq)
		return
	}
	v.frozen[entry.ThingID] = seal
}

// frozenStudies compares what was frozen with its hashes and with the seals in the log; none may be missing.
func (v *verifier) frozenStudies(ctx context.Context, tx Tx) error {
	all, err := tx.FrozenStudies(ctx)
	if err != nil {
		return err
	}
	for _, f := range all {
		v.report.Frozen++
		content, err := tx.FrozenContent(ctx, f.ID)
		if errors.Is(err, ErrNoRow) {
			v.tell("study", f.ID, "its content is missing")
			continue
		}
		if err != nil {
			return err
		}
		if !f.holds(content) {
			v.tell("study", f.ID, "the content is not what was frozen")
		}
		if seal, sealed := v.frozen[f.ID]; !sealed || seal != frozenSealOf(f, content) {
			v.tell("study", f.ID, "the audit log does not hold this frozen study")
		}
		delete(v.frozen, f.ID)
	}
	for id := range v.frozen {
		v.tell("study", id, "it was frozen and is not there any more")
	}
	return nil
}
