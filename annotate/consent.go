package annotate

// Consent is what the patient agreed to. Unknown is not yes. Local policy and law govern consent; this only keeps the answers.
type Consent struct {
	// Recording: the recording may be made, for care.
	Recording Answer `json:"recording,omitempty"`
	// Review: it may be shown for teaching and at a meeting.
	Review Answer `json:"review,omitempty"`
	// WithdrawnOn is the date on which the patient took the consent back, "" while it stands.
	WithdrawnOn string `json:"withdrawnOn,omitempty"`
	Note        string `json:"note,omitempty"`
}

// Showable reports whether the recording may be shown at a meeting or for teaching: the patient said so and took it back
// neither there nor for the recording itself.
func (c Case) Showable() bool {
	return c.Consent.Review == Yes && c.Consent.Recording != No && c.Consent.WithdrawnOn == ""
}

func (c Consent) validate(p *problems, today string) {
	oneOf(p, "consent.recording", c.Recording, false, Yes, No)
	oneOf(p, "consent.review", c.Review, false, Yes, No)
	if p.date("consent.withdrawnOn", c.WithdrawnOn, false) && c.WithdrawnOn > today {
		p.add("consent.withdrawnOn", "lies in the future")
	}
	p.text("consent.note", c.Note, 0, 1000)
}
