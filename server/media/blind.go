package media

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"net/http"
	"time"
)

// ServeBlind streams a local recording as Serve does, to people who must not learn whose it is or when it was made: no
// header tells the time of the file, and of the film itself dates, titles, names of tracks and every track but the picture
// are blanked on the way. Sound is left out because people are addressed by name in theatre. What is in the picture is not
// looked at; somebody has to.
//
// salt makes the entity tag another one wherever the recording is shown. A file that is neither MP4, MOV nor WebM is refused.
func (l *Library) ServeBlind(w http.ResponseWriter, r *http.Request, reference, fingerprint, salt string) error {
	ref, err := ParseRef(reference)
	if err != nil {
		return err
	}
	if ref.Remote() {
		return fault(AddressRefused, nil, "this recording is played from its own address, not through the server")
	}
	file, info, err := l.openLocal(ref)
	if err != nil {
		return err
	}
	defer func() { _ = file.Close() }()
	kind, err := contentType(file, "")
	if err != nil {
		return err
	}
	size := info.Size()
	var blanks []blank
	switch kind {
	case "video/mp4", "video/quicktime":
		blanks, err = blanksOfMP4(file, size)
	case "video/webm":
		blanks, err = blanksOfWebM(file, size)
	default:
		err = fault(NotVideo, nil, "a recording of this kind cannot be shown without telling when it was made; convert it to MP4")
	}
	if err != nil {
		return err
	}
	err = http.NewResponseController(w).SetWriteDeadline(time.Time{})
	if err != nil && !errors.Is(err, http.ErrNotSupported) {
		return fault(Unreadable, err, "the connection cannot carry a recording")
	}
	header := w.Header()
	header.Set("Content-Type", kind)
	header.Set("ETag", fmt.Sprintf(`"%x"`, sha256.Sum256(fmt.Appendf(nil, "%s|%s|%d|%d", salt, fingerprint, size, modifiedMs(info))))[:33]+`"`)
	header.Set("Cache-Control", "private, no-cache")
	header.Set("X-Content-Type-Options", "nosniff")
	http.ServeContent(w, r, "", time.Time{}, io.NewSectionReader(blanked{file, blanks}, 0, size))
	return nil
}

// blank is a stretch of a file that is sent as other bytes: text, then zeros.
type blank struct {
	at, length int64
	text       string
}

// blanked is a file with stretches blanked.
type blanked struct {
	file   io.ReaderAt
	blanks []blank
}

// ReadAt implements io.ReaderAt.
func (b blanked) ReadAt(p []byte, off int64) (int, error) {
	n, err := b.file.ReadAt(p, off)
	for _, one := range b.blanks {
		from, to := max(one.at, off), min(one.at+one.length, off+int64(n))
		for i := from; i < to; i++ {
			p[i-off] = 0
			if into := i - one.at; into < int64(len(one.text)) {
				p[i-off] = one.text[into]
			}
		}
	}
	return n, err
}
