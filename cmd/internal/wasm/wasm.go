// Package wasm finds the program as a page can hold it: beside the program that runs,
// or built from its sources.
package wasm

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"

	"sluice/cmd/internal/version"
	"sluice/lint/report"
)

// Name is the file of the program as a page can hold it, and Script the one beside it
// that runs it; they are of one version of the compiler and belong together.
const (
	Name   = "sluice.wasm"
	Script = "wasm_exec.js"
)

// largest is how long such a file may be, bytes.
const largest = 256 << 20

// Load reads the program from a file, with the script beside it.
func Load(path string) (*report.Engine, error) {
	code, err := read(path)
	if err != nil {
		return nil, err
	}
	if !bytes.HasPrefix(code, []byte("\x00asm")) || !bytes.Contains(code, []byte(version.Engine)) {
		return nil, fmt.Errorf("%s: is not the page's part of sluice %s; take the one that came with this program", path, version.Number)
	}
	script := filepath.Join(filepath.Dir(path), Script)
	run, err := read(script)
	if err != nil {
		return nil, err
	}
	return &report.Engine{Wasm: code, Exec: run}, nil
}

func read(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, plain(err))
	}
	defer f.Close()
	if at, err := f.Stat(); err == nil && at.IsDir() { // as each system says it otherwise
		return nil, fmt.Errorf("%s: it is a directory; name the file", path)
	}
	data, err := io.ReadAll(io.LimitReader(f, largest+1))
	switch {
	case err != nil:
		return nil, fmt.Errorf("%s: %w", path, plain(err))
	case len(data) > largest:
		return nil, fmt.Errorf("%s: is over %d MB; give the page's part of sluice", path, largest>>20)
	}
	return data, nil
}

// plain takes the operation and the path off a file error.
func plain(err error) error {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		err = pe.Err
	}
	if errors.Is(err, fs.ErrNotExist) {
		return errors.New("there is no such file")
	}
	return err
}

// Find returns the program from the folder of the program that runs, else built from
// its sources; tell hears that this is done, since it takes a while.
func Find(ctx context.Context, tell func(string)) (*report.Engine, error) {
	beside := besideProgram()
	if beside != "" {
		path := filepath.Join(beside, Name)
		if _, err := os.Stat(path); err == nil {
			return Load(path)
		}
	}
	root := ""
	for _, from := range []string{beside, sources(), "."} {
		if root = checkout(from); root != "" {
			break
		}
	}
	if root == "" {
		return nil, fmt.Errorf("%s is not beside the program, and no checkout of sluice is at hand to build it from; name it by --wasm FILE", Name)
	}
	tell("building the page's part of the program; the first time that takes a minute")
	return build(ctx, root)
}

// besideProgram returns the folder of the program that runs, "" if that is not known.
func besideProgram() string {
	exe, err := os.Executable()
	if err != nil {
		return ""
	}
	if real, err := filepath.EvalSymlinks(exe); err == nil {
		exe = real
	}
	return filepath.Dir(exe)
}

// sources returns the folder that the program was built from, "" if it does not say.
func sources() string {
	_, file, _, _ := runtime.Caller(0)
	return folderOf(file)
}

// folderOf returns the folder of a source file as a program names it, "" if it was
// built with -trimpath and names none.
func folderOf(file string) string {
	if !filepath.IsAbs(file) {
		return ""
	}
	return filepath.Dir(file)
}

// checkout returns the folder of our sources at or above a folder, "" for none.
func checkout(from string) string {
	if from == "" {
		return ""
	}
	dir, err := filepath.Abs(from)
	if err != nil {
		return ""
	}
	for {
		mod, err := os.ReadFile(filepath.Join(dir, "go.mod"))
		if err == nil {
			line, _, _ := strings.Cut(string(mod), "\n")
			if _, err := os.Stat(filepath.Join(dir, "cmd", "page", "main.go")); err == nil && strings.TrimSpace(line) == "module sluice" {
				return dir
			}
		}
		up := filepath.Dir(dir)
		if up == dir {
			return ""
		}
		dir = up
	}
}

// build builds the program from its sources and takes the script of the same compiler.
func build(ctx context.Context, root string) (*report.Engine, error) {
	if _, err := exec.LookPath("go"); err != nil {
		return nil, fmt.Errorf("%s is not beside the program, and go is not installed to build it from %s; name it by --wasm FILE", Name, root)
	}
	dir, err := os.MkdirTemp("", "sluice-page-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	path := filepath.Join(dir, Name)
	if _, err := run(ctx, root, "build", "-trimpath", "-buildvcs=false", "-ldflags=-s -w", "-o", path, "./cmd/page"); err != nil {
		return nil, err
	}
	goroot, err := run(ctx, root, "env", "GOROOT")
	if err != nil {
		return nil, err
	}
	script, err := read(filepath.Join(strings.TrimSpace(goroot), "lib", "wasm", Script))
	if err != nil {
		return nil, err
	}
	if err := os.WriteFile(filepath.Join(dir, Script), script, 0o600); err != nil {
		return nil, err
	}
	return Load(path)
}

// run runs the go command for pages in a folder and returns what it prints.
func run(ctx context.Context, dir string, args ...string) (string, error) {
	cmd := exec.CommandContext(ctx, "go", args...)
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "GOWASM=")
	var out, wrong bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &wrong
	if err := cmd.Run(); err != nil {
		if ctx.Err() != nil {
			return "", ctx.Err()
		}
		lines := strings.Split(strings.TrimSpace(wrong.String()), "\n")
		return "", fmt.Errorf("go %s in %s: %w: %s", args[0], dir, err, lines[len(lines)-1])
	}
	return out.String(), nil
}
