package report

import (
	"strings"
	"unicode"

	"zonule/server/report/sheet"
	"zonule/server/report/words"
)

// doubts lists the values that were kept and that a person should look at again.
func (w writer) doubts() []sheet.Block {
	var blocks []sheet.Block
	for _, doubt := range w.Doubts {
		if doubt.Field == "operation.conversionReason" {
			continue // told among what is missing
		}
		blocks = append(blocks, sheet.Paragraph{Text: w.fieldName(doubt.Field) + " " + doubt.Message + ".", Tone: sheet.Warning})
	}
	if len(blocks) == 0 {
		return nil
	}
	return append([]sheet.Block{sheet.Paragraph{Text: "Values to look at again:"}}, blocks...)
}

// initialisms are the names of fields that stay in capitals.
var initialisms = map[string]string{"cde": "CDE", "ept": "EPT", "cv": "Coefficient of variation", "locs": "LOCS III"}

// fieldName says in words which value a path means: "before.fellowEye.exam.cells" is "Fellow eye, exam, cells".
func (w writer) fieldName(path string) string {
	var parts []string
	if rest, found := strings.CutPrefix(path, "visits["); found {
		id, field, _ := strings.Cut(rest, "].")
		for _, v := range w.FollowUp.Visits {
			if v.ID == id {
				parts = append(parts, words.Window(v.Window))
			}
		}
		path = field
	}
	path = strings.TrimPrefix(strings.TrimPrefix(path, "before."), "operation.")
	for part := range strings.SplitSeq(path, ".") {
		if known := initialisms[part]; known != "" {
			parts = append(parts, known)
			continue
		}
		parts = append(parts, spaced(part))
	}
	return words.Upper(strings.Join(parts, ", "))
}

// spaced turns "imageCounts[1]" into "image counts 1".
func spaced(name string) string {
	var text strings.Builder
	for _, r := range name {
		switch {
		case unicode.IsUpper(r):
			text.WriteRune(' ')
			text.WriteRune(unicode.ToLower(r))
		case r == '[':
			text.WriteRune(' ')
		case r != ']':
			text.WriteRune(r)
		}
	}
	return text.String()
}
