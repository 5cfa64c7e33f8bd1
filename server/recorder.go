package server

import (
	"context"
	"errors"

	"zonule/annotate"
	"zonule/server/media"
	"zonule/timeline"
)

// Recorder lets the domain look at recordings through the media library.
type Recorder struct{ library *media.Library }

// NewRecorder gives what annotate.Options.Media asks for.
func NewRecorder(library *media.Library) *Recorder { return &Recorder{library} }

// Probe reads what a recording says about itself. Errors are annotate.CodeMedia on the field "source".
func (r *Recorder) Probe(ctx context.Context, source string) (annotate.MediaFacts, error) {
	_, modified, err := r.stat(ctx, source)
	if err != nil {
		return annotate.MediaFacts{}, recordingError(err)
	}
	found, err := r.library.Probe(ctx, source)
	if err != nil {
		return annotate.MediaFacts{}, recordingError(err)
	}
	fingerprint, err := r.library.QuickFingerprint(ctx, source)
	if err != nil {
		return annotate.MediaFacts{}, recordingError(err)
	}
	facts := annotate.MediaFacts{
		Container: found.Container, VideoCodec: found.VideoCodec, AudioCodec: found.AudioCodec,
		Width: found.Width, Height: found.Height,
		FrameRate:         timeline.FrameRate{Num: found.FrameRateNum, Den: found.FrameRateDen},
		VariableFrameRate: found.VariableFrameRate,
		Duration:          found.DurationMs, Size: found.SizeBytes, ModifiedAt: modified, Fingerprint: fingerprint,
	}
	if found.CreatedAt != nil {
		at := found.CreatedAt.UnixMilli()
		facts.RecordedAt = &at
	}
	facts.Playable, facts.Reason = media.Playable(found)
	return facts, nil
}

// State tells whether a recording is still the one that known describes, with the reason in words when it is not.
// A file that cannot be opened for whatever reason is missing: the part keeps its facts until it is back.
func (r *Recorder) State(ctx context.Context, source string, known annotate.MediaFacts) (annotate.PartState, string, error) {
	size, _, err := r.stat(ctx, source)
	fingerprint := ""
	if err == nil {
		fingerprint, err = r.library.QuickFingerprint(ctx, source)
	}
	var fault *media.Error
	switch {
	case errors.As(err, &fault):
		return annotate.PartMissing, fault.Message, nil
	case err != nil:
		return "", "", err
	case size != known.Size || fingerprint != known.Fingerprint:
		return annotate.PartChanged, "the file is not the one that was registered; markers may no longer fit", nil
	case !known.Playable:
		return annotate.PartNotPlayable, known.Reason, nil
	}
	return annotate.PartOK, "", nil
}

// stat gives the size in bytes and the time of the last change in Unix ms, 0 when it is not known.
func (r *Recorder) stat(ctx context.Context, source string) (int64, int64, error) {
	file, info, err := r.library.Open(ctx, source)
	if err != nil {
		return 0, 0, err
	}
	defer func() { _ = file.Close() }()
	if info.ModTime().IsZero() {
		return info.Size(), 0, nil
	}
	return info.Size(), info.ModTime().UnixMilli(), nil
}

// recordingError gives a fault of the media library the code of the domain; its message is safe to show.
func recordingError(err error) error {
	var fault *media.Error
	if !errors.As(err, &fault) {
		return err
	}
	refusal := annotate.Refuse(annotate.CodeMedia, "%s", fault.Message).Because(fault.Cause)
	refusal.Fields = []annotate.FieldError{{Field: "source", Message: fault.Message}}
	return refusal
}
