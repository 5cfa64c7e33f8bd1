package demo

import (
	"time"

	"zonule/annotate"
)

// agreed gives what the patient agreed to: most say yes to both, some were not asked whether the recording may be shown, a
// few said no, and one in sixty took it back later. The invented films may all be shown.
func agreed(r random, s slot, today time.Time) annotate.Consent {
	consent := annotate.Consent{Recording: annotate.Yes}
	share := r.Float64()
	switch {
	case s.film != nil, share < 0.74:
		consent.Review = annotate.Yes
	case share < 0.82:
		consent.Review = annotate.No
	case share > 0.97:
		consent.Recording = annotate.Unknown
	}
	back := s.day.AddDate(0, 0, r.between(10, 90))
	if s.film == nil && consent.Review == annotate.Yes && r.chance(1.0/60) && back.Before(today) {
		consent.WithdrawnOn = back.Format(time.DateOnly)
		consent.Note = "The patient telephoned."
	}
	return consent
}
