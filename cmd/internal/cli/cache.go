package cli

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"hash"
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
)

const (
	// largestCache is how much is kept, bytes; the least lately used goes first.
	largestCache = 256 << 20
	// largestEntry is how much is read of one entry, bytes. A larger one is not
	// kept.
	largestEntry = 32 << 20
	// cacheForm is the form of an entry; another one makes other keys.
	cacheForm = "sluice cache 2"
)

// store keeps what was found in a drawing under a hash of all that it depends
// on: the bytes of the file, the job, the rules and the program. What it holds
// may be wrong or gone at any time; then the drawing is judged again.
type store struct {
	dir     string
	salt    string // program and rules
	largest int64  // bytes
	jobs    sync.Map
	wrote   atomic.Bool
}

// openCache returns the store that the flags ask for, nil for none. The folder
// of the user's own is made where it can be; one that is named must be there or
// be made.
func (c *call) openCache() (*store, error) {
	if c.noCache {
		if c.cache != "" {
			return nil, errors.New("--cache and --no-cache contradict each other; leave one out")
		}
		return nil, nil
	}
	dir := c.cache
	if dir == "" {
		base, err := os.UserCacheDir()
		if err != nil || c.engine.build == "" {
			return nil, nil
		}
		dir = filepath.Join(base, "sluice")
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		if c.cache == "" {
			return nil, nil
		}
		return nil, fmt.Errorf("--cache %s: cannot be made: %w", dir, plainError(err))
	}
	salt := strings.Join(append([]string{cacheForm, Version, c.engine.build}, c.engine.ruleIDs()...), "\n")
	return &store{dir: dir, salt: salt, largest: largestCache}, nil
}

// buildID tells this build of the program from all others: by the revision it
// was made from, and where that does not say all, by the file of the program.
func buildID() string {
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

// keyOf names the entry of a drawing whose bytes have the given hash; "" if the
// job has no fixed form to hash.
func (s *store) keyOf(content []byte, j *job.Job) string {
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

func (s *store) path(key string) string { return filepath.Join(s.dir, key[:2], key[2:]) }

// find returns what is kept under a key, nil if nothing sound is.
func (s *store) find(key string) *lint.Result {
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
func (s *store) keep(key string, r *lint.Result) {
	body, err := pack(r)
	if err != nil || len(body) > largestEntry-sha256.Size {
		return
	}
	sum := sha256.Sum256(body)
	path := s.path(key)
	if os.MkdirAll(filepath.Dir(path), 0o755) != nil {
		return
	}
	f, err := os.CreateTemp(filepath.Dir(path), "new-*")
	if err != nil {
		return
	}
	_, err = f.Write(append(sum[:], body...))
	if err = errors.Join(err, f.Close()); err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		_ = os.Remove(f.Name())
		return
	}
	s.wrote.Store(true)
}

// hashed reads a file to its end and returns the hash of its bytes.
func hashed(in input) ([]byte, error) {
	f, err := os.Open(in.path)
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

// reading hashes what is read through it.
type reading struct {
	io.Reader
	hash hash.Hash
}

func (r *reading) Read(p []byte) (int, error) {
	n, err := r.Reader.Read(p)
	r.hash.Write(p[:n])
	return n, err
}
