package report

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
)

// JSON writes the canonical bytes of a report, which are what is signed: fields in the order of the type, no white space,
// UTF-8, numbers in their shortest form.
func JSON(r Report) ([]byte, error) {
	var out bytes.Buffer
	encoder := json.NewEncoder(&out)
	encoder.SetEscapeHTML(false)
	if err := encoder.Encode(r); err != nil {
		return nil, fmt.Errorf("write report: %w", err)
	}
	return bytes.TrimSuffix(out.Bytes(), []byte("\n")), nil
}

// Read reads canonical bytes back. A field that this version does not know is an error, since it would be lost.
func Read(content []byte) (Report, error) {
	var r Report
	decoder := json.NewDecoder(bytes.NewReader(content))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(&r); err != nil {
		return Report{}, fmt.Errorf("read report: %w", err)
	}
	if r.Format != Format {
		return Report{}, fmt.Errorf("read report: format %d is not the format %d of this version", r.Format, Format)
	}
	return r, nil
}

// Hash is the SHA-256 of the canonical bytes, in hex.
func Hash(content []byte) string {
	sum := sha256.Sum256(content)
	return hex.EncodeToString(sum[:])
}
