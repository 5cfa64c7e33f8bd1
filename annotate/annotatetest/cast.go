package annotatetest

import (
	"context"
	"fmt"
	"sync"
	"testing"
	"time"

	"zonule/annotate"
	"zonule/annotate/store"
	"zonule/timeline"
)

// Password opens every account of the cast.
const Password = "correct horse battery"

// Unit is a service over an empty database with a small cast. The clock stands still unless it is moved.
type Unit struct {
	*annotate.Service
	Store   *store.Store
	Address string
	Clock   *Clock
	Media   *Media

	// Admin manages. Surgeon, Trainer and Trainee work together; Stranger operates elsewhere; Chair and Clinic have the
	// role that their name says.
	Admin, Surgeon, Trainer, Trainee, Stranger, Chair, Clinic annotate.Actor

	mutex sync.Mutex
	ids   int
}

// NewUnit opens the database and brings the cast in.
func NewUnit(t testing.TB, address string) *Unit {
	t.Helper()
	u := EmptyUnit(t, address)
	for _, person := range []struct {
		actor *annotate.Actor
		login string
		grade annotate.Grade
		role  annotate.Role
	}{
		{&u.Admin, "admin", "", annotate.RoleAdministrator},
		{&u.Surgeon, "surgeon", annotate.GradeConsultant, annotate.RoleSurgeon},
		{&u.Trainer, "trainer", annotate.GradeConsultant, annotate.RoleTrainer},
		{&u.Trainee, "trainee", annotate.GradeJuniorTrainee, annotate.RoleTrainee},
		{&u.Stranger, "stranger", annotate.GradeFellow, annotate.RoleSurgeon},
		{&u.Chair, "chair", annotate.GradeConsultant, annotate.RoleChair},
		{&u.Clinic, "clinic", "", annotate.RoleClinic},
	} {
		*person.actor = u.addPerson(t, person.login, person.grade, person.role)
	}
	return u
}

// EmptyUnit opens the database and brings nobody in.
func EmptyUnit(t testing.TB, address string) *Unit {
	t.Helper()
	u := &Unit{Store: Open(t, address), Address: address, Clock: &Clock{now: time.Date(2026, 6, 15, 9, 0, 0, 0, time.UTC)}, Media: &Media{}}
	u.Service = annotate.NewService(annotate.Options{
		Store: u.Store, Now: u.Clock.Now, NewID: u.NewID, Media: u.Media,
		HashPassword:  func(password string) (string, error) { return "plain:" + password, nil },
		CheckPassword: func(password, hash string) (bool, error) { return hash == "plain:"+password, nil },
	})
	must(t, u.EnsureStepLists(t.Context()))
	must(t, u.EnsureAssessmentForms(t.Context()))
	return u
}

func (u *Unit) addPerson(t testing.TB, login string, grade annotate.Grade, roles ...annotate.Role) annotate.Actor {
	t.Helper()
	user := annotate.User{
		ID: u.NewID(), Revision: 1, Login: login, Name: "The " + login, Roles: roles, Grade: grade, Active: true, CreatedAt: u.Clock.Now().UnixMilli(),
	}
	must(t, u.Store.Write(t.Context(), func(tx annotate.Tx) error {
		return tx.InsertUser(t.Context(), annotate.Account{User: user, PasswordHash: "plain:" + Password})
	}))
	return annotate.Actor{User: user, RequestID: "request-of-" + login}
}

// NewID counts; the ids look like those of real life.
func (u *Unit) NewID() string {
	u.mutex.Lock()
	defer u.mutex.Unlock()
	u.ids++
	return fmt.Sprintf("0197c2a4-0000-7000-8000-%012x", u.ids)
}

// NewCase is a new case of the surgeon, supervised by the trainer and assisted by the trainee, not yet stored.
func (u *Unit) NewCase() annotate.Case {
	return annotate.Case{
		ID: u.NewID(), Pseudonym: "CASE-1", Eye: annotate.RightEye, Date: "2026-05-04",
		Operation: annotate.Operation{TechniquePlanned: annotate.TechniquePhaco, TechniquePerformed: annotate.TechniquePhaco},
		Operators: []annotate.Operator{
			{UserID: u.Surgeon.ID, Role: annotate.OperatorLead, Grade: annotate.GradeConsultant},
			{UserID: u.Trainer.ID, Role: annotate.OperatorSupervisor, Grade: annotate.GradeConsultant},
			{UserID: u.Trainee.ID, Role: annotate.OperatorAssistant, Grade: annotate.GradeJuniorTrainee},
		},
		SharedWith: []string{},
	}
}

