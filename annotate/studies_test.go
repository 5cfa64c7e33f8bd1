package annotate_test

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
	"zonule/timeline"
	"zonule/timeline/cohort"
	"zonule/timeline/outcome"
)

// followed registers cases of an operator whose loss at three months goes with the time of the nucleus stage.
func followed(t *testing.T, u *annotatetest.Unit, n int, lead annotate.Actor, supervisor string) {
	t.Helper()
	const minute = 60_000
	for i := range n {
		c := u.NewCase()
		c.Date = fmt.Sprintf("2026-03-%02d", i%28+1)
		c.Operators = []annotate.Operator{{UserID: lead.ID, Role: annotate.OperatorLead, Grade: lead.Grade}}
		if supervisor != "" {
			c.Operators = append(c.Operators, annotate.Operator{UserID: supervisor, Role: annotate.OperatorSupervisor, Grade: annotate.GradeConsultant})
		}
		_, err := u.PutCase(t.Context(), lead, c)
		require.NoError(t, err)
		row := rowOf(t, u, c.ID)
		minutes := 3 + 4*math.Mod(float64(i+1)*0.6180339887498949, 1)
		total := int64(minutes * minute)
		row.Before.NuclearGrade, row.Before.Count = pointerTo(1+i%5), &cohort.Count{Density: 2500}
		row.StepList, row.Tagged, row.Time, row.Measured = "phaco", true, pointerTo(2*total), true
		row.Stages = []cohort.Part{{Code: "nucleus", Total: &total, Episodes: 1, Quality: timeline.Measured}}
		noise := 0.05 * math.Mod(float64(i+1)*0.7548776662466927, 1)
		row.After = []cohort.Seen{{Window: "month-3", Days: 90, Count: &cohort.Count{Density: 2500 * math.Exp(-0.01*minutes-noise)}}}
		row.CapsuleRupture = i%9 == 8
		if lead.ID == u.Surgeon.ID {
			row.Operation.CDE, row.Operation.MachineFamily = pointerTo(2*minutes), "invented"
		}
		require.NoError(t, u.Store.Write(t.Context(), func(tx annotate.Tx) error { return tx.PutCaseRows(t.Context(), 1, row) }))
	}
}

func question(exposures ...outcome.Exposure) outcome.Definition {
	return outcome.Definition{
		Outcome:   outcome.Outcome{Kind: outcome.Loss, Window: "month-3"},
		Exposures: append([]outcome.Exposure{{Kind: outcome.StageTime, Code: "nucleus"}}, exposures...), Adjust: []string{"nuclearGrade"},
	}
}

func ask(t *testing.T, u *annotatetest.Unit, actor annotate.Actor, d outcome.Definition) (annotate.StudyAnswer, error) {
	t.Helper()
	inquiry, err := u.Inquire(t.Context(), actor, d)
	if err != nil {
		return annotate.StudyAnswer{}, err
	}
	return inquiry.Answer(t.Context(), nil)
}

// freeze keeps an answer with stand-ins for the forms that only the door writes.
func freeze(t *testing.T, u *annotatetest.Unit, actor annotate.Actor, study annotate.Study) (annotate.FrozenStudy, error) {
	t.Helper()
	answer, err := ask(t, u, actor, study.Definition)
	require.NoError(t, err)
	encoded, err := json.Marshal(answer.Result.Definition)
	require.NoError(t, err)
	content := annotate.FrozenContent{JSON: encoded, HTML: []byte("<!doctype html>"), PDF: []byte("%PDF"), CSV: []byte("case"), XLSX: []byte("PK")}
	draft, done, err := u.DraftFrozen(t.Context(), actor, study, answer, sha(content.JSON), sha(content.CSV))
	if err != nil || done {
		return draft, err
	}
	return draft, u.FreezeStudy(t.Context(), actor, draft, content)
}

func sha(content []byte) string {
	sum := sha256.Sum256(content)
	return hex.EncodeToString(sum[:])
}

func saved(t *testing.T, u *annotatetest.Unit, actor annotate.Actor, name string, shared bool, d outcome.Definition) annotate.Study {
	t.Helper()
	study, err := u.PutStudy(t.Context(), actor, annotate.Study{ID: u.NewID(), Name: name, Definition: d, Shared: shared})
	require.NoError(t, err)
	return study
}

