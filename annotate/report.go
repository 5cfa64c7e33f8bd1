package annotate

// ReportState of a review report.
type ReportState string

const (
	ReportDraft  ReportState = "draft"
	ReportSigned ReportState = "signed"
)

// SignedReport is a review report that never changes again.
type SignedReport struct {
	ID     string `json:"id"`
	CaseID string `json:"caseId"`
	Number int    `json:"number"` // 1, 2, ... within the case
	// Hash is the SHA-256 of the canonical JSON content, in hex.
	Hash       string     `json:"hash"`
	SignedBy   string     `json:"signedBy"` // user id
	SignerName string     `json:"signerName"`
	SignedAt   int64      `json:"signedAt"`
	CaseChange int64      `json:"caseChange"`
	Addenda    []Addendum `json:"addenda"`
}

// SignedContent is what was signed, as bytes.
type SignedContent struct {
	JSON []byte
	HTML []byte
	PDF  []byte
	CSV  []byte
}

// Addendum is added to a signed report; it never changes either.
type Addendum struct {
	ID         string `json:"id"`
	ReportID   string `json:"reportId"`
	AuthorID   string `json:"authorId"`
	AuthorName string `json:"authorName"`
	Text       string `json:"text"`
	MadeAt     int64  `json:"madeAt"`
	// Hash covers the report's hash, the addendum before it and this text.
	Hash string `json:"hash"`
}

// CaseFile is everything that a review report of one case is composed from.
type CaseFile struct {
	Case          Case           `json:"case"`
	Parts         []Part         `json:"parts"`
	StepLists     []StepList     `json:"stepLists"` // every version that a marker names, the reading's own first
	Reading       *ReadingState  `json:"reading"`   // the accepted one; nil when there is none
	Complications []Complication `json:"complications"`
	Visits        []Visit        `json:"visits"`
	Findings      []Finding      `json:"findings"`
	People        []Person       `json:"people"` // everybody named in the file
	// UnitName heads the report.
	UnitName string `json:"unitName"`
	// Group holds, by step code, the totals (ms) of the unit's other cases with the same performed technique;
	// "" is the operation time and "stage:<code>" the length of a stage.
	Group map[string][]int64 `json:"-"`
	// Level is the case beside the unit's others.
	Level *CaseLevel `json:"level"`
}
