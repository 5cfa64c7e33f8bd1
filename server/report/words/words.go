package words

import (
	"cmp"

	"zonule/annotate"
	"zonule/timeline"
)

// The words for the codes of the domain, as they stand within a sentence.
var (
	eyeWords       = map[annotate.Eye]string{annotate.RightEye: "right eye", annotate.LeftEye: "left eye"}
	techniqueWords = map[annotate.Technique]string{
		annotate.TechniquePhaco: "phacoemulsification", annotate.TechniqueMSICS: "manual small-incision surgery", annotate.TechniqueECCE: "extracapsular extraction",
	}
	anaesthesiaWords = map[string]string{
		"topical": "topical", "topical-intracameral": "topical with intracameral", "sub-tenon": "sub-Tenon", "peribulbar": "peribulbar",
		"retrobulbar": "retrobulbar", "general": "general",
	}
	roleWords = map[annotate.OperatorRole]string{
		annotate.OperatorLead: "operator", annotate.OperatorSupervisor: "supervisor", annotate.OperatorAssistant: "assistant",
	}
	gradeWords = map[annotate.Grade]string{
		annotate.GradeConsultant: "consultant", annotate.GradeAssociateSpecialist: "associate specialist", annotate.GradeSpecialtyDoctor: "specialty doctor",
		annotate.GradeFellow: "fellow", annotate.GradeSeniorTrainee: "senior trainee", annotate.GradeJuniorTrainee: "junior trainee",
	}
	windowWords = map[annotate.Window]string{
		annotate.WindowDay1: "day 1", annotate.WindowWeek1: "week 1", annotate.WindowMonth1: "month 1", annotate.WindowMonth3: "month 3",
		annotate.WindowYear1: "year 1", annotate.WindowOther: "other visit",
	}
	severityWords = []string{"", "slight", "moderate", "severe"}
	stateWords    = map[annotate.PartState]string{
		annotate.PartOK: "in place", annotate.PartMissing: "missing", annotate.PartChanged: "no longer the file that was marked", annotate.PartNotPlayable: "not playable in a browser",
	}
)

// word looks a code up; a code without a word stands for itself, so that nothing is lost.
func word[K ~string](words map[K]string, code K) string {
	return cmp.Or(words[code], string(code))
}

// Eye names a side.
func Eye(e annotate.Eye) string { return word(eyeWords, e) }

// Technique names a technique.
func Technique(t annotate.Technique) string { return word(techniqueWords, t) }

// Anaesthesia names a kind of anaesthesia.
func Anaesthesia(code string) string { return word(anaesthesiaWords, code) }

// Role names a part in a case.
func Role(r annotate.OperatorRole) string { return word(roleWords, r) }

// Grade names the experience of an operator.
func Grade(g annotate.Grade) string { return word(gradeWords, g) }

// Window names a visit.
func Window(v annotate.Window) string { return word(windowWords, v) }

// State names the state of a part of a recording.
func State(s annotate.PartState) string { return word(stateWords, s) }

// Severity names a severity; "" when it is not graded.
func Severity(severity int) string {
	if severity < 0 || severity >= len(severityWords) {
		return ""
	}
	return severityWords[severity]
}

// Oedema words a grade of corneal oedema; "" when there is none.
func Oedema(grade *int) string {
	if grade == nil || *grade < 0 || *grade >= len(timeline.OedemaGrades) {
		return ""
	}
	return timeline.OedemaGrades[*grade]
}