// TestWhoIsToldWhat asks as everybody: of the unit, of themselves and of others, where two or three people operate.
func TestWhoIsToldWhat(t *testing.T) {
	const told, few, nobody, no = "told", "too few people", "not found", "forbidden"
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		followed(t, u, 25, u.Surgeon, "")
		followed(t, u, 25, u.Trainee, u.Trainer.ID)
		member := u.Chair
		member.Roles = []annotate.Role{annotate.RoleMember}
		check := func(t *testing.T, rows map[string]struct {
			actor annotate.Actor
			unit  string
			own   string
			pupil string // the trainee's cases
		}) {
			for name, row := range rows {
				t.Run(name, func(t *testing.T) {
					for operator, want := range map[string]string{"": row.unit, annotate.Myself: row.own, u.Trainee.ID: row.pupil} {
						d := question()
						d.Population.Operator = operator
						answer, err := ask(t, u, row.actor, d)
						got := told
						switch {
						case annotate.CodeOf(err) == annotate.CodeNotFound:
							got = nobody
						case annotate.CodeOf(err) == annotate.CodeForbidden:
							got = no
						case answer.Withheld:
							got = few
							require.Contains(t, answer.Result.Why, "Under 3 nothing is told")
							require.Empty(t, answer.Result.FellOut)
							require.Empty(t, answer.Result.Differences)
							require.Empty(t, answer.Result.Relations)
							require.Zero(t, answer.Result.Events)
							require.Empty(t, answer.Table.Rows)
						default:
							require.NoError(t, err)
							leadsNowhereElse(t, u, row.actor, answer)
						}
						require.Equal(t, want, got, "operator %q", operator)
					}
				})
			}
		}
		type who = struct {
			actor annotate.Actor
			unit  string
			own   string
			pupil string
		}
		t.Run("two operate", func(t *testing.T) {
			check(t, map[string]who{
				"surgeon": {u.Surgeon, few, told, nobody}, "trainee": {u.Trainee, few, told, told}, "stranger": {u.Stranger, few, told, nobody},
				"member": {member, few, nobody, nobody}, "trainer": {u.Trainer, told, told, told}, "chair": {u.Chair, told, told, nobody},
				"clinic": {u.Clinic, told, nobody, nobody}, "administrator": {u.Admin, no, no, no},
			})
		})
		followed(t, u, 25, u.Trainer, "")
		t.Run("three operate", func(t *testing.T) {
			check(t, map[string]who{
				"surgeon": {u.Surgeon, told, told, nobody}, "stranger": {u.Stranger, told, told, nobody}, "member": {member, told, nobody, nobody},
			})
		})
		t.Run("energy is known of the surgeon's cases alone", func(t *testing.T) {
			answer, err := ask(t, u, u.Stranger, question(outcome.Exposure{Kind: outcome.Dissipated}))
			require.NoError(t, err)
			require.True(t, answer.Withheld)
			require.Contains(t, answer.Result.Why, "One person led the cases of which everything is known.")
			require.Zero(t, answer.Result.Events)
			require.Empty(t, answer.Result.Differences)
			require.NotEmpty(t, answer.Result.FellOut, "what is missing in cases of three people")
			require.Empty(t, answer.Table.Rows)
		})
		followed(t, u, 28, u.Stranger, "")
		t.Run("the last days are one person's", func(t *testing.T) {
			d := question()
			d.Population.From = "2026-03-26"
			answer, err := ask(t, u, u.Surgeon, d)
			require.NoError(t, err)
			require.True(t, answer.Withheld)
			require.Contains(t, answer.Result.Why, "One person led the cases chosen.")
			require.Equal(t, 3, answer.Result.Population)
			require.Empty(t, answer.Result.FellOut)
			own, err := ask(t, u, u.Trainer, d)
			require.NoError(t, err)
			require.False(t, own.Withheld, "who answers for the unit is told that they are too few")
			require.Contains(t, own.Result.Why, "nothing is modelled")
		})
		_, err := ask(t, u, annotate.Actor{}, question())
		require.Equal(t, annotate.CodeSignedOut, annotate.CodeOf(err))
	})
}

