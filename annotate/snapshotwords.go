package annotate

import (
	"slices"

	"zonule/timeline"
	"zonule/timeline/cohort"
)

// share makes equal words of different rows one in memory, which more than halves the snapshot.
func (s *snapshot) share(row *cohort.Row) {
	for _, text := range []*string{
		&row.Date, &row.Technique, &row.Operator, &row.Grade, &row.Supervisor, &row.StepList, &row.Before.Sex, &row.Before.Pupil,
		&row.Operation.MachineFamily, &row.Operation.PupilDevice,
	} {
		shareWord(s.words, text)
	}
	for _, answer := range []*timeline.Answer{
		&row.Before.Pseudoexfoliation, &row.Before.BrunescentOrWhite, &row.Before.Diabetes, &row.Before.Guttata,
		&row.Before.PreviousVitrectomy, &row.Operation.Dye,
	} {
		shareWord(s.words, answer)
	}
	for i := range row.Assistants {
		shareWord(s.words, &row.Assistants[i])
	}
	s.shareCount(row.Before.Count)
	// Lists grew while they were read; a copy takes no more than it needs.
	row.Steps, row.Stages, row.After = slices.Clone(row.Steps), slices.Clone(row.Stages), slices.Clone(row.After)
	film := ""
	for _, parts := range [][]cohort.Part{row.Steps, row.Stages} {
		for i := range parts {
			part := &parts[i]
			shareWord(s.words, &part.Code)
			shareWord(s.words, &part.Quality)
			shareFilm(&film, part.At)
			for n := range part.ByOperator {
				own := &part.ByOperator[n]
				shareWord(s.words, &own.Operator)
				shareWord(s.words, &own.Quality)
				shareFilm(&film, own.At)
			}
		}
	}
	for i := range row.Complications {
		shareWord(s.words, &row.Complications[i].Kind)
		shareWord(s.words, &row.Complications[i].Step)
	}
	for i := range row.After {
		shareWord(s.words, &row.After[i].Window)
		s.shareCount(row.After[i].Count)
	}
}

func (s *snapshot) shareCount(count *cohort.Count) {
	if count != nil {
		shareWord(s.words, &count.Instrument)
		shareWord(s.words, &count.Method)
		shareWord(s.words, &count.Date)
	}
}

func shareWord[T ~string](words map[string]string, word *T) {
	if known, there := words[string(*word)]; there {
		*word = T(known)
		return
	}
	words[string(*word)] = string(*word)
}

// shareFilm shares the id of a recording, which is that of one case only, with the instant before.
func shareFilm(film *string, at *timeline.Instant) {
	switch {
	case at == nil:
	case at.Part == *film:
		at.Part = *film
	default:
		*film = at.Part
	}
}
