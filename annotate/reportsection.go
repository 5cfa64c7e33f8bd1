package annotate

import "slices"

// ReportSection is a part of the letter in which a review report is written.
type ReportSection struct {
	Code string `json:"code"`
	Name string `json:"name"`
	// Stays: no unit can leave it out.
	Stays bool `json:"stays"`
}

// ReportSections are all of them, in the usual order. Whom the report is about, what the record cannot say, the cautions
// and the signature stay: a letter without one of them could mislead.
var ReportSections = []ReportSection{
	{"summary", "Summary", false},
	{"eye", "Eye before, people and technique", true},
	{"operation", "The operation", false},
	{"steps", "Time of each step", false},
	{"happenings", "What happened and when", false},
	{"risk", "Risk before the operation", false},
	{"energy", "Energy and fluid", false},
	{"follow-up", "What the eye did afterwards", false},
	{"level", "Beside other cases", false},
	{"findings", "Findings and learning points", false},
	{"comments", "Comments", false},
	{"missing", "What the record cannot say", true},
	{"published", "Beside published series", false},
	{"cautions", "Cautions and versions", true},
	{"signature", "Signature", true},
}

// chosenSections is the choice of a unit: what is left out of a change stands as it was, and the usual order is no choice, so
// that a section which a later version adds is not left out of it.
func chosenSections(now, before []string) []string {
	if now == nil {
		now = before
	}
	usual := slices.EqualFunc(now, ReportSections, func(code string, s ReportSection) bool { return code == s.Code })
	if now == nil || usual {
		return []string{}
	}
	return now
}

// validateSections refuses a choice with an unknown section, one twice, or without one that stays. An empty one is the
// usual order.
func validateSections(p *problems, chosen []string) {
	if len(chosen) == 0 {
		return
	}
	seen := map[string]bool{}
	for _, code := range chosen {
		known := slices.ContainsFunc(ReportSections, func(s ReportSection) bool { return s.Code == code })
		if !known || seen[code] {
			p.add("reportSections", "names %q, which is not a section of a report, or names it twice", code)
		}
		seen[code] = true
	}
	for _, section := range ReportSections {
		if section.Stays && !seen[section.Code] {
			p.add("reportSections", "lacks %q, which stays in every report", section.Name)
		}
	}
}
