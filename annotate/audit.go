package annotate

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
