package server

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"time"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humagin"

	"zonule/annotate"
)

const (
	// beatEvery is how often something is sent when nothing happens, so that nothing between cuts the line.
	beatEvery = 15 * time.Second
	// askEvery is how often it is asked whether the session still stands and the meeting is still open to the person.
	askEvery = 20 * time.Second
	// writeLimit cuts a device that takes nothing any more.
	writeLimit = 10 * time.Second
	// retryAfter is after how many ms a device whose line was cut comes back.
	retryAfter = 1000
)

type placeInput struct {
	Meeting string `path:"meeting"`
	Body    annotate.Place
}

type placeOutput struct{ Body annotate.Place }

func (s *Server) leadMeeting(ctx context.Context, in *placeInput) (*placeOutput, error) {
	place, err := s.service.LeadMeeting(ctx, actorOf(ctx), in.Meeting, in.Body)
	if err == nil {
		s.hub.Wake(in.Meeting)
	}
	return &placeOutput{Body: place}, err
}

type followInput struct {
	Meeting string `path:"meeting"`
	// LastEventID is what a device was told last before its line was cut (HTML standard, server-sent events).
	LastEventID string `header:"Last-Event-ID"`
}

// followMeeting tells a member's device where the meeting is, for as long as both last.
func (s *Server) followMeeting(ctx context.Context, in *followInput) (*huma.StreamResponse, error) {
	if _, err := s.service.FollowMeeting(ctx, actorOf(ctx), in.Meeting); err != nil {
		return nil, err
	}
	return &huma.StreamResponse{Body: func(hc huma.Context) {
		c := humagin.Unwrap(hc)
		f := &follower{server: s, request: c.Request, meeting: in.Meeting, writer: c.Writer, control: http.NewResponseController(c.Writer)}
		if n, err := fmt.Sscanf(in.LastEventID, "%d.%d", &f.seq, &f.change); n != 2 || err != nil {
			f.seq, f.change = -1, -1
		}
		f.run()
	}}, nil
}

// follower is one line to a device.
type follower struct {
	server      *Server
	request     *http.Request
	meeting     string
	writer      http.ResponseWriter
	control     *http.ResponseController
	seq, change int64 // that the device was told; -1 none
	told        annotate.Place
}

func (f *follower) run() {
	header := f.writer.Header()
	header.Set("Content-Type", "text/event-stream; charset=utf-8")
	header.Set("Cache-Control", "no-store")
	header.Set("X-Accel-Buffering", "no") // a proxy before us must not gather what is sent
	f.writer.WriteHeader(http.StatusOK)
	listener := f.server.hub.Listen(f.meeting)
	defer listener.Leave()
	if !f.send(fmt.Sprintf("retry: %d\n\n", retryAfter)) || !f.ask() {
		return
	}
	beat, ask := time.NewTicker(f.server.beatEvery), time.NewTicker(f.server.askEvery)
	defer beat.Stop()
	defer ask.Stop()
	for {
		goesOn := true
		select {
		case <-f.request.Context().Done():
			return
		case <-f.server.hub.Done():
			return
		case now := <-listener.News:
			// A change may be that the person is no longer invited.
			goesOn = now.Change == f.change && f.tell(now) || now.Change != f.change && f.ask()
		case <-ask.C:
			goesOn = f.ask()
		case <-beat.C:
			goesOn = f.send(": still here\n\n")
		}
		if !goesOn {
			return
		}
	}
}

// ask looks whether the person may still follow, and tells where the meeting is. When the store cannot be asked the line is
// cut: the device comes back and is asked again.
func (f *follower) ask() bool {
	ctx, cancel := context.WithTimeout(f.request.Context(), workLimit)
	defer cancel()
	visit, err := f.server.sessions.LookAgain(f.request.WithContext(ctx))
	if err != nil {
		return false
	}
	if visit.User == nil || visit.User.MustChangePassword {
		return f.end("signed-out")
	}
	now, err := f.server.service.FollowMeeting(ctx, annotate.Actor{User: *visit.User}, f.meeting)
	switch annotate.CodeOf(err) {
	case annotate.CodeNotFound, annotate.CodeSignedOut, annotate.CodeForbidden:
		return f.end("closed")
	}
	return err == nil && f.tell(now)
}

// end tells a device not to come back.
func (f *follower) end(reason string) bool {
	f.event("end", map[string]string{"reason": reason})
	return false
}

// tell sends what is new. The place is sent anew when it was blanked, which leaves its number.
func (f *follower) tell(now annotate.LivePlace) bool {
	place, change := now.Place.Seq != f.seq || f.told != (annotate.Place{}) && now.Place != f.told, now.Change != f.change
	if place && now.Place.Seq < f.seq {
		return true // read before what was told already
	}
	f.seq, f.change, f.told = now.Place.Seq, max(f.change, now.Change), now.Place
	if change && !f.event("change", map[string]int64{"change": now.Change}) {
		return false
	}
	if !place {
		return true
	}
	return f.event("place", livePlaceBody{now.Place, f.server.now().UnixMilli()})
}

// livePlaceBody is a place with the server's time when it was sent, by which a device knows how far a film has gone on.
type livePlaceBody struct {
	annotate.Place
	SentAt int64 `json:"sentAt"` // Unix ms
}

func (f *follower) event(name string, body any) bool {
	encoded, err := json.Marshal(body)
	if err != nil {
		return false
	}
	return f.send(fmt.Sprintf("id: %d.%d\nevent: %s\ndata: %s\n\n", f.seq, f.change, name, encoded))
}

func (f *follower) send(text string) bool {
	// Writers of tests have no deadline.
	_ = f.control.SetWriteDeadline(time.Now().Add(writeLimit))
	if _, err := f.writer.Write([]byte(text)); err != nil {
		return false
	}
	return f.control.Flush() == nil
}
