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
	switch valueKind(g.code) {
	case kindText:
		return s.string(g)
	case kindDouble:
		b, ok := s.bytes(8)
		if ok {
			g.num, g.isNum = math.Float64frombits(binary.LittleEndian.Uint64(b)), true
			if math.IsNaN(g.num) || math.IsInf(g.num, 0) {
				// Handed on as a text, which no reader takes for a number.
				g.val, g.isNum = []byte("not a number"), false
			}
		}
		return ok
	case kindInt16:
		b, ok := s.bytes(2)
		if ok {
			g.num, g.isNum = float64(int16(binary.LittleEndian.Uint16(b))), true
		}
		return ok
	case kindInt32:
		b, ok := s.bytes(4)
		if ok {
			g.num, g.isNum = float64(int32(binary.LittleEndian.Uint32(b))), true
		}
		return ok
	case kindInt64:
		b, ok := s.bytes(8)
		if ok {
			g.num, g.isNum = float64(int64(binary.LittleEndian.Uint64(b))), true
		}
		return ok
	case kindBool:
		b, ok := s.bytes(1)
		if ok {
			g.num, g.isNum = float64(b[0]), true
		}
		return ok
	case kindChunk:
		b, ok := s.bytes(1)
		if !ok {
			return false
		}
		_, ok = s.bytes(int(b[0]))
		return ok
	}
	s.badLine = s.line
	s.err = &Error{Line: s.line, Text: fmt.Sprintf("group code %d does not exist: the binary data are damaged here", g.code)}
	return false
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

type kindOfValue uint8

const (
	kindNone kindOfValue = iota
	kindText
	kindDouble
	kindInt16
	kindInt32
	kindInt64
	kindBool
	kindChunk
)

// valueKind says how a value is stored in the binary form (DXF reference,
// "Group code value types").
func valueKind(code int) kindOfValue {
	switch {
	case code < -5:
		return kindNone
	case code < 10:
		return kindText
	case code < 60:
		return kindDouble
	case code < 80:
		return kindInt16
	case code >= 90 && code < 100:
		return kindInt32
	case code >= 100 && code < 106:
		return kindText
	case code >= 110 && code < 150:
		return kindDouble
	case code >= 160 && code < 170:
		return kindInt64
	case code >= 170 && code < 180:
		return kindInt16
	case code >= 210 && code < 240:
		return kindDouble
	case code >= 270 && code < 290:
		return kindInt16
	case code >= 290 && code < 300:
		return kindBool
	case code >= 300 && code < 310:
		return kindText
	case code >= 310 && code < 320:
		return kindChunk
	case code >= 320 && code < 370:
		return kindText
	case code >= 370 && code < 390:
		return kindInt16
	case code >= 390 && code < 400:
		return kindText
	case code >= 400 && code < 410:
		return kindInt16
	case code >= 410 && code < 420:
		return kindText
	case code >= 420 && code < 430:
		return kindInt32
	case code >= 430 && code < 440:
		return kindText
	case code >= 440 && code < 460:
		return kindInt32
	case code >= 460 && code < 470:
		return kindDouble
	case code >= 470 && code < 482:
		return kindText
	case code == 999:
		return kindText
	case code == 1004:
		return kindChunk
	case code >= 1000 && code < 1010:
		return kindText
	case code >= 1010 && code < 1060:
		return kindDouble
	case code == 1071:
		return kindInt32
	case code >= 1060 && code < 1071:
		return kindInt16
	}
	return kindNone
}
