package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"time"

	"zonule/frontend"
	"zonule/server"
)

// drain is how long requests that are being answered may go on after the signal to stop; a film that is being
// watched is cut then.
const drain = 10 * time.Second

// serve is the command.
func (p *program) serve(ctx context.Context) error {
	u, err := p.open(ctx)
	if err != nil {
		return err
	}
	defer p.shut(u)
	login, password, created, err := u.service.EnsureAdministrator(ctx)
	if err != nil {
		return err
	}
	if created {
		fmt.Fprintf(p.stdout, "This unit is new. Its administrator signs in as %q with the one-time password %s\n"+
			"It is shown only here and only now; the page asks for a new one at once.\n", login, password)
	}
	return p.listen(ctx, u, func(address string) { fmt.Fprintf(p.stdout, "Zonule listens on %s\n", address) })
}

// listen serves the unit until ctx ends, then lets requests finish. ready is told the address once it is taken.
func (p *program) listen(ctx context.Context, u *unit, ready func(address string)) error {
	page, err := frontend.Page()
	if err != nil {
		return err
	}
	door, err := server.New(server.Options{
		Service: u.service, Media: u.library, Sessions: u.store.Sessions(), Page: page, Log: p.log,
		SecureCookies: p.config.secure(), TrustedOrigins: p.config.TrustedOrigins, TrustedProxies: p.config.TrustedProxies,
		Address: p.config.Address, Version: version(), Ready: u.store.Ready,
	})
	if err != nil {
		return err
	}
	listener, err := (&net.ListenConfig{}).Listen(ctx, "tcp", p.config.Listen)
	if err != nil {
		return fmt.Errorf("cannot listen on %s: %w", p.config.Listen, err)
	}
	httpServer := door.HTTPServer(listener.Addr().String())
	ended, readAhead := make(chan error, 1), make(chan struct{})
	go func() { ended <- httpServer.Serve(listener) }()
	go func() {
		defer close(readAhead)
		if err := u.service.ReadRows(ctx); err != nil && ctx.Err() == nil {
			p.log.Warn("the rows of the cases could not be read ahead", "error", err)
		}
		if err := u.service.SweepInbox(ctx); err != nil && ctx.Err() == nil {
			p.log.Warn("the cases could not be held against the rules of the meeting", "error", err)
		}
	}()
	defer func() { <-readAhead }()
	p.log.Info("listening", "address", listener.Addr().String())
	ready("http://" + listener.Addr().String())
	select {
	case err := <-ended:
		return err
	case <-ctx.Done():
	}
	return p.stop(ctx, httpServer, ended)
}

func (p *program) stop(ctx context.Context, httpServer *http.Server, ended <-chan error) error {
	p.log.Info("stopping")
	patience, cancel := context.WithTimeout(context.WithoutCancel(ctx), drain)
	defer cancel()
	if err := httpServer.Shutdown(patience); err != nil {
		p.log.Warn("some requests were cut", "error", err)
		if err := httpServer.Close(); err != nil {
			return err
		}
	}
	if err := <-ended; !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	p.log.Info("stopped")
	return nil
}
