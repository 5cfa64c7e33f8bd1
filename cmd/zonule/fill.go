package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"runtime"
	"time"

	"golang.org/x/sync/errgroup"

	"zonule/annotate"
	"zonule/annotate/demo"
	"zonule/server"
	"zonule/server/auth"
	"zonule/server/report"
)

// fill puts an invented unit into an empty database.
func (p *program) fill(ctx context.Context, u *unit) error {
	films, err := demo.Films(func(name string) (annotate.MediaFacts, error) {
		return server.NewRecorder(u.library).Probe(ctx, demo.Root+":"+name)
	})
	if err != nil {
		return err
	}
	today := time.Now().UTC().Truncate(24 * time.Hour)
	options := demo.Options{Seed: p.config.Seed, Today: today, Cases: p.config.Cases, Films: films}
	invented := demo.Invent(options)
	if err := p.importInvented(ctx, u, invented); err != nil {
		return err
	}
	people := map[string]annotate.User{}
	for _, user := range invented.Users {
		people[user.ID] = user
	}
	if err := p.signInvented(ctx, u, people, invented.Records); err != nil {
		return err
	}
	return p.holdInvented(ctx, u, people, invented.Meetings(options), today)
}

// importInvented takes the unit in the way that any bundle is taken.
func (p *program) importInvented(ctx context.Context, u *unit, invented demo.Unit) error {
	hash, err := auth.NewHasher().Hash(demo.Password)
	if err != nil {
		return err
	}
	reader, writer := io.Pipe()
	progress := p.progress("storing invented cases", len(invented.Records))
	go func() { writer.CloseWithError(invented.Write(writer, hash, time.Now().UnixMilli(), progress)) }()
	return errors.Join(u.service.Import(ctx, annotate.House(), reader), reader.Close())
}

// progress tells every tenth of a job as it is done, on a line of its own, since the output may be a file.
func (p *program) progress(job string, total int) func(done int) {
	told := 0
	return func(done int) {
		if tenth := 10 * done / total; tenth > told {
			told = tenth
			fmt.Fprintf(p.stdout, "%s: %d of %d\n", job, done, total)
		}
	}
}

// signInvented signs the reports that the invented people would have signed by now, several at a time: rendering is
// most of the work.
func (p *program) signInvented(ctx context.Context, u *unit, people map[string]annotate.User, records []demo.Record) error {
	var wanted []demo.Record
	for _, record := range records {
		if record.SignedBy != "" {
			wanted = append(wanted, record)
		}
	}
	progress, done := p.progress("signing invented reports", len(wanted)), make(chan struct{})
	group, within := errgroup.WithContext(ctx)
	group.SetLimit(runtime.NumCPU())
	go func() {
		for _, record := range wanted {
			group.Go(func() error {
				defer func() { done <- struct{}{} }()
				return u.signAt(within, annotate.Actor{User: people[record.SignedBy]}, record.Case.ID, record.SignedAt)
			})
		}
	}()
	for i := range wanted {
		<-done
		progress(i + 1)
	}
	return group.Wait()
}

// signAt signs the report of a case as if the clock stood at an instant (Unix ms).
func (u *unit) signAt(ctx context.Context, actor annotate.Actor, caseID string, at int64) error {
	then := &unit{store: u.store, library: u.library, service: newService(u.store, u.library, func() time.Time { return time.UnixMilli(at) })}
	composed, err := then.compose(ctx, actor, caseID)
	if err != nil {
		return err
	}
	edition := report.Edition{Signature: &report.Signature{Number: 1, Name: actor.Name, At: at}, Zone: time.Local}
	var content annotate.SignedContent
	for format, to := range map[string]*[]byte{"json": &content.JSON, "html": &content.HTML, "pdf": &content.PDF, "csv": &content.CSV} {
		if *to, err = written(composed, format, edition); err != nil {
			return fmt.Errorf("the report of %s: %w", composed.Case.Pseudonym, err)
		}
	}
	_, err = then.service.SignReport(ctx, actor, caseID, composed.CaseChange, report.Hash(content.JSON), content)
	return err
}
