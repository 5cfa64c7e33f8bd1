package server

import (
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
)

// places gives an existing thing for each part of a path, as tell left them.
func places(signed string) *strings.Replacer {
	return strings.NewReplacer(
		"{case}", flowCase, "{part}", flowPart, "{reading}", flowReading, "{complication}", "complication-1", "{visit}", "visit-1",
		"{report}", signed, "{addendum}", "addendum-1", "{user}", "sol", "{list}", "phaco", "{import}", "import-1", "{version}", "1", "{review}", "review-1",
		"{form}", "plain-steps", "{assessment}", "assessment-1", "{person}", "sol", "{goal}", "goal-1",
		"{meeting}", "meeting-1", "{item}", "item-1", "{moment}", "moment-1", "{number}", "1", "{remark}", "remark-1", "{action}", "action-1",
		"{finding}", "finding-1", "{study}", "study-1", "{frozen}", "frozen-1", "{entry}", "entry-1",
	)
}

// bodies gives a body that the door takes, by the name of the route.
func bodies() map[string]any {
	visit := map[string]any{"revision": 1, "window": "day-1", "date": "2026-02-03"}
	change := newCase(flowCase, "stranger")
	change["revision"] = 1
	return map[string]any{
		"sign-in":               map[string]string{"login": "nobody", "password": "nothing"},
		"change-password":       map[string]string{"old": ownWord, "new": "another heron altogether"},
		"put-user":              map[string]any{"login": "sol", "name": "S", "roles": []string{"surgeon"}, "active": true, "revision": 1},
		"put-unit":              annotate.Unit{Name: "Unit"},
		"put-step-list":         annotate.StepList{ID: "phaco", Name: "P", Technique: "phaco", Stages: []annotate.Stage{}, Steps: []annotate.Step{}, EventKinds: []annotate.EventKind{}},
		"put-case":              change,
		"put-part":              newPart("films:quiet-phaco.mp4"),
		"put-finding":           annotate.Finding{Kind: annotate.FindingSeen, Place: 1, Text: "Seen."},
		"clear-part":            map[string]any{"cleared": true},
		"decide-inbox":          annotate.InboxDecision{State: annotate.InboxDismissed, Reason: "Known."},
		"ask-to-discuss":        map[string]any{"words": "The chamber was shallow."},
		"put-reading":           map[string]any{"stepList": map[string]any{"id": "phaco", "version": 1}},
		"add-edits":             map[string]any{"edits": []any{addMarker("edit-x", marker("marker-x", "ovd", flowPart, 1, 2))}},
		"put-complication":      map[string]any{"revision": 1, "kind": "posterior-capsule-rupture", "severity": 1},
		"put-visit":             visit,
		"begin-import":          []byte("case,eye,date\n"),
		"put-matching":          annotate.IntakeMatching{Fields: []string{}},
		"apply-import":          map[string]any{"whole": false},
		"accept-reading":        map[string]any{"reason": "Better."},
		"see-comments":          map[string]any{"comments": []string{"comment-1"}},
		"put-assessment-form":   annotate.AssessmentForm{ID: "plain-steps", Name: "P", Scale: []annotate.ScaleLevel{}, Items: []annotate.AssessmentItem{}},
		"put-assessment":        annotate.Assessment{Form: annotate.AssessmentFormRef{ID: "plain-steps", Version: 1}, SubjectID: "sol", Marks: []annotate.Mark{}},
		"put-meeting":           annotate.Meeting{Title: "M", Date: "2026-03-09", ChairID: "sol", Attendees: []annotate.Attendee{}},
		"set-meeting-state":     map[string]any{"state": "running"},
		"put-attendance":        map[string]any{"userId": "sol", "present": true},
		"put-meeting-item":      map[string]any{"id": "", "revision": 0, "place": 0, "kind": "topic", "title": "T", "minutes": 5},
		"put-item-record":       annotate.ItemRecord{Factors: []annotate.Factor{}, Learning: []annotate.LearningPoint{}},
		"put-vote":              map[string]any{"question": "harm", "value": "none"},
		"put-voting":            map[string]any{"question": "harm", "open": true},
		"put-remark":            map[string]any{"id": "", "itemId": "item-1", "text": "More."},
		"lead-meeting":          map[string]any{"itemId": "item-1"},
		"put-action":            map[string]any{"id": "", "revision": 0, "meetingId": "meeting-1", "text": "A", "ownerId": "sol", "dueOn": "2026-04-09", "state": "open"},
		"put-goal":              annotate.Goal{Text: "Slower", AgreedOn: "2026-02-03", State: annotate.GoalOpen},
		"sign-report":           map[string]any{"hash": "00", "change": 1},
		"put-addendum":          map[string]any{"text": "more"},
		"answer-study":          lossQuestion(),
		"put-study":             map[string]any{"revision": 1, "name": "Loss", "question": "", "definition": lossQuestion(), "shared": false},
		"freeze-study":          map[string]any{"hash": "00", "dataHash": "00"},
		"put-monitoring-review": map[string]any{"operator": "sol", "kind": "capsule-rupture", "date": "2026-02-03", "reason": "Looked at."},
	}
}