// leadsNowhereElse: an answer names only cases that the actor may open, and nobody.
func leadsNowhereElse(t *testing.T, u *annotatetest.Unit, actor annotate.Actor, answer annotate.StudyAnswer) {
	t.Helper()
	ids := []string{}
	for _, relation := range answer.Result.Relations {
		for _, driver := range relation.Driving {
			ids = append(ids, driver.CaseID)
		}
		for _, point := range append(append([]outcome.ChartPoint{}, relation.Chart.Points...), relation.Chart.Added...) {
			ids = append(ids, point.CaseID)
		}
	}
	for _, id := range ids {
		if id != "" {
			_, err := u.Readings(t.Context(), actor, id)
			require.NoError(t, err)
		}
	}
	result := answer.Result
	result.Definition.Population.Operator = ""
	text, err := json.Marshal([]any{result, answer.Table})
	require.NoError(t, err)
	for _, person := range []annotate.Actor{u.Surgeon, u.Trainer, u.Trainee, u.Stranger} {
		require.NotContains(t, string(text), person.ID)
		require.NotContains(t, string(text), person.Name)
	}
	require.NotContains(t, string(text), "CASE-1")
	table, err := json.Marshal(answer.Table)
	require.NoError(t, err)
	require.NotContains(t, string(table), "0197c2a4-", "the table holds no id")
	require.NotContains(t, string(table), "2026-03-", "the table holds no date")
}

// TestWhoSeesWhichStudy lists for everybody which studies they see, which they may change, and what of the frozen they read.
func TestWhoSeesWhichStudy(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		followed(t, u, 25, u.Surgeon, "")
		followed(t, u, 25, u.Trainee, u.Trainer.ID)
		pupils := question()
		pupils.Population.Operator = u.Trainee.ID
		studies := []annotate.Study{
			saved(t, u, u.Trainer, "a private", false, question()),
			saved(t, u, u.Trainer, "b shared", true, question()),
			saved(t, u, u.Trainer, "c of the trainee", true, pupils),
		}
		for _, study := range studies {
			_, err := freeze(t, u, u.Trainer, study)
			require.NoError(t, err)
		}
		for name, row := range map[string]struct {
			actor  annotate.Actor
			sees   []string
			frozen []string
		}{
			"owner":   {u.Trainer, []string{"a private", "b shared", "c of the trainee"}, []string{"a private", "b shared", "c of the trainee"}},
			"trainee": {u.Trainee, []string{"b shared", "c of the trainee"}, []string{"c of the trainee"}}, // two operators: the unit's is withheld
			"surgeon": {u.Surgeon, []string{"b shared"}, nil},
			"chair":   {u.Chair, []string{"b shared"}, []string{"b shared"}},
			"clinic":  {u.Clinic, []string{"b shared"}, []string{"b shared"}},
		} {
			t.Run(name, func(t *testing.T) {
				list, err := u.Studies(t.Context(), row.actor)
				require.NoError(t, err)
				var sees, reads []string
				for _, entry := range list {
					sees = append(sees, entry.Name)
					require.Equal(t, "The trainer", entry.OwnerName)
					require.Equal(t, row.actor.ID == u.Trainer.ID, entry.Own)
				}
				require.Equal(t, row.sees, sees)
				frozen, err := u.FrozenStudies(t.Context(), row.actor)
				require.NoError(t, err)
				for _, f := range frozen {
					reads = append(reads, f.Name)
				}
				require.ElementsMatch(t, row.frozen, reads)
				for _, study := range studies {
					_, err := u.Study(t.Context(), row.actor, study.ID)
					listed := err == nil
					require.Equal(t, contains(row.sees, study.Name), listed, study.Name)
					if row.actor.ID == u.Trainer.ID {
						continue
					}
					want := annotate.CodeNotFound
					if listed {
						want = annotate.CodeForbidden
					}
					study.Name = "mine now"
					_, err = u.PutStudy(t.Context(), row.actor, study)
					require.Equal(t, want, annotate.CodeOf(err), "change %s", study.ID)
					require.Equal(t, want, annotate.CodeOf(u.RemoveStudy(t.Context(), row.actor, study.ID, 1)))
				}
				all, err := u.FrozenStudies(t.Context(), u.Trainer)
				require.NoError(t, err)
				for _, f := range all {
					_, _, err := u.FrozenContent(t.Context(), row.actor, f.ID)
					if contains(row.frozen, f.Name) {
						require.NoError(t, err)
					} else {
						require.Equal(t, annotate.CodeNotFound, annotate.CodeOf(err), f.Name)
					}
				}
			})
		}
		_, err := u.Studies(t.Context(), u.Admin)
		require.Equal(t, annotate.CodeForbidden, annotate.CodeOf(err))
		_, err = freeze(t, u, u.Surgeon, studies[1])
		require.Equal(t, annotate.CodeForbidden, annotate.CodeOf(err), "what is not told is not frozen")
	})
}

func contains(list []string, one string) bool {
	for _, other := range list {
		if other == one {
			return true
		}
	}
	return false
}

