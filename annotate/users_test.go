package annotate_test

import (
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
)

func TestSignIn(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		user, err := u.SignIn(t.Context(), " Surgeon ", annotatetest.Password, "10.0.0.1")
		require.NoError(t, err)
		require.Equal(t, u.Surgeon.User, user)
		_, wrong := u.SignIn(t.Context(), "surgeon", "wrong", "10.0.0.1")
		refused(t, annotate.CodeSignedOut, wrong)
		_, unknown := u.SignIn(t.Context(), "nobody", "wrong", "10.0.0.1")
		require.Equal(t, wrong.Error(), unknown.Error(), "the refusal does not tell whether there is such an account")
		gone := u.Trainee.User
		gone.Active = false
		_, err = u.PutUser(t.Context(), u.Admin, gone)
		require.NoError(t, err)
		_, err = u.SignIn(t.Context(), "trainee", annotatetest.Password, "10.0.0.1")
		require.Equal(t, wrong.Error(), err.Error())
		_, err = u.UserByID(t.Context(), gone.ID)
		refused(t, annotate.CodeSignedOut, err)
		_, err = u.UserByID(t.Context(), "none")
		refused(t, annotate.CodeNotFound, err)
		for _, login := range []string{"\xff", strings.Repeat("a", 300), ""} {
			_, err = u.SignIn(t.Context(), login, "x", "10.0.0.9")
			refused(t, annotate.CodeSignedOut, err)
		}
	})
}

func TestSignInIsPaused(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		try := func(login, password, from string) error {
			_, err := u.SignIn(t.Context(), login, password, from)
			return err
		}
		for range 4 {
			refused(t, annotate.CodeSignedOut, try("surgeon", "wrong", "10.0.0.1"))
		}
		require.NoError(t, try("surgeon", annotatetest.Password, "10.0.0.1"), "a person who mistypes is not held up")
		for range 5 {
			refused(t, annotate.CodeSignedOut, try("surgeon", "wrong", "10.0.0.1"))
		}
		refusal := refused(t, annotate.CodeTooManyTries, try("surgeon", annotatetest.Password, "10.0.0.1"))
		require.Equal(t, 2, refusal.RetryAfterSeconds)
		require.NoError(t, try("surgeon", annotatetest.Password, "10.0.0.2"), "whoever guesses elsewhere locks nobody out")
		require.NoError(t, try("trainer", annotatetest.Password, "10.0.0.1"), "others go on")
		u.Clock.Move(2 * time.Second)
		refused(t, annotate.CodeSignedOut, try("surgeon", "wrong", "10.0.0.1"))
		require.Equal(t, 4, refused(t, annotate.CodeTooManyTries, try("surgeon", "wrong", "10.0.0.1")).RetryAfterSeconds)
		u.Clock.Move(4 * time.Second)
		require.NoError(t, try("surgeon", annotatetest.Password, "10.0.0.1"))
		refused(t, annotate.CodeSignedOut, try("surgeon", "wrong", "10.0.0.1"))

		// One address guesses at many accounts.
		for i := range 30 {
			refused(t, annotate.CodeSignedOut, try("guess-"+string(rune('a'+i)), "wrong", "10.0.0.66"))
		}
		refused(t, annotate.CodeTooManyTries, try("trainer", annotatetest.Password, "10.0.0.66"))
		require.NoError(t, try("trainer", annotatetest.Password, "10.0.0.1"))
		u.Clock.Move(25 * time.Hour)
		require.NoError(t, try("trainer", annotatetest.Password, "10.0.0.66"), "a day later it is forgotten")

		// Many addresses guess at one account.
		for i := range 200 {
			refused(t, annotate.CodeSignedOut, try("surgeon", "wrong", fmt.Sprintf("10.0.1.%d", i)))
		}
		refused(t, annotate.CodeTooManyTries, try("surgeon", "wrong", "10.0.2.1"))
		_, err := u.ResetPassword(t.Context(), u.Admin, u.Surgeon.ID)
		require.NoError(t, err)
		refused(t, annotate.CodeSignedOut, try("surgeon", "wrong", "10.0.2.1"))
		verified(t, u)
	})
}

