package cli

import (
	"bytes"
	"crypto/sha256"
	"encoding/gob"
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

	"sluice/geom"
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
	cacheForm = "sluice cache 1"
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

// entry is what is kept of a result.
type entry struct {
	Account  lint.Account
	Extents  geom.Box
	Findings []keptFinding
	Accepted []int
	Brief    lint.Brief
}

// keptFinding is a finding without its fixes, which are of no use without the
// drawing.
type keptFinding struct {
	Rule     string
	Severity lint.Severity
	Message  string
	At       geom.Point
	Box      geom.Box
	Layer    string
	Entities []string
	Part     string
	Measure  *lint.Measure
	Repair   lint.Repair
	ID       string
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
	var e entry
	if err := gob.NewDecoder(bytes.NewReader(body)).Decode(&e); err != nil {
		return nil
	}
	if st, err := f.Stat(); err == nil && time.Since(st.ModTime()) > time.Hour {
		now := time.Now()
		_ = os.Chtimes(s.path(key), now, now) // in use; if it fails the entry goes sooner
	}
	r := &lint.Result{Account: e.Account, Extents: e.Extents, Accepted: e.Accepted, Brief: &e.Brief}
	for _, f := range e.Findings {
		r.Findings = append(r.Findings, lint.Finding{
			Rule: f.Rule, Severity: f.Severity, Message: f.Message, At: f.At, Box: f.Box, Layer: f.Layer,
			Entities: f.Entities, Part: f.Part, Measure: f.Measure, Repair: f.Repair, ID: f.ID,
		})
	}
	return r
}

// keep stores a result that has been shortened. If it cannot be stored the next
// run is only slower.
func (s *store) keep(key string, r *lint.Result) {
	e := entry{Account: r.Account, Extents: r.Extents, Accepted: r.Accepted, Brief: *r.Brief}
	for i := range r.Findings {
		f := &r.Findings[i]
		e.Findings = append(e.Findings, keptFinding{
			f.Rule, f.Severity, f.Message, f.At, f.Box, f.Layer, f.Entities, f.Part, f.Measure, f.Repair, f.ID,
		})
	}
	var b bytes.Buffer
	b.Write(make([]byte, sha256.Size))
	if err := gob.NewEncoder(&b).Encode(e); err != nil || b.Len() > largestEntry {
		return
	}
	sum := sha256.Sum256(b.Bytes()[sha256.Size:])
	copy(b.Bytes(), sum[:])
	path := s.path(key)
	if os.MkdirAll(filepath.Dir(path), 0o755) != nil {
		return
	}
	f, err := os.CreateTemp(filepath.Dir(path), "new-*")
	if err != nil {
		return
	}
	_, err = f.Write(b.Bytes())
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
