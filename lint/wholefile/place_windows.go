package wholefile

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"golang.org/x/sys/windows"
)

// ErrOpen is returned where a file that is to be replaced is held by another program.
var ErrOpen = errors.New("is open in another program, or protected against writing; close it there, or name another file")

// patience is how long a file held by another program is waited for: scanners of
// viruses hold what was just written for a moment.
const patience = 2 * time.Second

// replace puts a file in the place of another and returns when that is on the disk.
func replace(from, to string) error {
	a, err := windows.UTF16PtrFromString(long(from))
	if err != nil {
		return err
	}
	b, err := windows.UTF16PtrFromString(long(to))
	if err != nil {
		return err
	}
	if st, err := os.Lstat(to); err == nil && st.IsDir() {
		return &fs.PathError{Op: "replace", Path: to, Err: errors.New("is a folder")}
	}
	return patiently("replace", to, func() error {
		return windows.MoveFileEx(a, b, windows.MOVEFILE_REPLACE_EXISTING|windows.MOVEFILE_WRITE_THROUGH)
	})
}

// replaceable tells why a file that is there cannot be replaced, so that of several
// files none is replaced if one cannot be.
func replaceable(path string) error {
	st, err := os.Lstat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err == nil && st.Mode().IsRegular() && st.Mode().Perm()&0o200 == 0 {
		return &fs.PathError{Op: "replace", Path: path, Err: ErrOpen}
	}
	name, err := windows.UTF16PtrFromString(long(path))
	if err != nil {
		return err
	}
	return patiently("replace", path, func() error {
		h, err := windows.CreateFile(name, windows.DELETE, windows.FILE_SHARE_READ|windows.FILE_SHARE_WRITE|windows.FILE_SHARE_DELETE,
			nil, windows.OPEN_EXISTING, windows.FILE_ATTRIBUTE_NORMAL|windows.FILE_FLAG_OPEN_REPARSE_POINT, 0)
		if err == nil {
			return windows.CloseHandle(h)
		}
		if errors.Is(err, fs.ErrNotExist) {
			return nil
		}
		return err
	})
}

// patiently tries until it works, or what is in the way is no passing hold.
func patiently(op, path string, try func() error) error {
	end := time.Now().Add(patience)
	for wait := time.Millisecond; ; wait = min(2*wait, 100*time.Millisecond) {
		err := try()
		held := errors.Is(err, windows.ERROR_SHARING_VIOLATION) || errors.Is(err, windows.ERROR_ACCESS_DENIED)
		switch {
		case err == nil:
			return nil
		case held && time.Now().Before(end):
			time.Sleep(wait)
			continue
		case held:
			err = ErrOpen
		}
		return &fs.PathError{Op: op, Path: path, Err: err}
	}
}

// long makes a name of any length one that the system takes.
func long(path string) string {
	full, err := filepath.Abs(path)
	if err != nil || len(full) < 240 || strings.HasPrefix(full, `\\?\`) || strings.HasPrefix(full, `\\.\`) {
		return path
	}
	if share, ok := strings.CutPrefix(full, `\\`); ok {
		return `\\?\UNC\` + share
	}
	return `\\?\` + full
}
