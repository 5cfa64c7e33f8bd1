// Package cohort compares operations with each other: who takes how long at which step, on which eyes, and how that
// changes. It works on flat rows of facts, one for a case; it knows no people beyond their ids, and no database.
package cohort
