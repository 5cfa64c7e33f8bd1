// Package annotatetest gives tests a small cast, a clock that stands still and stores in both databases. It starts
// PostgreSQL itself when none is named.
package annotatetest
