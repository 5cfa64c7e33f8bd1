package report

import (
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"time"

	"zonule/annotate"
	"zonule/server/report/sheet"
	"zonule/server/report/words"
	"zonule/timeline/cohort"
)

// ProgressEdition is everything about a printed summary of a person's period that is not in the summary itself.
type ProgressEdition struct {
	Unit     string
	Invented bool
	// Name gives the name of a person.
	Name func(id string) string
	// Made is when it was asked for.
	Made time.Time
}

const progressCaution = "Times differ because eyes differ; what is adjusted for is named, and much is not. " +
	"Few cases say little. A summary supports a talk between two people and is not, alone, a judgement of anybody's fitness to practise. Local policy comes first."

// ProgressPDF writes the summary of a person's period as PDF. The same summary and edition give the same bytes.
func ProgressPDF(p annotate.Progress, e ProgressEdition) ([]byte, error) {
	d, err := progressDocument(p, e)
	if err != nil {
		return nil, err
	}
	return d.PDF()
}

func progressDocument(p annotate.Progress, e ProgressEdition) (sheet.Document, error) {
	content, err := json.Marshal(p)
	if err != nil {
		return sheet.Document{}, fmt.Errorf("write summary: %w", err)
	}
	title := "Summary of a period: " + p.Person.Name
	d := sheet.Document{
		Title: title, Short: p.Person.Name + ", " + period(p), Unit: e.Unit, Standing: "Made " + words.Date(p.MadeOn), Hash: Hash(content),
		Caution: footCaution, Made: e.Made,
	}
	if e.Invented {
		d.Notice = inventedNotice
	}
	for _, section := range []sheet.Section{
		{Anchor: "period", Title: "", Blocks: []sheet.Block{sheet.Paragraph{Text: progressLead(p), Tone: sheet.Lead}}},
		{Anchor: "cases", Title: "Cases", Blocks: progressCases(p)},
		{Anchor: "times", Title: "Time of each step against like eyes", Blocks: progressTimes(p)},
		{Anchor: "events", Title: "What happened", Blocks: progressEvents(p)},
		{Anchor: "assessments", Title: "Assessments", Blocks: progressAssessments(p, e)},
		{Anchor: "comments", Title: "Comments", Blocks: progressComments(p, e)},
		{Anchor: "goals", Title: "Goals", Blocks: progressGoals(p, e)},
		{Anchor: "methods", Title: "How the figures came about", Blocks: methodsOf(p.Methods)},
	} {
		if len(section.Blocks) > 0 {
			d.Sections = append(d.Sections, section)
		}
	}
	return d, nil
}

func period(p annotate.Progress) string {
	switch {
	case p.From != "" && p.To != "":
		return words.Date(p.From) + " to " + words.Date(p.To)
	case p.From != "":
		return "from " + words.Date(p.From)
	case p.To != "":
		return "until " + words.Date(p.To)
	}
	return "all cases"
}

func progressLead(p annotate.Progress) string {
	c := p.Cases
	return fmt.Sprintf("%s, %s: %s operated alone, %s in part, %s assisted, %s supervised.", p.Person.Name, period(p),
		words.Plural(c.Led, "case", "cases"), strconv.Itoa(c.Shared), strconv.Itoa(c.Assisted), strconv.Itoa(c.Supervised))
}

func progressCases(p annotate.Progress) []sheet.Block {
	return []sheet.Block{sheet.Facts{
		{Name: "Operated alone", Value: strconv.Itoa(p.Cases.Led)}, {Name: "Operated in part", Value: strconv.Itoa(p.Cases.Shared)},
		{Name: "Assisted", Value: strconv.Itoa(p.Cases.Assisted)}, {Name: "Supervised", Value: strconv.Itoa(p.Cases.Supervised)},
		{Name: "Comments received", Value: strconv.Itoa(p.Comments.Received)}, {Name: "Comments still open", Value: strconv.Itoa(p.Comments.Open)},
	}}
}

