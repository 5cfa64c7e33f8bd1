package media

import (
	"context"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"path"
	"strconv"
	"strings"
	"time"
)

const (
	remoteBlock   = 256 << 10 // bytes asked for at a time
	remoteBlocks  = 16        // blocks kept in memory
	remoteTimeout = 15 * time.Second
)

// remoteFile reads a recording at an https address by ranges. It is not safe for several goroutines.
type remoteFile struct {
	ctx      context.Context
	client   *http.Client
	address  string
	size     int64
	tag      string // ETag, or Last-Modified when there is none: must not change while reading
	modified time.Time
	blocks   map[int64][]byte
	order    []int64
	at       int64
}

func (l *Library) openRemote(ctx context.Context, ref Ref) (File, fs.FileInfo, error) {
	file := &remoteFile{ctx: ctx, client: l.client, address: ref.URL, size: -1, blocks: map[int64][]byte{}}
	if _, err := file.block(0); err != nil {
		return nil, nil, err
	}
	return file, remoteInfo{file}, nil
}

// newClient makes a client that speaks https only, follows at most three redirects, uses no proxy,
// and calls no private address unless that is allowed.
func newClient(allowPrivate bool, certificates *x509.CertPool) *http.Client {
	dialer := newDialer(allowPrivate)
	return &http.Client{
		Timeout: remoteTimeout,
		Transport: &http.Transport{
			DialContext:           dialer.DialContext,
			TLSClientConfig:       &tls.Config{RootCAs: certificates, MinVersion: tls.VersionTLS12},
			TLSHandshakeTimeout:   5 * time.Second,
			ResponseHeaderTimeout: 10 * time.Second,
			IdleConnTimeout:       30 * time.Second,
			MaxConnsPerHost:       4,
			DisableCompression:    true,
		},
		CheckRedirect: func(r *http.Request, via []*http.Request) error {
			if len(via) > 3 || r.URL.Scheme != "https" {
				return fault(AddressRefused, nil, "the address leads on to one that is not https, or too often; give the final address")
			}
			return nil
		},
	}
}

// block gives one block of the file, from memory or over the line.
func (f *remoteFile) block(number int64) ([]byte, error) {
	if data, kept := f.blocks[number]; kept {
		return data, nil
	}
	start := number * remoteBlock
	end := start + remoteBlock
	if f.size >= 0 {
		end = min(end, f.size)
	}
	data, err := f.fetch(start, end)
	if err != nil {
		return nil, err
	}
	if len(f.order) >= remoteBlocks {
		delete(f.blocks, f.order[0])
		f.order = f.order[1:]
	}
	f.blocks[number], f.order = data, append(f.order, number)
	return data, nil
}

func (f *remoteFile) fetch(start, end int64) ([]byte, error) {
	request, err := http.NewRequestWithContext(f.ctx, http.MethodGet, f.address, nil)
	if err != nil {
		return nil, fault(BadReference, err, "the address cannot be read; copy it again from the browser")
	}
	request.Header.Set("Range", fmt.Sprintf("bytes=%d-%d", start, end-1))
	response, err := f.client.Do(request)
	if err != nil {
		return nil, remoteFault(f.ctx, err)
	}
	defer func() { _ = response.Body.Close() }()
	first, last, total, ok := contentRange(response.Header.Get("Content-Range"))
	switch {
	case response.StatusCode == http.StatusOK:
		return nil, fault(Unreachable, nil, "the address does not serve parts of the recording (HTTP Range), so nobody could move about in it")
	case response.StatusCode != http.StatusPartialContent:
		return nil, fault(Unreachable, nil, "the address answers with status %d; check that it is public and right", response.StatusCode)
	case !ok || first != start || last >= end || last < first:
		return nil, fault(Unreachable, nil, "the address answers with another part than the one asked for")
	}
	if err := f.same(response.Header, total); err != nil {
		return nil, err
	}
	data := make([]byte, last-first+1)
	if _, err := io.ReadFull(response.Body, data); err != nil {
		return nil, remoteFault(f.ctx, err)
	}
	return data, nil
}

// same notes size and tag at the first answer and compares them at every later one.
func (f *remoteFile) same(header http.Header, total int64) error {
	tag := header.Get("ETag")
	if tag == "" {
		tag = header.Get("Last-Modified")
	}
	if f.size < 0 {
		f.size, f.tag = total, tag
		if modified, err := http.ParseTime(header.Get("Last-Modified")); err == nil {
			f.modified = modified.UTC()
		}
		return nil
	}
	if f.size != total || f.tag != tag {
		return fault(Unreachable, nil, "the recording changed at its address while it was read; try again")
	}
	return nil
}

// remoteFault has one message for all that goes wrong, so that the answer does not map a network for anybody.
func remoteFault(ctx context.Context, err error) error {
	return knownOr(ctx, err, fault(Unreachable, err, "the address does not answer; check it in a browser, and that the server may reach it"))
}

// contentRange reads "bytes first-last/total" (RFC 9110, 14.4).
func contentRange(text string) (first, last, total int64, ok bool) {
	rest, found := strings.CutPrefix(text, "bytes ")
	span, whole, hasTotal := strings.Cut(rest, "/")
	from, to, hasEnds := strings.Cut(span, "-")
	if !found || !hasTotal || !hasEnds {
		return 0, 0, 0, false
	}
	numbers := [3]int64{}
	for i, part := range []string{from, to, whole} {
		n, err := strconv.ParseInt(part, 10, 64)
		if err != nil || n < 0 {
			return 0, 0, 0, false
		}
		numbers[i] = n
	}
	return numbers[0], numbers[1], numbers[2], numbers[1] < numbers[2]
}

func (f *remoteFile) ReadAt(p []byte, off int64) (int, error) {
	done := 0
	for done < len(p) {
		at := off + int64(done)
		if at < 0 || at >= f.size {
			return done, io.EOF
		}
		data, err := f.block(at / remoteBlock)
		if err != nil {
			return done, err
		}
		inside := at % remoteBlock
		if inside >= int64(len(data)) {
			return done, io.ErrUnexpectedEOF
		}
		done += copy(p[done:], data[inside:])
	}
	return done, nil
}

func (f *remoteFile) Read(p []byte) (int, error) {
	n, err := f.ReadAt(p, f.at)
	f.at += int64(n)
	if n > 0 && errors.Is(err, io.EOF) {
		err = nil
	}
	return n, err
}

func (f *remoteFile) Seek(offset int64, whence int) (int64, error) {
	switch whence {
	case io.SeekCurrent:
		offset += f.at
	case io.SeekEnd:
		offset += f.size
	}
	if offset < 0 {
		return 0, fs.ErrInvalid
	}
	f.at = offset
	return offset, nil
}

func (f *remoteFile) Close() error {
	f.blocks = nil
	return nil
}

func (f *remoteFile) Stat() (fs.FileInfo, error) { return remoteInfo{f}, nil }

// remoteInfo describes a remote file. ModTime is zero when the address does not say it.
type remoteInfo struct{ file *remoteFile }

func (i remoteInfo) Name() string       { return path.Base(i.file.address) }
func (i remoteInfo) Size() int64        { return i.file.size }
func (i remoteInfo) Mode() fs.FileMode  { return 0o444 }
func (i remoteInfo) ModTime() time.Time { return i.file.modified }
func (i remoteInfo) IsDir() bool        { return false }
func (i remoteInfo) Sys() any           { return nil }
