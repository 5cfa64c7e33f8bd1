package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"

	"zonule/annotate"
)

// exportBundle is the command export.
func (p *program) exportBundle(ctx context.Context) error {
	u, err := p.openExisting(ctx)
	if err != nil {
		return err
	}
	defer p.shut(u)
	return p.write(p.config.Out, func(w io.Writer) error { return u.service.Export(ctx, annotate.House(), p.config.CaseID, w) })
}

// importBundle is the command import.
func (p *program) importBundle(ctx context.Context) error {
	r := p.stdin
	if p.config.In != "-" {
		file, err := os.Open(p.config.In)
		if err != nil {
			return err
		}
		defer file.Close()
		r = file
	}
	u, err := p.open(ctx)
	if err != nil {
		return err
	}
	defer p.shut(u)
	if err := u.service.Import(ctx, annotate.House(), r); err != nil {
		return err
	}
	fmt.Fprintln(p.stdout, "The bundle was taken.")
	return nil
}

// write gives fill the named file, or standard output for "-". A file that could not be filled is taken away.
func (p *program) write(name string, fill func(io.Writer) error) error {
	if name == "-" {
		return fill(p.stdout)
	}
	file, err := os.Create(name)
	if err != nil {
		return err
	}
	if err := errors.Join(fill(file), file.Close()); err != nil {
		return errors.Join(err, os.Remove(name))
	}
	return nil
}
