package report

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
