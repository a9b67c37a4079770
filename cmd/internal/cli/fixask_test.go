package cli

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"sluice/geom/geomtest"
)

// TestFixAsk answers questions as people do, stops, and goes on later; the same
// answers from the file give the same drawing.
func TestFixAsk(t *testing.T) {
	dir := geomtest.Folder(t)
	data, err := os.ReadFile("../../../fixtures/harbour-crane.dxf")
	if err != nil {
		t.Fatal(err)
	}
	kit := filepath.Join(dir, "kit.dxf")
	if err := os.WriteFile(kit, data, 0o644); err != nil {
		t.Fatal(err)
	}
	fix := func(out, input string, flags ...string) (told string) {
		t.Helper()
		var stdout, stderr strings.Builder
		args := append([]string{"fix", kit, "-o", filepath.Join(dir, out), "--kerf", "1mm", "--units", "mm"}, flags...)
		if status := run(t.Context(), args, strings.NewReader(input), &stdout, &stderr, wired()); status == statusFailure {
			t.Fatalf("%s: %s", out, stderr.String())
		}
		return stderr.String()
	}
	read := func(name string) []byte {
		t.Helper()
		data, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		return data
	}

	// Nothing is said: nothing is written down.
	told := fix("none.dxf", "", "--ask")
	if _, err := os.Stat(filepath.Join(dir, "kit.answers.toml")); err == nil || !strings.Contains(told, "to decide. error, ") {
		t.Fatalf("answers without an answer: %v\n%s", err, told)
	}
	// The first is misspelt, then taken for several, then accepted; the second with all alike; no more.
	fix("some.dxf", "lave\nleave!\nleave\nleave!\nq\n", "--ask")
	some := read("kit.answers.toml")
	if n := bytes.Count(some, []byte("[[answer]]")); n == 0 || !bytes.Contains(some, []byte(`choice  = "leave"`)) || !bytes.Contains(some, []byte(`about   = "`)) {
		t.Fatalf("%d answers:\n%s", n, some)
	}
	// All that is left: the first choice of each, and of those alike.
	fix("all.dxf", strings.Repeat("1!\n1\n", 60), "--ask")
	all := read("kit.answers.toml")
	if !bytes.HasPrefix(all, bytes.TrimSpace(some)) {
		t.Error("earlier answers are gone")
	}
	if told := fix("again.dxf", "", "--ask"); strings.Contains(told, "to decide. ") {
		t.Errorf("asked again:\n%s", told)
	}
	fix("file.dxf", "")
	if !bytes.Equal(read("all.dxf"), read("file.dxf")) || bytes.Equal(read("none.dxf"), read("all.dxf")) {
		t.Error("the answers of the file give another drawing than those just given")
	}
	if !bytes.Equal(all, read("kit.answers.toml")) {
		t.Error("the file of answers changed unasked")
	}
	fix("without.dxf", "", "--no-answers")
	if !bytes.Equal(read("none.dxf"), read("without.dxf")) {
		t.Error("--no-answers goes by answers")
	}
}

// TestFixAskBack goes back to a question, takes answers out, and is shown pictures.
func TestFixAskBack(t *testing.T) {
	dir := geomtest.Folder(t)
	data, err := os.ReadFile("../../../fixtures/harbour-crane.dxf")
	if err != nil {
		t.Fatal(err)
	}
	kit := filepath.Join(dir, "kit.dxf")
	if err := os.WriteFile(kit, data, 0o644); err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		name, input string
		answers     int
		told        string
	}{
		{"back to the first", "leave\nb\nq\n", 0, ""},
		{"answered otherwise", "leave\nb\n1\nq\n", 1, ""},
		{"taken out", "leave\nleave\nu\nq\n", 1, ""},
		{"all alike taken out", "\nleave!\nu\nq\n", 0, ""},
		{"before the first", "b\nu\nq\n", 0, "there is none before"},
		{"open, and back to it", "\n\nb\nleave\nq\n", 1, ""},
	} {
		var stdout, stderr strings.Builder
		args := []string{"fix", kit, "-o", filepath.Join(dir, "out.dxf"), "--force", "--kerf", "1mm", "--units", "mm", "--ask"}
		if status := run(t.Context(), args, strings.NewReader(tt.input), &stdout, &stderr, wired()); status == statusFailure {
			t.Fatalf("%s: %s", tt.name, stderr.String())
		}
		path := filepath.Join(dir, "kit.answers.toml")
		kept, err := os.ReadFile(path)
		if n := bytes.Count(kept, []byte("[[answer]]")); n != tt.answers || (err != nil) != (tt.answers == 0) {
			t.Errorf("%s: %d answers kept, want %d (%v)", tt.name, n, tt.answers, err)
		}
		if !strings.Contains(stderr.String(), "X is the place") || !strings.Contains(stderr.String(), tt.told) {
			t.Errorf("%s: told\n%s", tt.name, stderr.String())
		}
		_ = os.Remove(path)
	}
}
