package dxf

import (
	"bufio"
	"encoding/binary"
	"fmt"
	"io"
	"math"
)

// sentinel begins every binary DXF file.
const sentinel = "AutoCAD Binary DXF\r\n\x1a\x00"

// binarySource reads groups from the binary form. Lines are counted in groups.
type binarySource struct {
	sourceState
	r       *bufio.Reader
	short   bool // codes of one byte (before R13)
	text    []byte
	maxText int
}

// newBinarySource reads from r, which stands behind the sentinel.
func newBinarySource(r *bufio.Reader, maxText int) *binarySource {
	s := &binarySource{r: r, maxText: maxText}
	// The first group is 0 SECTION: its code is 0, or 0 0.
	head, _ := r.Peek(2)
	s.short = len(head) == 2 && head[1] != 0
	return s
}

func (s *binarySource) state() *sourceState { return &s.sourceState }

func (s *binarySource) next(g *group) bool {
	*g = group{}
	code, ok := s.code()
	if !ok {
		return false
	}
	s.line++
	g.code, g.start, g.line = code, s.line, s.line
	s.read += 2
	if !s.value(g) {
		if s.err == nil {
			s.partial = true
		}
		return false
	}
	return true
}

func (s *binarySource) code() (int, bool) {
	c, err := s.r.ReadByte()
	if err != nil {
		s.fail(err)
		return 0, false
	}
	if s.short && c != 255 {
		return int(c), true
	}
	lo := c
	if s.short {
		if lo, err = s.r.ReadByte(); err != nil {
			s.partial = true
			s.fail(err)
			return 0, false
		}
	}
	hi, err := s.r.ReadByte()
	if err != nil {
		s.partial = true
		s.fail(err)
		return 0, false
	}
	return int(int16(uint16(lo) | uint16(hi)<<8)), true
}

// value reads the value of g by its code. An unknown code has a value of
// unknown length, so that nothing behind it can be read.
func (s *binarySource) value(g *group) bool {
	kind := kindOf(g.code)
	switch kind {
	case textValue:
		return s.string(g)
	case chunkValue:
		b, ok := s.bytes(1)
		if ok {
			_, ok = s.bytes(int(b[0]))
		}
		return ok
	case doubleValue, int16Value, int32Value, int64Value, boolValue:
		b, ok := s.bytes(valueBytes[kind])
		if !ok {
			return false
		}
		if g.num, g.isNum = decodeNumber(kind, b); !g.isNum {
			g.val = []byte("not a number") // which no reader takes for one
		}
		return true
	}
	s.badLine = s.line
	s.err = &Error{Line: s.line, Text: fmt.Sprintf("group code %d does not exist: the binary data are damaged here", g.code)}
	return false
}

// decodeNumber returns a number as stored in b, low byte first; false where a
// double is none.
func decodeNumber(kind valueKind, b []byte) (float64, bool) {
	switch kind {
	case int16Value:
		return float64(int16(binary.LittleEndian.Uint16(b))), true
	case int32Value:
		return float64(int32(binary.LittleEndian.Uint32(b))), true
	case int64Value:
		return float64(int64(binary.LittleEndian.Uint64(b))), true
	case boolValue:
		return float64(b[0]), true
	}
	v := math.Float64frombits(binary.LittleEndian.Uint64(b))
	return v, !math.IsNaN(v - v)
}

func (s *binarySource) bytes(n int) ([]byte, bool) {
	if cap(s.text) < n {
		s.text = make([]byte, max(n, 256))
	}
	b := s.text[:n]
	s.read += int64(n)
	if _, err := io.ReadFull(s.r, b); err != nil {
		s.fail(err)
		return nil, false
	}
	return b, true
}

func (s *binarySource) string(g *group) bool {
	s.text = s.text[:0]
	for {
		part, err := s.r.ReadSlice(0)
		s.text = append(s.text, part...)
		s.read += int64(len(part))
		if err == bufio.ErrBufferFull {
			if len(s.text) > s.maxText {
				s.err = &Error{Line: s.line, Text: fmt.Sprintf("a text longer than %d bytes: the binary data are damaged here", s.maxText)}
				return false
			}
			continue
		}
		if err != nil {
			s.fail(err)
			return false
		}
		g.val = trim(s.text[:len(s.text)-1])
		return true
	}
}

func (s *binarySource) fail(err error) {
	if err != io.EOF && err != io.ErrUnexpectedEOF {
		s.err = err
	}
}
