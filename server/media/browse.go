package media

import (
	"cmp"
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"
)

// Entry is one line of the file chooser.
type Entry struct {
	Name      string    // last part of the path
	Reference string    // "root-name:path", what Open and Browse take
	Path      string    // path below the root
	IsDir     bool      // a folder
	Size      int64     // bytes; 0 for a folder
	Modified  time.Time // of the file or folder
	Plays     bool      // the kind of file is one that browsers usually play; a guess from the name
}

// extensions names the kinds of video files that are listed, and whether browsers usually play them.
var extensions = map[string]bool{
	".mp4": true, ".m4v": true, ".mov": true, ".webm": true,
	".avi": false, ".mpg": false, ".mpeg": false, ".m2v": false, ".vob": false, ".ts": false, ".m2ts": false,
	".mts": false, ".mkv": false, ".wmv": false, ".asf": false, ".flv": false, ".ogv": false, ".ogg": false,
	".3gp": false, ".dv": false, ".mxf": false,
}

// Browse lists the folders and video files of one folder, folders first, then by name. With
// rootName "" it lists the roots. Hidden names, other files, and links that leave the root are left out.
func (l *Library) Browse(rootName, dir string) ([]Entry, error) {
	if rootName == "" {
		return l.browseRoots(), nil
	}
	root, err := l.openRoot(rootName)
	if err != nil {
		return nil, err
	}
	defer func() { _ = root.Close() }()
	if dir == "" {
		dir = "."
	}
	ref := Ref{Root: rootName, Path: dir}
	if err := checkText(dir); err != nil {
		return nil, err
	}
	if err := checkPath(dir); err != nil {
		return nil, err
	}
	name := filepath.FromSlash(dir)
	info, err := root.Stat(name)
	if err != nil {
		return nil, openFault(root, ref, err)
	}
	if !info.IsDir() {
		return nil, fault(NotAFile, nil, "%s is not a folder", ref)
	}
	folder, err := root.Open(name)
	if err != nil {
		return nil, openFault(root, ref, err)
	}
	defer func() { _ = folder.Close() }()
	found, err := folder.ReadDir(-1)
	if err != nil {
		return nil, fault(Unreadable, err, "the folder %s cannot be read", ref)
	}
	entries := []Entry{}
	for _, item := range found {
		below := path.Join(dir, item.Name())
		// Stat follows links inside the root and fails on those that leave it.
		info, err := root.Stat(filepath.FromSlash(below))
		if err != nil {
			continue
		}
		if entry, shown := newEntry(rootName, below, info); shown {
			entries = append(entries, entry)
		}
	}
	slices.SortFunc(entries, compareEntries)
	return entries, nil
}

func (l *Library) browseRoots() []Entry {
	entries := make([]Entry, 0, len(l.roots))
	for _, root := range l.roots {
		entries = append(entries, Entry{Name: root.Name, Reference: root.Name + ":", IsDir: true})
	}
	return entries
}

func newEntry(rootName, below string, info fs.FileInfo) (Entry, bool) {
	name := path.Base(below)
	if strings.HasPrefix(name, ".") || !utf8.ValidString(name) || strings.ContainsFunc(name, unicode.IsControl) {
		return Entry{}, false
	}
	entry := Entry{
		Name: name, Path: below, Reference: Ref{Root: rootName, Path: below}.String(),
		IsDir: info.IsDir(), Modified: info.ModTime(),
	}
	if entry.IsDir {
		return entry, true
	}
	plays, video := extensions[strings.ToLower(path.Ext(name))]
	if !video || !info.Mode().IsRegular() {
		return Entry{}, false
	}
	entry.Size, entry.Plays = info.Size(), plays
	return entry, true
}

func compareEntries(a, b Entry) int {
	if a.IsDir != b.IsDir {
		if a.IsDir {
			return -1
		}
		return 1
	}
	return cmp.Or(cmp.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name)), cmp.Compare(a.Name, b.Name))
}
