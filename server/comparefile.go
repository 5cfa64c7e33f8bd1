package server

import (
	"strconv"

	"zonule/server/table"
	"zonule/timeline/cohort"
)

// compareHeader names the columns of a comparison as a file. Times are in ms, with every digit; a ratio is to the average
// operator of the group.
var compareHeader = []string{
	"section", "kind", "code", "name", "who", "n", "operators", "date", "grade", "part_case", "case_id", "time_ms",
	"median_ms", "median_low_ms", "median_high_ms", "q1_ms", "q3_ms", "p5_ms", "p95_ms",
	"raw_ratio", "raw_low", "raw_high", "adjusted_ratio", "adjusted_low", "adjusted_high", "alone_ratio", "alone_low", "alone_high", "text",
}

// line is one row of the file: what it says by column.
type line map[string]string

func (l line) cells() []string {
	cells := make([]string, len(compareHeader))
	for i, column := range compareHeader {
		cells[i] = l[column]
	}
	return cells
}

func (l line) ratio(name string, r *cohort.Ratio) {
	if r != nil {
		l[name+"_ratio"], l[name+"_low"], l[name+"_high"] = figure(&r.Ratio), figure(&r.Low), figure(&r.High)
	}
}

// compareSheets writes the numbers that the page shows: a summary, the single cases, and what was left out and how it
// was computed. Each begins with the header.
func compareSheets(c cohort.Comparison) []table.Sheet {
	summary, cases, notes := [][]string{compareHeader}, [][]string{compareHeader}, [][]string{compareHeader}
	note := func(item cohort.Item, who, text string, n int) {
		l := itemLine("note", item)
		l["who"], l["text"] = who, text
		if n > 0 {
			l["n"] = strconv.Itoa(n)
		}
		notes = append(notes, l.cells())
	}
	for _, left := range c.N.LeftOut {
		note(cohort.Item{}, "", "Left out: "+left.Reason, left.Cases)
	}
	for _, row := range c.Rows {
		if row.Group != nil {
			summary = append(summary, groupLine(row).cells())
		}
		for _, lane := range row.Lanes {
			summary = append(summary, laneLine(row.Item, lane).cells())
			for _, point := range lane.Points {
				cases = append(cases, pointLine(row.Item, lane, point).cells())
			}
		}
		for _, text := range append([]string{row.Why, row.WhyNot}, row.Notes...) {
			if text != "" {
				note(row.Item, "", text, 0)
			}
		}
		for _, text := range row.AdjustedFor {
			note(row.Item, "", "Adjusted for: "+text, 0)
		}
		for _, text := range row.Dropped {
			note(row.Item, "", "Not adjusted for: "+text, 0)
		}
		for _, left := range row.LeftOut {
			note(row.Item, "", "No time: "+left.Reason, left.Cases)
		}
		for _, left := range row.FellOut {
			note(row.Item, "", "Not in the adjusted figures: "+left.Reason, left.Cases)
		}
	}
	for _, m := range c.Methods {
		note(cohort.Item{Name: m.Name}, "", m.Formula+" Source: "+m.Source+" ("+m.Status+"). "+m.Caution, 0)
	}
	return []table.Sheet{{Name: "Summary", Rows: summary}, {Name: "Cases", Rows: cases}, {Name: "Notes", Rows: notes}}
}

func itemLine(section string, item cohort.Item) line {
	return line{"section": section, "kind": string(item.Kind), "code": item.Code, "name": item.Name}
}

func groupLine(row cohort.ComparisonRow) line {
	l, g := itemLine("group", row.Item), row.Group
	l["who"], l["n"], l["operators"] = "Group", strconv.Itoa(g.N), strconv.Itoa(g.Operators)
	l["median_ms"], l["q1_ms"], l["q3_ms"] = figure(&g.Median), figure(&g.Q1), figure(&g.Q3)
	l["p5_ms"], l["p95_ms"] = figure(g.P5), figure(g.P95)
	return l
}

func laneLine(item cohort.Item, lane cohort.LaneResult) line {
	l := itemLine("person", item)
	l["who"], l["n"], l["text"] = lane.Name, strconv.Itoa(lane.N), lane.Why
	l["median_ms"], l["q1_ms"], l["q3_ms"] = figure(lane.Median), figure(lane.Q1), figure(lane.Q3)
	l["median_low_ms"], l["median_high_ms"] = figure(lane.MedianLow), figure(lane.MedianHigh)
	l.ratio("raw", lane.Raw)
	l.ratio("adjusted", lane.Adjusted)
	l.ratio("alone", lane.Alone)
	return l
}

func pointLine(item cohort.Item, lane cohort.LaneResult, point cohort.Point) line {
	l := itemLine("case", item)
	l["who"], l["date"], l["case_id"], l["time_ms"] = lane.Name, point.Date, point.CaseID, strconv.FormatInt(point.Total, 10)
	l["part_case"] = map[bool]string{true: "yes", false: "no"}[point.Part]
	if point.Grade != nil {
		l["grade"] = strconv.Itoa(*point.Grade)
	}
	return l
}