func progressTimes(p annotate.Progress) []sheet.Block {
	if len(p.Steps) == 0 {
		return none("No step of this period has a measured time.")
	}
	table := sheet.Table{
		Caption: "Median of the person's cases beside that of everybody, and the time against what like eyes take: 1.00 is as expected, above 1 is longer.",
		Columns: []sheet.Column{
			{Title: "Step", Share: 3}, {Title: "Cases", Share: 0.8, Right: true, Short: true}, {Title: "Median", Share: 1.2, Right: true, Short: true},
			{Title: "Everybody", Share: 1.2, Right: true, Short: true}, {Title: "Against expectation, 95 % interval", Share: 3},
		},
	}
	for _, step := range p.Steps {
		against := sheet.Cell{Text: "not told", Sub: step.Why}
		if r := step.Against; r != nil {
			against = sheet.Cell{Text: fmt.Sprintf("%s (%s to %s)", words.Number(r.Ratio, 2), words.Number(r.Low, 2), words.Number(r.High, 2))}
		}
		table.Rows = append(table.Rows, sheet.Row{Strong: step.Kind != cohort.OfStep, Cells: []sheet.Cell{
			{Text: step.Name}, {Text: strconv.Itoa(step.N)}, {Text: medianText(step.Median)}, {Text: medianText(step.Group)}, against,
		}})
	}
	return []sheet.Block{table, sheet.Paragraph{Text: progressCaution, Tone: sheet.Warning}}
}

func medianText(ms *float64) string {
	if ms == nil {
		return "–"
	}
	return words.Length(int64(math.Round(*ms)))
}

func progressEvents(p annotate.Progress) []sheet.Block {
	var blocks []sheet.Block
	for _, part := range []struct {
		title  string
		counts []cohort.CodeCount
	}{{"Events", p.Cases.Events}, {"Complications", p.Cases.Complications}} {
		if len(part.counts) == 0 {
			continue
		}
		table := sheet.Table{Caption: part.title + " in the cases operated, wholly or in part.", Columns: []sheet.Column{
			{Title: part.title, Share: 4}, {Title: "Times", Share: 1, Right: true, Short: true}, {Title: "Cases", Share: 1, Right: true, Short: true},
		}}
		for _, c := range part.counts {
			table.Rows = append(table.Rows, sheet.Row{Cells: []sheet.Cell{{Text: c.Name}, {Text: strconv.Itoa(c.Times)}, {Text: strconv.Itoa(c.Cases)}}})
		}
		blocks = append(blocks, table)
	}
	if blocks == nil {
		return none("No event and no complication is recorded.")
	}
	return blocks
}

func progressAssessments(p annotate.Progress, e ProgressEdition) []sheet.Block {
	var blocks []sheet.Block
	for _, a := range p.Assessments {
		by := e.Name(a.AssessorID)
		if a.AssessorID == a.SubjectID {
			by += " (self)"
		}
		table := sheet.Table{Caption: fmt.Sprintf("%s: case of %s, by %s.", a.FormName, words.Date(a.Date), by), Columns: []sheet.Column{
			{Title: "Looked at", Share: 3}, {Title: "Level", Share: 2}, {Title: "Said", Share: 3},
		}}
		for _, line := range a.Lines {
			table.Rows = append(table.Rows, sheet.Row{Cells: []sheet.Cell{{Text: line.Text}, {Text: fmt.Sprintf("%d: %s", line.Value, line.Label)}, {Text: line.Note}}})
		}
		if len(table.Rows) > 0 {
			blocks = append(blocks, table)
		}
		if a.Remark != "" {
			blocks = append(blocks, sheet.Paragraph{Head: "Remark", Text: a.Remark})
		}
	}
	return blocks
}

func progressComments(p annotate.Progress, e ProgressEdition) []sheet.Block {
	var remarks sheet.Remarks
	for _, f := range p.Comments.Latest {
		state := "open"
		if f.Settled {
			state = "settled"
		}
		remarks = append(remarks, sheet.Remark{
			Head: e.Name(f.AuthorID) + ", " + words.Wall(f.MadeAt, e.Made.Location()), Where: "Case of " + words.Date(f.Date) + " at " + words.Instant(f.At.Ms),
			Text: f.Text, Reply: f.ReplyTo != "", State: state,
		})
	}
	if remarks == nil {
		return nil
	}
	return []sheet.Block{remarks}
}

func progressGoals(p annotate.Progress, e ProgressEdition) []sheet.Block {
	if len(p.Goals) == 0 {
		return none("No goal is agreed on yet.")
	}
	table := sheet.Table{Columns: []sheet.Column{{Title: "Goal", Share: 4}, {Title: "Agreed", Share: 1.5}, {Title: "State", Share: 3}}}
	for _, g := range p.Goals {
		state := string(g.State)
		if g.State == annotate.GoalOpen && g.DueOn != "" {
			state = "open, due " + words.Date(g.DueOn)
		}
		if g.ClosedOn != "" {
			state += ", " + words.Date(g.ClosedOn)
		}
		table.Rows = append(table.Rows, sheet.Row{Cells: []sheet.Cell{
			{Text: g.Text, Sub: "with " + e.Name(g.AuthorID)}, {Text: words.Date(g.AgreedOn)}, {Text: words.Upper(state), Sub: g.Outcome},
		}})
	}
	return []sheet.Block{table}
}
