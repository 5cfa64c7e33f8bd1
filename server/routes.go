package server

import (
	"context"
	"net/http"
	"slices"
	"strings"
	"time"

	"github.com/danielgtaylor/huma/v2"
	"github.com/gin-gonic/gin"

	"zonule/annotate"
)

const (
	// prefix begins every address of the interface; what changes incompatibly gets another number.
	prefix = "/api/v1"

	bodyLimit      = 1 << 20
	editsBodyLimit = 4 << 20
	// bodyReadLimit is generous: an outbox may be sent over a poor line.
	bodyReadLimit = 60 * time.Second

	workLimit     = 30 * time.Second
	longWorkLimit = 3 * time.Minute
)

// routes is every address that the server answers, apart from those of the page: method, path, who may, the name in
// the description, handler. Rights over a thing are kept by the domain (annotate/access.go) and only named here.
// Paths of "answer" lie under the prefix, those of "plain" do not.
func (s *Server) routes() []route {
	record := []route{
		{"POST", "/sign-in", anyone, "sign-in", answer(s.signIn)},
		{"POST", "/sign-out", anyone, "sign-out", answer(s.signOut)},
		{"GET", "/me", signedIn, "get-me", answer(s.me)},
		{"POST", "/me/password", signedIn, "change-password", answer(s.changePassword)},

		{"GET", "/people", colleague, "list-people", answer(s.people)},
		{"GET", "/users", may(annotate.UserManage), "list-users", answer(s.users)},
		{"PUT", "/users/{user}", may(annotate.UserManage), "put-user", answer(s.putUser)},
		{"POST", "/users/{user}/password-reset", may(annotate.UserManage), "reset-password", answer(s.resetPassword)},

		{"GET", "/unit", colleague, "get-unit", answer(s.unit)},
		{"PUT", "/unit", may(annotate.UnitEdit), "put-unit", answer(s.putUnit, slow)},
		{"GET", "/catalogue", colleague, "get-catalogue", answer(s.catalogue)},
		{"GET", "/today", colleague, "get-today", answer(s.today)},

		{"GET", "/follow-up", may(annotate.CaseView), "list-follow-up", answer(s.followUp)},
		{"GET", "/follow-up.csv", may(annotate.CaseView), "get-follow-up-csv", answer(s.followUpFile, slow, gives("text/csv"))},

		{"GET", "/step-lists", colleague, "list-step-lists", answer(s.stepLists)},
		{"GET", "/step-lists/{list}/{version}", colleague, "get-step-list", answer(s.stepList)},
		{"PUT", "/step-lists/{list}", may(annotate.StepListEdit), "put-step-list", answer(s.putStepList)},

		{"GET", "/cases", may(annotate.CaseView), "list-cases", answer(s.cases)},
		{"GET", "/cases/{case}", may(annotate.CaseView), "get-case", answer(s.oneCase)},
		{"PUT", "/cases/{case}", may(annotate.CaseEdit, annotate.CaseCreate, annotate.OutcomeEdit), "put-case", answer(s.putCase)},
		{"GET", "/cases/{case}/permissions", may(annotate.CaseView), "get-permissions", answer(s.permissions)},
		{"GET", "/cases/{case}/record", may(annotate.CaseView), "get-record", answer(s.clinicalRecord)},
		{"GET", "/cases/{case}/history", may(annotate.CaseView), "list-history", answer(s.history)},

		{"GET", "/cases/{case}/parts", may(annotate.RecordingView), "list-parts", answer(s.parts)},
		{"PUT", "/cases/{case}/parts/{part}", may(annotate.RecordingEdit), "put-part", answer(s.putPart, slow)},
		{"DELETE", "/cases/{case}/parts/{part}", may(annotate.RecordingEdit), "remove-part", answer(s.removePart)},
		{"POST", "/cases/{case}/parts/check", may(annotate.RecordingEdit), "check-parts", answer(s.checkParts, slow)},
		{"GET", "/media/browse", may(annotate.MediaBrowse), "browse-media", answer(s.browse)},
		{"GET", "/media/parts/{part}", may(annotate.RecordingView), "play-part", answer(s.play, gives("video/*"))},
		{"HEAD", "/media/parts/{part}", may(annotate.RecordingView), "look-at-part", answer(s.lookAt)},

		{"GET", "/cases/{case}/readings", may(annotate.ReadingView), "list-readings", answer(s.readings)},
		{"PUT", "/cases/{case}/readings/{reading}", may(annotate.ReadingMark), "put-reading", answer(s.putReading)},
		{"POST", "/readings/{reading}/accept", may(annotate.ReadingAccept), "accept-reading", answer(s.acceptReading)},
		{"GET", "/readings/{reading}", may(annotate.ReadingView), "get-reading", answer(s.readingState)},
		{"GET", "/readings/{reading}/edits", may(annotate.ReadingView), "list-edits", answer(s.edits)},
		{"POST", "/readings/{reading}/edits", may(annotate.ReadingMark, annotate.ReadingComment), "add-edits", answer(s.addEdits, upTo(editsBodyLimit))},
		{"GET", "/readings/{reading}/durations", may(annotate.ReadingView), "get-durations", answer(s.durations)},

		{"GET", "/cases/{case}/complications", may(annotate.CaseView), "list-complications", answer(s.complications)},
		{"PUT", "/cases/{case}/complications/{complication}", may(annotate.OutcomeEdit), "put-complication", answer(s.putComplication)},
		{"DELETE", "/cases/{case}/complications/{complication}", may(annotate.OutcomeEdit), "remove-complication", answer(s.removeComplication)},
		{"GET", "/cases/{case}/visits", may(annotate.CaseView), "list-visits", answer(s.visits)},
		{"PUT", "/cases/{case}/visits/{visit}", may(annotate.OutcomeEdit), "put-visit", answer(s.putVisit)},
		{"DELETE", "/cases/{case}/visits/{visit}", may(annotate.OutcomeEdit), "remove-visit", answer(s.removeVisit)},

		{"POST", "/imports", may(annotate.IntakeUse), "begin-import", answer(s.beginImport, upload)},
		{"GET", "/imports/{import}", may(annotate.IntakeUse), "get-import", answer(s.oneImport)},
		{"PUT", "/imports/{import}/matching", may(annotate.IntakeUse), "put-matching", answer(s.putMatching)},
		{"POST", "/imports/{import}/check", may(annotate.IntakeUse), "check-import", answer(s.checkImport, slow)},
		{"POST", "/imports/{import}/apply", may(annotate.IntakeUse), "apply-import", answer(s.applyImport, thorough)},
		{"POST", "/imports/{import}/cancel", may(annotate.IntakeUse), "cancel-import", answer(s.cancelImport)},
		{"GET", "/imports/{import}/report.csv", may(annotate.IntakeUse), "get-import-report", answer(s.importReport, slow, gives("text/csv"))},
	}
	return slices.Concat(record, s.unitRoutes(), s.caseLevelRoutes(), s.earlierRoutes(), s.compareRoutes(), s.studyRoutes(), s.teachingRoutes(), s.findingRoutes(), s.inboxRoutes(), s.meetingRoutes(), s.minutesRoutes(), s.themeRoutes(), s.reportRoutes())
}

