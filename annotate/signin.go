package annotate

import (
	"context"
	"errors"
	"strings"
	"time"
	"unicode/utf8"
)

// Sign-in is paused after wrong tries: each one beyond the free ones doubles the pause. Tries are counted in the
// database, so that all servers over it count together, and before the password is looked at, so that guesses sent at
// once count too. An account is counted for each address by itself, so that nobody can lock others out from elsewhere.
// The numbers are our choice: a person who mistypes is not held up, a guesser gets some hundred guesses a day at one
// account.
const (
	freeTriesAtAddress = 5   // at one account from one address, and with the old password at a change
	freeTriesOfAddress = 30  // a whole department can share one address
	freeTriesOfLogin   = 200 // from everywhere
	firstPause         = 2 * time.Second
	longestPause       = 15 * time.Minute
	// triesForgotten is how long after the last wrong try the count starts anew.
	triesForgotten = 24 * time.Hour
	shortestSecret = 12
	longestSecret  = 200
)

// counted is something that tries are counted for.
type counted struct {
	who  string
	free int
	// shared: others count there too, so that one right try forgives one.
	shared bool
}

func countedSignIn(login, address string) []counted {
	return []counted{
		{who: triesOfAccount(login) + "at " + address, free: freeTriesAtAddress},
		{who: "address:" + address, free: freeTriesOfAddress, shared: true},
		{who: triesOfAccount(login) + "anywhere", free: freeTriesOfLogin},
	}
}

func countedChange(login string) []counted {
	return []counted{{who: triesOfAccount(login) + "own password", free: freeTriesAtAddress}}
}

// triesOfAccount begins the name of everything that is counted for one account.
func triesOfAccount(login string) string { return "login:" + login + " " }

// SignIn finds the account of a login and password. The refusal does not tell whether the login exists, and takes
// as long.
func (s *Service) SignIn(ctx context.Context, login, password, address string) (User, error) {
	login = strings.ToLower(strings.TrimSpace(login))
	if utf8.RuneCountInString(login) > 200 || len(password) > 4*longestSecret || !utf8.ValidString(login) {
		return User{}, wrongSignIn()
	}
	who := countedSignIn(login, address)
	if err := s.countTry(ctx, who); err != nil {
		return User{}, err
	}
	account, err := s.accountOf(ctx, login)
	if err != nil {
		return User{}, err
	}
	right, err := s.passwordFits(account, password)
	if err != nil {
		return User{}, err
	}
	if !right {
		return User{}, s.refuseSignIn(ctx, login, address)
	}
	actor := Actor{User: account.User}
	err = s.store.Write(ctx, func(tx Tx) error {
		if err := forgiveTry(ctx, tx, who); err != nil {
			return err
		}
		return s.record(ctx, tx, actor, AuditEntry{Action: "user.sign-in", ThingID: account.ID})
	})
	if err != nil {
		return User{}, err
	}
	return account.User, nil
}

func wrongSignIn() error { return Refuse(CodeSignedOut, "Name or password is wrong.") }

func (s *Service) refuseSignIn(ctx context.Context, login, address string) error {
	err := s.store.Write(ctx, func(tx Tx) error {
		entry := AuditEntry{Action: "user.sign-in-refused", Detail: jsonText(map[string]string{"login": login, "address": address})}
		return s.record(ctx, tx, Actor{}, entry)
	})
	if err != nil {
		return err
	}
	return wrongSignIn()
}

// accountOf finds an account; the zero one when the login is unknown.
func (s *Service) accountOf(ctx context.Context, login string) (Account, error) {
	var account Account
	err := s.store.Read(ctx, func(tx Tx) (err error) {
		account, err = tx.UserByLogin(ctx, login)
		if errors.Is(err, ErrNoRow) {
			return nil
		}
		return err
	})
	return account, err
}

