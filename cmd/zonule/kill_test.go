package main

import (
	"fmt"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
	"zonule/annotate/demo/film"
	"zonule/timeline"
)

const (
	markingClients = 4
	// killAfter edits are acknowledged, in each round of TestKilledInMidStream.
	killAfter = 60
	rounds    = 3
)

// TestKilledInMidStream: several people mark one reading while the server is killed with signal 9, again and again.
// Every edit that was acknowledged is there, once; what was not acknowledged can be sent again and then is there, once;
// and verify finds that rows follow from the journal.
func TestKilledInMidStream(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, database string) {
		roots := "films=" + filmFolder(t)
		server := start(t, "--database", database, "--media-roots", roots)
		stage := setStage(t, server)
		for round := range rounds {
			acknowledged, unanswered := stage.markUntilKilled(t, server, round)
			require.GreaterOrEqual(t, len(acknowledged), killAfter)

			server = start(t, "--database", database, "--media-roots", roots)
			require.Empty(t, server.password, "the unit is not new")
			stage.signIn(t, server)
			requireOnceEach(t, stage.journal(t), acknowledged)
			for _, edit := range unanswered {
				stage.surgeons[0].must(t, http.MethodPost, "/readings/"+stage.reading+"/edits", edits{[]annotate.Edit{edit}}, nil)
			}
			requireOnceEach(t, stage.journal(t), append(acknowledged, unanswered...))
		}
		require.Equal(t, exitOK, server.stop(t))
		code, stdout, stderr := run(t, nil, "verify", "--database", database)
		require.Equal(t, exitOK, code, "%s %s", stdout, stderr)
	})
}

// edits is the body of a request that adds to a journal.
type edits struct {
	Edits []annotate.Edit `json:"edits"`
}

// stage is one case with a reading, and the people who mark it.
type stage struct {
	login    string
	surgeons []*client
	reading  string
	part     string
	ids      atomic.Int64
}

// setStage makes a surgeon, a case with a film, and a reading, all over HTTP.
func setStage(t *testing.T, server *process) *stage {
	t.Helper()
	s := &stage{login: "mwangi", part: numbered(3), reading: numbered(4)}
	office := newClient(t, server.address)
	office.signIn(t, server.login, server.password)
	user, password := office.newUser(t, numbered(1), s.login, annotate.RoleSurgeon)
	surgeon := newClient(t, server.address)
	surgeon.signIn(t, s.login, password)
	surgeon.must(t, http.MethodPut, "/cases/"+numbered(2), annotate.Case{
		ID: numbered(2), Pseudonym: "KILL-1", Eye: annotate.RightEye, Date: "2026-05-04",
		Operation: annotate.Operation{TechniquePlanned: annotate.TechniquePhaco, TechniquePerformed: annotate.TechniquePhaco},
		Operators: []annotate.Operator{{UserID: user.ID, Role: annotate.OperatorLead, Grade: annotate.GradeConsultant}}, SharedWith: []string{},
	}, nil)
	surgeon.must(t, http.MethodPut, "/cases/"+numbered(2)+"/parts/"+s.part, map[string]any{
		"source": "films:" + filmName, "position": 1, "offset": nil, "rates": []any{}, "cuts": []any{}, "realTime": true, "revision": 0,
	}, nil)
	surgeon.must(t, http.MethodPut, "/cases/"+numbered(2)+"/readings/"+s.reading, map[string]any{"stepList": annotate.StepListRef{ID: "phaco", Version: 1}}, nil)
	s.signIn(t, server)
	return s
}

// signIn opens one session for each of the clients that mark.
func (s *stage) signIn(t *testing.T, server *process) {
	t.Helper()
	s.surgeons = nil
	for range markingClients {
		c := newClient(t, server.address)
		c.signIn(t, s.login, ownPassword)
		s.surgeons = append(s.surgeons, c)
	}
}

// markUntilKilled streams edits and kills the server among them. It gives the edits that were acknowledged and those
// whose answer never came.
func (s *stage) markUntilKilled(t *testing.T, server *process, round int) (acknowledged, unanswered []annotate.Edit) {
	t.Helper()
	var mutex sync.Mutex
	var wait sync.WaitGroup
	enough := make(chan struct{})
	for _, surgeon := range s.surgeons {
		wait.Go(func() {
			for {
				edit := s.edit()
				err := surgeon.send(http.MethodPost, "/readings/"+s.reading+"/edits", edits{[]annotate.Edit{edit}}, nil)
				mutex.Lock()
				if err == nil {
					acknowledged = append(acknowledged, edit)
				} else {
					unanswered = append(unanswered, edit)
				}
				if err == nil && len(acknowledged) == killAfter {
					close(enough)
				}
				mutex.Unlock()
				if err != nil {
					return
				}
			}
		})
	}
	<-enough
	server.kill(t)
	wait.Wait()
	t.Logf("round %d: %d edits acknowledged, %d without an answer", round+1, len(acknowledged), len(unanswered))
	return acknowledged, unanswered
}

// edit adds one marker of a second or so.
func (s *stage) edit() annotate.Edit {
	n := s.ids.Add(1)
	at := (n * 37) % 60_000
	marker := annotate.Marker{
		ID: numbered(1_000_000 + n), Step: "cortex", StepList: annotate.StepListRef{ID: "phaco", Version: 1},
		Start: timeline.Instant{Part: s.part, Ms: at}, End: &timeline.Instant{Part: s.part, Ms: at + 900},
	}
	return annotate.Edit{ID: numbered(2_000_000 + n), Action: "add", Changes: []annotate.Change{{Thing: annotate.ThingMarker, ID: marker.ID, Marker: &marker}}}
}

// journal reads the whole journal and the markers that stand, and checks that they agree.
func (s *stage) journal(t *testing.T) []annotate.Edit {
	t.Helper()
	var answer struct {
		Edits []annotate.Edit `json:"edits"`
	}
	s.surgeons[0].must(t, http.MethodGet, "/readings/"+s.reading+"/edits?after=0", nil, &answer)
	var state annotate.ReadingState
	s.surgeons[0].must(t, http.MethodGet, "/readings/"+s.reading, nil, &state)
	require.Len(t, state.Markers, len(answer.Edits), "each edit added one marker")
	for i, edit := range answer.Edits {
		require.Equal(t, int64(i+1), edit.Seq, "the journal has no gap")
	}
	return answer.Edits
}

func requireOnceEach(t *testing.T, journal, wanted []annotate.Edit) {
	t.Helper()
	times := map[string]int{}
	for _, edit := range journal {
		times[edit.ID]++
	}
	for _, edit := range wanted {
		require.Equal(t, 1, times[edit.ID], "edit %s", edit.ID)
	}
}

func numbered(n int64) string { return fmt.Sprintf("0197c2a4-0000-7000-8000-%012x", n) }

const filmName = "quiet-phaco.mp4"

// filmFolder holds one demo film.
func filmFolder(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	films, err := film.Films()
	require.NoError(t, err)
	content, err := fs.ReadFile(films, filmName)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(dir, filmName), content, 0o644))
	return dir
}
