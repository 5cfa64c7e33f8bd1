package annotate

import (
	"context"
	"errors"

	"zonule/timeline/outcome"
)

// DraftFrozen gives what freezing the answer of a study would record now; its content is composed with it and then kept by
// FreezeStudy. When the actor has frozen this answer already, done tells so and it is given as it is kept.
func (s *Service) DraftFrozen(ctx context.Context, actor Actor, study Study, answer StudyAnswer, hash, dataHash string) (draft FrozenStudy, done bool, err error) {
	if err := mayManage(actor, StudyUse); err != nil {
		return FrozenStudy{}, false, err
	}
	if answer.Withheld {
		return FrozenStudy{}, false, Refuse(CodeForbidden, "Nothing was frozen. %s", answer.Result.Why)
	}
	draft = FrozenStudy{
		ID: s.newID(), StudyID: study.ID, Name: study.Name, Question: study.Question, Definition: study.Definition,
		Hash: hash, DataHash: dataHash, Rules: outcome.Rules, Operators: answer.Operators, Fewest: answer.Fewest,
		FrozenBy: actor.ID, FrozenName: actor.Name, FrozenAt: s.nowMs(),
	}
	err = s.store.Read(ctx, func(tx Tx) error {
		before, err := tx.FrozenStudiesOf(ctx, study.ID)
		if err != nil {
			return err
		}
		draft.Number = len(before) + 1
		if n := len(before); n > 0 && before[n-1].same(draft) {
			draft, done = before[n-1], true
		}
		return nil
	})
	return draft, done, err
}

// same reports whether the same person froze the same answer.
func (f FrozenStudy) same(other FrozenStudy) bool {
	return f.Hash == other.Hash && f.DataHash == other.DataHash && f.Rules == other.Rules && f.FrozenBy == other.FrozenBy &&
		f.Name == other.Name && f.Question == other.Question
}

// FreezeStudy keeps an answer for good. It is refused when the study has changed since the answer was drafted, when
// somebody else froze it meanwhile, or when the content does not have the hashes that it is to have.
func (s *Service) FreezeStudy(ctx context.Context, actor Actor, draft FrozenStudy, content FrozenContent) error {
	if err := mayManage(actor, StudyUse); err != nil {
		return err
	}
	return s.store.Write(ctx, func(tx Tx) error {
		v, err := studyViewOf(ctx, tx, actor)
		if err != nil {
			return err
		}
		study, err := tx.LockStudy(ctx, draft.StudyID)
		if study, err = found(study, err, v.sees(study), "study"); err != nil {
			return err
		}
		before, err := tx.FrozenStudiesOf(ctx, study.ID)
		if err != nil {
			return err
		}
		changed := study.Name != draft.Name || study.Question != draft.Question || len(Differences(study.Definition, draft.Definition)) > 0
		if changed || draft.Number != len(before)+1 {
			return Refuse(CodeStale, "The study was changed or frozen by somebody else meanwhile; nothing was frozen. Read it again.")
		}
		fewest := v.fewest(draft.Definition)
		if draft.FrozenBy != actor.ID || draft.Operators < fewest || draft.Fewest < fewest || !draft.holds(content) {
			var p problems
			p.add("hash", "does not belong to the answer; read it again before you freeze it")
			return p.err("The frozen study")
		}
		if err := tx.InsertFrozenStudy(ctx, draft, content); err != nil {
			return err
		}
		return s.record(ctx, tx, actor, AuditEntry{Action: "study.freeze", ThingID: draft.ID, Detail: jsonText(frozenSealOf(draft, content))})
	})
}

// holds reports whether the content is what the hashes say.
func (f FrozenStudy) holds(content FrozenContent) bool {
	return hashOfBytes(content.JSON) == f.Hash && hashOfBytes(content.CSV) == f.DataHash
}

// FrozenStudy gives a study as it was frozen.
func (s *Service) FrozenStudy(ctx context.Context, actor Actor, id string) (FrozenStudy, error) {
	frozen, _, err := s.readFrozen(ctx, actor, id, false)
	return frozen, err
}

// FrozenContent gives the bytes that were frozen, and notes who saw them.
func (s *Service) FrozenContent(ctx context.Context, actor Actor, id string) (FrozenStudy, FrozenContent, error) {
	frozen, content, err := s.readFrozen(ctx, actor, id, true)
	if err != nil {
		return FrozenStudy{}, FrozenContent{}, err
	}
	return frozen, content, s.noteView(ctx, actor, "study.view", "", id)
}

func (s *Service) readFrozen(ctx context.Context, actor Actor, id string, whole bool) (frozen FrozenStudy, content FrozenContent, err error) {
	if err := mayManage(actor, StudyUse); err != nil {
		return FrozenStudy{}, FrozenContent{}, err
	}
	err = s.store.Read(ctx, func(tx Tx) error {
		v, err := studyViewOf(ctx, tx, actor)
		if err != nil {
			return err
		}
		kept, err := tx.FrozenStudy(ctx, id)
		if errors.Is(err, ErrNoRow) {
			return notFound("frozen study")
		}
		if err != nil {
			return err
		}
		study, err := tx.Study(ctx, kept.StudyID)
		if frozen, err = found(kept, err, v.reads(kept, study), "frozen study"); err != nil || !whole {
			return err
		}
		content, err = tx.FrozenContent(ctx, id)
		return err
	})
	return frozen, content, err
}

// NoteStudyView notes that the actor took the report or the table of a study.
func (s *Service) NoteStudyView(ctx context.Context, actor Actor, studyID string) error {
	return s.noteView(ctx, actor, "study.view", "", studyID)
}

// frozenSeal is what the audit log keeps about a frozen study: who froze what, and the hashes of every form of it.
type frozenSeal struct {
	StudyID  string `json:"studyId"`
	Number   int    `json:"number"`
	Record   string `json:"record"` // hash of the record's JSON
	FrozenBy string `json:"frozenBy"`
	FrozenAt int64  `json:"frozenAt"`
	JSON     string `json:"json"`
	HTML     string `json:"html"`
	PDF      string `json:"pdf"`
	CSV      string `json:"csv"`
	XLSX     string `json:"xlsx"`
}

func frozenSealOf(f FrozenStudy, c FrozenContent) frozenSeal {
	return frozenSeal{
		StudyID: f.StudyID, Number: f.Number, Record: hashOf(f), FrozenBy: f.FrozenBy, FrozenAt: f.FrozenAt,
		JSON: hashOfBytes(c.JSON), HTML: hashOfBytes(c.HTML), PDF: hashOfBytes(c.PDF), CSV: hashOfBytes(c.CSV), XLSX: hashOfBytes(c.XLSX),
	}
}
