package server

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
)

// What no member of a meeting may learn. Each is planted once and looks like nothing else.
const (
	hiddenCase     = "hidden-case-8f3a"
	hiddenPart     = "hidden-part-51c7"
	hiddenName     = "zephyrine-44q"
	hiddenOperator = "quillfeather"
	hiddenDate     = "2026-01-17"
	hiddenWords    = "marmalade"
)

// assembly is a house in which a meeting runs: theo chairs it, pia presents, mel is a member. None of them operated.
type assembly struct {
	*house
	operator, chair, presenter, member *client
	meeting                            annotate.MeetingSheet
	item                               annotate.AgendaItem
}

const (
	theMeeting = "meeting-1"
	theItem    = "item-1"
)

// assemble tells the whole way from a case to a running meeting through the door.
func assemble(t *testing.T, h *house) *assembly {
	t.Helper()
	a := &assembly{house: h}
	a.operator = h.hire(hiddenOperator, annotate.RoleSurgeon)
	a.chair, a.presenter, a.member = h.hire("theo", annotate.RoleChair), h.hire("pia", annotate.RoleTrainee), h.hire("mel", annotate.RoleMember)
	hidden := newCase(hiddenCase, hiddenOperator)
	hidden["pseudonym"], hidden["date"] = hiddenName, hiddenDate
	hidden["consent"] = map[string]any{"recording": "yes", "review": "yes", "note": hiddenWords}
	a.operator.must("PUT", "/cases/"+hiddenCase, hidden, nil)
	a.operator.must("PUT", "/cases/"+hiddenCase+"/parts/"+hiddenPart, newPart("films:rupture.mp4"), nil)
	a.operator.must("PUT", "/cases/"+hiddenCase+"/parts/"+hiddenPart+"/cleared", map[string]any{"cleared": true}, nil)
	a.operator.must("PUT", "/cases/"+hiddenCase+"/complications/complication-1", map[string]any{
		"revision": 0, "kind": "posterior-capsule-rupture", "severity": 2, "at": map[string]any{"part": hiddenPart, "ms": 40_000}, "note": hiddenWords, "action": hiddenWords,
	}, nil)
	a.operator.must("PUT", "/cases/"+hiddenCase+"/visits/visit-1", map[string]any{"revision": 0, "window": "day-1", "date": "2026-01-18", "oedemaGrade": 2, "note": hiddenWords}, nil)
	a.operator.must("POST", "/cases/"+hiddenCase+"/discuss", map[string]any{"words": "Was the chamber too shallow?"}, nil)

	a.chair.must("PUT", "/meetings/"+theMeeting, map[string]any{
		"id": "", "revision": 0, "title": "March meeting", "date": "2026-03-03", "chairId": "theo", "presenterId": "pia",
		"attendees": []any{map[string]any{"userId": "mel"}}, "takesVotes": true, "takesRemarks": true,
	}, nil)
	var inbox annotate.Inbox
	a.chair.must("GET", "/inbox", nil, &inbox)
	var ids []string
	for _, entry := range inbox.Entries {
		ids = append(ids, entry.ID)
	}
	require.NotEmpty(t, ids)
	a.chair.must("PUT", "/meetings/"+theMeeting+"/items/"+theItem, map[string]any{
		"id": "", "revision": 0, "place": 0, "kind": "case", "title": "A rupture", "minutes": 10, "inboxIds": ids,
	}, &a.item)
	a.chair.must("POST", "/meetings/"+theMeeting+"/state", map[string]any{"state": "running"}, &a.meeting)
	return a
}

// secrets are looked for without regard to case.
var secrets = []string{hiddenCase, hiddenPart, hiddenName, hiddenOperator, hiddenDate, "2026-01-18", hiddenWords, "rupture.mp4", "films:"}

func namesNobody(t *testing.T, route, text string) {
	t.Helper()
	for _, secret := range secrets {
		require.False(t, strings.Contains(strings.ToLower(text), secret), "%s tells %q", route, secret)
	}
}

// gives sends a request that a stream may answer, and ends it after a while.
func (c *client) gives(t *testing.T, method, path string, body any, streams bool) *httptest.ResponseRecorder {
	t.Helper()
	if !streams {
		return c.send(method, path, body)
	}
	ctx, cancel := context.WithTimeout(t.Context(), 200*time.Millisecond)
	defer cancel()
	r := httptest.NewRequest(method, prefix+path, http.NoBody).WithContext(ctx)
	r.AddCookie(c.cookie)
	w := httptest.NewRecorder()
	c.house.ServeHTTP(w, r)
	return w
}

