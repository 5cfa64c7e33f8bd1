package server

import (
	"context"
	"time"

	"zonule/annotate"
	"zonule/server/media"
	"zonule/server/report"
)

const (
	// stillWidth in px: a third of the column of a report, sharp in print.
	stillWidth = 480
	// stillsTime bounds what all pictures of one report may take; moments whose turn has not come are told in words.
	stillsTime = 25 * time.Second
)

// stills takes the pictures that a report wants, as far as recordings and ffmpeg give them: without one the moment is
// told in words, and leads to the recording.
func (s *Server) stills(ctx context.Context, r report.Report, parts []annotate.Part) map[report.StillAt][]byte {
	taken := map[report.StillAt][]byte{}
	if !s.library.Stills() {
		return taken
	}
	ctx, cancel := context.WithTimeout(ctx, stillsTime)
	defer cancel()
	for _, at := range r.StillsWanted() {
		for _, part := range parts {
			if part.ID != at.PartID || !stillable(part) {
				continue
			}
			if picture, err := s.library.Still(ctx, stillOf(part, at.Ms, stillWidth)); err == nil {
				taken[at] = picture
			} else {
				s.log.WarnContext(ctx, "no still picture", "part", part.ID, "ms", at.Ms, "error", err)
			}
		}
	}
	return taken
}

// stillable tells whether the file of a part is still the one that was registered; ffmpeg reads what browsers do not play.
func stillable(part annotate.Part) bool {
	return part.State == annotate.PartOK || part.State == annotate.PartNotPlayable
}

// stillOf names a picture of a part.
func stillOf(part annotate.Part, ms int64, width int) media.StillOf {
	of := media.StillOf{Source: part.Source, Fingerprint: part.Facts.Fingerprint, Ms: ms, Width: width}
	if rate := part.Facts.FrameRate; rate.Num > 0 {
		of.FrameMs = 1000 * float64(rate.Den) / float64(rate.Num)
	}
	return of
}
