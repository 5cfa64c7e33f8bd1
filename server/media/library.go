package media

import (
	"context"
	"crypto/x509"
	"errors"
	"io"
	"io/fs"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
)

// Root is one folder that recordings may lie in, under the name that references use.
type Root struct {
	Name string // lower-case letters, digits and hyphens
	Dir  string // absolute path on the server
}

// File is an open recording.
type File interface {
	io.ReadSeekCloser
	io.ReaderAt
	Stat() (fs.FileInfo, error)
}

// Library is the set of allowed folders and the way to addresses outside.
// It is safe for use by several goroutines.
type Library struct {
	roots        []Root
	ffprobe      string
	ffmpeg       string
	stills       *stillCache
	allowPrivate bool
	certificates *x509.CertPool
	client       *http.Client
}

// Option changes how a Library works.
type Option func(*Library)

// WithFFprobe names the ffprobe program to use; "" says that there is none.
// Without this option it is looked for on the PATH.
func WithFFprobe(program string) Option { return func(l *Library) { l.ffprobe = program } }

// WithFFmpeg names the ffmpeg program to use for still pictures; "" says that there is none.
// Without this option it is looked for on the PATH.
func WithFFmpeg(program string) Option { return func(l *Library) { l.ffmpeg = program } }

// WithPrivateAddresses lets https references lead to loopback and private networks: for a
// department whose archive is on its own network, and for tests.
func WithPrivateAddresses() Option { return func(l *Library) { l.allowPrivate = true } }

// WithCertificates names the authorities that https references are checked against, in place of
// the system's.
func WithCertificates(pool *x509.CertPool) Option {
	return func(l *Library) { l.certificates = pool }
}

// NewLibrary checks the names and folders of the roots. A folder need not be there yet: a network
// drive that is away makes its recordings "missing" until it is back, and does not stop the server.
func NewLibrary(roots []Root, options ...Option) (*Library, error) {
	l := &Library{roots: slices.Clone(roots), stills: newStillCache()}
	if program, err := exec.LookPath("ffprobe"); err == nil {
		l.ffprobe = program
	}
	if program, err := exec.LookPath("ffmpeg"); err == nil {
		l.ffmpeg = program
	}
	for _, option := range options {
		option(l)
	}
	l.client = newClient(l.allowPrivate, l.certificates)
	seen := map[string]bool{}
	for _, root := range roots {
		switch {
		case !rootName.MatchString(root.Name):
			return nil, fault(BadReference, nil, "media root %q: the name may hold lower-case letters, digits and hyphens, at most 40", root.Name)
		case seen[root.Name]:
			return nil, fault(BadReference, nil, "media root %q is given twice", root.Name)
		case !filepath.IsAbs(root.Dir):
			return nil, fault(BadReference, nil, "media root %q: give the folder as an absolute path", root.Name)
		}
		if info, err := os.Stat(root.Dir); err == nil && !info.IsDir() {
			return nil, fault(BadReference, nil, "media root %q is not a folder", root.Name)
		}
		seen[root.Name] = true
	}
	return l, nil
}

// Roots lists the names of the allowed folders, in the order given.
func (l *Library) Roots() []string {
	names := make([]string, len(l.roots))
	for i, root := range l.roots {
		names[i] = root.Name
	}
	return names
}

// openRoot opens the folder anew each time, so that a drive mounted later is seen.
func (l *Library) openRoot(name string) (*os.Root, error) {
	i := slices.IndexFunc(l.roots, func(r Root) bool { return r.Name == name })
	if i < 0 {
		return nil, fault(UnknownRoot, nil, "there is no allowed folder named %q; the allowed ones are: %s",
			name, strings.Join(l.Roots(), ", "))
	}
	root, err := os.OpenRoot(l.roots[i].Dir)
	if err != nil {
		return nil, fault(NotFound, err, "the folder %q cannot be opened now; check that its drive is connected", name)
	}
	return root, nil
}

// Open opens a recording for reading. The caller closes it. Folders, devices, pipes and links that
// leave the root are refused.
func (l *Library) Open(ctx context.Context, reference string) (File, fs.FileInfo, error) {
	ref, err := ParseRef(reference)
	if err != nil {
		return nil, nil, err
	}
	if ref.Remote() {
		return l.openRemote(ctx, ref)
	}
	return l.openLocal(ref)
}

func (l *Library) openLocal(ref Ref) (*os.File, fs.FileInfo, error) {
	root, err := l.openRoot(ref.Root)
	if err != nil {
		return nil, nil, err
	}
	defer func() { _ = root.Close() }()
	name := filepath.FromSlash(ref.Path)
	// Looked at before it is opened, because opening a pipe waits for its other end.
	info, err := root.Stat(name)
	if err != nil {
		return nil, nil, openFault(root, ref, err)
	}
	if !info.Mode().IsRegular() {
		return nil, nil, fault(NotAFile, nil, "%s is not a file that can be played; choose a video file", ref)
	}
	file, err := root.Open(name)
	if err != nil {
		return nil, nil, openFault(root, ref, err)
	}
	opened, err := file.Stat()
	if err != nil || !opened.Mode().IsRegular() {
		_ = file.Close()
		return nil, nil, fault(Unreadable, err, "%s changed while it was opened; try again", ref)
	}
	return file, opened, nil
}

func openFault(root *os.Root, ref Ref, err error) error {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fault(NotFound, err, "%s is not there; it may have been moved or renamed", ref)
	case errors.Is(err, fs.ErrPermission):
		return fault(Unreadable, err, "%s may not be read by the server; ask for read permission on it", ref)
	case leadsOut(root, ref.Path):
		return fault(OutsideRoot, err, "%s is a link that leaves the allowed folder; put the file itself there", ref)
	}
	return fault(Unreadable, err, "%s cannot be read", ref)
}

// leadsOut tells whether some part of the path is a symbolic link: the system has refused the
// path already, and this finds the word for the reason.
func leadsOut(root *os.Root, path string) bool {
	parts := strings.Split(path, "/")
	for i := range parts {
		info, err := root.Lstat(filepath.Join(parts[:i+1]...))
		if err != nil {
			return false
		}
		if info.Mode()&fs.ModeSymlink != 0 {
			return true
		}
	}
	return false
}
