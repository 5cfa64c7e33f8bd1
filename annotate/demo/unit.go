package demo

import (
	"fmt"
	"math"
	"time"

	"zonule/annotate"
)

// Unit is everything that the demo holds.
type Unit struct {
	Name    string
	Users   []annotate.User
	Records []Record
}

// Record is one invented case with all that belongs to it. Edits hold together with Reading: the seq of an edit
// and of what it touches are as the journal will number them.
type Record struct {
	Case          annotate.Case
	Parts         []annotate.Part
	Reading       *annotate.Reading // nil: not tagged yet
	Edits         []annotate.Edit
	Complications []annotate.Complication
	Visits        []annotate.Visit
	// SignedBy (user id) signed the report at SignedAt (Unix ms); "": it is not signed yet.
	SignedBy string
	SignedAt int64
}

// Options of a demo unit. The same options give the same unit.
type Options struct {
	Seed  uint64
	Today time.Time // the day, at midnight UTC, that counts as now
	Cases int
	Films []Film
}

// inventor makes records one after another.
type inventor struct {
	options Options
	users   map[string]annotate.User // by login
}

// Invent makes the whole unit.
func Invent(options Options) Unit {
	begins := options.Today.Add(-span - 14*24*time.Hour)
	unit := Unit{Name: UnitName, Users: users(options.Seed, begins.UnixMilli())}
	in := &inventor{options: options, users: map[string]annotate.User{}}
	for _, user := range unit.Users {
		in.users[user.Login] = user
	}
	for _, s := range plan(options) {
		unit.Records = append(unit.Records, in.record(s))
	}
	return unit
}

// record makes one case.
func (in *inventor) record(s slot) Record {
	r := newRandom(in.options.Seed, uint64(1000+s.number))
	p := drawPatient(r, s.day.AddDate(0, 0, -r.between(5, 30)).Format(time.DateOnly), s.lead.byTrainer != "")
	planned, converts := in.technique(r, s, &p)
	c, name := course{}, fmt.Sprintf("SALT-%04d", s.number)
	if s.film != nil {
		planned, c, name = annotate.TechniquePhaco, s.film.course(s), fmt.Sprintf("FILM-%04d", s.number)
	} else {
		c = direct(r, s, p, planned, converts)
	}
	made := s.begins + 3*time.Hour.Milliseconds()
	record := Record{Case: annotate.Case{
		ID: r.id(s.begins), Revision: 1, Pseudonym: name,
		Eye: []annotate.Eye{annotate.RightEye, annotate.LeftEye}[r.IntN(2)], Date: s.day.Format(time.DateOnly), Before: p.before,
		Operators: in.operators(r, s), SharedWith: in.sharedWith(r, s, c), CreatedBy: in.users[s.lead.login].ID,
		CreatedAt: made, UpdatedAt: made,
	}}
	record.Case.Operation = operation(r, s, p, c, planned)
	// What the record says beyond the first draws has its own stream.
	more := newRandom(in.options.Seed, uint64(1_000_000+s.number))
	detailed(more, &p, seenBefore(p, s))
	record.Case.Before = p.before
	record.Case.Consent = agreed(newRandom(in.options.Seed, uint64(2_000_000+s.number)), s, in.options.Today)
	furnished(more, &record.Case.Operation, p, c, s.lead.skill(s.done))
	progress := in.progress(s)
	if progress != unrecorded {
		record.Parts = in.parts(r, s, record.Case.ID, c)
	}
	if progress == tagged {
		in.mark(r, s, c, &record)
	}
	in.complicate(r, s, c, &record)
	in.follow(r, s, p, c, &record)
	in.revisit(more, s, p, &record)
	record.Case.Change = int64(1 + len(record.Parts) + len(record.Edits) + len(record.Complications) + len(record.Visits))
	in.sign(r, s, &record)
	return record
}

// seenBefore is the date of the examination before the operation.
func seenBefore(p patient, s slot) string {
	if p.before.Exam != nil {
		return p.before.Exam.Date
	}
	return s.day.AddDate(0, 0, -14).Format(time.DateOnly)
}

