package cli

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"sluice/cmd/internal/version"
	"sluice/cmd/internal/wasm"
	"sluice/geom/geomtest"
)

// TestPage writes a page of what lies somewhere, and tells in a line why it cannot.
func TestPage(t *testing.T) {
	dir := geomtest.Folder(t)
	at := func(name string) string { return filepath.Join(dir, name) }
	for name, text := range map[string]string{wasm.Name: "\x00asm " + version.Engine, wasm.Script: "class Go {}", "old.wasm": "\x00asm"} {
		if err := os.WriteFile(at(name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for _, tt := range []struct {
		args   []string
		status int
		told   string
	}{
		{[]string{"page", "--wasm", at(wasm.Name)}, 2, "page needs the place to write to"},
		{[]string{"page", "-o", at("a.html"), "--wasm", at("none.wasm")}, 2, "there is no such file"},
		{[]string{"page", "-o", at("a.html"), "--wasm", at("old.wasm")}, 2, "is not the page's part of sluice"},
		{[]string{"page", "-o", at("no/a.html"), "--wasm", at(wasm.Name)}, 2, "make it first"},
		{[]string{"page", "kit.dxf", "-o", at("a.html")}, 2, "page takes no argument"},
		{[]string{"page", "-o", at("a.html"), "--wasm", at(wasm.Name)}, 0, ""},
		{[]string{"page", "-o", at("a.html"), "--wasm", at(wasm.Name)}, 2, "exists already"},
		{[]string{"page", "-o", at("b.html"), "--wasm", at(wasm.Name)}, 0, ""},
	} {
		var out, told strings.Builder
		if got := run(t.Context(), tt.args, strings.NewReader(""), &out, &told, wired()); got != tt.status || !strings.Contains(told.String(), tt.told) || strings.Count(told.String(), "\n") > 1 {
			t.Errorf("%v: %d %s", tt.args, got, told.String())
		}
	}
	a, errA := os.ReadFile(at("a.html"))
	b, errB := os.ReadFile(at("b.html"))
	if errA != nil || errB != nil || string(a) != string(b) || !strings.Contains(string(a), "class Go {}") {
		t.Error("the page is not the same twice, or holds no script")
	}
}
