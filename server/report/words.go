package report

import (
	"cmp"

	"zonule/annotate"
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
		annotate.PartOK: "in place", annotate.PartMissing: "missing", annotate.PartChanged: "changed since it was marked", annotate.PartNotPlayable: "not playable in a browser",
	}
)

// word looks a code up; a code without a word stands for itself, so that nothing is lost.
func word[K ~string](words map[K]string, code K) string {
	return cmp.Or(words[code], string(code))
}

// cautions is what the figures must not be taken for.
var cautions = []string{
	"For education and quality improvement only. This report is not from a medical device and is not for diagnosis, for deciding treatment or, alone, for judging a person's fitness to practise. Local policy governs consent to record, retention and confidential review; decisions stay with licensed practitioners.",
	"Times are picked by hand in the film; an instant picked so is good to about one second (found: Cataract-101 data set, 2018), and differences of that size mean nothing.",
	"A place among other cases is not adjusted for the difficulty of the eye. The published series are not norms: one or two hospitals each, small numbers, and their own definitions of start and end.",
	"A step that took long and a complication or a loss of cells in the same case are an association at most; no study known to us shows that step times from video predict endothelial loss.",
	"The interval beside an endothelial loss is counting error alone; it leaves out where on the cornea the image was taken, the instrument and the eye's own course.",
}

// footCaution is at the foot of every page.
const footCaution = "Education and quality improvement only; not a medical device; not for diagnosis, for deciding treatment or, alone, for judging a person's fitness to practise. Local policy and licensed practice come first."

// inventedNotice heads reports of a unit whose data are made up.
const inventedNotice = "Invented data: this unit, its people and its patients do not exist."
