// Package store keeps what package annotate records, in SQLite or PostgreSQL. It checks neither rights nor rules.
// Each SQL text is written once, for both; what differs is in sqlite.go and postgres.go.
package store
