package system

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"sluice/geom/geomtest"
)

// Names that Windows takes for something else (learn.microsoft.com, "Naming Files, Paths,
// and Namespaces") are refused with the reason; all others are taken.
func TestWindowsNames(t *testing.T) {
	for _, tt := range []struct{ path, wrong string }{
		{`kit.dxf`, ""},
		{`C:kit.dxf`, ""},
		{`C:\kits\kit.dxf`, ""},
		{`\\server\share\kit.dxf`, ""},
		{`//server/share/kit.dxf`, ""},
		{`..\.\kit 1.v2.dxf`, ""},
		{`\\?\C:\con`, ""},
		{`\\.\NUL`, ""},
		{`console.dxf`, ""},
		{`COM10.dxf`, ""},
		{`Kürze.dxf`, ""},
		{`con`, "device"},
		{`C:con`, "device"},
		{`kits\NUL.dxf`, "device"},
		{`kits/aux/kit.dxf`, "device"},
		{`COM1.tar.dxf`, "device"},
		{`lpt² .dxf`, "device"},
		{`kit.dxf.`, "dot or a space"},
		{`kit.dxf `, "dot or a space"},
		{`kits. \kit.dxf`, "dot or a space"},
		{`kit:1.dxf`, `":"`},
		{`C:\a\b:c`, `":"`},
		{`kit*.dxf`, `"*"`},
		{"kit\t.dxf", `"\t"`},
	} {
		err := checkWindowsName(tt.path)
		switch {
		case err == nil && tt.wrong != "":
			t.Errorf("%q is taken", tt.path)
		case err != nil && (tt.wrong == "" || !strings.Contains(err.Error(), tt.wrong)):
			t.Errorf("%q: %v, want %q", tt.path, err, tt.wrong)
		}
	}
}

// One file is one file by any of its names, there or not yet.
func TestSameFile(t *testing.T) {
	dir := geomtest.Folder(t)
	kit := filepath.Join(dir, "kit.dxf")
	if err := os.WriteFile(kit, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	other := filepath.Join(dir, "other.dxf")
	for _, tt := range []struct {
		a, b string
		same bool
	}{
		{kit, kit, true},
		{kit, dir + string(filepath.Separator) + "." + string(filepath.Separator) + "kit.dxf", true},
		{kit, other, false},
		{other, filepath.Join(dir, "x", "..", "other.dxf"), true},
		{other, filepath.Join(dir, "Other.DXF"), FoldsCase},
		{filepath.Join(dir, "one.dxf"), other, false},
	} {
		if got := SameFile(tt.a, tt.b); got != tt.same {
			t.Errorf("SameFile(%s, %s) = %v", tt.a, tt.b, got)
		}
	}
	link := filepath.Join(dir, "link.dxf")
	err := os.Symlink(kit, link)
	if _, there := os.Lstat(link); err != nil || there != nil { // Wine says that it made one
		t.Skipf("links cannot be made here: %v, %v", err, there)
	}
	if !SameFile(kit, link) || Key(kit) != Key(link) {
		t.Error("a link is another file")
	}
	folder := filepath.Join(dir, "folder")
	if err := os.Symlink(dir, folder); err != nil {
		t.Fatal(err)
	}
	if !SameFile(other, filepath.Join(folder, "other.dxf")) {
		t.Error("a file by a link to its folder is another file")
	}
}

// A reader that hung up is known as one, and nothing else is.
func TestHungUp(t *testing.T) {
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	defer w.Close()
	r.Close()
	if _, err := w.Write([]byte("x")); err == nil || !HungUp(err) {
		t.Errorf("%v", err)
	}
	if _, err := os.Open(filepath.Join(geomtest.Folder(t), "none")); HungUp(err) {
		t.Errorf("%v is a reader that hung up", err)
	}
}
