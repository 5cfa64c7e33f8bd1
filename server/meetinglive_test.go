package server

import (
	"bufio"
	"context"
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
)

// another is a second server over a store, as a department runs several, or one after a restart.
func (h *house) another(t *testing.T, address string) *house {
	t.Helper()
	s := annotatetest.Open(t, address)
	other := &house{t: t, log: h.log}
	clock := func() time.Time { return time.UnixMilli(h.now.Load()).UTC() }
	service := annotate.NewService(annotate.Options{
		Store: s, Now: clock, NewID: h.newID, Media: NewRecorder(h.library),
		HashPassword:  func(password string) (string, error) { return "plain:" + password, nil },
		CheckPassword: func(password, hash string) (bool, error) { return hash == "plain:"+password, nil },
	})
	var err error
	other.Server, err = New(Options{Service: service, Media: h.library, Sessions: s.Sessions(), Now: clock, NewID: h.newID})
	require.NoError(t, err)
	return other
}

// happened is one event of a stream.
type happened struct {
	id, name string
	place    livePlaceBody
	data     string
	at       time.Time
}

// device follows the meeting over a real connection.
type device struct {
	t      *testing.T
	events chan happened
	beats  chan struct{}
	leave  func()
}

// follow opens a stream to a server with somebody's session; last is the id of the event that was seen last.
func follow(t *testing.T, server *httptest.Server, c *client, last string) *device {
	t.Helper()
	ctx, cancel := context.WithCancel(t.Context())
	t.Cleanup(cancel)
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, server.URL+prefix+"/meetings/"+theMeeting+"/live", http.NoBody)
	require.NoError(t, err)
	r.AddCookie(c.cookie)
	if last != "" {
		r.Header.Set("Last-Event-ID", last)
	}
	answer, err := server.Client().Do(r)
	require.NoError(t, err)
	require.Equal(t, http.StatusOK, answer.StatusCode)
	require.Equal(t, "text/event-stream; charset=utf-8", answer.Header.Get("Content-Type"))
	d := &device{t: t, events: make(chan happened, 100), beats: make(chan struct{}, 1000), leave: cancel}
	go func() {
		defer close(d.events)
		defer func() { _ = answer.Body.Close() }()
		var now happened
		for lines := bufio.NewScanner(answer.Body); lines.Scan(); {
			field, value, _ := strings.Cut(lines.Text(), ": ")
			switch field {
			case "id":
				now.id = value
			case "event":
				now.name = value
			case "data":
				now.data, now.at = value, time.Now()
				_ = json.Unmarshal([]byte(value), &now.place)
			case "":
				if value != "" {
					d.beats <- struct{}{}
				} else if now.name != "" {
					d.events <- now
					now = happened{}
				}
			}
		}
	}()
	return d
}

// next waits for an event of the name; others are passed over.
func (d *device) next(name string) happened {
	d.t.Helper()
	for late := time.After(10 * time.Second); ; {
		select {
		case one, open := <-d.events:
			require.True(d.t, open, "the stream ended before %q", name)
			if one.name == name {
				return one
			}
		case <-late:
			d.t.Fatalf("no %q came", name)
		}
	}
}

// place waits until the device shows the time of the film.
func (d *device) place(ms int64) happened {
	d.t.Helper()
	for {
		if one := d.next("place"); one.place.Ms == ms {
			return one
		}
	}
}

func (c *client) leads(t *testing.T, ms int64) {
	t.Helper()
	c.must("POST", "/meetings/"+theMeeting+"/live", map[string]any{"itemId": theItem, "part": 1, "ms": ms, "playing": true}, nil)
}

// The presenter speaks to one server and a member's device listens at another over the same store. Through a change of
// presenter and a restart nothing is lost.
func TestFollowingAcrossServers(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		a := assemble(t, newHouse(t, annotatetest.Open(t, address)))
		second := httptest.NewServer(a.another(t, address))
		phone := follow(t, second, a.member, "")
		require.Equal(t, annotate.MeetingRunning, phone.next("place").place.State, "before the first place the device knows that it runs")
		for ms := int64(1000); ms <= 5000; ms += 1000 {
			posted := time.Now()
			a.presenter.leads(t, ms)
			seen := phone.place(ms)
			require.Less(t, seen.at.Sub(posted), 1500*time.Millisecond)
			require.Equal(t, "pia", seen.place.PresenterID)
			namesNobody(t, "the stream", seen.data)
		}
		late := follow(t, second, a.member, "")
		require.EqualValues(t, 5000, late.next("place").place.Ms, "who comes late gets the present place first")
		late.leave()

		// The presenter changes in mid-meeting.
		changed := a.meeting.Meeting
		changed.PresenterID = "mel"
		a.chair.must("PUT", "/meetings/"+theMeeting, changed, nil)
		phone.next("change")
		a.presenter.refused("POST", "/meetings/"+theMeeting+"/live", map[string]any{"itemId": theItem}, http.StatusForbidden, annotate.CodeForbidden)
		a.member.leads(t, 6000)
		last := phone.place(6000)
		require.Equal(t, "mel", last.place.PresenterID)

		// The line is cut, the other server is started anew, and meanwhile the meeting goes on.
		second.CloseClientConnections()
		second.Close()
		a.member.leads(t, 7000)
		restarted := httptest.NewServer(a.another(t, address))
		defer restarted.Close()
		back := follow(t, restarted, a.member, last.id)
		require.EqualValues(t, 7000, back.next("place").place.Ms)
		a.member.leads(t, 8000)
		again := back.place(8000)
		back.leave()
		unchanged := follow(t, restarted, a.member, again.id)
		a.member.leads(t, 9000)
		require.EqualValues(t, 9000, unchanged.next("place").place.Ms, "what the device has is not sent again")
		unchanged.leave()
	})
}

func TestAStreamEndsWithTheRightToIt(t *testing.T) {
	a := assemble(t, sqliteHouse(t))
	a.beatEvery, a.askEvery = 20*time.Millisecond, 50*time.Millisecond
	server := httptest.NewServer(a.Server)
	defer server.Close()

	a.presenter.leads(t, 4000)
	withdrawing := follow(t, server, a.member, "")
	require.EqualValues(t, 4000, withdrawing.next("place").place.Ms)
	var c map[string]any
	a.operator.must("GET", "/cases/"+hiddenCase, nil, &c)
	c["consent"] = map[string]any{"recording": "yes", "review": "no", "note": ""}
	a.operator.must("PUT", "/cases/"+hiddenCase, c, nil)
	blank := withdrawing.next("place").place
	require.Equal(t, []any{theItem, 0, int64(0), false}, []any{blank.ItemID, blank.Part, blank.Ms, blank.Playing}, "a withdrawn consent takes the film off every device")
	<-withdrawing.beats
	withdrawing.leave()

	leaving := follow(t, server, a.member, "")
	leaving.next("place")
	fewer := a.meeting.Meeting
	fewer.Attendees = fewer.Attendees[1:] // mel stands first
	a.chair.must("PUT", "/meetings/"+theMeeting, fewer, nil)
	require.JSONEq(t, `{"reason":"closed"}`, leaving.next("end").data)

	out := follow(t, server, a.presenter, "")
	out.next("place")
	a.presenter.must("POST", "/sign-out", nil, nil)
	require.JSONEq(t, `{"reason":"signed-out"}`, out.next("end").data)

	stopping := follow(t, server, a.chair, "")
	stopping.next("place")
	a.hub.Close()
	for range stopping.events {
	}
}
