package media

import (
	"io/fs"
	"net/url"
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"
)

// maxRef bounds a reference; file systems stop at about 4,096 bytes too.
const maxRef = 4096

var rootName = regexp.MustCompile(`^[a-z0-9][a-z0-9-]{0,39}$`)

// Ref is where a recording lies: a file under a named root, or an https address.
// Exactly one of Path and URL is set.
type Ref struct {
	Root string
	Path string
	URL  string
}

// String writes the reference as it is stored: "root-name:relative/path.mp4" or the address.
func (r Ref) String() string {
	if r.URL != "" {
		return r.URL
	}
	return r.Root + ":" + r.Path
}

// Remote tells whether the recording is played from its own https address.
func (r Ref) Remote() bool { return r.URL != "" }

// ParseRef reads a reference. It refuses, with BadReference or OutsideRoot, whatever is not
// plainly a file under a root or an https address.
func ParseRef(text string) (Ref, error) {
	if err := checkText(text); err != nil {
		return Ref{}, err
	}
	if strings.Contains(text, "://") {
		return parseAddress(text)
	}
	root, path, found := strings.Cut(text, ":")
	if !found || !rootName.MatchString(root) {
		return Ref{}, fault(BadReference, nil,
			"a recording is named as root-name:folder/file.mp4 or by an https address; choose the file from the list")
	}
	if path == "" || path == "." {
		return Ref{}, fault(BadReference, nil, "name a file below %q", root)
	}
	if err := checkPath(path); err != nil {
		return Ref{}, err
	}
	return Ref{Root: root, Path: path}, nil
}

func checkText(text string) error {
	switch {
	case text == "":
		return fault(BadReference, nil, "name a recording: choose a file or give an https address")
	case len(text) > maxRef:
		return fault(BadReference, nil, "the reference is longer than %d bytes; move the file nearer to its root", maxRef)
	case !utf8.ValidString(text):
		return fault(BadReference, nil, "the reference is not valid UTF-8; rename the file with ordinary letters")
	case strings.ContainsFunc(text, unicode.IsControl):
		return fault(BadReference, nil, "the reference holds a control character; rename the file without it")
	}
	return nil
}

// checkPath wants a path relative to a root, with forward slashes. The system refuses escapes a
// second time when the file is opened; this check exists to say so in words.
func checkPath(path string) error {
	if strings.HasPrefix(path, "/") {
		return fault(OutsideRoot, nil, "give the path from the allowed folder on, without a leading slash")
	}
	for _, part := range strings.Split(path, "/") {
		if part == ".." {
			return fault(OutsideRoot, nil, `".." would leave the allowed folder; give the path from that folder on`)
		}
	}
	if !fs.ValidPath(path) {
		return fault(BadReference, nil, `the path has an empty or "." part; write it as folder/file.mp4`)
	}
	return nil
}

func parseAddress(text string) (Ref, error) {
	u, err := url.Parse(text)
	if err != nil {
		return Ref{}, fault(BadReference, err, "the address cannot be read; copy it again from the browser")
	}
	switch {
	case u.Scheme != "https":
		return Ref{}, fault(AddressRefused, nil, "only https addresses are taken, because recordings are confidential")
	case u.Hostname() == "":
		return Ref{}, fault(BadReference, nil, "the address names no host")
	case u.User != nil:
		return Ref{}, fault(AddressRefused, nil, "an address must not carry a user name or password, because it is stored and shown")
	}
	u.Fragment, u.RawFragment = "", ""
	return Ref{URL: u.String()}, nil
}
