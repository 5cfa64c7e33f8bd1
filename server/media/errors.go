package media

import "fmt"

// Fault says what kind of thing is wrong with a recording or with the reference to it.
// The texts are stable: the server maps them to a status and the page to words.
type Fault string

// The faults a caller can meet.
const (
	BadReference   Fault = "bad-reference"   // the text is not a reference
	UnknownRoot    Fault = "unknown-root"    // no allowed folder has that name
	OutsideRoot    Fault = "outside-root"    // the path or a link leads out of the allowed folder
	NotFound       Fault = "not-found"       // nothing there, or the folder is not mounted
	NotAFile       Fault = "not-a-file"      // a folder, device, pipe or socket
	Unreadable     Fault = "unreadable"      // there, but the system refuses to read it
	NotVideo       Fault = "not-video"       // readable, but holds no picture track
	IndexMissing   Fault = "index-missing"   // the recording was cut short before its index was written
	IndexDamaged   Fault = "index-damaged"   // sizes or tables in the index contradict each other
	DataEndsEarly  Fault = "data-ends-early" // the index promises more than the file holds
	NeedsFFprobe   Fault = "needs-ffprobe"   // this container can only be read with ffprobe
	ProbeFailed    Fault = "probe-failed"    // ffprobe could not read it, or took too long
	AddressRefused Fault = "address-refused" // an address the server must not call
	NeedsFFmpeg    Fault = "needs-ffmpeg"    // still pictures are taken with ffmpeg
	StillFailed    Fault = "still-failed"    // ffmpeg gave no picture there, or took too long
	Replaced       Fault = "replaced"        // the file is not the one that was registered
	Unreachable    Fault = "unreachable"     // the https address does not answer as a recording should
)

// Error carries a fault, a message that is safe to show, and the cause for the log.
type Error struct {
	Fault   Fault
	Message string
	Cause   error
}

func (e *Error) Error() string { return e.Message }

// Unwrap gives the cause, which may name paths of the server and is only for the log.
func (e *Error) Unwrap() error { return e.Cause }

func fault(f Fault, cause error, format string, args ...any) *Error {
	return &Error{Fault: f, Message: fmt.Sprintf(format, args...), Cause: cause}
}