func TestAStudyIsSavedChangedAndTakenAway(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		own := question()
		own.Population.Operator = annotate.Myself
		study := saved(t, u, u.Surgeon, "  Nucleus  ", false, own)
		require.Equal(t, "Nucleus", study.Name)
		require.Equal(t, u.Surgeon.ID, study.Definition.Population.Operator, "it means the same person for everybody")
		require.Equal(t, u.Surgeon.ID, study.OwnerID)
		frozen, err := freeze(t, u, u.Surgeon, study)
		require.NoError(t, err)
		again, err := freeze(t, u, u.Surgeon, study)
		require.NoError(t, err)
		require.Equal(t, frozen, again)

		changed := study
		changed.Question = "Why?"
		changed, err = u.PutStudy(t.Context(), u.Surgeon, changed)
		require.NoError(t, err)
		require.EqualValues(t, 2, changed.Revision)
		same, err := u.PutStudy(t.Context(), u.Surgeon, changed)
		require.NoError(t, err)
		require.EqualValues(t, 2, same.Revision, "nothing was changed")
		_, err = u.PutStudy(t.Context(), u.Surgeon, study)
		require.Equal(t, annotate.CodeStale, annotate.CodeOf(err))
		next, err := freeze(t, u, u.Surgeon, changed)
		require.NoError(t, err)
		require.Equal(t, 2, next.Number)
		_, err = freeze(t, u, u.Surgeon, study)
		require.Equal(t, annotate.CodeStale, annotate.CodeOf(err), "the study that was answered is not the one that stands")

		require.Equal(t, annotate.CodeStale, annotate.CodeOf(u.RemoveStudy(t.Context(), u.Surgeon, study.ID, 1)))
		require.NoError(t, u.RemoveStudy(t.Context(), u.Surgeon, study.ID, 2))
		_, err = u.Study(t.Context(), u.Surgeon, study.ID)
		require.Equal(t, annotate.CodeNotFound, annotate.CodeOf(err))
		_, err = u.PutStudy(t.Context(), u.Surgeon, changed)
		require.Equal(t, annotate.CodeNotFound, annotate.CodeOf(err), "it does not come back")
		kept, content, err := u.FrozenContent(t.Context(), u.Surgeon, frozen.ID)
		require.NoError(t, err)
		require.Equal(t, frozen, kept)
		require.Equal(t, "case", string(content.CSV))
		verified(t, u)
	})
}

func TestStudiesThatAreRefused(t *testing.T) {
	u := annotatetest.NewUnit(t, annotatetest.SQLiteAddress(t))
	for field, spoil := range map[string]func(*annotate.Study){
		"name":                      func(s *annotate.Study) { s.Name = " " },
		"question":                  func(s *annotate.Study) { s.Question = string(make([]rune, 1001)) },
		"id":                        func(s *annotate.Study) { s.ID = "not an id" },
		"definition":                func(s *annotate.Study) { s.Definition.Exposures = nil },
		"definition.outcome.window": func(s *annotate.Study) { s.Definition.Outcome.Window = "some day" },
		"definition.outcome.complication": func(s *annotate.Study) {
			s.Definition.Outcome = outcome.Outcome{Kind: outcome.Complication, Complication: "bad luck"}
		},
		"definition.exposures[0].code":    func(s *annotate.Study) { s.Definition.Exposures[0].Code = "<b>" },
		"definition.population.technique": func(s *annotate.Study) { s.Definition.Population.Technique = "magic" },
		"definition.population.from":      func(s *annotate.Study) { s.Definition.Population.From = "May" },
		"definition.population.to": func(s *annotate.Study) {
			s.Definition.Population.From, s.Definition.Population.To = "2026-02-01", "2026-01-01"
		},
		"definition.population.gradeFrom": func(s *annotate.Study) { s.Definition.Population.GradeFrom = pointerTo(6) },
		"definition.population.gradeTo": func(s *annotate.Study) {
			s.Definition.Population.GradeFrom, s.Definition.Population.GradeTo = pointerTo(3), pointerTo(2)
		},
	} {
		study := annotate.Study{ID: u.NewID(), Name: "N", Definition: question()}
		spoil(&study)
		_, err := u.PutStudy(t.Context(), u.Surgeon, study)
		refusal := refused(t, annotate.CodeInvalid, err)
		require.Equal(t, field, refusal.Fields[0].Field)
	}
	other := annotate.Study{ID: u.NewID(), Name: "N", Definition: question()}
	other.Definition.Population.Operator = u.Trainee.ID
	_, err := u.PutStudy(t.Context(), u.Surgeon, other)
	refused(t, annotate.CodeNotFound, err)
	_, err = u.PutStudy(t.Context(), u.Surgeon, annotate.Study{ID: u.NewID(), Revision: 3, Name: "N", Definition: question()})
	refused(t, annotate.CodeNotFound, err)
}