// teachingRoutes is the part of the table for feedback, assessments, goals and the agreement of readings.
func (s *Server) teachingRoutes() []route {
	return []route{
		{"GET", "/feedback", colleague, "list-feedback", answer(s.feedback)},
		{"POST", "/readings/{reading}/seen", may(annotate.ReadingView), "see-comments", answer(s.seeComments)},
		{"GET", "/assessment-forms", colleague, "list-assessment-forms", answer(s.assessmentForms)},
		{"PUT", "/assessment-forms/{form}", may(annotate.AssessmentFormEdit), "put-assessment-form", answer(s.putAssessmentForm)},
		{"GET", "/cases/{case}/assessments", may(annotate.AssessmentView), "list-assessments", answer(s.assessments)},
		{"PUT", "/cases/{case}/assessments/{assessment}", may(annotate.CaseAssess), "put-assessment", answer(s.putAssessment)},
		{"GET", "/cases/{case}/agreement", may(annotate.ReadingView), "compare-readings", answer(s.readingsBeside)},
		{"GET", "/agreement/readers", colleague, "list-readers", answer(s.readers)},
		{"GET", "/agreement", colleague, "get-agreement", answer(s.agreement, slow)},
		{"GET", "/people/followed", colleague, "list-followed", answer(s.followed)},
		{"GET", "/people/{person}/progress", colleague, "get-progress", answer(s.progress, slow)},
		{"GET", "/people/{person}/progress.pdf", colleague, "get-progress-pdf", answer(s.progressFile, slow, gives("application/pdf"))},
		{"GET", "/people/{person}/goals", colleague, "list-goals", answer(s.goals)},
		{"PUT", "/people/{person}/goals/{goal}", colleague, "put-goal", answer(s.putGoal)},
	}
}

