// Package cache keeps what was found in drawings, so that a drawing that did not
// change need not be judged again.
package cache

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime/debug"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/wholefile"
)

const (
	// largestCache is how much is kept, bytes; the least lately used goes first.
	largestCache = 256 << 20
	// largestEntry is how much is read of one entry, bytes. A larger one is not
	// kept.
	largestEntry = 32 << 20
	// form is the form of an entry; another one makes other keys, so that old
	// entries are not found.
	form = "sluice cache 4"
)

// Store keeps what was found in a drawing under a hash of all that it depends
// on: the bytes of the file, the job, the rules and the program. What it holds
// may be wrong or gone at any time; then the drawing is judged again.
type Store struct {
	dir     string
	salt    string // program and rules
	largest int64  // bytes
	jobs    sync.Map
	wrote   atomic.Bool
}

// Open returns the store in a folder, which is made where it is not there. The
// salt is what results depend on besides drawing and job.
func Open(dir string, salt ...string) (*Store, error) {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, err
	}
	return &Store{dir: dir, salt: strings.Join(append([]string{form}, salt...), "\n"), largest: largestCache}, nil
}

// BuildID tells this build of the program from all others: by the revision it
// was made from, and where that does not say all, by the file of the program. It
// is "" where there is no telling.
func BuildID() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return ""
	}
	id, sure := info.GoVersion+" "+info.Main.Version, info.Main.Sum != ""
	for _, s := range info.Settings {
		switch s.Key {
		case "GOARCH", "vcs.revision":
			id += " " + s.Value
		case "vcs.modified":
			sure = sure || s.Value == "false"
		}
	}
	if !sure {
		path, err := os.Executable()
		if err != nil {
			return ""
		}
		st, err := os.Stat(path)
		if err != nil {
			return ""
		}
		id += fmt.Sprintf(" %d %d", st.Size(), st.ModTime().UnixNano())
	}
	return id
}

// Judged returns what is kept of the drawing in a file under a job, without the
// drawing; else what judge finds, which is kept. judge reads the file through
// the filter, all of it.
func (s *Store) Judged(path string, j *job.Job, judge func(filter func(io.Reader) io.Reader) *lint.Result) *lint.Result {
	key := ""
	if content, err := hashed(path); err == nil {
		key = s.keyOf(content, j)
	}
	if key == "" {
		return judge(func(r io.Reader) io.Reader { return r })
	}
	if r := s.find(key); r != nil {
		r.Path, r.Job = path, j
		return r
	}
	// The bytes are hashed once more as they are judged: the file may have been
	// written to since.
	hash := sha256.New()
	r := judge(func(r io.Reader) io.Reader { return io.TeeReader(r, hash) })
	if r.Err == nil && s.keyOf(hash.Sum(nil), j) == key {
		s.keep(key, r)
	}
	return r
}

// hashed reads a file to its end and returns the hash of its bytes.
func hashed(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	if st, err := f.Stat(); err != nil || !st.Mode().IsRegular() {
		return nil, errors.New("can be read only once")
	}
	h := sha256.New()
	_, err = io.Copy(h, f)
	return h.Sum(nil), err
}

// keyOf names the entry of a drawing whose bytes have the given hash; "" if the
// job has no fixed form to hash.
func (s *Store) keyOf(content []byte, j *job.Job) string {
	of, ok := s.jobs.Load(j)
	if !ok {
		plain := *j
		plain.Path = "" // where the settings stand changes nothing
		text, err := json.Marshal(plain)
		if err != nil {
			return ""
		}
		of, _ = s.jobs.LoadOrStore(j, text)
	}
	h := sha256.New()
	for _, part := range [][]byte{[]byte(s.salt), of.([]byte), content} {
		fmt.Fprintf(h, "%d:", len(part))
		h.Write(part)
	}
	return hex.EncodeToString(h.Sum(nil))
}

func (s *Store) path(key string) string { return filepath.Join(s.dir, key[:2], key[2:]) }

// find returns what is kept under a key, nil if nothing sound is.
func (s *Store) find(key string) *lint.Result {
	f, err := os.Open(s.path(key))
	if err != nil {
		return nil
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, largestEntry+1))
	if err != nil || len(data) > largestEntry || len(data) < sha256.Size {
		return nil
	}
	sum, body := data[:sha256.Size], data[sha256.Size:]
	if got := sha256.Sum256(body); !bytes.Equal(sum, got[:]) {
		return nil
	}
	r, err := unpack(body)
	if err != nil {
		return nil
	}
	if st, err := f.Stat(); err == nil && time.Since(st.ModTime()) > time.Hour {
		now := time.Now()
		_ = os.Chtimes(s.path(key), now, now) // in use; if it fails the entry goes sooner
	}
	return r
}

// keep stores a result that has been shortened. If it cannot be stored the next
// run is only slower.
func (s *Store) keep(key string, r *lint.Result) {
	body, err := pack(r)
	if err != nil || len(body) > largestEntry-sha256.Size {
		return
	}
	sum := sha256.Sum256(body)
	path := s.path(key)
	if os.MkdirAll(filepath.Dir(path), 0o755) != nil {
		return
	}
	if wholefile.WriteQuick(path, sum[:], body) != nil {
		return
	}
	s.wrote.Store(true)
}
