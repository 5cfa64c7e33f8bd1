// Package sheet lays a document out on A4: the same headings, facts, tables, figure and remarks as HTML for screen and
// printer and as PDF. It knows nothing of cases; package report fills it.
package sheet
