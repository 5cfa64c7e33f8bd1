package server

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/danielgtaylor/huma/v2"
	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
	"zonule/annotate/store"
	"zonule/server/media"
)

// house is a unit with its people, behind the real door, over a real store.
type house struct {
	*Server
	t     *testing.T
	now   atomic.Int64 // Unix ms
	ids   atomic.Int64
	log   *bytes.Buffer
	admin *client
}

// ownWord is the password that everybody chooses.
const ownWord = "a heron on one leg"

// newHouse opens a unit over the store. Clock and ids are fixed, so that two houses with the same history are alike.
func newHouse(t *testing.T, s *store.Store) *house {
	t.Helper()
	h := &house{t: t, log: &bytes.Buffer{}}
	h.now.Store(time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC).UnixMilli())
	clock := func() time.Time { return time.UnixMilli(h.now.Load()).UTC() }
	newID := func() string { return fmt.Sprintf("id-%04d", h.ids.Add(1)) }
	films, err := filepath.Abs(filepath.Join("..", "annotate", "demo", "film", "films"))
	require.NoError(t, err)
	clips, err := filepath.Abs(filepath.Join("..", "testdata", "media"))
	require.NoError(t, err)
	library, err := media.NewLibrary([]media.Root{{Name: "films", Dir: films}, {Name: "clips", Dir: clips}}, media.WithFFprobe(""))
	require.NoError(t, err)
	service := annotate.NewService(annotate.Options{
		Store: s, Now: clock, NewID: newID, Media: NewRecorder(library),
		// A cheap stand-in: the cost of the real one is the point of auth's own tests.
		HashPassword:  func(password string) (string, error) { return "plain:" + password, nil },
		CheckPassword: func(password, hash string) (bool, error) { return hash == "plain:"+password, nil },
	})
	ctx := context.Background()
	require.NoError(t, service.EnsureStepLists(ctx))
	h.Server, err = New(Options{
		Service: service, Media: library, Sessions: s.Sessions(), Log: slog.New(slog.NewJSONHandler(h.log, nil)),
		Now: clock, NewID: newID, Address: "https://zonule.example.org",
	})
	require.NoError(t, err)
	login, word, created, err := service.EnsureAdministrator(ctx)
	require.NoError(t, err)
	require.True(t, created)
	h.admin = h.client()
	h.admin.settle(login, word)
	return h
}

func sqliteHouse(t *testing.T) *house {
	t.Helper()
	return newHouse(t, annotatetest.Open(t, annotatetest.SQLiteAddress(t)))
}

// hire makes an account and signs it in. Id and login are the same.
func (h *house) hire(login string, roles ...annotate.Role) *client {
	h.t.Helper()
	h.admin.must("PUT", "/users/"+login, map[string]any{
		"login": login, "name": "Person " + login, "roles": roles, "grade": annotate.GradeConsultant, "active": true, "revision": 0,
	}, nil)
	c := h.client()
	c.settle(login, h.oneTimeWord(login))
	return c
}

func (h *house) oneTimeWord(login string) string {
	h.t.Helper()
	var answer struct {
		OneTimePassword string `json:"oneTimePassword"`
	}
	h.admin.must("POST", "/users/"+login+"/password-reset", nil, &answer)
	return answer.OneTimePassword
}

// client is one person's browser.
type client struct {
	house  *house
	cookie *http.Cookie
	// headers are sent with every request.
	headers map[string]string
}

func (h *house) client() *client { return &client{house: h} }

// settle signs in with a one-time password and chooses a lasting one.
func (c *client) settle(login, word string) {
	c.house.t.Helper()
	c.signIn(login, word)
	c.must("POST", "/me/password", map[string]string{"old": word, "new": ownWord}, nil)
}

func (c *client) signIn(login, word string) annotate.User {
	c.house.t.Helper()
	var user annotate.User
	c.must("POST", "/sign-in", map[string]string{"login": login, "password": word}, &user)
	return user
}

// send makes one request below the prefix. A body that is []byte goes as it is.
func (c *client) send(method, path string, body any) *httptest.ResponseRecorder {
	c.house.t.Helper()
	content, raw := body.([]byte)
	if !raw && body != nil {
		var err error
		content, err = json.Marshal(body)
		require.NoError(c.house.t, err)
	}
	r := httptest.NewRequest(method, prefix+path, bytes.NewReader(content))
	if body != nil {
		r.Header.Set("Content-Type", "application/json")
	}
	if c.cookie != nil {
		r.AddCookie(c.cookie)
	}
	for name, value := range c.headers {
		r.Header.Set(name, value)
	}
	w := httptest.NewRecorder()
	c.house.ServeHTTP(w, r)
	for _, cookie := range w.Result().Cookies() {
		c.cookie = cookie
	}
	c.house.described(method, path, w)
	return w
}

func (c *client) must(method, path string, body, into any) {
	c.house.t.Helper()
	w := c.send(method, path, body)
	require.Less(c.house.t, w.Code, 300, "%s %s: %s", method, path, w.Body)
	if into != nil {
		require.NoError(c.house.t, json.Unmarshal(w.Body.Bytes(), into), w.Body.String())
	}
}

// refused expects a problem with the code.
func (c *client) refused(method, path string, body any, status int, code annotate.Code) Problem {
	c.house.t.Helper()
	w := c.send(method, path, body)
	require.Equal(c.house.t, status, w.Code, "%s %s: %s", method, path, w.Body)
	p := problemFrom(c.house.t, w)
	require.Equal(c.house.t, code, p.Code, p.Detail)
	require.NotEmpty(c.house.t, p.Detail)
	return p
}

// described holds every JSON answer to the description that the page is built from: no list is null, nothing is
// missing, nothing is there that the description does not know.
func (h *house) described(method, path string, w *httptest.ResponseRecorder) {
	h.t.Helper()
	kind, _, _ := strings.Cut(w.Header().Get("Content-Type"), ";")
	if kind != "application/json" && kind != "application/problem+json" {
		return
	}
	operation := h.operation(method, path)
	if operation == nil {
		return
	}
	answer := operation.Responses[fmt.Sprint(w.Code)]
	if answer == nil {
		answer = operation.Responses["default"]
	}
	described := answer.Content[kind]
	require.NotNil(h.t, described, "%s %s answers %d %s, which is not described", method, path, w.Code, kind)
	if described.Schema.Format == "binary" {
		return
	}
	var parsed any
	require.NoError(h.t, json.Unmarshal(w.Body.Bytes(), &parsed), w.Body.String())
	var found huma.ValidateResult
	huma.Validate(h.api.OpenAPI().Components.Schemas, described.Schema, huma.NewPathBuffer(nil, 0), huma.ModeReadFromServer, parsed, &found)
	require.Empty(h.t, found.Errors, "%s %s: %s", method, path, w.Body)
}

func (h *house) operation(method, path string) *huma.Operation {
	path, _, _ = strings.Cut(path, "?")
	asked := strings.Split(path, "/")
	for template, item := range h.api.OpenAPI().Paths {
		segments := strings.Split(template, "/")
		same := len(segments) == len(asked)
		for i := 0; same && i < len(segments); i++ {
			same = segments[i] == asked[i] || strings.HasPrefix(segments[i], "{")
		}
		if same {
			return map[string]*huma.Operation{"GET": item.Get, "PUT": item.Put, "POST": item.Post, "DELETE": item.Delete, "HEAD": item.Head}[method]
		}
	}
	return nil
}
