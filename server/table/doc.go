// Package table reads CSV and XLSX files as rows of text with their numbers in the source, within bounded memory, and
// writes CSV that a spreadsheet does not run. It knows nothing of what the columns mean.
package table
