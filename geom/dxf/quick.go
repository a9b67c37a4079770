package dxf

import "bytes"

// quick reads the next group where it stands whole in the buffer and is written as
// nearly all are: a code, and behind it a value that is not empty. It reports false, and
// takes nothing, where anything is otherwise; what it reads is what next would read.
//
// It passes over each byte once: a number is reckoned while its end is looked for.
func (s *asciiSource) quick(g *group) bool {
	b := s.buf[s.pos:s.end]
	i := 0
	for i < len(b) && b[i] == ' ' {
		i++
	}
	code, start := 0, i
	for i < len(b) && b[i]-'0' <= 9 {
		code = code*10 + int(b[i]-'0')
		i++
	}
	if i == start || i-start > 4 || code > maxCode {
		return false
	}
	for i < len(b) && (b[i] == '\r' || b[i] == ' ') {
		i++
	}
	if i >= len(b) || b[i] != '\n' {
		return false
	}
	for i++; i < len(b) && b[i] == ' '; i++ {
	}
	start, end := i, -1
	g.isNum = false
	if isNumber(int32(code)) {
		end = g.plainNumber(b, i)
	}
	if end < 0 {
		n := bytes.IndexByte(b[i:], '\n')
		if n < 0 {
			return false
		}
		end = i + n
	}
	val := trim(b[start:end])
	if len(val) == 0 {
		return false
	}
	s.pos += end + 1
	s.zero = len(val) == 1 && val[0] == '0'
	g.code, g.val, g.start, g.line, g.bad = code, val, s.line+1, s.line+2, false
	s.line += 2
	return true
}

// plainNumber reads the number that begins at i and is the rest of its line, and returns
// where that ends. It returns -1 where parseFloat and parseInt, which it agrees with to
// the bit, are to look at what is there.
func (g *group) plainNumber(b []byte, i int) int {
	neg := false
	if i < len(b) && b[i] == '-' {
		neg = true
		i++
	}
	var m uint64
	start := i
	for i < len(b) && b[i]-'0' <= 9 {
		m = m*10 + uint64(b[i]-'0')
		i++
	}
	digits, frac := i-start, 0
	if i < len(b) && b[i] == '.' {
		i++
		start = i
		for i < len(b) && b[i]-'0' <= 9 {
			m = m*10 + uint64(b[i]-'0')
			i++
		}
		frac = i - start
	} else if digits > 9 {
		return -1 // perhaps above what int takes
	}
	if digits += frac; digits == 0 || digits > mostDigits || m >= 1<<53 {
		return -1
	}
	for i < len(b) && (b[i] == '\r' || b[i] == ' ') {
		i++
	}
	if i >= len(b) || b[i] != '\n' {
		return -1
	}
	g.num, g.isNum = exactly(m, frac, neg), true
	return i
}