// AddCase stores a new case, changed by the functions first.
func (u *Unit) AddCase(t testing.TB, changes ...func(*annotate.Case)) annotate.Case {
	t.Helper()
	c := u.NewCase()
	for _, change := range changes {
		change(&c)
	}
	kept, err := u.PutCase(t.Context(), u.Surgeon, c)
	must(t, err)
	return kept
}

// AddPart gives a case a part of the length in ms, at the end of its recording.
func (u *Unit) AddPart(t testing.TB, caseID string, duration int64) annotate.Part {
	t.Helper()
	id := u.NewID()
	source := "films:" + id + ".mp4"
	u.Media.Set(source, duration)
	part, err := u.PutPart(t.Context(), u.Surgeon, annotate.Part{ID: id, CaseID: caseID, Source: source, RealTime: true})
	must(t, err)
	return part
}

// AddReading opens a reading by the actor with the shipped list for phacoemulsification.
func (u *Unit) AddReading(t testing.TB, actor annotate.Actor, caseID string) annotate.Reading {
	t.Helper()
	reading, err := u.PutReading(t.Context(), actor, annotate.Reading{
		ID: u.NewID(), CaseID: caseID, StepList: annotate.StepListRef{ID: "phaco", Version: 1},
	})
	must(t, err)
	return reading
}

// Marked is a case with one part of ten minutes and an empty reading by the surgeon.
func (u *Unit) Marked(t testing.TB) (annotate.Case, annotate.Part, annotate.Reading) {
	t.Helper()
	c := u.AddCase(t)
	return c, u.AddPart(t, c.ID, 600_000), u.AddReading(t, u.Surgeon, c.ID)
}

// Marker is a marker of a step of the shipped phaco list, not yet stored.
func (u *Unit) Marker(part, step string, start, end int64) annotate.Marker {
	return annotate.Marker{
		ID: u.NewID(), Step: step, StepList: annotate.StepListRef{ID: "phaco", Version: 1},
		Start: timeline.Instant{Part: part, Ms: start}, End: &timeline.Instant{Part: part, Ms: end},
	}
}

// Add is an edit that adds markers.
func (u *Unit) Add(markers ...annotate.Marker) annotate.Edit {
	edit := annotate.Edit{ID: u.NewID(), Action: "add"}
	for _, marker := range markers {
		edit.Changes = append(edit.Changes, annotate.Change{Thing: annotate.ThingMarker, ID: marker.ID, Marker: &marker})
	}
	return edit
}

// Clock is the time of a unit.
type Clock struct {
	mutex sync.Mutex
	now   time.Time
}

// Now gives the time.
func (c *Clock) Now() time.Time {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	return c.now
}

// Move moves the time on.
func (c *Clock) Move(by time.Duration) {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	c.now = c.now.Add(by)
}

// Media plays the recordings: those that were set are there.
type Media struct {
	mutex sync.Mutex
	facts map[string]annotate.MediaFacts
}

// Set puts a recording of the length in ms there.
func (m *Media) Set(source string, duration int64) {
	m.mutex.Lock()
	defer m.mutex.Unlock()
	if m.facts == nil {
		m.facts = map[string]annotate.MediaFacts{}
	}
	m.facts[source] = annotate.MediaFacts{
		Container: "mp4", VideoCodec: "h264", Width: 1280, Height: 720, FrameRate: timeline.FrameRate{Num: 25, Den: 1},
		Duration: duration, Size: duration * 100, Fingerprint: "of " + source, Playable: true,
	}
}

// Lose takes a recording away.
func (m *Media) Lose(source string) {
	m.mutex.Lock()
	defer m.mutex.Unlock()
	delete(m.facts, source)
}

// Probe implements annotate.Media.
func (m *Media) Probe(_ context.Context, source string) (annotate.MediaFacts, error) {
	m.mutex.Lock()
	defer m.mutex.Unlock()
	facts, ok := m.facts[source]
	if !ok {
		return annotate.MediaFacts{}, annotate.Refuse(annotate.CodeMedia, "There is no such recording.")
	}
	return facts, nil
}

// State implements annotate.Media.
func (m *Media) State(_ context.Context, source string, known annotate.MediaFacts) (annotate.PartState, string, error) {
	m.mutex.Lock()
	defer m.mutex.Unlock()
	facts, ok := m.facts[source]
	switch {
	case !ok:
		return annotate.PartMissing, "it is not there", nil
	case facts.Fingerprint != known.Fingerprint || facts.Duration != known.Duration:
		return annotate.PartChanged, "it is another file", nil
	}
	return annotate.PartOK, "", nil
}

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}
