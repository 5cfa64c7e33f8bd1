package annotate

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
)

// AuditEntry says who saw or changed what, when. Entries form a hash chain and are never changed.
type AuditEntry struct {
	Seq       int64  `json:"seq"`
	At        int64  `json:"at"` // Unix ms
	ActorID   string `json:"actorId"`
	Action    string `json:"action"` // such as "case.view", "report.sign"
	CaseID    string `json:"caseId,omitempty"`
	ThingID   string `json:"thingId,omitempty"`
	Detail    string `json:"detail,omitempty"` // JSON: for a change, the fields before and after
	RequestID string `json:"requestId,omitempty"`
	PrevHash  string `json:"prevHash"`
	Hash      string `json:"hash"`
}

// chained gives the hash of an entry: SHA-256 of its JSON with an empty hash, in hex. The JSON holds the hash of the
// entry before, so that no entry can be changed, moved or left out without changing every later one.
func (e AuditEntry) chained() string {
	e.Hash = ""
	return hashOf(e)
}

// hashOf gives the SHA-256 of a value's JSON in hex.
func hashOf(value any) string {
	text, err := json.Marshal(value)
	if err != nil {
		panic(fmt.Sprintf("a value of our own has no JSON: %v", err))
	}
	return hashOfBytes(text)
}

func hashOfBytes(content []byte) string {
	sum := sha256.Sum256(content)
	return hex.EncodeToString(sum[:])
}

// record adds entries to the audit log. It comes last in a transaction, because additions wait for each other.
func (s *Service) record(ctx context.Context, tx Tx, actor Actor, entries ...AuditEntry) error {
	last, err := tx.LastAudit(ctx)
	if err != nil {
		return err
	}
	sealed := make([]AuditEntry, len(entries))
	for i, entry := range entries {
		entry.Seq, entry.At, entry.ActorID, entry.RequestID = last.Seq+1, s.nowMs(), actor.ID, actor.RequestID
		entry.PrevHash = last.Hash
		entry.Hash = entry.chained()
		sealed[i], last = entry, entry
	}
	return tx.InsertAudit(ctx, sealed...)
}

// detail gives the differences as the text that an audit entry keeps.
func detail(differences []Difference) string {
	if len(differences) == 0 {
		return ""
	}
	return jsonText(differences)
}

func jsonText(value any) string {
	text, err := json.Marshal(value)
	if err != nil {
		panic(fmt.Sprintf("a value of our own has no JSON: %v", err))
	}
	return string(text)
}