func address(r route, signed string) string {
	path := places(signed).Replace(r.path)
	if r.method == http.MethodDelete {
		path += "?revision=1"
	}
	switch r.name {
	case "begin-import":
		path += "?name=visits.csv"
	case "compare-readings":
		path += "?first=" + flowReading + "&second=" + flowReading
	}
	return path
}

func (h *house) apiRoutes() []route {
	var routes []route
	for _, r := range h.table {
		if r.who.signedIn {
			routes = append(routes, r)
		}
	}
	return routes
}

func (h *house) signedID(t *testing.T, c *client) string {
	t.Helper()
	var reports []annotate.SignedReport
	c.must("GET", "/cases/"+flowCase+"/reports", nil, &reports)
	require.Len(t, reports, 1)
	return reports[0].ID
}

func (h *house) as(login string) *client {
	c := h.client()
	c.signIn(login, ownWord)
	return c
}

func TestNobodyGetsInSignedOut(t *testing.T) {
	h := sqliteHouse(t)
	tell(t, h)
	signed := h.signedID(t, h.as("sol"))
	routes := h.apiRoutes()
	require.Greater(t, len(routes), 40)
	for _, r := range routes {
		t.Run(r.name, func(t *testing.T) {
			w := h.client().send(r.method, address(r, signed), bodies()[r.name])
			require.Equal(t, http.StatusUnauthorized, w.Code)
			if r.method != http.MethodHead {
				require.EqualValues(t, annotate.CodeSignedOut, problemFrom(t, w).Code)
			}
		})
	}
}

// A stranger operates in the same unit and has no part in the case: for them it is not there. What is not about a
// case is refused by its own rule.
func TestAStrangerFindsNothing(t *testing.T) {
	h := sqliteHouse(t)
	tell(t, h)
	signed := h.signedID(t, h.as("sol"))
	stranger := h.hire("stranger", annotate.RoleSurgeon, annotate.RoleTrainer)
	before := h.as("sol").send("GET", "/cases/"+flowCase+"/history", nil).Body.String()
	tested := 0
	for _, r := range h.apiRoutes() {
		status := http.StatusNotFound
		switch {
		case strings.Contains(r.who.words, "manage"), strings.Contains(r.who.words, "unit.edit"), strings.Contains(r.who.words, "step-list.edit"), strings.Contains(r.who.words, "inbox.edit"):
			status = http.StatusForbidden
		case !strings.ContainsAny(r.path, "{"), r.name == "get-step-list", r.name == "put-assessment-form":
			continue
		}
		tested++
		t.Run(r.name, func(t *testing.T) {
			w := stranger.send(r.method, address(r, signed), bodies()[r.name])
			require.Equal(t, status, w.Code, w.Body)
			for _, told := range []string{"Heron", "quiet-phaco", "vitrectomy", "chamber here"} {
				require.NotContains(t, w.Body.String(), told)
			}
		})
	}
	require.Greater(t, tested, 35)
	var page annotate.CasePage
	stranger.must("GET", "/cases", nil, &page)
	require.Empty(t, page.Cases)
	require.Zero(t, page.Total)
	require.Equal(t, before, h.as("sol").send("GET", "/cases/"+flowCase+"/history", nil).Body.String(), "nothing was changed")
}

