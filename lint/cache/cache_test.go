package cache

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/geomtest"
	"sluice/lint"
	"sluice/lint/job"
)

func keptResult() *lint.Result {
	return &lint.Result{
		Account:  lint.Account{Read: 7, Used: 7, ByType: []lint.TypeAccount{{Type: "LINE", Read: 7, Used: 7}}},
		Extents:  geom.NoBox(), // of infinite sides, which not every form can hold
		Accepted: []int{0, 3},
		Brief: &lint.Brief{
			Unit: drawing.Unit{Name: "in", Factor: 25.4, Basis: "header"}, Counts: lint.Counts{Entities: 7, Parts: 2},
			Places: map[string]lint.Place{"a": {Line: 12, Fixes: []lint.TextFix{{Note: "n", Lines: []lint.Lines{{From: 3, To: 9}}}}}},
		},
		Findings: []lint.Finding{
			{Rule: "thin-web", Severity: lint.Warning, Message: "µ", At: geom.Pt(0.1, math.NaN()), Layer: "0", Entities: []string{"2F"},
				Part: "3", Measure: &lint.Measure{Name: "web", Value: 1.0 / 3, Unit: "mm"}, Repair: lint.None, ID: "a"},
			{Rule: "zero", Measure: &lint.Measure{}, ID: "b"},
		},
	}
}

var sameFloats = cmpopts.EquateNaNs()

func TestCacheKeepsAll(t *testing.T) {
	s := &Store{dir: geomtest.Folder(t), largest: largestCache}
	key := s.keyOf([]byte("content"), job.Default())
	if s.find(key) != nil {
		t.Error("an empty store has something")
	}
	want := keptResult()
	s.keep(key, want)
	if d := cmp.Diff(want, s.find(key), sameFloats, cmpopts.EquateEmpty()); d != "" {
		t.Error(d)
	}
}

// Whatever bytes an entry has, it is either what was kept or nothing.
func TestCacheRefusesDamage(t *testing.T) {
	s := &Store{dir: geomtest.Folder(t), largest: largestCache}
	key := s.keyOf([]byte("content"), job.Default())
	s.keep(key, keptResult())
	whole, err := os.ReadFile(s.path(key))
	if err != nil {
		t.Fatal(err)
	}
	damaged := [][]byte{nil, whole[:10], whole[:len(whole)-1], append(bytes.Clone(whole), 0), bytes.Repeat([]byte{0xff}, 100)}
	for i := 0; i < len(whole); i += 1 + len(whole)/50 {
		one := bytes.Clone(whole)
		one[i] ^= 0x40
		damaged = append(damaged, one)
	}
	for _, d := range damaged {
		if err := os.WriteFile(s.path(key), d, 0o644); err != nil {
			t.Fatal(err)
		}
		if r := s.find(key); r != nil {
			t.Errorf("%d damaged bytes are taken for %+v", len(d), r)
		}
	}
}

// The key depends on all that a result depends on, and on nothing else.
func TestCacheKey(t *testing.T) {
	s := &Store{salt: "a"}
	base := s.keyOf([]byte("content"), job.Default())
	elsewhere := job.Default()
	elsewhere.Path = "kits/sluice.toml"
	if got := s.keyOf([]byte("content"), elsewhere); got != base {
		t.Error("the place of the job file counts")
	}
	set := func(change func(*job.Job)) *job.Job {
		j := job.Default()
		change(j)
		return j
	}
	for name, key := range map[string]string{
		"content": s.keyOf([]byte("other"), job.Default()),
		"rules":   (&Store{salt: "b"}).keyOf([]byte("content"), job.Default()),
		"kerf":    s.keyOf([]byte("content"), set(func(j *job.Job) { j.Jet.Kerf = 0.9 })),
		"basis":   s.keyOf([]byte("content"), set(func(j *job.Job) { j.UnitsBasis = "flag" })),
		"rule":    s.keyOf([]byte("content"), set(func(j *job.Job) { j.Rules["thin-web"] = "off" })),
		"accepts": s.keyOf([]byte("content"), set(func(j *job.Job) { j.Suppress = []job.Suppression{{Rule: "thin-web", Reason: "so"}} })),
	} {
		if key == base || key == "" {
			t.Errorf("%s does not count", name)
		}
	}
}

// What was used least lately goes first, and what others put there stays.
func TestCacheIsBounded(t *testing.T) {
	s := &Store{dir: filepath.Join(geomtest.Folder(t), "[odd] name"), largest: largestCache}
	others := []string{filepath.Join(s.dir, "mine.txt"), filepath.Join(s.dir, "ab", "mine.txt")}
	for _, p := range others {
		if err := os.MkdirAll(filepath.Dir(p), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(p, []byte("x"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	var keys []string
	for i := range 20 {
		keys = append(keys, s.keyOf(fmt.Append(nil, i), job.Default()))
		s.keep(keys[i], keptResult())
		when := time.Now().Add(time.Duration(i-100) * time.Minute)
		if err := os.Chtimes(s.path(keys[i]), when, when); err != nil {
			t.Fatal(err)
		}
	}
	st, err := os.Stat(s.path(keys[0]))
	if err != nil {
		t.Fatal(err)
	}
	if s.find(keys[3]) == nil { // and so it is used now
		t.Fatal("an entry is gone")
	}
	s.largest = 16 * st.Size()
	s.Trim()
	var left []int
	for i, k := range keys {
		if s.find(k) != nil {
			left = append(left, i)
		}
	}
	if want := []int{3, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19}; !cmp.Equal(left, want) {
		t.Errorf("left are %v, want %v", left, want)
	}
	for _, p := range others {
		if missingFile(p) {
			t.Errorf("%s is gone", p)
		}
	}
	if missingFile(filepath.Join(s.dir, "CACHEDIR.TAG")) {
		t.Error("the folder has no tag")
	}
}