// Every route of the table is asked by the chair, the presenter and a member, with the ids that they were given and, should
// they have got hold of them, with those that they were not. What they may do they have done before, so that it stands in
// the answers.
func TestWhatMembersGetNamesNobody(t *testing.T) {
	a := assemble(t, sqliteHouse(t))
	moment := a.item.Pack.Moments[0].ID
	base := "/meetings/" + theMeeting
	a.presenter.must("POST", base+"/live", map[string]any{"itemId": theItem, "momentId": moment, "part": 1, "ms": 40_000, "playing": true}, nil)
	a.presenter.must("PUT", base+"/items/"+theItem+"/record", map[string]any{"revision": 0, "discussion": "Talked over.", "factors": []any{}, "harm": "low", "preventability": "", "learning": []any{}}, nil)
	a.member.must("PUT", base+"/remarks/remark-1", map[string]any{"id": "", "itemId": theItem, "text": "Was the bottle low?"}, nil)
	a.chair.must("PUT", base+"/items/"+theItem+"/voting", map[string]any{"question": "harm", "open": true}, nil)
	a.chair.must("PUT", "/actions/action-1", map[string]any{"id": "", "revision": 0, "meetingId": theMeeting, "itemId": theItem, "text": "Two hooks", "ownerId": "mel", "dueOn": "2026-04-01", "state": "open"}, nil)
	named := strings.NewReplacer("{meeting}", theMeeting, "{item}", theItem, "{moment}", moment, "{number}", "1", "{remark}", "remark-1", "{action}", "action-1",
		"{case}", hiddenCase, "{part}", hiddenPart, "{person}", hiddenOperator, "{complication}", "complication-1", "{visit}", "visit-1")
	sent := bodies()
	sent["put-attendance"] = map[string]any{"userId": "mel", "present": true}
	reached := map[string]bool{}
	for who, c := range map[string]*client{"chair": a.chair, "presenter": a.presenter, "member": a.member} {
		for _, r := range a.apiRoutes() {
			// Names of colleagues are no secret, and a search for one is answered by them.
			if r.name == "sign-out" || r.name == "change-password" || r.name == "list-people" {
				continue
			}
			path := strings.Replace(address(route{method: r.method, path: named.Replace(r.path), name: r.name}, "none"), "revision=1", "revision=99", 1)
			w := c.gives(t, r.method, path, sent[r.name], r.name == "follow-meeting")
			if w.Code < 300 || w.Code == http.StatusConflict {
				reached[r.name] = true
			}
			if r.name != "play-meeting-part" {
				namesNobody(t, who+" "+r.name, w.Body.String())
			}
			namesNobody(t, who+" "+r.name, fmt.Sprint(w.Header()))
			require.Empty(t, w.Header().Get("Last-Modified"), "%s %s tells when the file was made", who, r.name)
		}
	}
	for _, name := range []string{
		"list-meetings", "get-meeting", "compose-pack", "put-item-record", "put-vote", "put-remark", "play-meeting-part", "look-at-meeting-part",
		"follow-meeting", "lead-meeting", "get-denominators", "list-actions", "put-attendance", "get-today", "get-inbox",
	} {
		assert.True(t, reached[name], "%s was never answered: what it gives was not looked at", name)
	}
	// The operator is not invited and finds nothing.
	var lines []annotate.MeetingLine
	a.operator.must("GET", "/meetings", nil, &lines)
	require.Empty(t, lines)
	a.operator.refused("GET", base, nil, http.StatusNotFound, annotate.CodeNotFound)
	a.operator.refused("GET", base+"/live", nil, http.StatusNotFound, annotate.CodeNotFound)
	w := a.operator.send("GET", base+"/items/"+theItem+"/media/1", nil)
	require.Equal(t, http.StatusNotFound, w.Code)
	history := a.operator.send("GET", "/cases/"+hiddenCase+"/history", nil).Body.String()
	require.NotContains(t, history, theMeeting)
}

func TestTheRecordingOfAnItem(t *testing.T) {
	a := assemble(t, sqliteHouse(t))
	path := "/meetings/" + theMeeting + "/items/" + theItem
	a.member.headers = map[string]string{"Range": "bytes=0-99"}
	w := a.member.send("GET", path+"/media/1", nil)
	require.Equal(t, http.StatusPartialContent, w.Code, w.Body)
	require.Equal(t, "video/mp4", w.Header().Get("Content-Type"))
	require.Len(t, w.Body.Bytes(), 100)
	a.member.headers = nil
	a.member.refused("GET", path+"/media/2", nil, http.StatusNotFound, annotate.CodeNotFound)
	if a.library.Stills() {
		still := a.member.send("GET", path+"/stills/"+a.item.Pack.Moments[0].ID+"?width=320", nil)
		require.Equal(t, http.StatusOK, still.Code, still.Body)
		require.Equal(t, "image/jpeg", still.Header().Get("Content-Type"))
	}

	var c map[string]any
	a.operator.must("GET", "/cases/"+hiddenCase, nil, &c)
	c["consent"] = map[string]any{"recording": "yes", "review": "yes", "withdrawnOn": "2026-03-02", "note": ""}
	a.operator.must("PUT", "/cases/"+hiddenCase, c, nil)
	for _, gone := range []string{"/media/1", "/stills/" + a.item.Pack.Moments[0].ID} {
		p := a.member.refused("GET", path+gone, nil, http.StatusForbidden, annotate.CodeForbidden)
		require.Contains(t, p.Detail, "Consent was withdrawn")
	}
	var sheet annotate.MeetingSheet
	a.member.must("GET", "/meetings/"+theMeeting, nil, &sheet)
	require.Contains(t, sheet.Agenda[1].Withdrawn, "Consent was withdrawn")
}

func TestTwoWritersOfARecordGetBothVersions(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		a := assemble(t, newHouse(t, annotatetest.Open(t, address)))
		path := "/meetings/" + theMeeting + "/items/" + theItem + "/record"
		record := map[string]any{"revision": 0, "discussion": "First.", "factors": []any{}, "harm": "", "preventability": "", "learning": []any{}}
		a.chair.must("PUT", path, record, nil)
		record["discussion"] = "Second."
		p := a.presenter.refused("PUT", path, record, http.StatusConflict, annotate.CodeStale)
		require.Equal(t, "Second.", p.Yours.(map[string]any)["discussion"])
		require.Equal(t, "First.", p.Theirs.(map[string]any)["discussion"])
		a.member.refused("PUT", path, record, http.StatusForbidden, annotate.CodeForbidden)
	})
}
