package dxf

import (
	"bytes"
	"math"
	"strconv"
)

// numberState says how a number was written.
type numberState uint8

const (
	numberOK numberState = iota
	numberComma
	numberBad
)

// powers of ten that a double holds exactly.
var pow10 = [...]float64{
	1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
}

// mostDigits is how many digits are gathered without a look at whether they still fit.
const mostDigits = 18

// exactly returns m / 10^frac for m below 2^53 and at most mostDigits decimals: that
// needs one rounding only and so is exact (Clinger, "How to read floating point numbers
// accurately", 1990).
func exactly(m uint64, frac int, neg bool) float64 {
	f := float64(m)
	if frac > 0 {
		f /= pow10[frac]
	}
	if neg {
		f = -f
	}
	return f
}

// parseFloat reads a decimal number. What exactly does not take goes to strconv. It
// takes a comma for the point and blanks within the number ("1.0E 20").
func parseFloat(b []byte) (float64, numberState) {
	i, n := 0, len(b)
	neg := false
	if n > 0 && (b[0] == '-' || b[0] == '+') {
		neg = b[0] == '-'
		i = 1
	}
	var m uint64
	digits, frac := 0, 0
	start := i
	for i < n {
		c := b[i] - '0'
		if c > 9 {
			break
		}
		m = m*10 + uint64(c)
		i++
	}
	digits = i - start
	if i < n && b[i] == '.' {
		i++
		start = i
		for i < n {
			c := b[i] - '0'
			if c > 9 {
				break
			}
			m = m*10 + uint64(c)
			i++
		}
		frac = i - start
		digits += frac
	}
	if i == n && digits > 0 && digits <= mostDigits && m < 1<<53 {
		return exactly(m, frac, neg), numberOK
	}
	if digits == 0 && (i >= n || b[i] != ',' && b[i] != ' ') {
		return 0, numberBad // neither "nan" nor "inf" nor hexadecimal
	}
	return parseFloatSlow(b)
}

func parseFloatSlow(b []byte) (float64, numberState) {
	var buf [64]byte
	t := buf[:0]
	state := numberOK
	for _, c := range b {
		switch {
		case c == ' ' || c == '\t':
		case c == ',':
			if bytes.IndexByte(t, '.') >= 0 {
				return 0, numberBad
			}
			t = append(t, '.')
			state = numberComma
		case c == 'd' || c == 'D': // exponents of Fortran programs
			t = append(t, 'e')
		case c >= '0' && c <= '9' || c == '+' || c == '-' || c == '.' || c == 'e' || c == 'E':
			t = append(t, c)
		default:
			return 0, numberBad
		}
		if len(t) > 400 {
			return 0, numberBad
		}
	}
	f, err := strconv.ParseFloat(string(t), 64)
	if err != nil || math.IsInf(f, 0) {
		return 0, numberBad
	}
	return f, state
}

// parseInt reads a decimal integer that fits in 32 bits.
func parseInt(b []byte) (int, bool) {
	neg := false
	if len(b) > 0 && (b[0] == '-' || b[0] == '+') {
		neg = b[0] == '-'
		b = b[1:]
	}
	if len(b) == 0 || len(b) > 10 {
		return 0, false
	}
	v := 0
	for _, c := range b {
		if c < '0' || c > '9' {
			return 0, false
		}
		v = v*10 + int(c-'0')
	}
	if v > math.MaxInt32 {
		return 0, false
	}
	if neg {
		v = -v
	}
	return v, true
}

// parseHandle reads a hexadecimal handle; 0 stands for none.
func parseHandle(b []byte) uint64 {
	if len(b) == 0 || len(b) > 16 {
		return 0
	}
	var v uint64
	for _, c := range b {
		switch {
		case c >= '0' && c <= '9':
			v = v<<4 | uint64(c-'0')
		case c >= 'a' && c <= 'f':
			v = v<<4 | uint64(c-'a'+10)
		case c >= 'A' && c <= 'F':
			v = v<<4 | uint64(c-'A'+10)
		default:
			return 0
		}
	}
	return v
}
