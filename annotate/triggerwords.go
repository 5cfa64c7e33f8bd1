package annotate

// TriggerChoice is a rule that a unit may switch on, in words for whoever decides.
type TriggerChoice struct {
	Kind TriggerKind `json:"kind"`
	Name string      `json:"name"`
	What string      `json:"what"` // when a case is brought to the meeting
	Why  string      `json:"why"`  // with the source
}

// TriggerChoices are the rules, in the order in which they are offered.
var TriggerChoices = []TriggerChoice{
	{
		TriggerCapsuleRupture, "Capsule rupture",
		"The posterior capsule ruptured, with or without vitreous, or the zonule ruptured with vitreous.",
		"The definition of the national cataract audit of the United Kingdom, whose pages give about six times the risk of losing vision after it.",
	},
	{
		TriggerVitreousLoss, "Vitreous loss",
		"Vitreous was lost, or came forward through a ruptured zonule.",
		"Seen apart from the capsule because what was done about the vitreous can be learned from. Common practice.",
	},
	{
		TriggerZonularDialysis, "Zonular dialysis",
		"The zonule gave way, with or without vitreous.",
		"Without vitreous it does not count as a capsule rupture in the audit; the step in which it happened is worth a look. Common practice.",
	},
	{
		TriggerDroppedFragment, "Dropped fragment",
		"Lens matter fell into the vitreous.",
		"It needs a second operation as a rule. 0.12 % of operations in Western Australia, 1980 to 2001 (Clark).",
	},
	{
		TriggerConversion, "Conversion",
		"Another technique was done than was planned.",
		"When and why to convert is a judgement that a meeting can share. Common practice.",
	},
	{
		TriggerReturnToTheatre, "Return to theatre",
		"The eye went back to theatre.",
		"Every return is discussed; one large centre gives 0.42 % within 30 days in 2021.",
	},
	{
		TriggerEndophthalmitis, "Endophthalmitis",
		"Endophthalmitis was recorded.",
		"Rare and grave: under 0.04 % in the Swedish register. A cluster must be seen early; tell infection control by local policy without waiting for a meeting.",
	},
	{
		TriggerLossOverLimit, "Loss over the unit's limit",
		"The last endothelial count that can be compared shows a loss over the limit of the unit's page.",
		"The limit is the unit's own; there is no agreed one.",
	},
	{
		TriggerLossBeyond, "Loss beyond what was to be expected",
		"The loss lies above the 95 % prediction interval of the unit's other cases with such an eye and such an operation.",
		"By chance alone about one case in forty does. Nothing is asked of fewer than 20 such cases. Our own rule.",
	},
	{
		TriggerFirstDayOedema, "Oedema on the first day",
		"Corneal oedema on the first day of this grade or more.",
		"From grade 3 details of the iris are hazy. Common practice.",
	},
	{
		TriggerLongStep, "Long step",
		"A measured step took longer than 95 % of the unit's other operations of the technique, of which there are at least 20.",
		"One step in twenty does by chance: with every step looked at, about half of all operations come. Choose one step. Our own rule.",
	},
	{
		TriggerRequested, "Request",
		"An operator, a supervisor or an assistant of the case asks to discuss it, and says why.",
		"Near misses and questions are welcome at a meeting. Common practice.",
	},
	{
		TriggerGoodCase, "What went right",
		"At most one case a month, drawn by lot from those measured wholly, without complication and with a loss at month 1 under the unit's median.",
		"A meeting that sees only what went wrong learns half. Common practice.",
	},
}

// TriggerName is the name of a rule.
func TriggerName(kind TriggerKind) string {
	for _, choice := range TriggerChoices {
		if choice.Kind == kind {
			return choice.Name
		}
	}
	return string(kind)
}