// sign has most complete cases signed, some days after the last visit, by the supervisor if there was one.
func (in *inventor) sign(r random, s slot, record *Record) {
	if record.Reading == nil || len(record.Visits) < 2 || record.Visits[1].Exam == nil || !r.chance(0.85) {
		return
	}
	seen, err := time.Parse(time.DateOnly, record.Visits[len(record.Visits)-1].Date)
	if err != nil {
		panic(err) // the date was formatted by us
	}
	at := max(seen.UnixMilli(), record.Case.UpdatedAt) + int64(r.between(1, 9))*24*time.Hour.Milliseconds() + int64(r.between(30_000_000, 60_000_000))
	if at < in.options.Today.UnixMilli() {
		record.SignedBy, record.SignedAt = record.Case.Operators[0].UserID, at
		if s.trainer != "" {
			record.SignedBy = in.users[s.trainer].ID
		}
	}
}

// How far the record of a case has come.
const (
	unrecorded = iota
	untagged
	tagged
)

// progress leaves the newest cases to be tagged, and a few without a recording: the recorder was not running.
func (in *inventor) progress(s slot) int {
	switch {
	case s.film != nil:
		return tagged
	case s.number%53 == 17:
		return unrecorded
	case s.number > in.options.Cases-6:
		return untagged
	}
	return tagged
}

// technique is phacoemulsification for most; hard nuclei go to the manual way, and two convert half-way.
func (in *inventor) technique(r random, s slot, p *patient) (planned annotate.Technique, converts bool) {
	switch s.number {
	case max(2, in.options.Cases/4):
		return annotate.TechniqueMSICS, false
	case max(3, in.options.Cases/3), max(4, in.options.Cases*3/4):
		*p.before.NuclearGrade = max(4, p.grade)
		return annotate.TechniquePhaco, true
	}
	if p.grade == 5 && r.chance(0.55) || p.grade == 4 && r.chance(0.12) {
		return annotate.TechniqueMSICS, false
	}
	return annotate.TechniquePhaco, false
}

func (in *inventor) operators(r random, s slot) []annotate.Operator {
	list := []annotate.Operator{{UserID: in.users[s.lead.login].ID, Role: annotate.OperatorLead, Grade: s.lead.grade}}
	if s.trainer != "" {
		return append(list, annotate.Operator{UserID: in.users[s.trainer].ID, Role: annotate.OperatorSupervisor, Grade: annotate.GradeConsultant})
	}
	if s.lead.trains() && r.chance(0.35) {
		assistant := cast[3+r.IntN(3)]
		list = append(list, annotate.Operator{UserID: in.users[assistant.login].ID, Role: annotate.OperatorAssistant, Grade: assistant.grade})
	}
	return list
}

// sharedWith sends ruptures to the chair of the meeting and now and then a case to the other trainer.
func (in *inventor) sharedWith(r random, s slot, c course) []string {
	shared := []string{}
	if c.rupture {
		shared = append(shared, in.users["noor"].ID)
	}
	if other := map[string]string{"mara": "anand", "anand": "mara"}[s.trainer]; other != "" && r.chance(0.12) {
		shared = append(shared, in.users[other].ID)
	}
	return shared
}

// operation fills in what the machine and the note say; the formula of CDE is in the package's comment.
func operation(r random, s slot, p patient, c course, planned annotate.Technique) annotate.Operation {
	o := annotate.Operation{TechniquePlanned: planned, TechniquePerformed: planned}
	o.Anaesthesia = "topical-intracameral"
	if s.lead.skill(s.done) > 0.4 || planned == annotate.TechniqueMSICS || r.chance(0.12) {
		o.Anaesthesia = "sub-tenon"
	}
	if r.chance(0.015) {
		o.Anaesthesia = "general"
	}
	o.FluidUsed = pointer(math.Round(math.Max(20, r.normal(52+float64(c.length)/14_000, 9))))
	if c.converted {
		o.TechniquePerformed = annotate.TechniqueMSICS
		o.ConversionReason = "Nucleus too hard for safe emulsification"
	}
	if planned == annotate.TechniqueMSICS {
		return o
	}
	cde := 5 * math.Exp(0.50*(float64(p.grade)-2.5)+0.30*s.lead.skill(s.done)+0.18*p.toughness+r.normal(0, 0.20))
	o.MachineFamily = "torsional ultrasound"
	o.CDE = pointer(rounded(cde, 2))
	o.UltrasoundTime = pointer(rounded(cde*5.2*math.Exp(r.normal(0, 0.12)), 1))
	return o
}
