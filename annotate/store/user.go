package store

import (
	"context"
	"strings"
	"unicode/utf8"

	"zonule/annotate"
)

type userRow struct {
	ID                 string
	Revision           int64
	Login              string
	Name               string
	Roles              text[[]annotate.Role]
	Grade              annotate.Grade
	Active             bool
	MustChangePassword bool   `db:"must_change_password"`
	PasswordHash       string `db:"password_hash"`
	CreatedAt          int64  `db:"created_at"`
}

const userColumns = "id, revision, login, name, roles, grade, active, must_change_password, password_hash, created_at"

func (r userRow) account() annotate.Account {
	return annotate.Account{PasswordHash: r.PasswordHash, User: annotate.User{
		ID: r.ID, Revision: r.Revision, Login: r.Login, Name: r.Name, Roles: r.Roles.value, Grade: r.Grade, Active: r.Active,
		MustChangePassword: r.MustChangePassword, CreatedAt: r.CreatedAt,
	}}
}

func (t *tx) User(ctx context.Context, id string) (annotate.Account, error) {
	var row userRow
	err := t.get(ctx, &row, "SELECT "+userColumns+" FROM users WHERE id = ?", id)
	return row.account(), err
}

func (t *tx) UserByLogin(ctx context.Context, login string) (annotate.Account, error) {
	var row userRow
	err := t.get(ctx, &row, "SELECT "+userColumns+" FROM users WHERE login = ?", login)
	return row.account(), err
}

func (t *tx) Users(ctx context.Context) ([]annotate.Account, error) {
	var rows []userRow
	err := t.list(ctx, &rows, "SELECT "+userColumns+" FROM users ORDER BY id")
	accounts := make([]annotate.Account, len(rows))
	for i, row := range rows {
		accounts[i] = row.account()
	}
	return accounts, err
}

func (t *tx) InsertUser(ctx context.Context, a annotate.Account) error {
	return t.insert(ctx, "users", userColumns+", search", []any{
		a.ID, a.Revision, a.Login, a.Name, asText(a.Roles), a.Grade, a.Active, a.MustChangePassword, a.PasswordHash, a.CreatedAt,
		strings.ToLower(a.Name),
	})
}

func (t *tx) UpdateUser(ctx context.Context, a annotate.Account) error {
	return t.one(ctx, `UPDATE users SET revision = ?, login = ?, name = ?, search = ?, roles = ?, grade = ?, active = ?,
		must_change_password = ?, password_hash = ? WHERE id = ? AND revision = ?`,
		a.Revision, a.Login, a.Name, strings.ToLower(a.Name), asText(a.Roles), a.Grade, a.Active,
		a.MustChangePassword, a.PasswordHash, a.ID, a.Revision-1)
}

type triesRow struct {
	Who         string
	Failures    int
	LastAt      int64 `db:"last_at"`
	PausedUntil int64 `db:"paused_until"`
}

func (t *tx) LockTries(ctx context.Context, who string) (annotate.Tries, error) {
	// Only a row that is there can be held.
	_, err := t.exec(ctx, "INSERT INTO login_tries (who, failures, last_at, paused_until) VALUES (?, 0, 0, 0) ON CONFLICT (who) DO NOTHING", who)
	if err != nil {
		return annotate.Tries{}, err
	}
	var row triesRow
	err = t.get(ctx, &row, "SELECT who, failures, last_at, paused_until FROM login_tries WHERE who = ?"+t.dialect.forUpdate, who)
	return annotate.Tries(row), err
}

func (t *tx) PutTries(ctx context.Context, tries annotate.Tries) error {
	return t.put(ctx, "login_tries", "who", "failures, last_at, paused_until",
		[]any{tries.Who, tries.Failures, tries.LastAt, tries.PausedUntil})
}

func (t *tx) ForgetTriesOf(ctx context.Context, beginning string) error {
	_, err := t.exec(ctx, "DELETE FROM login_tries WHERE substr(who, 1, ?) = ?", utf8.RuneCountInString(beginning), beginning)
	return err
}

func (t *tx) ForgetTries(ctx context.Context, before int64) error {
	_, err := t.exec(ctx, "DELETE FROM login_tries WHERE last_at < ?", before)
	return err
}