// reportRoutes is the part of the table for reports, and for what watches the server.
func (s *Server) reportRoutes() []route {
	return []route{
		{"GET", "/cases/{case}/report", may(annotate.ReportView), "get-draft", answer(s.draft, slow)},
		{"GET", "/cases/{case}/report.html", may(annotate.ReportView), "get-draft-html", answer(s.draftFile(formHTML), slow, gives("text/html"))},
		{"GET", "/cases/{case}/report.pdf", may(annotate.ReportView), "get-draft-pdf", answer(s.draftFile(formPDF), slow, gives("application/pdf"))},
		{"GET", "/cases/{case}/report.csv", may(annotate.ReportView), "get-draft-csv", answer(s.draftFile(formCSV), slow, gives("text/csv"))},
		{"GET", "/cases/{case}/report.json", may(annotate.ReportView), "get-draft-json", answer(s.draftFile(formJSON), slow, gives("application/json"))},
		{"POST", "/cases/{case}/reports", may(annotate.ReportSign), "sign-report", answer(s.sign, slow)},
		{"GET", "/cases/{case}/reports", may(annotate.ReportView), "list-reports", answer(s.signedReports)},
		{"GET", "/reports/{report}", may(annotate.ReportView), "get-report", answer(s.signedReport)},
		{"GET", "/reports/{report}/content.html", may(annotate.ReportView), "get-report-html", answer(s.signedFile(formHTML), gives("text/html"))},
		{"GET", "/reports/{report}/content.pdf", may(annotate.ReportView), "get-report-pdf", answer(s.signedFile(formPDF), gives("application/pdf"))},
		{"GET", "/reports/{report}/content.csv", may(annotate.ReportView), "get-report-csv", answer(s.signedFile(formCSV), gives("text/csv"))},
		{"GET", "/reports/{report}/content.json", may(annotate.ReportView), "get-report-json", answer(s.signedFile(formJSON), gives("application/json"))},
		{"PUT", "/reports/{report}/addenda/{addendum}", may(annotate.ReportAddendum), "put-addendum", answer(s.addAddendum)},

		{"GET", prefix + "/openapi.json", anyone, "get-description", plain(s.description)},
		{"GET", "/healthz", itself, "health", plain(s.health)},
		{"GET", "/readyz", itself, "readiness", plain(s.readiness)},
		{"GET", "/metrics", itself, "metrics", plain(s.metrics)},
	}
}

// route is one row of the table.
type route struct {
	method string
	path   string
	who    rule
	name   string // operationId in the description
	attach attach
}

// rule says who may use a route. The domain checks rights over a thing; the door checks only whether somebody is
// signed in, so that a rule that names an action is kept by the domain's table in annotate/access.go.
type rule struct {
	words string
	// signedIn asks for somebody; settled for somebody whose password is their own.
	signedIn, settled bool
}

var (
	anyone    = rule{words: "anyone"}
	signedIn  = rule{words: "signed in", signedIn: true}
	colleague = rule{words: "signed in, own password", signedIn: true, settled: true}
	itself    = rule{words: "the network it listens on"}
)

// may is the rule of a route whose right the domain decides: one of the actions, depending on what is asked.
func may(actions ...annotate.Action) rule {
	words := make([]string, len(actions))
	for i, action := range actions {
		words[i] = string(action)
	}
	return rule{words: strings.Join(words, " or "), signedIn: true, settled: true}
}

func (r rule) check(user *annotate.User) error {
	switch {
	case !r.signedIn:
		return nil
	case user == nil:
		return annotate.Refuse(annotate.CodeSignedOut, "You are not signed in. Sign in to go on; what you typed is still here.")
	case r.settled && user.MustChangePassword:
		return annotate.Refuse(annotate.CodeForbidden, "Choose a password of your own first; until then nothing else can be done.")
	}
	return nil
}

// attach puts a route into the server.
type attach func(*Server, route)

// option changes how a route is described or bounded.
type option func(*huma.Operation, *time.Duration)

// answer attaches a handler of the described interface: it returns a value or an error and writes nothing itself.
func answer[I, O any](handler func(context.Context, *I) (*O, error), options ...option) attach {
	return func(s *Server, r route) {
		operation := huma.Operation{
			OperationID: r.name, Method: r.method, Path: r.path, MaxBodyBytes: bodyLimit + 1, BodyReadTimeout: bodyReadLimit,
			Summary: strings.ReplaceAll(r.name, "-", " "), Description: "Who may: " + r.who.words + ".",
		}
		limit := workLimit
		for _, o := range options {
			o(&operation, &limit)
		}
		operation.Middlewares = huma.Middlewares{s.admit(r, limit)}
		huma.Register(s.api, operation, handler)
	}
}

// plain attaches a handler outside the described interface. Outside the prefix nobody is known, so that a rule which
// asks for somebody refuses everybody there.
func plain(handler gin.HandlerFunc) attach {
	return func(s *Server, r route) {
		s.engine.Handle(r.method, r.path, func(c *gin.Context) {
			if err := r.who.check(exchangeOf(c.Request.Context()).user); err != nil {
				s.fail(c, err)
				return
			}
			handler(c)
		})
	}
}

// upTo lets a body be larger than usual.
func upTo(bytes int64) option {
	return func(o *huma.Operation, _ *time.Duration) { o.MaxBodyBytes = bytes + 1 }
}

// slow lets work take longer than usual: reading recordings and drawing reports.
func slow(_ *huma.Operation, limit *time.Duration) { *limit = longWorkLimit }

// endless lets an answer last as long as its caller stays.
func endless(_ *huma.Operation, limit *time.Duration) { *limit = 0 }

// gives describes an answer that is a file.
func gives(contentType string) option {
	return func(o *huma.Operation, _ *time.Duration) {
		o.Responses = map[string]*huma.Response{"200": {
			Description: http.StatusText(http.StatusOK),
			Content:     map[string]*huma.MediaType{contentType: {Schema: &huma.Schema{Type: huma.TypeString, Format: "binary"}}},
		}}
	}
}
