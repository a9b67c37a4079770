package dxf

import (
	"bytes"
	"fmt"
	"io"
)

const firstBuffer = 64 << 10

// asciiSource reads groups from text. The buffer grows only for a line that
// does not fit in it.
type asciiSource struct {
	sourceState
	r        io.Reader
	buf      []byte
	pos, end int
	eof      bool
	sep      byte // the byte that ends a line: LF, or CR in files that have no LF
	zero     bool // the last value was 0
	spaced   bool // every second line is blank and means nothing
	maxLine  int
	fresh    func() []byte // the buffer to go on in, as large; nil: that at hand
}

// newASCIISource reads text from r, of which head has already been taken.
func newASCIISource(r io.Reader, head []byte, maxLine int) *asciiSource {
	s := &asciiSource{r: r, maxLine: maxLine, sep: '\n'}
	s.buf = make([]byte, max(firstBuffer, len(head)))
	s.end = copy(s.buf, head)
	s.read = int64(len(head))
	if bytes.IndexByte(head, '\n') < 0 && bytes.IndexByte(head, '\r') >= 0 {
		s.sep = '\r'
	}
	s.spaced = doubleSpaced(head, s.sep)
	return s
}

func (s *asciiSource) state() *sourceState { return &s.sourceState }

// fill reads more bytes behind what is unread; false at the end of the file.
func (s *asciiSource) fill() bool {
	if s.eof || s.err != nil {
		return false
	}
	if s.pos > 0 {
		to := s.buf
		if s.fresh != nil {
			to = s.fresh()
		}
		s.end = copy(to, s.buf[s.pos:s.end])
		s.buf, s.pos = to, 0
	}
	if s.end == len(s.buf) {
		if len(s.buf) >= s.maxLine {
			s.err = &Error{Line: s.line + 1, Text: fmt.Sprintf("a line longer than %d bytes: this is no usable DXF file", s.maxLine)}
			return false
		}
		grown := make([]byte, 2*len(s.buf))
		copy(grown, s.buf[:s.end])
		s.buf = grown
	}
	for range 100 {
		n, err := s.r.Read(s.buf[s.end:])
		s.end += n
		s.read += int64(n)
		if err == io.EOF {
			s.eof = true
			return n > 0
		}
		if err != nil {
			s.err = err
			return false
		}
		if n > 0 {
			return true
		}
	}
	s.err = io.ErrNoProgress
	return false
}

// doubleSpaced reports whether a blank line follows each of the first lines.
func doubleSpaced(head []byte, sep byte) bool {
	const enough = 20
	n := 0
	for ; n < enough; n++ {
		i := bytes.IndexByte(head, sep)
		if i < 0 {
			return false
		}
		if blank := len(trim(head[:i])) == 0; blank != (n%2 == 1) {
			return false
		}
		head = head[i+1:]
	}
	return true
}

// readLine returns the next line without blanks around it.
func (s *asciiSource) readLine() ([]byte, bool) {
	b, ok := s.rawLine()
	for s.spaced && ok && len(b) == 0 {
		b, ok = s.rawLine()
	}
	return b, ok
}

func (s *asciiSource) rawLine() ([]byte, bool) {
	from := 0
	for {
		if i := bytes.IndexByte(s.buf[s.pos+from:s.end], s.sep); i >= 0 {
			b := s.buf[s.pos : s.pos+from+i]
			s.pos += from + i + 1
			s.line++
			return trim(b), true
		}
		from = s.end - s.pos
		if !s.fill() {
			if s.err != nil || s.end == s.pos {
				return nil, false
			}
			b := s.buf[s.pos:s.end]
			s.pos = s.end
			s.line++
			s.open = true
			return trim(b), true
		}
	}
}

// trim cuts blanks and control characters (CR, NUL, SUB) off both ends.
func trim(b []byte) []byte {
	for len(b) > 0 && b[0] <= ' ' {
		b = b[1:]
	}
	for len(b) > 0 && b[len(b)-1] <= ' ' {
		b = b[:len(b)-1]
	}
	return b
}

func (s *asciiSource) next(g *group) bool {
	if s.sep == '\n' && !s.spaced && s.quick(g) {
		return true
	}
	g.bad, g.isNum = false, false
	var b []byte
	ok := false
	for {
		if b, ok = s.readLine(); !ok {
			return false
		}
		if len(b) > 0 {
			break // blank lines between groups are skipped
		}
	}
	code, isInt := parseInt(b)
	if !isInt || code > maxCode || code < minCode {
		return s.resync(g, b)
	}
	g.code, g.start = code, s.line
	b, ok = s.readLine()
	if ok && len(b) == 0 {
		b, ok = s.blankValue(code)
	}
	if !ok {
		s.partial, s.between = true, code == 0
		return false
	}
	g.val, g.line = b, s.line
	s.zero = len(b) == 1 && b[0] == '0'
	return true
}

// blankValue decides on a blank line in the place of a value: a text may be
// empty, but where the line after it is no group code it is the value, set off
// by blank lines; a number or a code 0 cannot be empty at all.
func (s *asciiSource) blankValue(code int) ([]byte, bool) {
	if isTextCode(code) {
		next, whole := s.peekLine()
		if !whole || len(next) == 0 {
			return nil, true
		}
		if v, ok := parseInt(next); ok && v <= maxCode && v >= minCode {
			return nil, true
		}
		return s.readLine()
	}
	for {
		b, ok := s.readLine()
		if !ok || len(b) > 0 {
			return b, ok
		}
	}
}

// peekLine returns the next line without taking it; false if it cannot be had
// whole.
func (s *asciiSource) peekLine() ([]byte, bool) {
	for {
		if i := bytes.IndexByte(s.buf[s.pos:s.end], s.sep); i >= 0 {
			return trim(s.buf[s.pos : s.pos+i]), true
		}
		if !s.fill() {
			return nil, false
		}
	}
}

// isTextCode reports whether a value may be empty.
func isTextCode(code int) bool {
	k := kindOf(code)
	return code != 0 && (k == textValue || k == chunkValue)
}

// resync skips lines from a senseless one to the next "0" that is followed by
// a word, as every entity, section and table entry begins.
func (s *asciiSource) resync(g *group, b []byte) bool {
	s.badLine = s.line
	if s.zero && isWord(b) {
		// A line is missing before, so that codes were taken for values.
		g.code, g.val, g.start, g.line, g.bad = 0, b, s.line-1, s.line, true
		return true
	}
	for {
		ok, start := false, s.line
		zero := len(b) == 1 && b[0] == '0'
		if b, ok = s.readLine(); !ok {
			s.partial = true
			return false
		}
		if zero && isWord(b) {
			g.code, g.val, g.start, g.line, g.bad = 0, b, start, s.line, true
			return true
		}
	}
}

// isWord reports whether b looks like the name of an entity or section.
func isWord(b []byte) bool {
	if len(b) < 2 || len(b) > 64 {
		return false
	}
	for i, c := range b {
		letter := c >= 'A' && c <= 'Z' || c >= 'a' && c <= 'z'
		digit := c >= '0' && c <= '9'
		if !(letter || c == '_' || digit && (i > 0 || c == '3')) { // 3DFACE
			return false
		}
	}
	return true
}
