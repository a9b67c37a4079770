package dxf

import (
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"sluice/geom"
	"sluice/geom/drawing"
)

// letterWidth is about how wide a letter is for its height; it only serves to
// find the left end of texts that are not set from there.
const letterWidth = 0.8

var (
	textType  = entityType{names: []string{"TEXT"}, texts: []int32{1}, draw: (*reader).textLine}
	mtextType = entityType{names: []string{"MTEXT"}, coords: worldCoords, points: []int32{10}, texts: []int32{1, 3}, draw: (*reader).mtext}

	// An ATTRIB mostly follows its INSERT; its flag 1 hides it.
	attribType = entityType{
		names: []string{"ATTRIB"}, texts: []int32{1},
		draw: func(rd *reader, r *record, e *env) error {
			if r.flags(70)&1 != 0 {
				rd.tell(drawing.Hidden, e, r, "invisible attribute")
				return nil
			}
			return rd.textLine(r, e)
		},
	}
)

// textLine carries TEXT and ATTRIB. Where they are set from another place than
// the left end of the baseline (groups 72, 73), the second point counts.
func (rd *reader) textLine(r *record, e *env) error {
	value := plainText(r.text(1))
	if value == "" {
		return nil
	}
	p := r.point(10)
	height := abs(r.num(40, 0))
	t := drawing.Text{Value: value}
	at, angle := p.flat(), r.num(50, 0)*(math.Pi/180)
	h, v := r.flags(72), r.flags(73)
	second := r.point(11).flat()
	switch {
	case h == 4, h == 1 && v == 2:
		if r.has(11) {
			at = second
		}
		t.Centered = true
	case (h != 0 || v != 0) && r.has(11) && at == geom.Point{}:
		// Some programs leave the first point empty: work it out.
		at = second
		w := letterWidth * height * float64(utf8.RuneCountInString(value))
		var off geom.Point
		switch h {
		case 1:
			off.X = -w / 2
		case 2:
			off.X = -w
		}
		switch v {
		case 2:
			off.Y = -height / 2
		case 3:
			off.Y = -height
		}
		at = at.Add(off.Rotate(angle))
	}
	t.Insert = at
	rd.notFlat(r, p.z)
	return rd.lettering(e, e.plane(r, p.z), t, at, height, angle)
}

// lettering carries a text set in an object plane.
func (rd *reader) lettering(e *env, pl plane, t drawing.Text, at geom.Point, height, angle float64) error {
	t.Entity, t.Layer, t.Color = e.ent, e.layer, e.color
	t.At, t.Insert = pl.apply(at), pl.apply(t.Insert)
	dir := pl.dir(geom.Polar(geom.Point{}, 1, angle))
	t.Angle = dir.Angle()
	if pl.kind == planeSame {
		t.Angle = math.Remainder(angle, 2*math.Pi)
	}
	t.Height = height * math.Sqrt(abs(pl.u.Cross(pl.v)))
	if !inRange(t.At) || !(t.Height < maxCoord) || math.IsNaN(t.Angle) {
		rd.told.spoiled = true
		return nil
	}
	rd.d.Texts = append(rd.d.Texts, t)
	return rd.count(e, 1)
}

// mtext carries MTEXT: group 71 says which of nine places of its box stands at
// the insertion point, 1 top left to 9 bottom right.
func (rd *reader) mtext(r *record, e *env) error {
	var raw strings.Builder
	for i := range r.texts {
		raw.WriteString(r.texts[i].s) // groups 3 come before group 1
	}
	value := plainMText(raw.String())
	if value == "" {
		return nil
	}
	p := r.point(10)
	height := abs(r.num(40, 0))
	angle := r.num(50, 0) * (math.Pi / 180)
	if r.has(11) {
		angle = r.point(11).flat().Angle()
	}
	lines := strings.Split(value, "\n")
	widest := 0
	for _, l := range lines {
		widest = max(widest, utf8.RuneCountInString(l))
	}
	t := drawing.Text{Value: value}
	place := r.flags(71)
	var off geom.Point
	if place == 5 {
		t.Centered = true
	} else if place >= 1 && place <= 9 {
		off.X = -float64((place-1)%3) / 2 * letterWidth * height * float64(widest)
		// Lines are 5/3 of the height apart; the baseline is the first line's.
		tall := height * (1 + 5.0/3*float64(len(lines)-1))
		off.Y = -height + tall*float64((place-1)/3)/2
	}
	rd.notFlat(r, p.z)
	t.Insert = p.flat()
	return rd.lettering(e, e.plane(r, p.z), t, p.flat().Add(off.Rotate(angle)), height, angle)
}

// plainText resolves the control codes of TEXT: %%c diameter, %%d degree, %%p
// plus-minus, %%nnn a character by number; %%u, %%o and %%k switch lines on.
func plainText(s string) string {
	if !strings.Contains(s, "%%") && !strings.Contains(s, "^") {
		return s
	}
	var b strings.Builder
	for i := 0; i < len(s); {
		if s[i] == '^' && i+1 < len(s) { // control characters are written ^I, ^J, …
			switch s[i+1] {
			case ' ':
				b.WriteByte('^')
			case 'I', 'J', 'M':
				b.WriteByte(' ')
			default:
				b.WriteByte('^')
				i++
				continue
			}
			i += 2
			continue
		}
		if !strings.HasPrefix(s[i:], "%%") || i+2 >= len(s) {
			b.WriteByte(s[i])
			i++
			continue
		}
		switch c := s[i+2]; {
		case c == 'c' || c == 'C':
			b.WriteString("Ø")
		case c == 'd' || c == 'D':
			b.WriteString("°")
		case c == 'p' || c == 'P':
			b.WriteString("±")
		case c == '%':
			b.WriteByte('%')
		case strings.IndexByte("uUoOkK", c) >= 0:
		case isDigit(c) && i+5 <= len(s) && isDigit(s[i+3]) && isDigit(s[i+4]):
			n, _ := strconv.Atoi(s[i+2 : i+5])
			b.WriteRune(rune(n))
			i += 2
		default:
			b.WriteString("%%")
			i += 2
			continue
		}
		i += 3
	}
	return b.String()
}

// plainMText takes the formatting out of MTEXT: \P new line, \~ blank, \S
// stacked fraction, \f \H \C \A \T \Q \W \p with values up to a semicolon, \L
// \O \K switches, braces for groups.
func plainMText(s string) string {
	var b strings.Builder
	for i := 0; i < len(s); {
		c := s[i]
		switch {
		case c == '{' || c == '}':
			i++
			continue
		case c != '\\' || i+1 >= len(s):
			b.WriteByte(c)
			i++
			continue
		}
		code := s[i+1]
		i += 2
		switch code {
		case 'P', 'X', 'N':
			b.WriteByte('\n')
		case '~':
			b.WriteByte(' ')
		case '\\', '{', '}':
			b.WriteByte(code)
		case 'L', 'l', 'O', 'o', 'K', 'k':
		case 'S', 'f', 'F', 'H', 'C', 'c', 'A', 'T', 'Q', 'W', 'p':
			end := strings.IndexByte(s[i:], ';')
			if end < 0 {
				end = len(s) - i
			}
			if code == 'S' {
				b.WriteString(strings.NewReplacer("^", "/", "#", "/", "\\", "").Replace(s[i : i+end]))
			}
			i = min(len(s), i+end+1)
		default:
			b.WriteByte('\\')
			b.WriteByte(code)
		}
	}
	return plainText(strings.TrimSpace(b.String()))
}
