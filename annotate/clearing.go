package annotate

import "context"

// ClearPart keeps that the actor looked at the picture of a part and found no name, date or number burned into it, or takes
// that back.
func (s *Service) ClearPart(ctx context.Context, actor Actor, caseID, partID string, cleared bool) (Part, error) {
	var part Part
	err := s.changeCase(ctx, actor, caseID, RecordingEdit, func(w *work) error {
		stored, err := w.tx.Part(ctx, partID)
		if part, err = found(stored, err, stored.CaseID == caseID, "recording"); err != nil {
			return err
		}
		if cleared == (part.ClearedAt > 0) {
			return nil
		}
		part.ClearedBy, part.ClearedAt = "", 0
		action := "recording.unclear"
		if cleared {
			action, part.ClearedBy, part.ClearedAt = "recording.clear", actor.ID, w.now
		}
		part.Revision++
		if err := w.tx.UpdatePart(ctx, part); err != nil {
			return err
		}
		w.note(action, partID, Differences(stored, part))
		return nil
	})
	if err != nil {
		return Part{}, err
	}
	return part, nil
}
