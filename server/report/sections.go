package report

import (
	"slices"

	"zonule/annotate"
	"zonule/server/report/sheet"
)

// arranged keeps the sections that a unit chose, in its order. What must stay stays at its usual place if a choice from
// elsewhere leaves it out, so that no letter lacks whom it is about, its cautions or its signature.
func arranged(sections []sheet.Section, chosen []string) []sheet.Section {
	if len(chosen) == 0 {
		return sections
	}
	kept := []sheet.Section{}
	for _, code := range chosen {
		if i := slices.IndexFunc(sections, func(s sheet.Section) bool { return s.Anchor == code }); i >= 0 {
			kept = append(kept, sections[i])
		}
	}
	for i, section := range sections {
		if slices.Contains(chosen, section.Anchor) || !stays(section.Anchor) {
			continue
		}
		before := slices.IndexFunc(kept, func(s sheet.Section) bool {
			return slices.IndexFunc(sections, func(usual sheet.Section) bool { return usual.Anchor == s.Anchor }) > i
		})
		if before < 0 {
			before = len(kept)
		}
		kept = slices.Insert(kept, before, section)
	}
	return kept
}

func stays(code string) bool {
	return slices.ContainsFunc(annotate.ReportSections, func(s annotate.ReportSection) bool { return s.Code == code && s.Stays })
}
