package server

import (
	"context"
	"net/http"
	"sync"
	"time"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humagin"

	"zonule/annotate"
	"zonule/server/media"
	"zonule/timeline"
)

type partsOutput struct{ Body []annotate.Part }

func (s *Server) parts(ctx context.Context, in *casePath) (*partsOutput, error) {
	parts, err := s.service.Parts(ctx, actorOf(ctx), in.Case)
	return &partsOutput{Body: parts}, err
}

// placement is what a person says about a part; the rest is read off the file.
type placement struct {
	Source   string              `json:"source"`
	Position int                 `json:"position"`
	Offset   *int64              `json:"offset,omitempty"`
	Rates    []timeline.RateSpan `json:"rates"`
	Cuts     []int64             `json:"cuts"`
	RealTime bool                `json:"realTime"`
	Revision int64               `json:"revision"`
}

type putPartInput struct {
	Case string `path:"case"`
	Part string `path:"part"`
	Body placement
}

type partOutput struct{ Body annotate.Part }

func (s *Server) putPart(ctx context.Context, in *putPartInput) (*partOutput, error) {
	p := in.Body
	part, err := s.service.PutPart(ctx, actorOf(ctx), annotate.Part{
		ID: in.Part, CaseID: in.Case, Revision: p.Revision, Position: p.Position, Source: p.Source,
		Offset: p.Offset, Rates: p.Rates, Cuts: p.Cuts, RealTime: p.RealTime,
	})
	return &partOutput{Body: part}, err
}

type clearPartInput struct {
	Case string `path:"case"`
	Part string `path:"part"`
	Body struct {
		Cleared bool `json:"cleared" doc:"That no name, date or number is burned into the picture."`
	}
}

func (s *Server) clearPart(ctx context.Context, in *clearPartInput) (*partOutput, error) {
	part, err := s.service.ClearPart(ctx, actorOf(ctx), in.Case, in.Part, in.Body.Cleared)
	return &partOutput{Body: part}, err
}

type removePartInput struct {
	Case     string `path:"case"`
	Part     string `path:"part"`
	Revision int64  `query:"revision" required:"true" doc:"Of the version that is to go."`
}

func (s *Server) removePart(ctx context.Context, in *removePartInput) (*nothing, error) {
	return &nothing{}, s.service.RemovePart(ctx, actorOf(ctx), in.Case, in.Part, in.Revision)
}

func (s *Server) checkParts(ctx context.Context, in *casePath) (*partsOutput, error) {
	parts, err := s.service.CheckParts(ctx, actorOf(ctx), in.Case)
	return &partsOutput{Body: parts}, err
}

type browseInput struct {
	Root string `query:"root" doc:"Name of an allowed folder; without it the answer lists them."`
	Dir  string `query:"dir" doc:"Below the root."`
}

// folderEntry is one line of the file chooser.
type folderEntry struct {
	Name       string `json:"name"`
	Path       string `json:"path"`   // below the root
	Source     string `json:"source"` // what a part is registered with
	Dir        bool   `json:"dir"`
	Size       int64  `json:"size"`       // bytes
	ModifiedAt int64  `json:"modifiedAt"` // Unix ms
}

type browseOutput struct {
	Body struct {
		Roots   []string      `json:"roots"`
		Entries []folderEntry `json:"entries"`
	}
}

func (s *Server) browse(ctx context.Context, in *browseInput) (*browseOutput, error) {
	if err := s.service.MayBrowse(actorOf(ctx)); err != nil {
		return nil, err
	}
	out := &browseOutput{}
	out.Body.Roots, out.Body.Entries = []string{}, []folderEntry{}
	if in.Root == "" {
		out.Body.Roots = s.library.Roots()
		return out, nil
	}
	entries, err := s.library.Browse(in.Root, in.Dir)
	if err != nil {
		return nil, err
	}
	for _, e := range entries {
		out.Body.Entries = append(out.Body.Entries, folderEntry{
			Name: e.Name, Path: e.Path, Source: e.Reference, Dir: e.IsDir, Size: e.Size, ModifiedAt: e.Modified.UnixMilli(),
		})
	}
	return out, nil
}

// viewings remembers which viewings are in the audit, so that the store is not asked at every piece of a film.
type viewings struct {
	mutex sync.Mutex
	noted map[[2]string]time.Time // by user and part
}

const (
	viewingKept  = 30 * time.Minute // less than what one audit entry stands for
	mostViewings = 10_000
)

// fresh reports whether the viewing was noted not long ago.
func (v *viewings) fresh(user, part string, now time.Time) bool {
	v.mutex.Lock()
	defer v.mutex.Unlock()
	at, ok := v.noted[[2]string{user, part}]
	return ok && now.Sub(at) < viewingKept
}

func (v *viewings) keep(user, part string, now time.Time) {
	v.mutex.Lock()
	defer v.mutex.Unlock()
	if len(v.noted) >= mostViewings {
		clear(v.noted)
	}
	v.noted[[2]string{user, part}] = now
}

// noteViewing writes the audit entry of a viewing; the domain makes it one in an hour.
func (s *Server) noteViewing(ctx context.Context, part annotate.Part) error {
	actor, now := actorOf(ctx), s.now()
	if s.viewings.fresh(actor.ID, part.ID, now) {
		return nil
	}
	if err := s.service.NotePlayback(ctx, actor, part); err != nil {
		return err
	}
	s.viewings.keep(actor.ID, part.ID, now)
	return nil
}

type partPath struct {
	Part string `path:"part"`
}

// play streams a part, whole or in ranges, and notes who watched it. The right is asked at every request, however many
// a player makes.
func (s *Server) play(ctx context.Context, in *partPath) (*huma.StreamResponse, error) {
	part, err := s.service.PartForPlayback(ctx, actorOf(ctx), in.Part)
	if err != nil {
		return nil, err
	}
	if err := s.noteViewing(ctx, part); err != nil {
		return nil, err
	}
	return s.stream(part)
}

// lookAt answers as play does, without a picture.
func (s *Server) lookAt(ctx context.Context, in *partPath) (*huma.StreamResponse, error) {
	part, err := s.service.PartForPlayback(ctx, actorOf(ctx), in.Part)
	if err != nil {
		return nil, err
	}
	return s.stream(part)
}

// stream sends a recording that lies under a root; one at an https address is played from there.
func (s *Server) stream(part annotate.Part) (*huma.StreamResponse, error) {
	ref, err := media.ParseRef(part.Source)
	if err != nil {
		return nil, err
	}
	return &huma.StreamResponse{Body: func(hc huma.Context) {
		c := humagin.Unwrap(hc)
		if ref.Remote() {
			http.Redirect(c.Writer, c.Request, ref.URL, http.StatusTemporaryRedirect)
			return
		}
		if err := s.library.Serve(c.Writer, c.Request, part.Source, part.Facts.Fingerprint); err != nil {
			s.refuse(c, err)
		}
	}}, nil
}
