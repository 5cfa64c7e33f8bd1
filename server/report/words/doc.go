// Package words writes the numbers, times and codes of a report as people read them: rounded, with units, in British
// English.
package words