// TestAnAnswerCanBeGivenUp leaves after the first of several exposures: no other is begun.
func TestAnAnswerCanBeGivenUp(t *testing.T) {
	u := annotatetest.NewUnit(t, annotatetest.SQLiteAddress(t))
	followed(t, u, 30, u.Surgeon, "")
	d := question(outcome.Exposure{Kind: outcome.OperationTime}, outcome.Exposure{Kind: outcome.OVDTopUps}, outcome.Exposure{Kind: outcome.Contacts})
	d.Population.Operator = annotate.Myself
	inquiry, err := u.Inquire(t.Context(), u.Surgeon, d)
	require.NoError(t, err)
	ctx, leave := context.WithCancel(t.Context())
	var steps []string
	_, err = inquiry.Answer(ctx, func(done, of int) {
		steps = append(steps, fmt.Sprintf("%d of %d", done, of))
		leave()
	})
	require.ErrorIs(t, err, context.Canceled)
	require.Equal(t, []string{"1 of 4"}, steps)
}

// TestStudiesWaitTheirTurn: while as many as may are being answered, one more waits, and may leave meanwhile.
func TestStudiesWaitTheirTurn(t *testing.T) {
	u := annotatetest.NewUnit(t, annotatetest.SQLiteAddress(t))
	followed(t, u, 30, u.Surgeon, "")
	d := question()
	d.Population.Operator = annotate.Myself
	inquiry, err := u.Inquire(t.Context(), u.Surgeon, d)
	require.NoError(t, err)
	begun, goOn, ended := make(chan bool), make(chan bool), make(chan error)
	for range 2 {
		go func() {
			_, err := inquiry.Answer(t.Context(), func(int, int) {
				begun <- true
				<-goOn
			})
			ended <- err
		}()
		<-begun
	}
	ctx, leave := context.WithTimeout(t.Context(), 100*time.Millisecond) // many times what the answer takes
	defer leave()
	_, err = inquiry.Answer(ctx, nil)
	require.ErrorIs(t, err, context.DeadlineExceeded)
	close(goOn)
	require.NoError(t, <-ended)
	require.NoError(t, <-ended)
	_, err = inquiry.Answer(t.Context(), nil)
	require.NoError(t, err, "the turns are given back")
}

// TestStudyChoices: what is known is counted, and how often something went wrong is told only of enough people.
func TestStudyChoices(t *testing.T) {
	u := annotatetest.NewUnit(t, annotatetest.SQLiteAddress(t))
	followed(t, u, 10, u.Surgeon, "")
	followed(t, u, 10, u.Trainee, u.Trainer.ID)
	choices, err := u.StudyChoices(t.Context(), u.Surgeon)
	require.NoError(t, err)
	require.Equal(t, []any{20, "2026-03-01", "2026-03-10", 3}, []any{choices.Cases, choices.From, choices.To, choices.SmallestGroup})
	loss, complications := choices.Outcomes[0], choices.Outcomes[4]
	require.Equal(t, annotate.WindowChoice{Window: annotate.WindowMonth3, Name: "Month 3", N: 20}, loss.Windows[3])
	require.Nil(t, complications.Complications[0].Events)
	names := map[string]annotate.ExposureChoice{}
	for _, e := range choices.Exposures {
		key := string(e.Kind) + ":" + e.Code
		require.NotContains(t, names, key, "each once")
		names[key] = e
	}
	require.Equal(t, 20, names["stage:nucleus"].N)
	require.Equal(t, "time in the nucleus stage", names["stage:nucleus"].Name)
	require.Equal(t, []outcome.Scale{outcome.PerUnit, outcome.PerDoubling}, names["operation:"].Scales)
	require.Equal(t, []outcome.Scale{outcome.PerUnit}, names["contacts:"].Scales)
	require.Equal(t, 20, choices.Covariates[0].N, "the nuclear grade")
	trainer, err := u.StudyChoices(t.Context(), u.Trainer)
	require.NoError(t, err)
	require.Equal(t, 2, *trainer.Outcomes[4].Complications[0].Events)
	require.Zero(t, trainer.SmallestGroup)
	require.Len(t, trainer.Operators, 2)
	_, err = u.StudyChoices(t.Context(), u.Admin)
	refused(t, annotate.CodeForbidden, err)
}
