// Package media reads recordings where they lie: under the allowed folders or at an https address.
// It lists, probes, fingerprints and streams them, and no path that a person typed reaches the disk
// outside an allowed folder.
package media
