package auth

import (
	"context"
	"fmt"
	"net/http"
	"time"

	"github.com/alexedwards/scs/v2"

	"zonule/annotate"
)

const (
	// idleFor ends a session that nobody used; lifetime ends every session.
	idleFor  = 12 * time.Hour
	lifetime = 7 * 24 * time.Hour
	// touchEvery bounds how often use is written down, so that reading does not mean writing.
	touchEvery = 10 * time.Minute
)

// What a session holds.
const (
	keyUser = "user"
	keySeen = "seen" // Unix seconds
	// keyAccount is the account's revision at sign-in. A change of password, roles or activity raises it, which ends
	// every session that was opened before.
	keyAccount = "account"
)

// Users finds the account of a session; an inactive or unknown one is an error with annotate.CodeSignedOut or
// annotate.CodeNotFound.
type Users func(ctx context.Context, id string) (annotate.User, error)

// Sessions remembers who is signed in. The cookie holds a random token; the store only its hash.
type Sessions struct {
	manager *scs.SessionManager
	users   Users
}

// NewSessions keeps sessions in store. With secure the cookie is sent over https only, and its name makes browsers
// insist on that (RFC 6265bis, "__Host-").
func NewSessions(store scs.Store, users Users, secure bool) *Sessions {
	m := scs.New()
	m.Store = store
	m.HashTokenInStore = true
	m.Lifetime = lifetime
	m.IdleTimeout = idleFor
	m.Cookie = scs.SessionCookie{
		Name: "zonule", Path: "/", HttpOnly: true, SameSite: http.SameSiteLaxMode, Secure: secure,
		// On a shared theatre computer closing the browser must end the session.
		Persist: false,
	}
	if secure {
		m.Cookie.Name = "__Host-zonule"
	}
	return &Sessions{manager: m, users: users}
}

// Visit is what a session says about one request.
type Visit struct {
	// Context carries the session; Begin, Renew and End need it.
	Context context.Context
	// User is nil when nobody is signed in.
	User *annotate.User
}

// Open reads the session of a request, which counts as use of it. A session whose account is gone, inactive or changed
// since counts as signed out. An error means that the store failed.
func (s *Sessions) Open(r *http.Request) (Visit, error) {
	visit, err := s.Look(r)
	if err != nil || visit.User == nil {
		return visit, err
	}
	return visit, s.touch(visit.Context)
}

// LookAgain is Open for an answer that lasts and looks whether the session still stands: it does not count as use, and is not
// told of the session as it was when the request came.
func (s *Sessions) LookAgain(r *http.Request) (Visit, error) {
	return s.Look(r.WithContext(bare{r.Context()}))
}

// bare is a context with its end and without its values.
type bare struct{ context.Context }

func (bare) Value(any) any { return nil }

// Look is Open without counting as use.
func (s *Sessions) Look(r *http.Request) (Visit, error) {
	token := ""
	if cookie, err := r.Cookie(s.manager.Cookie.Name); err == nil {
		token = cookie.Value
	}
	ctx, err := s.manager.Load(r.Context(), token)
	if err != nil {
		return Visit{}, fmt.Errorf("read the session: %w", err)
	}
	visit := Visit{Context: ctx}
	id := s.manager.GetString(ctx, keyUser)
	if id == "" {
		return visit, nil
	}
	user, err := s.users(ctx, id)
	switch annotate.CodeOf(err) {
	case annotate.CodeSignedOut, annotate.CodeNotFound:
		return visit, nil
	}
	if err != nil {
		return Visit{}, err
	}
	if s.manager.GetInt64(ctx, keyAccount) != user.Revision {
		return visit, nil
	}
	visit.User = &user
	return visit, nil
}

// touch moves the idle end on, at most once in touchEvery.
func (s *Sessions) touch(ctx context.Context) error {
	if time.Since(time.Unix(s.manager.GetInt64(ctx, keySeen), 0)) < touchEvery {
		return nil
	}
	s.manager.Put(ctx, keySeen, time.Now().Unix())
	if _, _, err := s.manager.Commit(ctx); err != nil {
		return fmt.Errorf("write the session: %w", err)
	}
	return nil
}

// Begin signs the user in under a new token, so that a token planted before is worth nothing.
func (s *Sessions) Begin(ctx context.Context, user annotate.User) (http.Cookie, error) {
	if err := s.manager.RenewToken(ctx); err != nil {
		return http.Cookie{}, fmt.Errorf("renew the session: %w", err)
	}
	s.manager.Put(ctx, keyUser, user.ID)
	s.manager.Put(ctx, keyAccount, user.Revision)
	s.manager.Put(ctx, keySeen, time.Now().Unix())
	token, _, err := s.manager.Commit(ctx)
	if err != nil {
		return http.Cookie{}, fmt.Errorf("write the session: %w", err)
	}
	return s.cookie(token), nil
}

// End signs out: the session is gone from the store and the browser is told to forget the token.
func (s *Sessions) End(ctx context.Context) (http.Cookie, error) {
	if err := s.manager.Destroy(ctx); err != nil {
		return http.Cookie{}, fmt.Errorf("end the session: %w", err)
	}
	gone := s.cookie("")
	gone.Expires, gone.MaxAge = time.Unix(1, 0), -1
	return gone, nil
}

func (s *Sessions) cookie(token string) http.Cookie {
	c := s.manager.Cookie
	return http.Cookie{Name: c.Name, Value: token, Path: c.Path, HttpOnly: c.HttpOnly, SameSite: c.SameSite, Secure: c.Secure}
}
