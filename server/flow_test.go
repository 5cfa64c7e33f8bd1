package server

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
	"zonule/server/report"
	"zonule/timeline"
)

// theCase is one operation, told step by step through the door. Everything in it is invented.
const (
	flowCase    = "case-1"
	flowPart    = "part-1"
	flowReading = "reading-1"
)

func newCase(id, operator string) map[string]any {
	return map[string]any{
		"id": id, "revision": 0, "pseudonym": "Heron " + id, "eye": "OD", "date": "2026-02-02",
		"before": map[string]any{
			"age": 71, "nuclearGrade": 3, "pupil": "medium", "thickness": 540,
			"exam": map[string]any{"density": 2500, "cells": 100, "cv": 0.30},
		},
		"operation": map[string]any{"techniquePlanned": "phaco", "techniquePerformed": "phaco", "cde": 12.5},
		"operators": []map[string]any{{"userId": operator, "role": "operator", "grade": "consultant"}},
		// The page sends what it read; a new case may leave out what the server sets.
		"sharedWith": []string{},
	}
}

func newPart(source string) map[string]any {
	return map[string]any{"source": source, "position": 1, "rates": []any{}, "cuts": []any{}, "realTime": true, "revision": 0}
}

func marker(id, step, part string, start, end int64) map[string]any {
	return map[string]any{
		"id": id, "step": step, "stepList": map[string]any{"id": "phaco", "version": 1},
		"start": map[string]any{"part": part, "ms": start}, "end": map[string]any{"part": part, "ms": end},
	}
}

func addMarker(edit string, m map[string]any) map[string]any {
	return map[string]any{"id": edit, "action": "add", "changes": []any{map[string]any{
		"thing": "marker", "id": m["id"], "base": 0, "marker": m,
	}}}
}

// tell plays the whole way from an empty unit to a signed report and gives the report's canonical JSON.
func tell(t *testing.T, h *house) []byte {
	t.Helper()
	surgeon := h.hire("sol", annotate.RoleSurgeon)
	h.hire("tara", annotate.RoleTrainee)

	var made annotate.Case
	surgeon.must("PUT", "/cases/"+flowCase, newCase(flowCase, "sol"), &made)
	require.EqualValues(t, 1, made.Revision)

	var part annotate.Part
	surgeon.must("PUT", "/cases/"+flowCase+"/parts/"+flowPart, newPart("films:quiet-phaco.mp4"), &part)
	require.Equal(t, annotate.PartOK, part.State)
	require.EqualValues(t, 314_400, part.Facts.Duration)

	var lists []annotate.StepList
	surgeon.must("GET", "/step-lists", nil, &lists)
	require.NotEmpty(t, lists)
	surgeon.must("PUT", "/cases/"+flowCase+"/readings/"+flowReading, map[string]any{"stepList": map[string]any{"id": "phaco", "version": 1}}, nil)

	edits := flowEdits(t, surgeon)
	var answer struct {
		Answers []annotate.EditAnswer `json:"answers"`
		Seq     int64                 `json:"seq"`
	}
	surgeon.must("POST", "/readings/"+flowReading+"/edits", map[string]any{"edits": edits}, &answer)
	require.Len(t, answer.Answers, len(edits))
	require.EqualValues(t, len(edits), answer.Seq)

	surgeon.must("PUT", "/cases/"+flowCase+"/complications/complication-1", map[string]any{
		"revision": 0, "kind": "posterior-capsule-rupture", "severity": 2, "action": "anterior vitrectomy",
		"at": map[string]any{"part": flowPart, "ms": 130_000},
	}, nil)
	for i, window := range []string{"day-1", "month-1"} {
		surgeon.must("PUT", fmt.Sprintf("/cases/%s/visits/visit-%d", flowCase, i+1), map[string]any{
			"revision": 0, "window": window, "date": []string{"2026-02-03", "2026-03-02"}[i], "oedemaGrade": 1 - i, "thickness": 590 - 40*i,
			"exam": map[string]any{"density": 2250, "cells": 100, "cv": 0.30},
		}, nil)
	}

	var durations timeline.Result
	surgeon.must("GET", "/readings/"+flowReading+"/durations", nil, &durations)
	require.NotNil(t, durations.Operation.Time)
	require.EqualValues(t, 12*20_000, *durations.Operation.Time, "twelve steps of 20 s back to back (arithmetic)")

	var read struct {
		Hash   string `json:"hash"`
		Change int64  `json:"change"`
	}
	surgeon.must("GET", "/cases/"+flowCase+"/report", nil, &read)
	var signed annotate.SignedReport
	surgeon.must("POST", "/cases/"+flowCase+"/reports", read, &signed)
	require.Equal(t, read.Hash, signed.Hash)
	require.Equal(t, 1, signed.Number)
	require.Equal(t, "Person sol", signed.SignerName)

	var again annotate.SignedReport
	surgeon.must("POST", "/cases/"+flowCase+"/reports", read, &again)
	require.Equal(t, signed.ID, again.ID, "signing twice, because the answer was lost, signs once")

	w := surgeon.send("GET", "/reports/"+signed.ID+"/content.json", nil)
	require.Equal(t, 200, w.Code)
	require.Equal(t, signed.Hash, report.Hash(w.Body.Bytes()), "what is served is what was signed")
	return w.Body.Bytes()
}

// flowEdits marks twelve exclusive steps of 20 s each, one edit each, and a comment.
func flowEdits(t *testing.T, c *client) []map[string]any {
	t.Helper()
	var list annotate.StepList
	c.must("GET", "/step-lists/phaco/1", nil, &list)
	var edits []map[string]any
	for _, step := range list.Steps {
		if n := int64(len(edits)); step.Exclusive && n < 12 {
			edits = append(edits, addMarker(fmt.Sprintf("edit-%d", n), marker(fmt.Sprintf("marker-%d", n), step.Code, flowPart, 10_000+20_000*n, 30_000+20_000*n)))
		}
	}
	require.Len(t, edits, 12)
	return append(edits, map[string]any{"id": "edit-comment", "action": "comment", "changes": []any{map[string]any{
		"thing": "comment", "id": "comment-1", "base": 0, "comment": map[string]any{
			"id": "comment-1", "at": map[string]any{"part": flowPart, "ms": 131_000}, "text": "Look at the chamber here.", "settled": false,
		},
	}}})
}

// The same history gives the same report, byte for byte, on either database.
func TestTheWholeWayOnBothDatabases(t *testing.T) {
	var onSQLite, onPostgres string
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		told := string(tell(t, newHouse(t, annotatetest.Open(t, address))))
		if strings.HasPrefix(address, "sqlite:") {
			onSQLite = told
		} else {
			onPostgres = told
		}
	})
	require.Equal(t, onSQLite, onPostgres)
	require.Contains(t, onSQLite, `"caseId":"case-1"`)
}

func indented(t *testing.T, content []byte) []byte {
	t.Helper()
	var pretty bytes.Buffer
	require.NoError(t, json.Indent(&pretty, content, "", "  "))
	return pretty.Bytes()
}
