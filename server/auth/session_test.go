package auth

import (
	"context"
	"errors"
	"net/http"
	"net/http/httptest"
	"testing"
	"time"

	"github.com/alexedwards/scs/v2/memstore"
	"github.com/stretchr/testify/require"

	"zonule/annotate"
)

// watched counts what reaches the store.
type watched struct {
	*memstore.MemStore
	commits int
	tokens  []string
	expiry  time.Time
	broken  error
}

func (w *watched) Commit(token string, b []byte, expiry time.Time) error {
	w.commits++
	w.tokens = append(w.tokens, token)
	w.expiry = expiry
	return w.MemStore.Commit(token, b, expiry)
}

func (w *watched) Find(token string) ([]byte, bool, error) {
	if w.broken != nil {
		return nil, false, w.broken
	}
	return w.MemStore.Find(token)
}

type desk struct {
	store    *watched
	sessions *Sessions
	users    map[string]annotate.User
}

func newDesk(secure bool) *desk {
	d := &desk{
		store: &watched{MemStore: memstore.NewWithCleanupInterval(0)},
		users: map[string]annotate.User{"u1": {ID: "u1", Revision: 3, Active: true}},
	}
	d.sessions = NewSessions(d.store, func(_ context.Context, id string) (annotate.User, error) {
		if user, ok := d.users[id]; ok {
			return user, nil
		}
		return annotate.User{}, annotate.Refuse(annotate.CodeSignedOut, "no such account")
	}, secure)
	return d
}

func (d *desk) open(t *testing.T, cookie http.Cookie) Visit {
	t.Helper()
	r := httptest.NewRequest("GET", "/", nil)
	if cookie.Value != "" {
		r.AddCookie(&cookie)
	}
	visit, err := d.sessions.Open(r)
	require.NoError(t, err)
	return visit
}

func (d *desk) begin(t *testing.T, cookie http.Cookie) http.Cookie {
	t.Helper()
	cookie, err := d.sessions.Begin(d.open(t, cookie).Context, d.users["u1"])
	require.NoError(t, err)
	return cookie
}

func TestSessionLivesFromSignInToSignOut(t *testing.T) {
	d := newDesk(false)
	require.Nil(t, d.open(t, http.Cookie{}).User)
	require.Zero(t, d.store.commits, "reading signed out writes nothing")

	cookie := d.begin(t, http.Cookie{})
	visit := d.open(t, cookie)
	require.NotNil(t, visit.User)
	require.Equal(t, "u1", visit.User.ID)

	gone, err := d.sessions.End(visit.Context)
	require.NoError(t, err)
	require.Negative(t, gone.MaxAge)
	require.Nil(t, d.open(t, cookie).User, "the token is worth nothing after sign-out, whatever the browser keeps")
}

func TestSessionCookie(t *testing.T) {
	tests := []struct {
		secure bool
		name   string
	}{{false, "zonule"}, {true, "__Host-zonule"}}
	for _, tt := range tests {
		cookie := newDesk(tt.secure).begin(t, http.Cookie{})
		require.Equal(t, tt.name, cookie.Name)
		require.Equal(t, tt.secure, cookie.Secure)
		require.True(t, cookie.HttpOnly)
		require.Equal(t, http.SameSiteLaxMode, cookie.SameSite)
		require.Equal(t, "/", cookie.Path)
		require.Zero(t, cookie.MaxAge, "closing the browser ends it")
	}
}

func TestSignInTakesANewToken(t *testing.T) {
	d := newDesk(false)
	planted := d.begin(t, http.Cookie{})
	fresh := d.begin(t, planted)
	require.NotEqual(t, planted.Value, fresh.Value)
	require.Nil(t, d.open(t, planted).User)
	require.NotContains(t, d.store.tokens, fresh.Value, "the store holds only the hash of the token")
}

func TestSessionEndsWithTheAccount(t *testing.T) {
	d := newDesk(false)
	cookie := d.begin(t, http.Cookie{})
	changed := d.users["u1"]
	changed.Revision++
	d.users["u1"] = changed
	require.Nil(t, d.open(t, cookie).User, "a changed account ends the sessions opened before")

	cookie = d.begin(t, http.Cookie{})
	delete(d.users, "u1")
	require.Nil(t, d.open(t, cookie).User)
}

func TestReadingDoesNotWrite(t *testing.T) {
	d := newDesk(false)
	cookie := d.begin(t, http.Cookie{})
	before := d.store.commits
	for range 5 {
		require.NotNil(t, d.open(t, cookie).User)
	}
	require.Equal(t, before, d.store.commits)

	visit := d.open(t, cookie)
	d.sessions.manager.Put(visit.Context, keySeen, time.Now().Add(-touchEvery).Unix())
	_, _, err := d.sessions.manager.Commit(visit.Context)
	require.NoError(t, err)
	before = d.store.commits
	require.NotNil(t, d.open(t, cookie).User)
	require.Equal(t, before+1, d.store.commits, "use moves the idle end on")
	require.NotNil(t, d.open(t, cookie).User)
	require.Equal(t, before+1, d.store.commits)
	require.WithinDuration(t, time.Now().Add(idleFor), d.store.expiry, time.Minute)
}

func TestSessionHasAnEnd(t *testing.T) {
	d := newDesk(false)
	d.sessions.manager.Lifetime = time.Hour
	d.begin(t, http.Cookie{})
	require.WithinDuration(t, time.Now().Add(time.Hour), d.store.expiry, time.Minute, "the absolute end wins over the idle one")
}

func TestABrokenStoreIsNotSignedOut(t *testing.T) {
	d := newDesk(false)
	cookie := d.begin(t, http.Cookie{})
	d.store.broken = errors.New("disk on fire")
	r := httptest.NewRequest("GET", "/", nil)
	r.AddCookie(&cookie)
	_, err := d.sessions.Open(r)
	require.ErrorIs(t, err, d.store.broken)
}
