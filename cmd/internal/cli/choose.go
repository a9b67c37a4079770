package cli

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"
	"unicode"

	"sluice/cmd/internal/review"
	"sluice/cmd/internal/system"
	"sluice/lint/job"
	"sluice/lint/settle"
)

// startedByIcon tells whether a command line may come from a double click on the program, or from
// files dropped on its icon: it names no command.
func startedByIcon(args []string) bool {
	return len(args) == 0 || findCommand(args[0]) == nil && !strings.HasPrefix(args[0], "-")
}

// byIcon serves who has no terminal: on a page, errors as well.
func (c *call) byIcon(args []string) int {
	system.LeaveConsole()
	c.command = findCommand("review")
	first, told := "", ""
	if err := c.parse(args); err != nil {
		c.options, c.args, told = defaults(), nil, err.Error()
	}
	switch len(c.args) {
	case 0:
	case 1:
		first = c.args[0]
	default:
		told = fmt.Sprintf("%d files were dropped; one drawing at a time, choose one", len(c.args))
	}
	c.quiet, c.noOpen, c.diffs = true, false, false
	var said bytes.Buffer
	c.stderr = &said // nobody sees it
	status := c.chosen(first, told)
	if status == statusFailure {
		system.Show(strings.TrimSpace(said.String()))
	}
	return status
}

// chosen serves a page on which a drawing is chosen. first is the path of one to open at
// once, told what keeps it from being opened.
func (c *call) chosen(first, told string) int {
	s, err := review.Choose(&review.Choice{
		Version: Version, First: oneLine(first), Told: oneLine(told), Open: c.handedDesk,
	}, review.Options{Listen: c.listen, Port: c.port, Idle: pageIdle})
	if err != nil {
		return c.failf("%v", err)
	}
	return c.serve(s)
}

// handedDesk sets out the desk of a drawing that a page hands over.
func (c *call) handedDesk(h review.Handed) (*settle.Desk, *review.Options, error) {
	own := *c
	own.called = ""
	if h.Path != "" {
		own.args = []string{system.Slashes(unquoted(h.Path))}
		return own.desk()
	}
	path, err := own.keepHanded(h)
	if err != nil {
		return nil, nil, err
	}
	own.args = []string{path}
	own.called = filepath.Base(path)
	if own.out == "" {
		stem := strings.TrimSuffix(own.called, filepath.Ext(own.called))
		own.out = system.Slashes(filepath.Join(system.Downloads(), stem+"-jet.dxf"))
	}
	if own.job == "" { // where it came from is not known; where it goes is
		own.job, _ = job.Find(filepath.Dir(own.out))
	}
	return own.desk()
}

// unquoted takes off the quotes that a path has which was copied from a window of files.
func unquoted(path string) string {
	path = strings.TrimSpace(path)
	if n := len(path); n > 1 && path[0] == '"' && path[n-1] == '"' {
		return path[1 : n-1]
	}
	return path
}

// keepHanded keeps a drawing that a page handed over in a folder of its own bytes, so that
// the answers given before are found when it is handed over again.
func (c *call) keepHanded(h review.Handed) (string, error) {
	name, err := handedName(h.Name)
	if err != nil {
		return "", err
	}
	base, err := os.UserCacheDir()
	if err != nil {
		return "", errors.New("there is no folder in which the program may keep a drawing; name the drawing by its path")
	}
	sum := sha256.Sum256(h.Data)
	kits := filepath.Join(base, "sluice", "kits")
	dir := filepath.Join(kits, hex.EncodeToString(sum[:8]))
	clearHanded(kits, dir, time.Now().Add(-handedFor))
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return "", fmt.Errorf("%s: cannot be made: %w", system.Slashes(dir), plainError(err))
	}
	path := system.Slashes(filepath.Join(dir, name))
	if there, err := os.ReadFile(path); err == nil && bytes.Equal(there, h.Data) {
		now := time.Now()
		_ = os.Chtimes(path, now, now) // it is of use
		return path, nil
	}
	return path, c.replace(file{path, h.Data})
}

// handedFor is how long a drawing that a page handed over is kept after it was used last.
const handedFor = 30 * 24 * time.Hour

// clearHanded takes away the folders of drawings handed over that nothing was changed in
// since, but for one. What cannot be taken away stays.
func clearHanded(kits, but string, since time.Time) {
	list, err := os.ReadDir(kits)
	if err != nil {
		return
	}
	for _, e := range list {
		dir := filepath.Join(kits, e.Name())
		if name, err := hex.DecodeString(e.Name()); !e.IsDir() || err != nil || len(name) != 8 || dir == but {
			continue
		}
		files, err := os.ReadDir(dir)
		old := err == nil && len(files) > 0
		for _, f := range files {
			st, err := f.Info()
			old = old && err == nil && st.Mode().IsRegular() && st.ModTime().Before(since)
		}
		if !old {
			continue
		}
		for _, f := range files {
			_ = os.Remove(filepath.Join(dir, f.Name()))
		}
		_ = os.Remove(dir)
	}
}

// longestName is how long the name of a drawing may be that a page hands over, bytes.
const longestName = 200

// handedName returns a name for a file that comes with a name from outside: without a
// folder, and one that every system can keep.
func handedName(name string) (string, error) {
	name = name[strings.LastIndexAny(name, `/\`)+1:]
	odd := strings.IndexFunc(name, func(r rune) bool { return unicode.IsControl(r) || strings.ContainsRune(`<>:"|?*[{`, r) })
	if name == "" || strings.HasPrefix(name, ".") || odd >= 0 || len(name) > longestName || strings.ToValidUTF8(name, "") != name {
		return "kit.dxf", nil
	}
	if err := system.CheckName(name); err != nil {
		return "", fmt.Errorf("%s: %w", name, err)
	}
	if !isDrawing(name) {
		return "", fmt.Errorf("%s: is no drawing; choose a DXF file, or save the drawing as DXF in the program it was made with", oneLine(name))
	}
	return name, nil
}
