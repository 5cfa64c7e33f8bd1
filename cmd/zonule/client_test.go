package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/cookiejar"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
)

// client speaks HTTP to a running program, as one person.
type client struct {
	base string
	http *http.Client
}

func newClient(t *testing.T, base string) *client {
	t.Helper()
	jar, err := cookiejar.New(nil)
	require.NoError(t, err)
	return &client{base: base, http: &http.Client{Jar: jar, Timeout: 30 * time.Second}}
}

// send makes one request; answer may be nil. The error holds the problem of any status from 300 on.
func (c *client) send(method, path string, body, answer any) error {
	var content io.Reader
	if body != nil {
		text, err := json.Marshal(body)
		if err != nil {
			return err
		}
		content = bytes.NewReader(text)
	}
	request, err := http.NewRequest(method, c.base+"/api/v1"+path, content)
	if err != nil {
		return err
	}
	request.Header.Set("Content-Type", "application/json")
	response, err := c.http.Do(request)
	if err != nil {
		return err
	}
	defer response.Body.Close()
	text, err := io.ReadAll(response.Body)
	switch {
	case err != nil:
		return err
	case response.StatusCode >= 300:
		return fmt.Errorf("%s %s: %d %s", method, path, response.StatusCode, text)
	case answer == nil || len(text) == 0:
		return nil
	}
	return json.Unmarshal(text, answer)
}

func (c *client) must(t *testing.T, method, path string, body, answer any) {
	t.Helper()
	require.NoError(t, c.send(method, path, body, answer))
}

// signIn signs in; with a one-time password it chooses its own, as the page asks.
func (c *client) signIn(t *testing.T, login, password string) annotate.User {
	t.Helper()
	var user annotate.User
	c.must(t, http.MethodPost, "/sign-in", map[string]string{"login": login, "password": password}, &user)
	if user.MustChangePassword {
		c.must(t, http.MethodPost, "/me/password", map[string]string{"old": password, "new": ownPassword}, nil)
		c.must(t, http.MethodPost, "/sign-in", map[string]string{"login": login, "password": ownPassword}, &user)
	}
	return user
}

// ownPassword is what everybody in these tests chooses.
const ownPassword = "a gull on every bollard"

// newUser makes an account as the administrator and gives its one-time password.
func (c *client) newUser(t *testing.T, id, login string, roles ...annotate.Role) (annotate.User, string) {
	t.Helper()
	var user annotate.User
	c.must(t, http.MethodPut, "/users/"+id, annotate.User{ID: id, Login: login, Name: "Person " + login, Roles: roles, Grade: annotate.GradeConsultant, Active: true}, &user)
	var answer struct {
		OneTimePassword string `json:"oneTimePassword"`
	}
	c.must(t, http.MethodPost, "/users/"+user.ID+"/password-reset", nil, &answer)
	return user, answer.OneTimePassword
}