func TestGuessesAtOnceAreCounted(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		var wait sync.WaitGroup
		codes := make(chan annotate.Code, 20)
		for range 20 {
			wait.Go(func() {
				_, err := u.SignIn(t.Context(), "surgeon", "wrong", "10.0.0.1")
				codes <- annotate.CodeOf(err)
			})
		}
		wait.Wait()
		close(codes)
		guesses := 0
		for code := range codes {
			if code == annotate.CodeSignedOut {
				guesses++
			}
		}
		require.Equal(t, 5, guesses, "the others came too many")
	})
}

func TestPasswords(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		const fresh = "a better horse battery"
		err := u.ChangePassword(t.Context(), u.Surgeon, "wrong", fresh)
		require.Equal(t, "old", refused(t, annotate.CodeInvalid, err).Fields[0].Field)
		err = u.ChangePassword(t.Context(), u.Surgeon, annotatetest.Password, "short")
		require.Equal(t, "new", refused(t, annotate.CodeInvalid, err).Fields[0].Field)
		require.NoError(t, u.ChangePassword(t.Context(), u.Surgeon, annotatetest.Password, fresh))
		user, err := u.SignIn(t.Context(), "surgeon", fresh, "10.0.0.1")
		require.NoError(t, err)
		require.Equal(t, int64(2), user.Revision, "which ends the sessions of before")
		_, err = u.SignIn(t.Context(), "surgeon", annotatetest.Password, "10.0.0.1")
		refused(t, annotate.CodeSignedOut, err)

		_, err = u.ResetPassword(t.Context(), u.Surgeon, u.Surgeon.ID)
		refused(t, annotate.CodeForbidden, err)
		once, err := u.ResetPassword(t.Context(), u.Admin, u.Surgeon.ID)
		require.NoError(t, err)
		user, err = u.SignIn(t.Context(), "surgeon", once, "10.0.0.1")
		require.NoError(t, err)
		require.True(t, user.MustChangePassword)
		require.NoError(t, u.ChangePassword(t.Context(), annotate.Actor{User: user}, once, fresh))
		user, err = u.SignIn(t.Context(), "surgeon", fresh, "10.0.0.1")
		require.NoError(t, err)
		require.False(t, user.MustChangePassword)
		_, err = u.ResetPassword(t.Context(), u.Admin, "none")
		refused(t, annotate.CodeNotFound, err)
		for range 5 {
			refused(t, annotate.CodeInvalid, u.ChangePassword(t.Context(), annotate.Actor{User: user}, "wrong", fresh+"!"))
		}
		refused(t, annotate.CodeTooManyTries, u.ChangePassword(t.Context(), annotate.Actor{User: user}, fresh, fresh+"!"))
		verified(t, u)
	})
}

func TestUsers(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		_, err := u.Users(t.Context(), u.Surgeon)
		refused(t, annotate.CodeForbidden, err)
		made, err := u.PutUser(t.Context(), annotate.House(), annotate.User{Login: "New.Person", Name: "N. Person", Roles: []annotate.Role{annotate.RoleMember}, Active: true})
		require.NoError(t, err)
		require.NotEmpty(t, made.ID)
		require.Equal(t, "new.person", made.Login)
		require.True(t, made.MustChangePassword)
		_, err = u.SignIn(t.Context(), "new.person", "", "10.0.0.1")
		refused(t, annotate.CodeSignedOut, err)
		_, err = u.PutUser(t.Context(), u.Admin, annotate.User{Login: "NEW.person", Name: "Another", Roles: made.Roles})
		refused(t, annotate.CodeTaken, err)
		made.Roles = []annotate.Role{annotate.RoleChair, annotate.RoleMember}
		changed, err := u.PutUser(t.Context(), u.Admin, made)
		require.NoError(t, err)
		made.Name = "Changed"
		_, err = u.PutUser(t.Context(), u.Admin, made)
		require.Equal(t, changed, refused(t, annotate.CodeStale, err).Theirs)
		for field, user := range map[string]annotate.User{
			"login": {ID: "x", Login: "with space", Name: "N", Roles: made.Roles},
			"name":  {ID: "x", Login: "x", Roles: made.Roles},
			"roles": {ID: "x", Login: "x", Name: "N"},
			"grade": {ID: "x", Login: "x", Name: "N", Roles: made.Roles, Grade: "professor"},
			"id":    {ID: "a b", Login: "x", Name: "N", Roles: made.Roles},
		} {
			_, err := u.PutUser(t.Context(), u.Admin, user)
			require.Equal(t, field, refused(t, annotate.CodeInvalid, err).Fields[0].Field)
		}
		lonely := u.Admin.User
		lonely.Roles = []annotate.Role{annotate.RoleMember}
		_, err = u.PutUser(t.Context(), u.Admin, lonely)
		require.Equal(t, "roles", refused(t, annotate.CodeInvalid, err).Fields[0].Field)
		lonely = u.Admin.User
		lonely.Active = false
		_, err = u.PutUser(t.Context(), u.Admin, lonely)
		refused(t, annotate.CodeInvalid, err)
		people, err := u.People(t.Context(), u.Clinic)
		require.NoError(t, err)
		require.Len(t, people, 8)
		verified(t, u)
	})
}

