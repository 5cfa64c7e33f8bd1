package main

import (
	"context"
	"io"
	"time"

	"zonule/annotate"
	"zonule/server/report"
)

// report is the command.
func (p *program) report(ctx context.Context) error {
	u, err := p.openExisting(ctx)
	if err != nil {
		return err
	}
	defer p.shut(u)
	composed, err := u.compose(ctx, annotate.House(), p.config.CaseID)
	if err != nil {
		return err
	}
	text, err := written(composed, p.config.Format, report.Edition{Zone: time.Local})
	if err != nil {
		return err
	}
	return p.write(p.config.Out, func(w io.Writer) error {
		_, err := w.Write(text)
		return err
	})
}

// compose makes the report of a case as it stands.
func (u *unit) compose(ctx context.Context, actor annotate.Actor, caseID string) (report.Report, error) {
	file, err := u.service.CaseFile(ctx, actor, caseID)
	if err != nil {
		return report.Report{}, err
	}
	house, err := u.service.Unit(ctx)
	if err != nil {
		return report.Report{}, err
	}
	return report.Build(file, report.Options{
		LossLimitPercent: house.LossLimitPercent, DensityLimit: house.DensityLimit, Windows: house.Windows, Recalibration: house.Recalibration,
		Invented: house.Invented,
	}), nil
}

func written(r report.Report, format string, edition report.Edition) ([]byte, error) {
	switch format {
	case "pdf":
		return report.PDF(r, edition)
	case "html":
		return report.HTML(r, edition)
	case "csv":
		return report.CSV(r, edition)
	}
	return report.JSON(r)
}
