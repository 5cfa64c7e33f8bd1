package annotate

// FindingKind says how a text of the review is meant.
type FindingKind string

const (
	FindingSeen     FindingKind = "finding"  // what was seen
	FindingLearning FindingKind = "learning" // what to do differently, or again
)

// mostFindings bounds those of one case.
const mostFindings = 200

// Finding is a finding or a learning point of the review of a case, in free words. Moments are written into the text, as
// timeline.WrittenMoments reads them.
type Finding struct {
	ID       string      `json:"id"`
	CaseID   string      `json:"caseId"`
	Revision int64       `json:"revision"`
	Kind     FindingKind `json:"kind"`
	Place    int         `json:"place"` // 1, 2, ... in the order of the report, within the kind
	Text     string      `json:"text"`
	// NamesNobody is whoever wrote it saying that no person, place or date can be told from the text; only then it stands
	// in the blinded edition.
	NamesNobody bool   `json:"namesNobody"`
	AuthorID    string `json:"authorId"` // set by the server
}

func (f Finding) validate() error {
	var p problems
	p.id("id", f.ID)
	oneOf(&p, "kind", f.Kind, true, FindingSeen, FindingLearning)
	if f.Place < 1 || f.Place > 10_000 {
		p.add("place", "must lie between 1 and 10000")
	}
	p.text("text", f.Text, 1, 2000)
	return p.err("The text")
}
