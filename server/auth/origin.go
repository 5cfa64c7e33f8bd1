package auth

import (
	"fmt"
	"net/http"
)

// Origins decides whether a request that changes something was asked for by a page of ours.
type Origins struct{ protection *http.CrossOriginProtection }

// NewOrigins trusts the server's own origin and those given, such as "https://theatre.example.org".
func NewOrigins(trusted []string) (*Origins, error) {
	protection := http.NewCrossOriginProtection()
	for _, origin := range trusted {
		if err := protection.AddTrustedOrigin(origin); err != nil {
			return nil, fmt.Errorf("trusted origin %q: %w", origin, err)
		}
	}
	return &Origins{protection}, nil
}

// Check returns an error for a changing request from a foreign page. Reading requests always pass, so no GET may
// change anything. A request without the browsers' headers comes from a program and passes: it carries no cookie
// that it was not given.
func (o *Origins) Check(r *http.Request) error { return o.protection.Check(r) }
