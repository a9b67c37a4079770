package label

import (
	"slices"

	"sluice/geom"
)

// spacing lies between the centre lines of neighbouring glyphs, in tenths of
// the height: 2 clear and half a stroke width of 1 on either side.
const spacing = 3

// barDrop is how far below the baseline the bar of an ambiguous number runs,
// in tenths of the height: at least two stroke widths clear.
const barDrop = 3

// Strokes returns the text as single strokes in letters of the given height
// (mm), from 0,0 at the left end of the baseline, and its width. Every path is
// drawn in one go. A character without a glyph becomes a plain box.
func Strokes(text string, height float64) (paths []geom.Path, width float64) {
	f := height / 10
	x := 0.0
	for i, r := range []rune(text) {
		if i > 0 {
			x += spacing
		}
		g, _ := glyphOf(r)
		for _, s := range g.strokes {
			paths = append(paths, stroke(s, x, f))
		}
		x += g.w
	}
	return paths, x * f
}

// stroke places a stroke x tenths to the right, scaled by f.
func stroke(s []v, x, f float64) geom.Path {
	at := func(p v) geom.Point { return geom.Pt((p.x+x)*f, p.y*f) }
	var path geom.Path
	for i := 1; i < len(s); i++ {
		path = append(path, geom.Bulge(at(s[i-1]), at(s[i]), s[i-1].b))
	}
	return path
}

// Ambiguous reports whether a number reads as another number when the part is
// turned upside down: 6 and 9, 16 and 91, but not 8, 11 or 96. A turned number
// that would begin with 0 counts only if the number itself does.
func Ambiguous(text string) bool {
	if text == "" {
		return false
	}
	turned := []byte(text)
	slices.Reverse(turned)
	for i, c := range turned {
		switch c {
		case '0', '1', '8':
		case '6':
			turned[i] = '9'
		case '9':
			turned[i] = '6'
		default:
			return false
		}
	}
	if turned[0] == '0' && text[0] != '0' {
		return false
	}
	return string(turned) != text
}

// lettering is a text ready to be placed: strokes with the bar, about the
// middle of the box that holds them.
type lettering struct {
	paths []geom.Path
	w, h  float64 // of the box, mm
}

// letter sets a text. The box is as wide as the text and runs from the
// baseline, or the lowest stroke below it, to the height of capitals.
func letter(text string, height float64, mirror bool) lettering {
	paths, w := Strokes(text, height)
	if Ambiguous(text) {
		y := -barDrop * height / 10
		paths = append(paths, geom.Path{geom.Line(geom.Pt(0, y), geom.Pt(w, y))})
	}
	box := geom.BoxOf(geom.Point{}, geom.Pt(w, height))
	for _, p := range paths {
		box = box.Union(p.Box())
	}
	t := geom.Shift(box.Center().Mul(-1))
	if mirror {
		t = t.Then(geom.MirrorX(0))
	}
	for i := range paths {
		paths[i] = paths[i].Transform(t)
	}
	return lettering{paths, box.W(), box.H()}
}
