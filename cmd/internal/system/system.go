// Package system is what differs between the systems that the program runs on:
// names of files, consoles, browsers, readers that hang up.
package system

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
)

// FoldsCase tells whether names that differ in case alone are one file by default.
const FoldsCase = runtime.GOOS == "windows" || runtime.GOOS == "darwin"

// Slashes writes a path with forward slashes, so that what is told of it is the same on
// every system. A path that the system is to take as it stands keeps its own.
func Slashes(path string) string {
	if strings.HasPrefix(path, `\\?\`) || strings.HasPrefix(path, `\\.\`) {
		return path
	}
	return filepath.ToSlash(path)
}

// SameName tells whether two paths are the same by their names alone.
func SameName(a, b string) bool {
	return a == b || FoldsCase && strings.EqualFold(a, b)
}

// SameFile tells whether two paths are, or would be, one file.
func SameFile(a, b string) bool {
	if filepath.Clean(a) == filepath.Clean(b) {
		return true
	}
	sa, errA := os.Stat(a)
	sb, errB := os.Stat(b)
	if errA == nil && errB == nil {
		return os.SameFile(sa, sb)
	}
	return errA != nil && errB != nil && SameName(Key(a), Key(b))
}

// Key is the one name of a file that all its names lead to.
func Key(path string) string {
	if p, err := filepath.EvalSymlinks(path); err == nil {
		path = p
	} else if dir, err := filepath.EvalSymlinks(filepath.Dir(path)); err == nil { // not there yet
		path = filepath.Join(dir, filepath.Base(path))
	}
	if p, err := filepath.Abs(path); err == nil {
		path = p
	}
	if FoldsCase {
		path = strings.ToLower(path)
	}
	return path
}

// CheckName tells why this system cannot keep a file under a name.
func CheckName(path string) error {
	if runtime.GOOS != "windows" {
		return nil
	}
	return checkWindowsName(path)
}

// devices are names that stand for devices on Windows, with any ending
// (learn.microsoft.com, "Naming Files, Paths, and Namespaces").
var devices = map[string]bool{"CON": true, "PRN": true, "AUX": true, "NUL": true, "CONIN$": true, "CONOUT$": true}

func init() {
	for _, d := range []string{"0", "1", "2", "3", "4", "5", "6", "7", "8", "9", "¹", "²", "³"} {
		devices["COM"+d], devices["LPT"+d] = true, true
	}
}

// checkWindowsName tells why Windows would take a name for something else: a device, a
// stream within a file, or a name without its last dots and spaces.
func checkWindowsName(path string) error {
	rest := strings.ReplaceAll(path, `\`, "/")
	if strings.HasPrefix(rest, "//?/") || strings.HasPrefix(rest, "//./") {
		return nil // the system is to take it as it stands
	}
	if len(rest) >= 2 && rest[1] == ':' {
		rest = rest[2:] // a drive
	}
	for name := range strings.SplitSeq(rest, "/") {
		if name == "." || name == ".." || name == "" {
			continue
		}
		stem, _, _ := strings.Cut(name, ".")
		switch {
		case devices[strings.ToUpper(strings.TrimRight(stem, " "))]:
			return fmt.Errorf("on Windows %s is a device and no file; choose another name", strings.TrimRight(stem, " "))
		case strings.HasSuffix(name, ".") || strings.HasSuffix(name, " "):
			return errors.New("on Windows a name cannot end in a dot or a space; leave it out")
		}
		if i := strings.IndexFunc(name, func(r rune) bool { return r < ' ' || strings.ContainsRune(`<>:"|?*`, r) }); i >= 0 {
			return fmt.Errorf("on Windows a name cannot hold %q; choose another name", name[i:i+1])
		}
	}
	return nil
}

// Downloads is the folder in which a person looks for files that came from a browser, "" if
// there is none.
func Downloads() string {
	home, err := os.UserHomeDir()
	if err != nil {
		return ""
	}
	for _, dir := range []string{downloads(), filepath.Join(home, "Downloads"), home} {
		if st, err := os.Stat(dir); dir != "" && err == nil && st.IsDir() {
			return dir
		}
	}
	return ""
}

// Browse opens an address in the browser of this machine.
func Browse(address string) error {
	name, args := "xdg-open", []string{address}
	switch runtime.GOOS {
	case "darwin":
		name = "open"
	case "windows":
		name, args = "rundll32", []string{"url.dll,FileProtocolHandler", address}
	}
	cmd := exec.Command(name, args...)
	if err := cmd.Start(); err != nil {
		return err
	}
	go func() { _ = cmd.Wait() }()
	return nil
}
