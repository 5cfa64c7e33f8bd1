// Package report composes the review report of one case: Build turns the case file into a Report value, which is what is
// signed, and the rest writes that value as canonical JSON, HTML, PDF and CSV. It is pure: no clock, no randomness, and
// the time zone is given.
package report
