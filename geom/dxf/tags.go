package dxf

import (
	"slices"
	"strconv"
	"strings"
	"unicode/utf16"

	"sluice/geom"
)

// tagText is DXF text as it grows: groups of a code and a value, a line each.
type tagText []byte

func (t *tagText) code(code int) { *t = append(strconv.AppendInt(*t, int64(code), 10), '\n') }

func (t *tagText) str(code int, v string) {
	t.code(code)
	*t = append(append(*t, v...), '\n')
}

func (t *tagText) int(code, v int) {
	t.code(code)
	*t = append(strconv.AppendInt(*t, int64(v), 10), '\n')
}

// hex writes a handle.
func (t *tagText) hex(code int, h handle) {
	t.code(code)
	n := len(*t)
	*t = strconv.AppendInt(*t, int64(h), 16)
	for i, c := range (*t)[n:] {
		if c >= 'a' {
			(*t)[n+i] = c - 'a' + 'A'
		}
	}
	*t = append(*t, '\n')
}

func (t *tagText) float(code int, v float64) {
	t.code(code)
	*t = append(appendFloat(*t, v), '\n')
}

// appendFloat appends a number as short as it can be without loss, with a point.
func appendFloat(b []byte, v float64) []byte {
	n := len(b)
	b = strconv.AppendFloat(b, v, 'f', -1, 64)
	if !slices.Contains(b[n:], '.') {
		b = append(b, ".0"...)
	}
	return b
}

// point writes a place on the drawing's plane: x, y and a z of 0 under code,
// code+10 and code+20.
func (t *tagText) point(code int, p geom.Point) {
	t.float(code, p.X)
	t.float(code+10, p.Y)
	t.float(code+20, 0)
}

// escapeText writes a text such that it reads back the same: characters beyond
// ASCII as \U+XXXX, what would be taken for a control code spelled out, line
// ends as blanks.
func escapeText(s string) string {
	s = strings.TrimSpace(strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return ' '
		}
		return r
	}, s))
	codes := strings.Contains(s, "%%")
	var b strings.Builder
	for i, r := range s {
		switch {
		case r == '%' && codes:
			b.WriteString("%%%")
		case r == '^':
			b.WriteString("^ ")
		case r == '\\' && i+2 < len(s) && s[i+2] == '+':
			b.WriteString(`\U+005C`)
		case r < 0x80:
			b.WriteRune(r)
		default:
			for _, u := range utf16.Encode([]rune{r}) {
				b.WriteString(`\U+` + strings.ToUpper(strconv.FormatInt(0x10000+int64(u), 16)[1:]))
			}
		}
	}
	return b.String()
}
