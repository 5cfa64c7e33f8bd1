package server

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"github.com/danielgtaylor/huma/v2"

	"zonule/annotate"
	"zonule/server/table"
)

const (
	// importBodyLimit bounds a file to import.
	importBodyLimit = 64 << 20
	// importLimit bounds the work of writing a whole file in one transaction.
	importLimit = 15 * time.Minute
	// reportPage rows of an import are read at once for its report.
	reportPage = 2000
)

// upload takes a large body, and work that goes through a whole file.
func upload(o *huma.Operation, limit *time.Duration) {
	o.MaxBodyBytes, o.BodyReadTimeout = importBodyLimit+1, 5*time.Minute
	*limit = longWorkLimit
}

// thorough lets one request write a whole file.
func thorough(_ *huma.Operation, limit *time.Duration) { *limit = importLimit }

type beginImportInput struct {
	Name    string `query:"name" required:"true" doc:"The name of the file, for people."`
	Sheet   string `query:"sheet" doc:"The sheet of an XLSX file; the first when it is left out."`
	RawBody []byte `contentType:"application/octet-stream"`
}

type importOutput struct{ Body annotate.Intake }

func (s *Server) beginImport(ctx context.Context, in *beginImportInput) (*importOutput, error) {
	if err := s.service.MayImport(actorOf(ctx)); err != nil {
		return nil, err
	}
	reader, err := table.Open(in.RawBody, in.Sheet)
	if err != nil {
		return nil, tableError(err)
	}
	defer func() { _ = reader.Close() }() // what was read is whole; a temporary file that stays is the system's to clear
	sum := sha256.Sum256(in.RawBody)
	head := reader.Head
	intake, err := s.service.StartIntake(ctx, actorOf(ctx), annotate.IntakeFile{
		Name: in.Name, Hash: hex.EncodeToString(sum[:]), Kind: string(head.Kind), Encoding: head.Encoding, Separator: head.Separator,
		Sheet: head.Sheet, Sheets: head.Sheets,
	}, func() (annotate.IntakeRow, error) {
		row, err := reader.Next()
		return annotate.IntakeRow{Number: row.Number, Cells: row.Cells, Hidden: row.Hidden}, tableError(err)
	})
	return &importOutput{Body: intake}, err
}

// tableError says what is wrong with a file in the words of the door.
func tableError(err error) error {
	var fault *table.Error
	if errors.As(err, &fault) {
		return annotate.Refuse(annotate.CodeInvalid, "The file %s. Nothing was read.", fault.Message)
	}
	return err
}

type importPath struct {
	Import string `path:"import"`
}

type oneImportInput struct {
	Import  string           `path:"import"`
	After   int              `query:"after" minimum:"0" doc:"Rows after the one with this number."`
	Limit   int              `query:"limit" minimum:"1" maximum:"500" default:"50"`
	Verdict annotate.Verdict `query:"verdict" doc:"Only the rows with this verdict."`
}

type oneImportOutput struct {
	Body struct {
		Import annotate.Intake        `json:"import"`
		Rows   []annotate.IntakeRow   `json:"rows"`
		Fields []annotate.IntakeField `json:"fields" doc:"What a column may hold."`
	}
}

func (s *Server) oneImport(ctx context.Context, in *oneImportInput) (*oneImportOutput, error) {
	intake, err := s.service.Intake(ctx, actorOf(ctx), in.Import)
	if err != nil {
		return nil, err
	}
	rows, err := s.service.IntakeRows(ctx, actorOf(ctx), in.Import, in.After, in.Limit, in.Verdict)
	out := &oneImportOutput{}
	out.Body.Import, out.Body.Rows, out.Body.Fields = intake, rows, annotate.IntakeFields
	return out, err
}

type putMatchingInput struct {
	Import string `path:"import"`
	Body   annotate.IntakeMatching
}

func (s *Server) putMatching(ctx context.Context, in *putMatchingInput) (*importOutput, error) {
	intake, err := s.service.PutIntakeMatching(ctx, actorOf(ctx), in.Import, in.Body)
	return &importOutput{Body: intake}, err
}

func (s *Server) checkImport(ctx context.Context, in *importPath) (*importOutput, error) {
	intake, err := s.service.CheckIntake(ctx, actorOf(ctx), in.Import)
	return &importOutput{Body: intake}, err
}

func (s *Server) cancelImport(ctx context.Context, in *importPath) (*importOutput, error) {
	intake, err := s.service.CancelIntake(ctx, actorOf(ctx), in.Import)
	return &importOutput{Body: intake}, err
}

type applyImportInput struct {
	Import string `path:"import"`
	Body   struct {
		Whole bool `json:"whole" doc:"All rows in one transaction, or none. Otherwise the next batch of accepted rows."`
	}
}

func (s *Server) applyImport(ctx context.Context, in *applyImportInput) (*importOutput, error) {
	intake, err := s.service.ApplyIntake(ctx, actorOf(ctx), in.Import, in.Body.Whole)
	return &importOutput{Body: intake}, err
}

// importReport gives every row of the file with what became of it, so that refused rows can be corrected and sent again.
func (s *Server) importReport(ctx context.Context, in *importPath) (*fileOutput, error) {
	intake, err := s.service.Intake(ctx, actorOf(ctx), in.Import)
	if err != nil {
		return nil, err
	}
	lines := [][]string{append([]string{"row", "verdict", "written", "field", "reason", "changes"}, intake.Columns...)}
	for after := 0; ; {
		rows, err := s.service.IntakeRows(ctx, actorOf(ctx), in.Import, after, reportPage, "")
		if err != nil {
			return nil, err
		}
		for _, row := range rows {
			written := "no"
			if row.Written {
				written = "yes"
			}
			lines = append(lines, append([]string{strconv.Itoa(row.Number), string(row.Verdict), written, row.Field, row.Message, changesText(row.Changes)}, row.Cells...))
			after = row.Number
		}
		if len(rows) < reportPage {
			break
		}
	}
	return csvFile("import-"+slug(intake.ID), lines)
}

func changesText(changes []annotate.Difference) string {
	texts := make([]string, len(changes))
	for i, change := range changes {
		texts[i] = fmt.Sprintf("%s from %s to %s", change.Field, valueText(change.Before), valueText(change.After))
	}
	return strings.Join(texts, "; ")
}

// valueText writes a value as it stands in the record; a list as JSON.
func valueText(value any) string {
	switch value := value.(type) {
	case nil:
		return "nothing"
	case []any, map[string]any:
		text, err := json.Marshal(value)
		if err == nil {
			return string(text)
		}
	}
	return fmt.Sprint(value)
}
