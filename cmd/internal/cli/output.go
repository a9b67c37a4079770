package cli

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"golang.org/x/term"

	"sluice/cmd/internal/system"
	"sluice/lint/wholefile"
)

// emit writes bytes to standard output, or to --out.
func (c *call) emit(data []byte) int { return c.emitFrom(bytes.NewReader(data)) }

// emitFrom is emit of what is read from r.
func (c *call) emitFrom(r io.Reader) int {
	if c.out != "" && c.out != "-" {
		if err := c.checkOutput(c.out); err != nil {
			return c.failf("%v", err)
		}
		if err := c.replaceFrom(source{c.out, r}); err != nil {
			return c.failf("%v", err)
		}
		return statusOK
	}
	return c.printFrom(r)
}

// print writes bytes to standard output. A reader that has seen enough and hung
// up is no error.
func (c *call) print(data []byte) int { return c.printFrom(bytes.NewReader(data)) }

func (c *call) printFrom(r io.Reader) int {
	if _, err := io.Copy(c.stdout, r); err != nil && !system.HungUp(err) && !errors.Is(err, io.ErrClosedPipe) {
		return c.failf("standard output: %v", plainError(err))
	}
	return statusOK
}

// render runs a renderer into memory, so that nothing is written if it fails,
// and writes what came out.
func (c *call) render(write func(io.Writer) error) int {
	var b bytes.Buffer
	if err := write(&b); err != nil {
		return c.failf("%v", err)
	}
	return c.emit(b.Bytes())
}

// checkOutput tells why a file cannot be written: it exists, its folder does
// not, or it is one of the inputs.
func (c *call) checkOutput(path string, inputs ...string) error {
	for _, in := range inputs {
		if in != "-" && system.SameFile(path, in) {
			return fmt.Errorf("%s: the output is the input; name another file", path)
		}
	}
	if err := system.CheckName(path); err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	st, err := os.Stat(path)
	switch {
	case err == nil && st.IsDir():
		return fmt.Errorf("%s: is a folder; name the file to write", path)
	case err == nil && st.Mode().IsRegular() && !c.force:
		return fmt.Errorf("%s: exists already; --force replaces it", path)
	case err == nil:
		return nil
	case !errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("%s: %w", path, plainError(err))
	}
	if st, err := os.Stat(filepath.Dir(path)); err != nil || !st.IsDir() {
		return fmt.Errorf("%s: there is no folder %s; make it first", path, folderOf(path))
	}
	return nil
}

// folderOf names the folder of a file.
func folderOf(path string) string { return system.Slashes(filepath.Dir(path)) }

// file is a file to be written.
type file struct {
	path string
	data []byte
}

// replace writes files whole or not at all.
func (c *call) replace(files ...file) error {
	list := make([]source, len(files))
	for i, f := range files {
		list[i] = source{f.path, bytes.NewReader(f.data)}
	}
	return c.replaceFrom(list...)
}

// source is a file to be written with what is read from a reader.
type source struct {
	path string
	from io.Reader
}

// writeOver writes to a place as it is.
func (s *source) writeOver() error {
	w, err := os.OpenFile(s.path, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o644)
	if err != nil {
		return err
	}
	_, err = io.Copy(w, s.from)
	if closed := w.Close(); err == nil {
		err = closed
	}
	return err
}

// replaceFrom writes files whole or not at all: each to a temporary file beside its
// place, and when all of them are on disk, renamed. A place that is no ordinary
// file, such as a pipe or a device, is written to directly.
func (c *call) replaceFrom(files ...source) error {
	var pending []*wholefile.Pending
	var places []string
	defer func() {
		for _, p := range pending {
			p.Drop() // does nothing once the file is in place
		}
	}()
	for _, f := range files {
		if c.beforeWrite != nil {
			if err := c.beforeWrite(f.path); err != nil {
				return err
			}
		}
		if st, err := os.Stat(f.path); err == nil && !st.Mode().IsRegular() {
			if err := f.writeOver(); err != nil && !system.HungUp(err) {
				return fmt.Errorf("%s: %w", f.path, plainError(err))
			}
			continue
		}
		p, err := wholefile.Begin(f.path)
		if err != nil {
			return fmt.Errorf("%s: cannot be written: %w", f.path, plainError(err))
		}
		pending, places = append(pending, p), append(places, f.path)
		if _, err := io.Copy(p, f.from); err != nil {
			return fmt.Errorf("%s: cannot be written: %w", f.path, plainError(err))
		}
	}
	for i, p := range pending {
		if err := p.Finish(); err != nil {
			return fmt.Errorf("%s: cannot be written: %w", places[i], plainError(err))
		}
	}
	if err := c.ctx.Err(); err != nil {
		return err
	}
	for i, p := range pending {
		if err := p.Place(); err != nil {
			return fmt.Errorf("%s: cannot be written: %w", places[i], plainError(err))
		}
	}
	return nil
}

// plainError takes the name of the operation and the path off a file error; the
// caller puts the path in front.
func plainError(err error) error {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		err = pe.Err
	}
	var le *os.LinkError
	if errors.As(err, &le) {
		err = le.Err
	}
	if errors.Is(err, fs.ErrNotExist) {
		return errors.New("there is no such file or folder")
	}
	return err
}

// colored tells whether text gets colours: as --color says, else on a terminal
// unless NO_COLOR is set or it is a dumb one.
func (c *call) colored() bool {
	switch c.color {
	case "always":
		return true
	case "never":
		return false
	}
	f, ok := c.stdout.(*os.File)
	return ok && c.out == "" && os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb" && term.IsTerminal(int(f.Fd())) && system.TakesColors(f)
}
