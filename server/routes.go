package server

// routes is every address that the server answers, apart from those of the page: method, path, who may, the name in
// the description, handler. Rights over a thing are kept by the domain (annotate/access.go) and only named here.
// Paths of "answer" lie under the prefix, those of "plain" do not.
func (s *Server) routes() []route {
	return []route{
		{"POST", "/sign-in", anyone, "sign-in", answer(s.signIn)},
		{"POST", "/sign-out", anyone, "sign-out", answer(s.signOut)},
		{"GET", "/me", signedIn, "get-me", answer(s.me)},
		{"POST", "/me/password", signedIn, "change-password", answer(s.changePassword)},

		{"GET", "/people", everyone, "list-people", answer(s.people)},
		{"GET", "/users", may("administrator"), "list-users", answer(s.users)},
		{"PUT", "/users/{user}", may("administrator"), "put-user", answer(s.putUser)},
		{"POST", "/users/{user}/password-reset", may("administrator"), "reset-password", answer(s.resetPassword)},

		{"GET", "/unit", everyone, "get-unit", answer(s.unit)},
		{"PUT", "/unit", may("administrator"), "put-unit", answer(s.putUnit)},
		{"GET", "/catalogue", everyone, "get-catalogue", answer(s.catalogue)},
		{"GET", "/today", everyone, "get-today", answer(s.today)},

		{"GET", "/step-lists", everyone, "list-step-lists", answer(s.stepLists)},
		{"GET", "/step-lists/{list}/{version}", everyone, "get-step-list", answer(s.stepList)},
		{"PUT", "/step-lists/{list}", may("administrator"), "put-step-list", answer(s.putStepList)},

		{"GET", "/cases", may("case.view, for each"), "list-cases", answer(s.cases)},
		{"GET", "/cases/{case}", may("case.view"), "get-case", answer(s.oneCase)},
		{"PUT", "/cases/{case}", may("case.edit; a new one: surgeon, trainee, trainer"), "put-case", answer(s.putCase)},
		{"GET", "/cases/{case}/permissions", may("case.view"), "get-permissions", answer(s.permissions)},
		{"GET", "/cases/{case}/history", may("case.view"), "list-history", answer(s.history)},

		{"GET", "/cases/{case}/parts", may("recording.view"), "list-parts", answer(s.parts)},
		{"PUT", "/cases/{case}/parts/{part}", may("recording.edit"), "put-part", answer(s.putPart, slow)},
		{"DELETE", "/cases/{case}/parts/{part}", may("recording.edit"), "remove-part", answer(s.removePart)},
		{"POST", "/cases/{case}/parts/check", may("recording.edit"), "check-parts", answer(s.checkParts, slow)},
		{"GET", "/media/browse", may("surgeon, trainee, trainer"), "browse-media", answer(s.browse)},
		{"GET", "/media/parts/{part}", may("recording.view"), "play-part", answer(s.play, gives("video/*"))},
		{"HEAD", "/media/parts/{part}", may("recording.view"), "look-at-part", answer(s.play)},

		{"GET", "/cases/{case}/readings", may("reading.view"), "list-readings", answer(s.readings)},
		{"PUT", "/cases/{case}/readings/{reading}", may("reading.mark"), "put-reading", answer(s.putReading)},
		{"POST", "/readings/{reading}/accept", may("reading.accept"), "accept-reading", answer(s.acceptReading)},
		{"GET", "/readings/{reading}", may("reading.view"), "get-reading", answer(s.readingState)},
		{"GET", "/readings/{reading}/edits", may("reading.view"), "list-edits", answer(s.edits)},
		{"POST", "/readings/{reading}/edits", may("reading.mark; comments: reading.comment"), "add-edits", answer(s.addEdits, upTo(editsBodyLimit))},
		{"GET", "/readings/{reading}/durations", may("reading.view"), "get-durations", answer(s.durations)},

		{"GET", "/cases/{case}/complications", may("case.view"), "list-complications", answer(s.complications)},
		{"PUT", "/cases/{case}/complications/{complication}", may("outcome.edit"), "put-complication", answer(s.putComplication)},
		{"DELETE", "/cases/{case}/complications/{complication}", may("outcome.edit"), "remove-complication", answer(s.removeComplication)},
		{"GET", "/cases/{case}/visits", may("case.view"), "list-visits", answer(s.visits)},
		{"PUT", "/cases/{case}/visits/{visit}", may("outcome.edit"), "put-visit", answer(s.putVisit)},
		{"DELETE", "/cases/{case}/visits/{visit}", may("outcome.edit"), "remove-visit", answer(s.removeVisit)},

		{"GET", prefix + "/openapi.json", anyone, "get-description", plain(s.description)},
		{"GET", "/healthz", itself, "health", plain(s.health)},
		{"GET", "/readyz", itself, "readiness", plain(s.readiness)},
		{"GET", "/metrics", itself, "metrics", plain(s.metrics)},
	}
}
