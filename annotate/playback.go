package annotate

import (
	"context"
	"time"
)

// playbackNoted is how long one audit entry stands for all that a person watches of a part: a player asks for a film
// in hundreds of pieces.
const playbackNoted = time.Hour

// NotePlayback writes that the actor watched a part, at most once in an hour.
func (s *Service) NotePlayback(ctx context.Context, actor Actor, part Part) error {
	since := s.nowMs() - playbackNoted.Milliseconds()
	return s.store.Write(ctx, func(tx Tx) error {
		entries, err := tx.CaseAudit(ctx, part.CaseID)
		if err != nil {
			return err
		}
		for _, e := range entries {
			if e.Action == "recording.view" && e.ThingID == part.ID && e.ActorID == actor.ID && e.At > since {
				return nil
			}
		}
		return s.record(ctx, tx, actor, AuditEntry{Action: "recording.view", CaseID: part.CaseID, ThingID: part.ID})
	})
}
