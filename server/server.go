package server

import (
	"context"
	"errors"
	"io/fs"
	"log/slog"
	"net/http"
	"strings"
	"time"

	"github.com/alexedwards/scs/v2"
	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humagin"
	"github.com/gin-gonic/gin"
	"github.com/google/uuid"

	"zonule/annotate"
	"zonule/server/auth"
	"zonule/server/live"
	"zonule/server/media"
)

// Options is what a server is made of. Service, Media and Sessions must be there.
type Options struct {
	Service *annotate.Service
	Media   *media.Library
	// Sessions keeps the sessions of all servers over one database.
	Sessions scs.Store
	// Page holds the built page: index.html and assets/. Without index.html the server says that it is not built.
	Page fs.FS
	Log  *slog.Logger
	// SecureCookies sends the session cookie over https only; leave it off on a loopback address alone.
	SecureCookies bool
	// TrustedOrigins are further origins whose pages may change things, such as "https://theatre.example.org".
	TrustedOrigins []string
	// TrustedProxies are the addresses whose X-Forwarded-For is believed.
	TrustedProxies []string
	// Address is how people reach the server, such as "https://zonule.example.org", for the links of reports that leave
	// it; "" takes the address of each request.
	Address string
	// Version of the program, told by /healthz.
	Version string
	// Ready says why the server cannot work now: the database is away, or its tables are of another version.
	Ready func(context.Context) error
	// Now and NewID are for tests; nil takes the clock and UUIDv7.
	Now   func() time.Time
	NewID func() string
}

// Server answers HTTP.
type Server struct {
	service  *annotate.Service
	library  *media.Library
	sessions *auth.Sessions
	origins  *auth.Origins
	page     fs.FS
	log      *slog.Logger
	headers  map[string]string
	secure   bool
	address  string
	version  string
	ready    func(context.Context) error
	now      func() time.Time
	newID    func() string

	engine   *gin.Engine
	api      huma.API
	watch    *watch
	viewings viewings
	hub      *live.Hub
	// beatEvery and askEvery are shorter in tests.
	beatEvery, askEvery time.Duration
	table               []route
}

// New wires the middleware and attaches every route of the table.
func New(o Options) (*Server, error) {
	if o.Service == nil || o.Media == nil || o.Sessions == nil {
		return nil, errors.New("a server needs a service, a media library and a place for sessions")
	}
	origins, err := auth.NewOrigins(o.TrustedOrigins)
	if err != nil {
		return nil, err
	}
	s := &Server{
		service: o.Service, library: o.Media, origins: origins, page: o.Page, log: o.Log, version: o.Version,
		sessions: auth.NewSessions(o.Sessions, o.Service.UserByID, o.SecureCookies),
		headers:  headersOf(o.SecureCookies), secure: o.SecureCookies, address: strings.TrimSuffix(o.Address, "/"), ready: o.Ready, now: o.Now, newID: o.NewID, watch: newWatch(), viewings: viewings{noted: map[[2]string]time.Time{}},
	}
	s.hub, s.beatEvery, s.askEvery = live.NewHub(s.service.LiveMeeting), beatEvery, askEvery
	if s.log == nil {
		s.log = slog.New(slog.DiscardHandler)
	}
	if s.now == nil {
		s.now = time.Now
	}
	if s.newID == nil {
		s.newID = func() string { return uuid.Must(uuid.NewV7()).String() }
	}
	if s.ready == nil {
		s.ready = func(context.Context) error { return nil }
	}
	if err := s.buildEngine(o.TrustedProxies); err != nil {
		return nil, err
	}
	s.table = s.routes()
	for _, r := range s.table {
		r.attach(s, r)
	}
	finishSchemas(s.api.OpenAPI().Components.Schemas)
	return s, nil
}

func (s *Server) buildEngine(proxies []string) error {
	gin.SetMode(gin.ReleaseMode)
	s.engine = gin.New()
	s.engine.HandleMethodNotAllowed = true
	s.engine.RedirectTrailingSlash = false
	if err := s.engine.SetTrustedProxies(proxies); err != nil {
		return err
	}
	s.engine.Use(s.identify, s.measure, s.record, s.survive, s.protect, s.readable, s.sameSite, s.known)
	s.engine.NoRoute(s.nowhere)
	s.engine.NoMethod(func(c *gin.Context) { s.fail(c, doorProblem(http.StatusMethodNotAllowed)) })

	config := huma.DefaultConfig("Zonule", "1")
	config.Info.Description = "Recordings of cataract operations, their marking, and the review reports made of them. " +
		"Education and quality improvement only; not a medical device."
	config.Components.Schemas = huma.NewMapRegistry("#/components/schemas/", schemaName)
	config.Servers = []*huma.Server{{URL: prefix}}
	config.DocsPath, config.OpenAPIPath, config.SchemasPath, config.CreateHooks = "", "", "", nil
	config.RejectUnknownQueryParameters = true
	config.Formats = map[string]huma.Format{"application/json": strictJSON, "json": strictJSON}
	s.api = humagin.NewWithGroup(s.engine, s.engine.Group(prefix), config)
	return nil
}

// ServeHTTP answers one request.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) { s.engine.ServeHTTP(w, r) }

// HTTPServer gives a server for the address. It has no write timeout, which would cut a film that is being watched;
// slow readers of requests are cut, and the API bounds its own work.
func (s *Server) HTTPServer(address string) *http.Server {
	h := &http.Server{
		Addr: address, Handler: s, ReadHeaderTimeout: 10 * time.Second, IdleTimeout: 2 * time.Minute,
		MaxHeaderBytes: 64 << 10, ErrorLog: slog.NewLogLogger(s.log.Handler(), slog.LevelWarn),
	}
	// A shutdown waits for answers under way; those to who follows a meeting end when the hub does.
	h.RegisterOnShutdown(s.hub.Close)
	return h
}
