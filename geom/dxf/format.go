package dxf

import (
	"bufio"
	"io"
	"math"
	"strconv"
	"strings"
	"unicode/utf16"

	"github.com/yofu/dxf/format"

	"sluice/geom"
)

// rounding turns mm into drawing units with a fixed number of decimals.
type rounding struct {
	factor   float64 // mm in one unit
	decimals int
}

// newRounding keeps 1e-8 mm or finer, whatever the unit: from 8 decimals of a mm
// to 28 of a parsec. Of the least units it keeps 5 decimals, since such a
// unit is mostly stated by mistake.
func newRounding(factor float64) rounding {
	d := 8 + int(math.Ceil(math.Log10(factor)-1e-9))
	return rounding{factor, min(max(d, 5), 30)}
}

// quantum returns the step of written coordinates, mm.
func (r rounding) quantum() float64 { return math.Pow(10, -float64(r.decimals)) * r.factor }

func (r rounding) length(mm float64) float64 { return roundTo(mm/r.factor, r.decimals) }

func (r rounding) point(mm geom.Point) geom.Point {
	return geom.Point{X: r.length(mm.X), Y: r.length(mm.Y)}
}

// roundTo rounds v to that many decimals, fewer where v is so large that a
// double does not hold them: 15 digits in all.
func roundTo(v float64, decimals int) float64 {
	for decimals > 0 && abs(v)*math.Pow10(decimals) > 1e15 {
		decimals--
	}
	p := math.Pow10(decimals)
	if r := math.Round(v*p) / p; !math.IsInf(r, 0) {
		return r + 0
	}
	return v
}

// textFormat writes groups as text; it serves yofu/dxf as its formatter, with
// numbers as short as they can be without loss.
type textFormat struct {
	w   *bufio.Writer
	buf []byte
}

var _ format.Formatter = (*textFormat)(nil)

func (f *textFormat) group(code int) {
	f.buf = append(strconv.AppendInt(f.buf[:0], int64(code), 10), '\n')
}

func (f *textFormat) flush() {
	f.buf = append(f.buf, '\n')
	f.w.Write(f.buf) // bufio keeps the error for Flush
}

func (f *textFormat) WriteString(code int, v string) {
	f.group(code)
	f.buf = append(f.buf, v...)
	f.flush()
}

func (f *textFormat) WriteHex(code int, v int) {
	f.group(code)
	f.buf = append(f.buf, strings.ToUpper(strconv.FormatInt(int64(v), 16))...)
	f.flush()
}

func (f *textFormat) WriteInt(code int, v int) {
	f.group(code)
	f.buf = strconv.AppendInt(f.buf, int64(v), 10)
	f.flush()
}

func (f *textFormat) WriteFloat(code int, v float64) {
	f.group(code)
	n := len(f.buf)
	f.buf = strconv.AppendFloat(f.buf, v, 'f', -1, 64)
	for _, c := range f.buf[n:] {
		if c == '.' {
			f.flush()
			return
		}
	}
	f.buf = append(f.buf, ".0"...)
	f.flush()
}

// The rest of the interface gives strings; sections do not use it.

func (f *textFormat) Reset()                           {}
func (f *textFormat) SetPrecision(int)                 {}
func (f *textFormat) WriteTo(io.Writer) (int64, error) { return 0, nil }
func (f *textFormat) Output() string                   { return "" }
func (f *textFormat) String(code int, v string) string { return format.NewASCII().String(code, v) }
func (f *textFormat) Hex(code int, v int) string       { return format.NewASCII().Hex(code, v) }
func (f *textFormat) Int(code int, v int) string       { return format.NewASCII().Int(code, v) }
func (f *textFormat) Float(code int, v float64) string { return format.NewASCII().Float(code, v) }

// header stands in for yofu/dxf's header section, which has no $MEASUREMENT.
type header struct {
	insUnits, measurement int
	box                   geom.Box
	seed                  int
}

// SetHandle takes the first free handle, as $HANDSEED tells it.
func (h *header) SetHandle(v *int) { h.seed = *v }

func (h *header) Format(f format.Formatter) {
	point := func(name string, p geom.Point) {
		f.WriteString(9, name)
		f.WriteFloat(10, p.X)
		f.WriteFloat(20, p.Y)
		f.WriteFloat(30, 0)
	}
	number := func(name string, v int) {
		f.WriteString(9, name)
		f.WriteInt(70, v)
	}
	lo, hi := h.box.Min, h.box.Max
	if h.box.Empty() {
		lo, hi = geom.Point{}, geom.Point{}
	}
	f.WriteString(0, "SECTION")
	f.WriteString(2, "HEADER")
	f.WriteString(9, "$ACADVER")
	f.WriteString(1, "AC1015")
	f.WriteString(9, "$DWGCODEPAGE")
	f.WriteString(3, "ANSI_1252")
	point("$INSBASE", geom.Point{})
	point("$EXTMIN", geom.Point{X: roundTo(lo.X, 8), Y: roundTo(lo.Y, 8)})
	point("$EXTMAX", geom.Point{X: roundTo(hi.X, 8), Y: roundTo(hi.Y, 8)})
	number("$INSUNITS", h.insUnits)
	number("$MEASUREMENT", h.measurement)
	number("$LUNITS", 2)
	f.WriteString(9, "$LTSCALE")
	f.WriteFloat(40, 1)
	f.WriteString(9, "$HANDSEED")
	f.WriteHex(5, h.seed)
	f.WriteString(0, "ENDSEC")
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