func TestClinicSeesTheCaseWithoutItsRecording(t *testing.T) {
	h := sqliteHouse(t)
	tell(t, h)
	clinic := h.hire("cleo", annotate.RoleClinic)
	clinic.must("GET", "/cases/"+flowCase, nil, nil)
	for _, path := range []string{"/cases/" + flowCase + "/parts", "/cases/" + flowCase + "/readings", "/cases/" + flowCase + "/report"} {
		clinic.refused("GET", path, nil, http.StatusForbidden, annotate.CodeForbidden)
	}
	clinic.refused("GET", "/media/browse", nil, http.StatusForbidden, annotate.CodeForbidden)
	w := clinic.send("GET", "/media/parts/"+flowPart, nil)
	require.Contains(t, []int{http.StatusForbidden, http.StatusNotFound}, w.Code)
	var permissions map[annotate.Action]bool
	clinic.must("GET", "/cases/"+flowCase+"/permissions", nil, &permissions)
	require.True(t, permissions[annotate.OutcomeEdit])
	require.False(t, permissions[annotate.RecordingView])
}

func TestWhoMustChangeThePasswordCanDoNothingElse(t *testing.T) {
	h := sqliteHouse(t)
	h.admin.must("PUT", "/users/nina", map[string]any{"login": "nina", "name": "Nina", "roles": []string{"surgeon"}, "active": true, "revision": 0}, nil)
	nina := h.client()
	user := nina.signIn("nina", h.oneTimeWord("nina"))
	require.True(t, user.MustChangePassword)
	for _, r := range h.apiRoutes() {
		if !r.who.settled {
			continue
		}
		w := nina.send(r.method, address(r, "none"), bodies()[r.name])
		require.Equal(t, http.StatusForbidden, w.Code, r.name)
	}
	nina.must("GET", "/me", nil, &user)
	require.True(t, user.MustChangePassword)
	nina.must("POST", "/sign-out", nil, nil)
	nina.refused("GET", "/me", nil, http.StatusUnauthorized, annotate.CodeSignedOut)
}

func TestAPasswordChangeEndsTheOtherSessions(t *testing.T) {
	h := sqliteHouse(t)
	here := h.hire("sol", annotate.RoleSurgeon)
	there := h.as("sol")
	there.must("GET", "/me", nil, nil)
	here.must("POST", "/me/password", map[string]string{"old": ownWord, "new": "two herons on one leg"}, nil)
	here.must("GET", "/me", nil, nil)
	there.refused("GET", "/me", nil, http.StatusUnauthorized, annotate.CodeSignedOut)
}

func TestADeactivatedAccountIsOut(t *testing.T) {
	h := sqliteHouse(t)
	sol := h.hire("sol", annotate.RoleSurgeon)
	var users []annotate.User
	h.admin.must("GET", "/users", nil, &users)
	for _, u := range users {
		if u.ID == "sol" {
			u.Active = false
			h.admin.must("PUT", "/users/sol", u, nil)
		}
	}
	sol.refused("GET", "/today", nil, http.StatusUnauthorized, annotate.CodeSignedOut)
	h.client().refused("POST", "/sign-in", map[string]string{"login": "sol", "password": ownWord}, http.StatusUnauthorized, annotate.CodeSignedOut)
}

func TestSignInIsThrottled(t *testing.T) {
	h := sqliteHouse(t)
	h.hire("sol", annotate.RoleSurgeon)
	guesser := h.client()
	guess := map[string]string{"login": "sol", "password": "a guess of twelve"}
	for range 20 {
		w := guesser.send("POST", "/sign-in", guess)
		if w.Code == http.StatusTooManyRequests {
			p := problemFrom(t, w)
			require.EqualValues(t, annotate.CodeTooManyTries, p.Code)
			require.Positive(t, p.RetryAfterSeconds)
			require.Equal(t, w.Header().Get("Retry-After"), strings.TrimSpace(strings.Fields(strings.SplitN(p.Detail, "Wait ", 2)[1])[0]))
			h.now.Add(int64(p.RetryAfterSeconds) * 1000)
			guesser.signIn("sol", ownWord)
			return
		}
		require.Equal(t, http.StatusUnauthorized, w.Code)
		require.NotContains(t, w.Body.String(), "sol")
	}
	t.Fatal("twenty wrong tries in a row were let through")
}
