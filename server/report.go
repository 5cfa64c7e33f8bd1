package server

import (
	"context"
	"net/http"
	"strings"

	"zonule/annotate"
	"zonule/server/report"
)

// reportForm is one way to write a report.
type reportForm struct {
	ending      string
	contentType string
	// download offers the file for keeping; otherwise the browser shows it.
	download bool
}

var (
	formHTML = reportForm{"html", "text/html; charset=utf-8", false}
	formPDF  = reportForm{"pdf", "application/pdf", true}
	formCSV  = reportForm{"csv", "text/csv; charset=utf-8", true}
	formJSON = reportForm{"json", "application/json", true}
)

// draft is a report as it would be signed now.
type draft struct {
	report.Report
	parts   []annotate.Part
	content []byte // the canonical JSON, which is what is signed
	hash    string
}

func (s *Server) draftOf(ctx context.Context, caseID string) (draft, error) {
	file, err := s.service.CaseFile(ctx, actorOf(ctx), caseID)
	if err != nil {
		return draft{}, err
	}
	unit, err := s.service.Unit(ctx)
	if err != nil {
		return draft{}, err
	}
	d := draft{Report: report.Build(file, report.Options{
		LossLimitPercent: unit.LossLimitPercent, DensityLimit: unit.DensityLimit, Windows: unit.Windows, Recalibration: unit.Recalibration,
		Invented: unit.Invented, Sections: unit.ReportSections,
	}), parts: file.Parts}
	if d.content, err = report.JSON(d.Report); err != nil {
		return draft{}, err
	}
	d.hash = report.Hash(d.content)
	return d, nil
}

type draftOutput struct {
	Body struct {
		Hash   string `json:"hash" doc:"SHA-256 of report.json, in hex: what a signer names."`
		Change int64  `json:"change" doc:"The count of changes of the case that the report was made from."`
		report.Report
	}
}

func (s *Server) draft(ctx context.Context, in *casePath) (*draftOutput, error) {
	d, err := s.draftOf(ctx, in.Case)
	out := &draftOutput{}
	out.Body.Hash, out.Body.Change, out.Body.Report = d.hash, d.CaseChange, d.Report
	return out, err
}

// fileOutput is a file with its own name and policy.
type fileOutput struct {
	Status       int
	ContentType  string `header:"Content-Type"`
	Disposition  string `header:"Content-Disposition"`
	Policy       string `header:"Content-Security-Policy"`
	CacheControl string `header:"Cache-Control"`
	ETag         string `header:"ETag"`
	Body         []byte
}

// The policy of a report: nothing is loaded and no script runs; its links may leave it, for they lead to the film.
const reportPolicy = "default-src 'none'; img-src data:; font-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'self'; " +
	"sandbox allow-popups allow-popups-to-escape-sandbox allow-top-navigation-by-user-activation; style-src "

type draftFileInput struct {
	Case   string `path:"case"`
	Change int64  `query:"change" doc:"Gives each state of a draft its own address, so that a page loads it anew. The answer is always the draft as it stands."`
}

func (s *Server) draftFile(form reportForm) func(context.Context, *draftFileInput) (*fileOutput, error) {
	return func(ctx context.Context, in *draftFileInput) (*fileOutput, error) {
		d, err := s.draftOf(ctx, in.Case)
		if err != nil {
			return nil, err
		}
		edition := s.edition(ctx, nil)
		if form.pictured() {
			edition.Stills = s.stills(ctx, d.Report, d.parts)
		}
		content, err := d.written(form, edition)
		if err != nil {
			return nil, err
		}
		return &fileOutput{
			Status: http.StatusOK, ContentType: form.contentType, Disposition: form.disposition("draft-" + d.name()),
			Policy: reportPolicy + report.StyleSource(), CacheControl: "no-store", Body: content,
		}, nil
	}
}

// pictured tells whether the form shows pictures.
func (f reportForm) pictured() bool { return f == formHTML || f == formPDF }

func (d draft) written(form reportForm, edition report.Edition) ([]byte, error) {
	switch form {
	case formHTML:
		edition.Address = "" // it is read from this server, whatever its address is then
		return report.HTML(d.Report, edition)
	case formPDF:
		return report.PDF(d.Report, edition)
	case formCSV:
		return report.CSV(d.Report, edition)
	}
	return d.content, nil
}

func (d draft) all(edition report.Edition) (content annotate.SignedContent, err error) {
	content.JSON = d.content
	for form, to := range map[reportForm]*[]byte{formHTML: &content.HTML, formPDF: &content.PDF, formCSV: &content.CSV} {
		if *to, err = d.written(form, edition); err != nil {
			return annotate.SignedContent{}, err
		}
	}
	return content, nil
}

func (s *Server) edition(ctx context.Context, signature *report.Signature) report.Edition {
	return report.Edition{Signature: signature, Address: exchangeOf(ctx).origin, Zone: s.now().Location()}
}

// name is the file's name without its ending: the pseudonym as far as file names can carry it, and the date.
func (d draft) name() string { return fileName(d.Case.Pseudonym, d.Case.Date) }

func fileName(pseudonym, date string) string { return "review-" + slug(pseudonym) + "-" + slug(date) }

func slug(text string) string {
	kept := strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			return r
		case r >= 'A' && r <= 'Z':
			return r + 'a' - 'A'
		}
		return '-'
	}, text)
	kept = strings.Join(strings.FieldsFunc(kept, func(r rune) bool { return r == '-' }), "-")
	if kept == "" {
		return "case"
	}
	return kept
}

func (f reportForm) disposition(name string) string {
	how := "inline"
	if f.download {
		how = "attachment"
	}
	return how + `; filename="` + name + "." + f.ending + `"`
}