func TestEnsureAdministrator(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.EmptyUnit(t, address)
		login, password, created, err := u.EnsureAdministrator(t.Context())
		require.NoError(t, err)
		require.True(t, created)
		user, err := u.SignIn(t.Context(), login, password, "10.0.0.1")
		require.NoError(t, err)
		require.True(t, user.MustChangePassword)
		require.Equal(t, []annotate.Role{annotate.RoleAdministrator}, user.Roles)
		_, password, created, err = u.EnsureAdministrator(t.Context())
		require.NoError(t, err)
		require.False(t, created)
		require.Empty(t, password)
	})
}

func TestUnit(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		unit, err := u.Unit(t.Context())
		require.NoError(t, err)
		_, err = u.PutUnit(t.Context(), u.Surgeon, unit)
		refused(t, annotate.CodeForbidden, err)
		unit.Name, unit.LossLimitPercent = "Eye unit of the north", 15
		changed, err := u.PutUnit(t.Context(), u.Admin, unit)
		require.NoError(t, err)
		require.Equal(t, int64(2), changed.Revision)
		unit.Name = "Other"
		_, err = u.PutUnit(t.Context(), u.Admin, unit)
		require.Equal(t, changed, refused(t, annotate.CodeStale, err).Theirs)
		changed.LossLimitPercent = 0
		_, err = u.PutUnit(t.Context(), u.Admin, changed)
		refused(t, annotate.CodeInvalid, err)
	})
}

func TestPutStepList(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		require.NoError(t, u.EnsureStepLists(t.Context()), "the shipped lists are stored once")
		lists, err := u.StepLists(t.Context(), u.Surgeon)
		require.NoError(t, err)
		require.Len(t, lists, 2)
		shipped, err := u.StepList(t.Context(), u.Surgeon, annotate.StepListRef{ID: "phaco", Version: 1})
		require.NoError(t, err)
		shipped.Name = "Our way"
		_, err = u.PutStepList(t.Context(), u.Admin, shipped)
		require.Equal(t, "id", refused(t, annotate.CodeInvalid, err).Fields[0].Field, "a shipped list is copied, not changed")
		own := shipped
		own.ID = "our-way"
		_, err = u.PutStepList(t.Context(), u.Surgeon, own)
		refused(t, annotate.CodeForbidden, err)
		own, err = u.PutStepList(t.Context(), u.Admin, own)
		require.NoError(t, err)
		require.Equal(t, 1, own.Version)
		require.False(t, own.Shipped)
		second := own
		second.Steps = second.Steps[:5]
		second, err = u.PutStepList(t.Context(), u.Admin, second)
		require.NoError(t, err)
		require.Equal(t, 2, second.Version)
		own.Name = "Late"
		_, err = u.PutStepList(t.Context(), u.Admin, own)
		refused(t, annotate.CodeStale, err)
		first, err := u.StepList(t.Context(), u.Surgeon, annotate.StepListRef{ID: "our-way", Version: 1})
		require.NoError(t, err)
		require.Len(t, first.Steps, len(shipped.Steps), "a stored version never changes")
		lists, err = u.StepLists(t.Context(), u.Surgeon)
		require.NoError(t, err)
		require.Len(t, lists, 3)
		_, err = u.StepList(t.Context(), u.Surgeon, annotate.StepListRef{ID: "none", Version: 1})
		refused(t, annotate.CodeNotFound, err)
	})
}
