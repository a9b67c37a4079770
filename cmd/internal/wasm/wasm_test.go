package wasm

import (
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"sluice/cmd/internal/version"
	"sluice/geom/geomtest"
)

func put(t *testing.T, path, text string) string {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

// TestLoad takes what is ours, of this version, with its script, and nothing else.
func TestLoad(t *testing.T) {
	dir := geomtest.Folder(t)
	good := "\x00asm\x01\x00\x00\x00 " + version.Engine
	path := put(t, filepath.Join(dir, Name), good)
	for _, tt := range []struct{ path, want string }{
		{path, Script + ": there is no such file"},
		{filepath.Join(dir, "none.wasm"), "none.wasm: there is no such file"},
		{put(t, filepath.Join(dir, "old.wasm"), "\x00asm sluice for pages, 0.0.9"), "old.wasm: is not the page's part of sluice " + version.Number},
		{put(t, filepath.Join(dir, "text.wasm"), version.Engine), "text.wasm: is not the page's part"},
		{dir, "directory"},
	} {
		if _, err := Load(tt.path); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: %v, want %s", tt.path, err, tt.want)
		}
	}
	put(t, filepath.Join(dir, Script), "run()")
	e, err := Load(path)
	if err != nil || string(e.Wasm) != good || string(e.Exec) != "run()" {
		t.Errorf("%v, %v", e, err)
	}
}

// TestCheckout finds our sources from where they are and from below, and takes no other
// module for them.
func TestCheckout(t *testing.T) {
	root := filepath.Join("..", "..", "..")
	want, err := filepath.Abs(root)
	if err != nil {
		t.Fatal(err)
	}
	here, err := filepath.Abs("wasm.go")
	if err != nil {
		t.Fatal(err)
	}
	froms := []string{root, ".", folderOf(here)}
	if told := sources(); told != "" && goThere() { // else it was built with -trimpath, or on another system, whose paths it knows
		froms = append(froms, told)
	}
	for _, from := range froms {
		if got := checkout(from); got != want {
			t.Errorf("from %s: %q, want %s", from, got, want)
		}
	}
	dir := geomtest.Folder(t)
	put(t, filepath.Join(dir, "go.mod"), "module other\n")
	put(t, filepath.Join(dir, "cmd", "page", "main.go"), "package main\n")
	if got := checkout(filepath.Join(dir, "cmd")); got != "" {
		t.Errorf("another module is taken for ours: %s", got)
	}
	put(t, filepath.Join(dir, "go.mod"), "module sluice\n\ngo 1.26\n")
	if got, err := filepath.EvalSymlinks(checkout(filepath.Join(dir, "cmd"))); err != nil || !sameDir(got, dir) {
		t.Errorf("from below: %q, %v", got, err)
	}
	if got := checkout(folderOf("sluice/cmd/internal/wasm/wasm.go")); got != "" {
		t.Errorf("from nowhere: %q", got)
	}
}

// goThere reports whether go is installed where the test runs.
func goThere() bool {
	_, err := exec.LookPath("go")
	return err == nil
}

func sameDir(a, b string) bool {
	sa, errA := os.Stat(a)
	sb, errB := os.Stat(b)
	return errA == nil && errB == nil && os.SameFile(sa, sb)
}

// TestBuildFails tells in one line why there is nothing to make a page of.
func TestBuildFails(t *testing.T) {
	if !goThere() {
		t.Skip("there is no go to build with")
	}
	dir := geomtest.Folder(t)
	put(t, filepath.Join(dir, "go.mod"), "module sluice\n")
	put(t, filepath.Join(dir, "cmd", "page", "main.go"), "package main\n\nfunc main() { none() }\n")
	if _, err := build(t.Context(), dir); err == nil || !strings.Contains(err.Error(), "go build in "+dir) || strings.Contains(err.Error(), "\n") {
		t.Errorf("%v", err)
	}
	if runtime.GOOS != "windows" {
		t.Setenv("PATH", t.TempDir())
		if _, err := build(t.Context(), dir); err == nil || !strings.Contains(err.Error(), "go is not installed") {
			t.Errorf("without go: %v", err)
		}
	}
}
