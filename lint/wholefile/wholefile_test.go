package wholefile

import (
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom/geomtest"
)

// names lists a folder.
func names(t *testing.T, dir string) (list []string) {
	t.Helper()
	all, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range all {
		list = append(list, e.Name())
	}
	return list
}

func write(t *testing.T, path, text string) *Pending {
	t.Helper()
	p, err := Begin(path)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := p.Write([]byte(text)); err != nil {
		t.Fatal(err)
	}
	return p
}

// What is there stays until the new file takes its place, and nothing is left over.
func TestPlace(t *testing.T) {
	dir := geomtest.Folder(t)
	path := filepath.Join(dir, "kit.dxf")
	for _, text := range []string{"first", "second", ""} {
		before, _ := os.ReadFile(path)
		p := write(t, path, text)
		if err := p.Finish(); err != nil {
			t.Fatal(err)
		}
		if now, _ := os.ReadFile(path); string(now) != string(before) {
			t.Errorf("before it is placed, %q has become %q", before, now)
		}
		if err := p.Place(); err != nil {
			t.Fatal(err)
		}
		p.Drop() // leaves what is in place
		if now, err := os.ReadFile(path); err != nil || string(now) != text {
			t.Errorf("placed: %q, %v; want %q", now, err, text)
		}
	}
	if diff := cmp.Diff([]string{"kit.dxf"}, names(t, dir)); diff != "" {
		t.Error(diff)
	}
}

// A file that is given up leaves nothing, finished or not.
func TestDrop(t *testing.T) {
	dir := geomtest.Folder(t)
	path := filepath.Join(dir, "kit.dxf")
	if err := WriteQuick(path, []byte("o"), []byte("ld")); err != nil {
		t.Fatal(err)
	}
	for _, finish := range []bool{false, true} {
		p := write(t, path, "new")
		if m, _ := filepath.Glob(filepath.Join(dir, Unplaced)); len(m) != 1 {
			t.Errorf("%d files match %s", len(m), Unplaced)
		}
		if finish {
			if err := p.Finish(); err != nil {
				t.Fatal(err)
			}
		}
		p.Drop()
		p.Drop()
		if now, _ := os.ReadFile(path); string(now) != "old" {
			t.Errorf("given up, yet it is %q", now)
		}
		if diff := cmp.Diff([]string{"kit.dxf"}, names(t, dir)); diff != "" {
			t.Error(diff)
		}
	}
}

// Names near the bound of the system are written: the name beside it is short.
func TestLongNames(t *testing.T) {
	dir := geomtest.Folder(t)
	for range 3 {
		dir = filepath.Join(dir, strings.Repeat("d", 100))
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(dir, strings.Repeat("k", 251)+".dxf")
	for _, text := range []string{"first", "second"} {
		p := write(t, path, text)
		if err := p.Place(); err != nil {
			t.Fatal(err)
		}
		if now, err := os.ReadFile(path); err != nil || string(now) != text {
			t.Errorf("%q, %v; want %q", now, err, text)
		}
	}
}

// What cannot be written says so: no folder, or a folder in its place.
func TestCannot(t *testing.T) {
	dir := geomtest.Folder(t)
	if _, err := Begin(filepath.Join(dir, "none", "kit.dxf")); err == nil {
		t.Error("begun in a folder that is not there")
	}
	if err := WriteQuick(dir, []byte("x")); err == nil {
		t.Error("a folder was replaced")
	}
	if _, err := os.Stat(dir); err != nil {
		t.Error(err)
	}
}

// A file that another program reads is replaced where the system lets it, and said to
// be open where it does not; then it is as it was.
func TestHeldOpen(t *testing.T) {
	path := filepath.Join(geomtest.Folder(t), "kit.dxf")
	if err := WriteQuick(path, []byte("old")); err != nil {
		t.Fatal(err)
	}
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	p := write(t, path, "new")
	defer p.Drop()
	err = p.Finish()
	want := "old"
	if err == nil {
		if err = p.Place(); err == nil {
			want = "new"
		}
	}
	if runtime.GOOS != "windows" && err != nil {
		t.Error(err)
	}
	if err != nil && !strings.Contains(err.Error(), "another program") {
		t.Error(err)
	}
	if now, _ := os.ReadFile(path); string(now) != want {
		t.Errorf("%q, want %q (%v)", now, want, err)
	}
}
