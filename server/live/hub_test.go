package live

import (
	"context"
	"errors"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
)

// shelf is a store of one place that counts how often it is looked at.
type shelf struct {
	mutex sync.Mutex
	place annotate.LivePlace
	err   error
	looks int
}

func (s *shelf) look(context.Context, string) (annotate.LivePlace, error) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	s.looks++
	return s.place, s.err
}

func (s *shelf) put(seq int64, err error) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	s.place.Place.Seq, s.err = seq, err
}

func (s *shelf) looked() int {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	return s.looks
}

func next(t *testing.T, l *Listener) int64 {
	t.Helper()
	select {
	case news := <-l.News:
		return news.Place.Seq
	case <-time.After(5 * time.Second):
		t.Fatal("nothing was told")
		return 0
	}
}

func hubOver(s *shelf, every time.Duration) *Hub {
	h := NewHub(s.look)
	h.every = every
	return h
}

func TestWhatAnotherServerStoredIsTold(t *testing.T) {
	s := &shelf{}
	h := hubOver(s, time.Millisecond)
	defer h.Close()
	first, second := h.Listen("meeting"), h.Listen("meeting")
	s.put(1, nil)
	require.EqualValues(t, 1, next(t, first))
	require.EqualValues(t, 1, next(t, second))
}

func TestWakingTellsWithoutWaiting(t *testing.T) {
	s := &shelf{}
	h := hubOver(s, time.Hour)
	defer h.Close()
	l := h.Listen("meeting")
	require.Eventually(t, func() bool { return s.looked() == 1 }, 5*time.Second, time.Millisecond)
	s.put(7, nil)
	h.Wake("another")
	h.Wake("meeting")
	require.EqualValues(t, 7, next(t, l))
}

func TestASlowDeviceGetsTheNewestPlace(t *testing.T) {
	s := &shelf{}
	h := hubOver(s, time.Hour)
	defer h.Close()
	l := h.Listen("meeting")
	for seq := int64(1); seq <= 5; seq++ {
		s.put(seq, nil)
		before := s.looked()
		h.Wake("meeting")
		require.Eventually(t, func() bool { return s.looked() > before }, 5*time.Second, time.Millisecond)
	}
	require.Eventually(t, func() bool { return next(t, l) == 5 }, 5*time.Second, time.Millisecond)
}

func TestAStoreThatIsAwayIsAskedAgain(t *testing.T) {
	s := &shelf{}
	s.put(0, errors.New("away"))
	h := hubOver(s, time.Millisecond)
	defer h.Close()
	l := h.Listen("meeting")
	require.Eventually(t, func() bool { return s.looked() > 3 }, 5*time.Second, time.Millisecond)
	s.put(2, nil)
	require.EqualValues(t, 2, next(t, l))
}

func TestNobodyListensNobodyLooks(t *testing.T) {
	s := &shelf{}
	h := hubOver(s, time.Millisecond)
	defer h.Close()
	l, other := h.Listen("meeting"), h.Listen("meeting")
	l.Leave()
	l.Leave()
	require.Len(t, h.rooms, 1)
	other.Leave()
	require.Empty(t, h.rooms)
	require.Eventually(t, func() bool {
		looks := s.looked()
		time.Sleep(20 * time.Millisecond)
		return s.looked() == looks
	}, 5*time.Second, time.Millisecond)
}

func TestClosingEndsThoseWhoListen(t *testing.T) {
	h := hubOver(&shelf{}, time.Millisecond)
	l := h.Listen("meeting")
	h.Close()
	h.Close()
	<-h.Done()
	l.Leave()
	late := h.Listen("meeting")
	require.Empty(t, h.rooms, "a closed hub looks for nobody")
	late.Leave()
}
