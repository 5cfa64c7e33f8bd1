package annotate

// IntakeState is how far an import has come.
type IntakeState string

const (
	// IntakeToMatch: a column that every row needs is not named yet.
	IntakeToMatch IntakeState = "to-match"
	// IntakeChecking and IntakeApplying: rows are gone through, batch by batch.
	IntakeChecking  IntakeState = "checking"
	IntakeChecked   IntakeState = "checked"
	IntakeApplying  IntakeState = "applying"
	IntakeApplied   IntakeState = "applied"
	IntakeCancelled IntakeState = "cancelled"
)

// Verdict is what would become, or became, of one row.
type Verdict string

const (
	VerdictNew       Verdict = "new"
	VerdictChanges   Verdict = "changes"
	VerdictSame      Verdict = "same" // is there already
	VerdictRefused   Verdict = "refused"
	VerdictNoCase    Verdict = "no-case"
	VerdictAmbiguous Verdict = "ambiguous" // several cases answer to the row
)

// Verdicts lists every verdict.
var Verdicts = []Verdict{VerdictNew, VerdictChanges, VerdictSame, VerdictRefused, VerdictNoCase, VerdictAmbiguous}

// writes tells whether a row with the verdict is to be written.
func (v Verdict) writes() bool { return v == VerdictNew || v == VerdictChanges }

// IntakeFile is what is known of the file; its content is kept only as rows.
type IntakeFile struct {
	Name string `json:"name"`
	// Hash is the SHA-256 of its bytes, in hex.
	Hash      string   `json:"hash"`
	Kind      string   `json:"kind"`     // "csv" or "xlsx"
	Encoding  string   `json:"encoding"` // of a CSV file
	Separator string   `json:"separator"`
	Sheet     string   `json:"sheet"` // of an XLSX file
	Sheets    []string `json:"sheets"`
}

// IntakeMatching says which column holds what, and how it is written.
type IntakeMatching struct {
	// Fields names, for each column in order, the field of IntakeFields that it holds; "" is not read.
	Fields []string `json:"fields"`
	// Dates is the order of dates that are not YYYY-MM-DD: "day-first", "month-first", or "" to take only what can be
	// read one way.
	Dates string `json:"dates"`
	// Decimals is the mark before the decimals: "comma", "point", or "" to take only what can be read one way.
	Decimals string `json:"decimals"`
	// Baseline: a row that names no visit and is dated before the operation or on its day is about the eye before.
	Baseline bool `json:"baseline"`
}

// Intake is the import of visits, endothelial exams and findings before the operation from one file. Its owner alone sees it.
type Intake struct {
	ID       string         `json:"id"`
	OwnerID  string         `json:"ownerId"`
	File     IntakeFile     `json:"file"`
	Columns  []string       `json:"columns"` // the header
	Matching IntakeMatching `json:"matching"`
	// Remembered: the matching is one that was used before for the same columns.
	Remembered bool        `json:"remembered"`
	State      IntakeState `json:"state"`
	Rows       int         `json:"rows"`
	Hidden     int         `json:"hidden"` // rows that the sheet does not show; they are read like the others
	// Done counts the rows gone through while checking or applying.
	Done int `json:"done"`
	// Counts are the rows by verdict.
	Counts map[Verdict]int `json:"counts"`
	// Written counts the rows of which something was written.
	Written int   `json:"written"`
	MadeAt  int64 `json:"madeAt"` // Unix ms

	// Cursor is the number of the last row gone through.
	Cursor int `json:"-"`
}

// IntakeRow is one row of the file with its verdict.
type IntakeRow struct {
	Number  int      `json:"number"` // in the file, from 1
	Cells   []string `json:"cells"`
	Hidden  bool     `json:"hidden"`
	Verdict Verdict  `json:"verdict"` // "" until it is checked
	// Written: what it says was written.
	Written bool `json:"written"`
	Judgement
	// Identity tells rows about the same visit, or about the eye before the same operation.
	Identity string `json:"-"`
}

// Judgement is the reason for a verdict.
type Judgement struct {
	CaseID string `json:"caseId,omitempty"`
	// Field is what a refused row is refused for, Message why. A row that is taken may have a message about what is not.
	Field   string `json:"field,omitempty"`
	Message string `json:"message,omitempty"`
	// Changes are the fields of the visit, or of the eye before ("before."), that a row changes.
	Changes []Difference `json:"changes,omitempty"`
}

// validate checks a matching against the number of columns.
func (m IntakeMatching) validate(columns int) error {
	var p problems
	oneOf(&p, "dates", m.Dates, false, "day-first", "month-first")
	oneOf(&p, "decimals", m.Decimals, false, "comma", "point")
	if len(m.Fields) != columns {
		p.add("fields", "must name a field, or nothing, for each of the %d columns", columns)
	}
	codes := make([]string, len(IntakeFields))
	for i, field := range IntakeFields {
		codes[i] = field.Code
	}
	taken := map[string]bool{}
	for _, field := range m.Fields {
		oneOf(&p, "fields", field, false, codes...)
		if field != "" && taken[field] {
			p.add("fields", "name %s twice", field)
		}
		taken[field] = true
	}
	return p.err("The matching")
}

// complete tells whether every field that a row needs has a column.
func (m IntakeMatching) complete() bool {
	for _, field := range IntakeFields {
		if field.Required && m.column(field.Code) < 0 {
			return false
		}
	}
	return true
}

// column gives the column that holds a field, -1 when none does.
func (m IntakeMatching) column(code string) int {
	for i, field := range m.Fields {
		if field == code {
			return i
		}
	}
	return -1
}
