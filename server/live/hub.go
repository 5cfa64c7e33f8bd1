package live

import (
	"context"
	"sync"
	"time"

	"zonule/annotate"
)

const (
	// lookEvery is how often a server looks at the store while somebody follows: what was posted to another server is told
	// within that time.
	lookEvery = 400 * time.Millisecond
	// lookLimit bounds one look, so that a database that is away is asked again.
	lookLimit = 5 * time.Second
)

// Look reads where a meeting is.
type Look func(ctx context.Context, meetingID string) (annotate.LivePlace, error)

// Hub knows who follows which meeting on this server, and looks at the store only for meetings that somebody follows. It is
// safe for use by several goroutines.
type Hub struct {
	look  Look
	every time.Duration
	done  chan struct{} // closed when the server stops

	mutex  sync.Mutex
	rooms  map[string]*room
	closed bool
}

// room is one meeting that somebody follows.
type room struct {
	wake      chan struct{}
	stop      context.CancelFunc
	listeners map[*Listener]bool
}

// Listener is one device that follows a meeting.
type Listener struct {
	// News holds the newest place that the device has not been told. What is newer replaces what waits, so that a slow device
	// skips places and never falls behind.
	News <-chan annotate.LivePlace

	news    chan annotate.LivePlace
	hub     *Hub
	meeting string
}

// NewHub makes a hub that looks through the function.
func NewHub(look Look) *Hub {
	return &Hub{look: look, every: lookEvery, done: make(chan struct{}), rooms: map[string]*room{}}
}

// Done is closed when the hub is: those who listen end.
func (h *Hub) Done() <-chan struct{} { return h.done }

// Listen follows a meeting until Leave is called.
func (h *Hub) Listen(meetingID string) *Listener {
	news := make(chan annotate.LivePlace, 1)
	l := &Listener{News: news, news: news, hub: h, meeting: meetingID}
	h.mutex.Lock()
	defer h.mutex.Unlock()
	if h.closed {
		return l
	}
	r := h.rooms[meetingID]
	if r == nil {
		ctx, stop := context.WithCancel(context.Background())
		r = &room{wake: make(chan struct{}, 1), stop: stop, listeners: map[*Listener]bool{}}
		h.rooms[meetingID] = r
		go h.watch(ctx, meetingID, r)
	}
	r.listeners[l] = true
	return l
}

// Leave ends the listening. The last one to leave ends the looking.
func (l *Listener) Leave() {
	h := l.hub
	h.mutex.Lock()
	defer h.mutex.Unlock()
	r := h.rooms[l.meeting]
	if r == nil || !r.listeners[l] {
		return
	}
	delete(r.listeners, l)
	if len(r.listeners) == 0 {
		r.stop()
		delete(h.rooms, l.meeting)
	}
}

// Wake looks at once: something of the meeting was changed through this server.
func (h *Hub) Wake(meetingID string) {
	h.mutex.Lock()
	defer h.mutex.Unlock()
	if r := h.rooms[meetingID]; r != nil {
		select {
		case r.wake <- struct{}{}:
		default: // it is about to look anyway
		}
	}
}

// Close ends all looking, and everybody who waits for Done.
func (h *Hub) Close() {
	h.mutex.Lock()
	defer h.mutex.Unlock()
	if h.closed {
		return
	}
	h.closed = true
	close(h.done)
	for id, r := range h.rooms {
		r.stop()
		delete(h.rooms, id)
	}
}

// watch looks until nobody listens. A look that fails is followed by another; those who listen keep what they have.
func (h *Hub) watch(ctx context.Context, meetingID string, r *room) {
	ticker := time.NewTicker(h.every)
	defer ticker.Stop()
	var told annotate.LivePlace
	for {
		bounded, cancel := context.WithTimeout(ctx, lookLimit)
		now, err := h.look(bounded, meetingID)
		cancel()
		if err == nil && now != told {
			told = now
			h.tell(r, now)
		}
		select {
		case <-ctx.Done():
			return
		case <-r.wake:
		case <-ticker.C:
		}
	}
}

func (h *Hub) tell(r *room, now annotate.LivePlace) {
	h.mutex.Lock()
	defer h.mutex.Unlock()
	for l := range r.listeners {
		select {
		case <-l.news: // what it has not taken yet is old
		default:
		}
		l.news <- now
	}
}
