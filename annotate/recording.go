package annotate

import "zonule/timeline"

// PartState says whether a part of a recording can be used now.
type PartState string

const (
	PartOK          PartState = "ok"
	PartMissing     PartState = "missing"
	PartChanged     PartState = "changed"
	PartNotPlayable PartState = "not-playable"
)

// MediaFacts is what probing a file tells.
type MediaFacts struct {
	Container         string             `json:"container"`
	VideoCodec        string             `json:"videoCodec"`
	AudioCodec        string             `json:"audioCodec,omitempty"`
	Width             int                `json:"width"`
	Height            int                `json:"height"`
	FrameRate         timeline.FrameRate `json:"frameRate"`
	VariableFrameRate bool               `json:"variableFrameRate"`
	Duration          int64              `json:"duration"` // ms
	Size              int64              `json:"size"`     // bytes
	RecordedAt        *int64             `json:"recordedAt,omitempty"`
	ModifiedAt        int64              `json:"modifiedAt"`
	Fingerprint       string             `json:"fingerprint"`
	Playable          bool               `json:"playable"`
	// Reason says in words why a browser will not play it.
	Reason string `json:"reason,omitempty"`
}

// Part is one file of a recording, kept where it is and stored by reference.
type Part struct {
	ID       string `json:"id"`
	CaseID   string `json:"caseId"`
	Revision int64  `json:"revision"`
	Position int    `json:"position"` // 1, 2, ... in order of the operation
	// Source is "root-name:relative/path" or an https address.
	Source string     `json:"source"`
	Facts  MediaFacts `json:"facts"`
	State  PartState  `json:"state"`
	// StateReason says in words why the state is not ok.
	StateReason string `json:"stateReason,omitempty"`
	// Offset is the case-clock time of the first frame in ms; nil: it follows the part before without a gap.
	Offset *int64              `json:"offset,omitempty"`
	Rates  []timeline.RateSpan `json:"rates"`
	Cuts   []int64             `json:"cuts"` // media ms where unknown time is missing
	// RealTime declares the file unedited, or its edits all declared in Rates and Cuts.
	RealTime  bool  `json:"realTime"`
	CheckedAt int64 `json:"checkedAt"`
	// ClearedBy is the user who said, at ClearedAt, that no name, date or number is burned into the picture; only then is it
	// shown to people who should not know whose it is. ClearedAt 0: nobody said so of this file.
	ClearedBy string `json:"clearedBy,omitempty"`
	ClearedAt int64  `json:"clearedAt,omitempty"`
}
