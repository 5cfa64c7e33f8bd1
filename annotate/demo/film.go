package demo

import (
	"fmt"
	"time"

	"zonule/annotate"
	"zonule/annotate/demo/film"
	"zonule/timeline"
)

// Root is the name of the media root that holds the demo films.
const Root = "films"

// archive is the name of a media root that no demo has: recordings there are kept elsewhere.
const archive = "archive"

// Film is one recording that exists, with what it shows.
type Film struct {
	Name       string
	Lead       string // login of who operates in it
	RecordedAt time.Time
	Files      []FilmFile // in order
	cues       []film.Cue // on the case clock
}

// FilmFile is one file of a film.
type FilmFile struct {
	Name  string // in the media root
	Facts annotate.MediaFacts
}

// filmLeads says who operates in the films, in the order of the scripts.
var filmLeads = []string{"mara", "eleni", "daryna", "anand"}

// takenOverFrom is the first step that the supervisor does after a rupture that a film shows.
const takenOverFrom = "vitrectomy"

// Films gives the demo films; probe tells the facts of a file by its name in the media root.
func Films(probe func(name string) (annotate.MediaFacts, error)) ([]Film, error) {
	var films []Film
	for i, script := range film.Scripts() {
		f := Film{Name: script.Name, Lead: filmLeads[i%len(filmLeads)], RecordedAt: script.Parts[0].RecordedAt}
		offset := int64(0)
		for _, part := range script.Parts {
			facts, err := probe(part.File)
			if err != nil {
				return nil, fmt.Errorf("the demo film %s cannot be read: %w", part.File, err)
			}
			f.Files = append(f.Files, FilmFile{Name: part.File, Facts: facts})
			for _, cue := range part.Cues {
				cue.StartMs, cue.EndMs = cue.StartMs+offset, min(cue.EndMs, facts.Duration)+offset
				f.cues = append(f.cues, cue)
			}
			offset += facts.Duration
		}
		films = append(films, f)
	}
	return films, nil
}

// datesFit reports whether the film's own day lies in the demo's 18 months and is old enough for a follow-up.
func (f *Film) datesFit(today time.Time) bool {
	return f.RecordedAt.After(today.Add(-span+24*time.Hour)) && f.RecordedAt.Before(today.Add(-settled))
}

func archiveSource(s slot, number int) string {
	return fmt.Sprintf("%s:%s/SALT-%04d-%d.mp4", archive, s.day.Format("2006-01"), s.number, number)
}

// course is what the film shows; after a rupture the supervisor, if there is one, takes over.
func (f *Film) course(s slot) course {
	var c course
	who := s.lead.login
	for _, file := range f.Files {
		c.length += file.Facts.Duration
	}
	for _, cue := range f.cues {
		switch {
		case cue.Step != "":
			if cue.Step == takenOverFrom && s.trainer != "" {
				who = s.trainer
			}
			c.episodes = append(c.episodes, episode{step: cue.Step, list: phaco, start: cue.StartMs, end: cue.EndMs, login: who})
		case cue.Event != "":
			c.events = append(c.events, moment{cue.Event, cue.StartMs})
		default:
			c.complications = append(c.complications, moment{cue.Complication, cue.StartMs})
			c.rupture = c.rupture || cue.Complication == "posterior-capsule-rupture"
		}
		if cue.Event == "fragment-contact" {
			c.contacts++
		}
	}
	return c
}

func (f *Film) parts(r random, s slot, caseID string) []annotate.Part {
	checked := s.begins + 4*time.Hour.Milliseconds()
	var list []annotate.Part
	for i, file := range f.Files {
		list = append(list, annotate.Part{
			ID: r.id(checked), CaseID: caseID, Revision: 1, Position: i + 1, Source: Root + ":" + file.Name, Facts: file.Facts,
			State: annotate.PartOK, Rates: []timeline.RateSpan{}, Cuts: []int64{}, RealTime: true, CheckedAt: checked,
		})
	}
	return list
}
