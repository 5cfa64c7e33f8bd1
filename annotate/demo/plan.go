package demo

import (
	"time"

	"zonule/annotate"
)

// span is how far back the demo unit's records go.
const span = 548 * 24 * time.Hour

// settled is the age from which a case has had its month-1 visit, so that a film case can show one.
const settled = 45 * 24 * time.Hour

// slot is one place on an operating list.
type slot struct {
	number   int // 1, 2, ... in the unit
	day      time.Time
	begins   int64  // Unix ms of the operation's start
	lead     member // who operates
	done     int    // operations the lead has done in the demo before this one
	trainer  string // login of the supervisor, or ""
	handover bool   // the supervisor does part of it
	film     *Film  // nil: the recording is kept elsewhere
}

// plan deals the cases out to Tuesdays from 18 months before today up to yesterday, and to the people who
// operate by then. Films take the place nearest to the day they were recorded on.
func plan(options Options) []slot {
	r := newRandom(options.Seed, 2)
	days := tuesdays(options.Today)
	films := filmPlaces(options)
	done := map[string]int{}
	var slots []slot
	for i := range options.Cases {
		s := slot{number: i + 1, day: days[i*len(days)/options.Cases], film: films[i]}
		s.lead = drawLead(r, float64(i)/float64(options.Cases))
		place := 0
		for j := i - 1; j >= 0 && slots[j].day.Equal(s.day); j-- {
			place++
		}
		s.begins = s.day.Add(8*time.Hour + time.Duration(place)*50*time.Minute + time.Duration(r.IntN(900))*time.Second).UnixMilli()
		if s.film != nil {
			s.filmed(options.Today)
		}
		s.done = done[s.lead.login]
		if s.lead.byTrainer != "" && (s.film != nil || r.chance(supervised(s.lead))) {
			s.trainer = s.lead.byTrainer
			s.handover = s.film == nil && r.chance(0.9*(s.lead.skill(s.done)-0.15))
		}
		done[s.lead.login]++
		slots = append(slots, s)
	}
	return slots
}

// filmPlaces gives the index of the case that shows each film.
func filmPlaces(options Options) map[int]*Film {
	places := map[int]*Film{}
	begin := options.Today.Add(-span)
	for n := range options.Films {
		film := &options.Films[n]
		day := film.RecordedAt
		if !film.datesFit(options.Today) {
			day = options.Today.Add(-settled - time.Duration(9*n)*24*time.Hour)
		}
		i := min(options.Cases-1, int(float64(options.Cases)*float64(day.Sub(begin))/float64(span)))
		for places[i] != nil {
			i = (i + 1) % options.Cases
		}
		places[i] = film
	}
	return places
}

// filmed puts the film's own day and operator into the slot.
func (s *slot) filmed(today time.Time) {
	s.lead = memberNamed(s.film.Lead)
	if s.film.datesFit(today) {
		s.begins = s.film.RecordedAt.UnixMilli()
		s.day = s.film.RecordedAt.Truncate(24 * time.Hour)
	}
}

// supervised is how often a trainee of this grade has the trainer scrubbed beside them.
func supervised(m member) float64 {
	switch m.grade {
	case annotate.GradeFellow:
		return 0.5
	case annotate.GradeSeniorTrainee:
		return 0.85
	}
	return 1
}

func drawLead(r random, at float64) member {
	weights := make([]float64, len(cast))
	for i, m := range cast {
		if m.joins <= at {
			weights[i] = m.weight
		}
	}
	return cast[r.weighted(weights)]
}

// tuesdays lists the days of the operating list, oldest first, all before today.
func tuesdays(today time.Time) []time.Time {
	var days []time.Time
	for day := today.Add(-span); day.Before(today); day = day.AddDate(0, 0, 1) {
		if day.Weekday() == time.Tuesday {
			days = append(days, day)
		}
	}
	return days
}
