package media

import (
	"encoding/binary"
	"math"
)

// element is one element of an EBML file.
type element struct {
	code    uint32
	content []byte
}

// find gives the content of the first child with a code; nil when there is none.
func (e element) find(code uint32) []byte {
	for content := e.content; ; {
		child, rest, ok := nextElement(content)
		if !ok {
			return nil
		}
		if child.code == code {
			return child.content
		}
		content = rest
	}
}

func (e element) number(code uint32) uint64 {
	raw := e.find(code)
	if len(raw) > 8 {
		return 0
	}
	var wide [8]byte
	copy(wide[8-len(raw):], raw)
	return binary.BigEndian.Uint64(wide[:])
}

func (e element) float(code uint32) float64 {
	switch raw := e.find(code); len(raw) {
	case 4:
		return float64(math.Float32frombits(binary.BigEndian.Uint32(raw)))
	case 8:
		return math.Float64frombits(binary.BigEndian.Uint64(raw))
	}
	return 0
}

func nextElement(content []byte) (element, []byte, bool) {
	code, length, head, ok := elementHead(content)
	if !ok || length > int64(len(content)-head) {
		return element{}, nil, false
	}
	end := head + int(length)
	return element{code: code, content: content[head:end]}, content[end:], true
}

// elementHead reads code and size: numbers whose leading zero bits tell how many bytes they take.
func elementHead(raw []byte) (code uint32, length int64, head int, ok bool) {
	codeBytes := width(raw)
	if codeBytes > 4 || len(raw) <= codeBytes {
		return 0, 0, 0, false
	}
	for _, b := range raw[:codeBytes] {
		code = code<<8 | uint32(b)
	}
	raw = raw[codeBytes:]
	sizeBytes := width(raw)
	if sizeBytes > 8 || len(raw) < sizeBytes {
		return 0, 0, 0, false
	}
	length = int64(raw[0]) & (1<<(8-sizeBytes) - 1)
	for _, b := range raw[1:sizeBytes] {
		length = length<<8 | int64(b)
	}
	if length == 1<<(7*sizeBytes)-1 {
		length = unknownSize
	}
	return code, length, codeBytes + sizeBytes, true
}

// width is how many bytes a number takes; 9 when there is none.
func width(raw []byte) int {
	if len(raw) == 0 {
		return 9
	}
	for i := range 8 {
		if raw[0]&(0x80>>i) != 0 {
			return i + 1
		}
	}
	return 9
}
