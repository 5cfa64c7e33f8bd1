package server

import "zonule/annotate"

// findingRoutes is the part of the table for what the review report says in free words, and whose picture may be shown.
func (s *Server) findingRoutes() []route {
	return []route{
		{"PUT", "/cases/{case}/parts/{part}/cleared", may(annotate.RecordingEdit), "clear-part", answer(s.clearPart)},
	}
}