// passwordFits takes one hash, whatever is known.
func (s *Service) passwordFits(account Account, password string) (bool, error) {
	hash := account.PasswordHash
	if hash == "" {
		var err error
		if hash, err = s.unknownHash(); err != nil {
			return false, err
		}
	}
	right, err := s.checkPassword(password, hash)
	return right && account.PasswordHash != "" && account.Active, err
}

// countTry counts one try for each, or refuses while one of them is paused.
func (s *Service) countTry(ctx context.Context, who []counted) error {
	now := s.nowMs()
	return s.store.Write(ctx, func(tx Tx) error {
		if err := tx.ForgetTries(ctx, now-triesForgotten.Milliseconds()); err != nil {
			return err
		}
		for _, one := range who {
			tries, err := tx.LockTries(ctx, one.who)
			if err != nil {
				return err
			}
			if wait := tries.PausedUntil - now; wait > 0 {
				seconds := int((wait + 999) / 1000)
				refusal := Refuse(CodeTooManyTries, "Too many wrong tries. Wait %d s and try again.", seconds)
				refusal.RetryAfterSeconds = seconds
				return refusal
			}
			tries.Failures++
			tries.Who, tries.LastAt = one.who, now
			tries.PausedUntil = now + pauseAfter(tries.Failures, one.free).Milliseconds()
			if err := tx.PutTries(ctx, tries); err != nil {
				return err
			}
		}
		return nil
	})
}

// pauseAfter is how long the next try must wait.
func pauseAfter(failures, free int) time.Duration {
	if failures < free {
		return 0
	}
	pause := firstPause
	for range failures - free {
		if pause *= 2; pause > longestPause {
			return longestPause
		}
	}
	return pause
}

// forgiveTry takes back the try that turned out right: the account starts anew, the address loses this one.
func forgiveTry(ctx context.Context, tx Tx, who []counted) error {
	for _, one := range who {
		tries, err := tx.LockTries(ctx, one.who)
		if err != nil {
			return err
		}
		tries.Who, tries.PausedUntil = one.who, 0
		if tries.Failures--; !one.shared || tries.Failures < 0 {
			tries.Failures = 0
		}
		if err := tx.PutTries(ctx, tries); err != nil {
			return err
		}
	}
	return nil
}

// ChangePassword changes the actor's own password and ends every session of the account.
func (s *Service) ChangePassword(ctx context.Context, actor Actor, old, secret string) error {
	if err := present(actor); err != nil {
		return err
	}
	if err := validateSecret(actor.Login, old, secret); err != nil {
		return err
	}
	account, err := s.accountOf(ctx, actor.Login)
	if err != nil {
		return err
	}
	who := countedChange(account.Login)
	if err := s.countTry(ctx, who); err != nil {
		return err
	}
	right, err := s.passwordFits(account, old)
	if err != nil {
		return err
	}
	if !right {
		var p problems
		p.add("old", "is not your password")
		return p.err("The password")
	}
	hash, err := s.hashPassword(secret)
	if err != nil {
		return err
	}
	return s.store.Write(ctx, func(tx Tx) error {
		if err := forgiveTry(ctx, tx, who); err != nil {
			return err
		}
		account.Revision++
		account.PasswordHash, account.MustChangePassword = hash, false
		if err := updateUser(ctx, tx, account); err != nil {
			return err
		}
		return s.record(ctx, tx, actor, AuditEntry{Action: "user.change-password", ThingID: account.ID})
	})
}

func validateSecret(login, old, secret string) error {
	var p problems
	switch n := utf8.RuneCountInString(secret); {
	case !utf8.ValidString(secret):
		p.add("new", "is not valid UTF-8 text")
	case n < shortestSecret:
		p.add("new", "must have at least %d characters", shortestSecret)
	case n > longestSecret:
		p.add("new", "may have at most %d characters", longestSecret)
	case strings.EqualFold(secret, login):
		p.add("new", "must not be your sign-in name")
	case secret == old:
		p.add("new", "must differ from the old one")
	}
	return p.err("The password")
}
