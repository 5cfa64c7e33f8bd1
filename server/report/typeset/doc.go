// Package typeset sets text of many scripts on the pages of a PDF: shaped, in the right direction, broken into lines,
// selectable and searchable.
//
// Text whose letters stand one by one is written with the embedded fonts. Text that joins or reorders its letters (Arabic,
// Devanagari, stacked accents) is drawn as outlines with the same words, invisible, beneath it. What no font holds
// is replaced by U+FFFD and reported, never dropped in silence.
package typeset
