// Package migrations carries the numbered SQL that makes and upgrades the database, alike for SQLite and PostgreSQL.
// A released file never changes: its hash is kept in the database, and a changed one is refused at start.
package migrations

import "embed"

// Files holds NNNN_subject.sql, in the annotations of the goose library.
//
//go:embed *.sql
var Files embed.FS
