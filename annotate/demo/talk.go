package demo

import "zonule/annotate"

// talk is what a meeting says about a case with a complication of a kind.
type talk struct {
	kind, title, asked, discussion string
	minutes                        int
	factors                        []annotate.Factor
	harm                           annotate.Harm
	preventability                 annotate.Preventability
	votes                          []annotate.Preventability
	learning                       []annotate.LearningPoint
	tasks                          []task
}

// task is an action that is agreed; evidence is what its owner reports a week before it is due.
type task struct {
	text, owner, evidence string
	days                  int // until it is due
}

// talks lists what is discussed first when there is a choice.
var talks = []talk{
	{
		kind: "posterior-capsule-rupture", title: "A capsule that gave way", minutes: 15,
		asked:      "The capsule ruptured. I would like to see together when it could have been noticed.",
		discussion: "The minutes before the rupture were watched twice, once without sound. The chamber moved before the tear was seen.\nOnce it was recognised the instruments stayed in and OVD went in first, as agreed in the unit.",
		factors: []annotate.Factor{
			{Family: "task", Text: "Fluid settings were those of an ordinary nucleus"},
			{Family: "individual", Text: "The tip was followed, not the capsule behind it"},
			{Family: "team", Text: "The vitrectomy set had to be fetched from the store"},
		},
		harm: "moderate", preventability: "probably", votes: []annotate.Preventability{"probably", "probably", "probably-not", "probably", "clearly"},
		learning: []annotate.LearningPoint{
			{Text: "A chamber that moves is a reason to stop and look before the next piece."},
			{Text: "OVD first, and only then out with the instruments."},
		},
		tasks: []task{
			{text: "Keep a vitrectomy set in each of the two theatres", owner: "mara", days: 42, evidence: "Both trolleys hold a set since the last stock check; the list on the door says so."},
			{text: "One practice session on the model eye: rupture, what to do in the first minute", owner: "anand", days: 90},
		},
	},
	{
		kind: "rhexis-tear", title: "A rhexis that ran outwards", minutes: 10,
		asked:      "The rhexis ran out. Was the chamber deep enough when I went on?",
		discussion: "The flap was let go with the chamber half full. After the tear the other side was completed without haste, and the lens stayed well centred.",
		factors: []annotate.Factor{
			{Family: "task", Text: "OVD was not topped up before regrasping"},
			{Family: "environment", Text: "The red reflex was weak with the lamp as it stood"},
		},
		harm: "low", preventability: "probably", votes: []annotate.Preventability{"probably", "clearly", "probably", "probably-not"},
		learning: []annotate.LearningPoint{{Text: "Fill the chamber before each new grasp, not once at the beginning."}},
		tasks: []task{
			{text: "Write down the lamp position that gives the best red reflex, for both microscopes", owner: "eleni", days: 50, evidence: "A card with a photograph hangs at both microscopes."},
		},
	},
	{
		kind: "iris-trauma", title: "Iris in the port", minutes: 10,
		asked:      "The iris came to the tip twice. I would like to know what others would have changed first.",
		discussion: "Opinions differed on whether support of the pupil was needed from the start. All agreed that the flow should have come down before the second attempt.",
		factors: []annotate.Factor{
			{Family: "patient", Text: "The pupil did not stay wide"},
			{Family: "task", Text: "No step in the briefing asks about the pupil"},
		},
		harm: "low", preventability: "probably-not",
		learning: []annotate.LearningPoint{{Text: "Lower the flow first; support the pupil before the second attempt rather than after it."}},
		tasks:    []task{{text: "Add the pupil to the briefing before the list", owner: "haruka", days: 60}},
	},
	{
		kind: "floppy-iris", title: "A floppy iris that was not foreseen", minutes: 10,
		asked:      "The iris was floppy and we had not expected it. Could the clinic have told us?",
		discussion: "The medicine that explains it stood in the letter of referral and in none of our own papers. Nothing was lost in the end.",
		factors: []annotate.Factor{
			{Family: "organisation", Text: "The letter of referral does not reach the theatre"},
			{Family: "patient", Text: "Medicine that loosens the iris"},
		},
		harm: "none", preventability: "clearly",
		learning: []annotate.LearningPoint{{Text: "Ask about the medicine again on the day of the operation."}},
		tasks:    []task{{text: "Copy the list of medicines from the letter of referral into the record", owner: "daryna", days: 45, evidence: "Done for every eye listed since; checked on twenty."}},
	},
	{
		kind: "corneal-oedema", title: "A cornea that cleared late", minutes: 10,
		asked:      "The cornea took two weeks to clear. Was it the time, the energy or the eye?",
		discussion: "The figures were looked at beside other eyes of the same grade. The meeting does not decide from one eye which of them it was.",
		factors: []annotate.Factor{
			{Family: "patient", Text: "Hard nucleus"},
			{Family: "task", Text: "OVD was not renewed while the pieces were removed"},
		},
		harm: "low", preventability: "probably-not",
		learning: []annotate.LearningPoint{{Text: "Renew the dispersive OVD half-way through a hard nucleus."}},
		tasks:    []task{{text: "Look through this year's hard nuclei for the OVD used", owner: "tomas", days: 60}},
	},
}
