package annotate

// TriggerKind is what brings a case to the meeting.
type TriggerKind string

const (
	TriggerCapsuleRupture  TriggerKind = "capsule-rupture"
	TriggerVitreousLoss    TriggerKind = "vitreous-loss"
	TriggerZonularDialysis TriggerKind = "zonular-dialysis"
	TriggerDroppedFragment TriggerKind = "dropped-fragment"
	TriggerConversion      TriggerKind = "conversion"
	TriggerReturnToTheatre TriggerKind = "return-to-theatre"
	TriggerEndophthalmitis TriggerKind = "endophthalmitis"
	TriggerLossOverLimit   TriggerKind = "loss-over-limit"
	TriggerLossBeyond      TriggerKind = "loss-beyond-prediction"
	TriggerFirstDayOedema  TriggerKind = "day-1-oedema"
	TriggerLongStep        TriggerKind = "long-step"
	TriggerRequested       TriggerKind = "requested"
	TriggerGoodCase        TriggerKind = "good-case"
)

// TriggerRule is one rule of the unit by which cases come to the meeting.
type TriggerRule struct {
	Kind TriggerKind `json:"kind"`
	On   bool        `json:"on"`
	// Limit is the least grade for day-1-oedema and null for every other kind.
	Limit *float64 `json:"limit,omitempty"`
	// Step is the code of the step that long-step looks at, "" for every step; "" for every other kind.
	Step string `json:"step,omitempty"`
}
