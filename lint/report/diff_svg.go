package report

import (
	_ "embed"
	"fmt"
	"html"
	"io"
	"math"
	"slices"
	"strings"

	"sluice/fix/diff"
	"sluice/geom"
	"sluice/geom/outline"
)

//go:embed assets/diff_picture.css
var diffPictureCSS string

// DiffSVG writes a difference as a picture that stands alone: what stayed in thin
// ink, what was before in dashes, what came after in full lines, changed parts
// tinted by what became of them.
func DiffSVG(w io.Writer, d *diff.Diff) error {
	frame := framed(diffBox(d))
	// A key below the drawing, its letters a share of the picture's width.
	letter := frame.W() / 60
	key := 2.6 * letter
	p := newPicture(geom.Pt(frame.Min.X, frame.Max.Y))
	drawDiff(p, d, frame.Diagonal(), nil)
	const width = 1000
	height := min(max(int(math.Ceil(width*(frame.H()+key)/frame.W())), 60), 2*width)
	n := func(v float64) string { return string(appendSVGNumber(nil, v)) }
	title := html.EscapeString(clean(d.Before.Name) + " -> " + clean(d.After.Name) + ": " + diffVerdict(d))
	told := legendLines(d)
	height = min(height+int(math.Ceil(1.5*letter*float64(len(told))*width/frame.W())), 2*width)
	var k strings.Builder
	x := letter
	for _, e := range []struct{ class, word string }{
		{"same", "unchanged"}, {"before", "before"}, {"after", "after"}, {"reshaped", "reshaped"}, {"removed", "removed"}, {"added", "added"}, {"moved", "moved, turned, scaled"},
	} {
		shape := "<path d=\"M%[2]s %[3]sh%[4]s\" class=\"%[1]s\"/>"
		if e.class != "same" && e.class != "before" && e.class != "after" {
			shape = "<path d=\"M%[2]s %[5]sh%[4]sv%[6]sh-%[4]sz\" class=\"%[1]s\"/>"
		}
		y := frame.H() + key/2
		fmt.Fprintf(&k, shape, e.class, n(x), n(y), n(2*letter), n(y-letter/2), n(letter))
		fmt.Fprintf(&k, "<text x=\"%s\" y=\"%s\" font-size=\"%s\" dy=\".35em\">%s</text>", n(x+2.5*letter), n(y), n(letter), e.word)
		x += letter * (4 + 0.56*float64(len(e.word)))
	}
	for i, line := range told {
		fmt.Fprintf(&k, "<text x=\"%s\" y=\"%s\" font-size=\"%s\">%s</text>", n(letter), n(frame.H()+key+1.5*letter*(float64(i)+0.4)), n(letter), html.EscapeString(line))
	}
	key += 1.5 * letter * float64(len(told))
	_, err := fmt.Fprintf(w, "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 %[1]s %[2]s\" width=\"%[3]d\" height=\"%[4]d\">\n"+
		"<title>%[5]s</title>\n<style>%[6]s%[7]s</style>\n<rect class=\"ground\" width=\"%[1]s\" height=\"%[2]s\"/>\n"+
		"<g class=\"board show-both\">\n%[8]s</g>\n<g class=\"key\">%[9]s</g>\n</svg>\n",
		n(roundTo(frame.W())), n(roundTo(frame.H()+key)), width, height, title, pictureCSS, diffPictureCSS, p.String(), k.String())
	return err
}

// legendLines says under the picture what no outline shows.
func legendLines(d *diff.Diff) []string {
	var s []string
	if d.Whole != nil {
		s = append(s, capital(wholeText(d))+"; before is drawn as if it lay there.")
	}
	for _, t := range append(hiddenTexts(d), notedTexts(d)...) {
		s = append(s, capital(t)+".")
	}
	if t := repairText(d); t != "" {
		s = append(s, capital(t)+".")
	}
	return s
}

// diffBox returns the box of both drawings.
func diffBox(d *diff.Diff) geom.Box {
	b := sheetBox(d.Laid.Sheet).Union(sheetBox(d.After.Sheet))
	for _, after := range []bool{false, true} {
		for _, a := range shownApart(d, after) {
			for _, path := range a.Drawn {
				if after || d.Whole == nil {
					b = b.Union(path.Box())
				} else {
					b = b.Union(path.Transform(d.Whole.Lay).Box())
				}
			}
		}
	}
	return b
}

// drawDiff draws both drawings over each other and, on top, what leads from one
// to the other. named returns attributes for the fill of part k of d.Parts.
func drawDiff(p *picture, d *diff.Diff, diagonal float64, named func(k int, after bool) string) {
	for _, after := range []bool{false, true} {
		s, of := d.Laid, make([]int, len(d.Laid.Sheet.Parts))
		class := "before"
		if after {
			s, of, class = d.After, make([]int, len(d.After.Sheet.Parts)), "after"
		}
		for k := range d.Parts {
			i := d.Parts[k].Before
			if after {
				i = d.Parts[k].After
			}
			if i >= 0 {
				of[i] = k
			}
		}
		p.group("side "+class, func() {
			diffSheet(p, d, s, of, after, diagonal, named)
			p.group("ly edge other", func() { drawApart(p, d, after) })
		})
	}
	p.group("ly way", func() {
		for k := range d.Parts {
			if q := &d.Parts[k]; q.Before >= 0 && q.After >= 0 && q.Shift != (geom.Point{}) {
				arrow(p, d.Laid.Sheet.Parts[q.Before].Centroid, d.After.Sheet.Parts[q.After].Centroid)
			}
		}
	})
	p.group("ly off", func() {
		for k := range d.Parts {
			q := &d.Parts[k]
			if q.Verdict != diff.Reshaped || q.Mirrored {
				continue
			}
			if q.Deviation > d.Tolerance {
				l := geom.Line(q.From, q.To)
				p.path.add(&l)
				p.path.dot(q.To)
			}
			for i := range q.Holes {
				p.path.dot(q.Holes[i].At)
			}
			p.flushFull()
		}
	})
}

// shownApart lists what one of the drawings shows and the comparison leaves out.
func shownApart(d *diff.Diff, after bool) []diff.Apart {
	if after {
		return append(slices.Clone(d.Before.Hidden), d.After.Noted...)
	}
	return append(slices.Clone(d.After.Hidden), d.Before.Noted...)
}

// drawApart draws what only one of the drawings shows.
func drawApart(p *picture, d *diff.Diff, after bool) {
	lay := geom.Identity()
	if !after && d.Whole != nil {
		lay = d.Whole.Lay
	}
	for _, a := range shownApart(d, after) {
		for _, path := range a.Drawn {
			for i := range path {
				q := path[i].Transform(lay)
				p.path.add(&q)
			}
			p.flushFull()
		}
	}
	p.flush()
}

// diffSheet draws one of the two drawings.
func diffSheet(p *picture, d *diff.Diff, s *diff.Side, of []int, after bool, diagonal float64, named func(k int, after bool) string) {
	verdict := func(part int32) diff.Verdict { return d.Parts[of[part]].Verdict }
	for _, v := range []diff.Verdict{diff.Same, diff.Moved, diff.Turned, diff.Scaled, diff.Reshaped, diff.Added, diff.Removed} {
		p.group("ly fill "+string(v), func() {
			for i := range s.Sheet.Parts {
				if verdict(int32(i)) != v {
					continue
				}
				if named != nil && len(s.Sheet.Parts) <= singleParts {
					p.flush()
					p.open = named(of[i], after)
				} else {
					p.flushFull()
				}
				part := &s.Sheet.Parts[i]
				for _, o := range append([]int32{part.Outer}, part.Holes...) {
					p.path.closed(s.Sheet.Outlines[o].Pieces)
				}
			}
			p.flush()
			p.open = ""
		})
	}
	p.outlines("ly edge same", s.Sheet, func(o *outline.Outline, _ outline.Flag) bool { return verdict(o.Part) == diff.Same })
	p.outlines("ly edge other", s.Sheet, func(o *outline.Outline, _ outline.Flag) bool { return verdict(o.Part) != diff.Same })
	for _, open := range []bool{false, true} {
		lines, class := s.Sheet.Etch, "ly etch "
		if open {
			lines, class = s.Sheet.Open, "ly open "
		}
		other := otherLines(d, len(lines), open, after)
		for _, o := range []bool{false, true} {
			var some []outline.Open
			for i := range lines {
				if other[i] == o {
					some = append(some, lines[i])
				}
			}
			p.opens(class+map[bool]string{false: "same", true: "other"}[o], some)
		}
	}
	p.outlines("ly tab", s.Sheet, func(_ *outline.Outline, f outline.Flag) bool { return f&outline.IsTab != 0 })
	if len(s.Sheet.Parts) > singleParts {
		return
	}
	numbered := map[int]bool{}
	for i := range s.Texts {
		if s.Texts[i].Number {
			numbered[s.Texts[i].Part] = true
		}
	}
	p.numbers(s.Sheet, func(i int) string {
		if numbered[i] {
			return "" // it carries its number already
		}
		return nameOf(s, i)
	}, diagonal, nil)
}

// otherLines tells which etched or open paths of one side the other lacks.
func otherLines(d *diff.Diff, n int, open, after bool) []bool {
	other := make([]bool, n)
	for i := range d.Lines {
		if l := &d.Lines[i]; l.Open == open && (l.Change == diff.Gained) == after {
			for _, k := range l.Index {
				other[k] = true
			}
		}
	}
	return other
}

// arrow draws a line with a head of two strokes at b.
func arrow(p *picture, a, b geom.Point) {
	if !a.Finite() || !b.Finite() || a == b {
		return
	}
	back := a.Sub(b)
	head := back.Mul(min(0.3, 4/back.Norm()))
	for _, end := range []geom.Point{a, b.Add(head.Rotate(0.4)), b.Add(head.Rotate(-0.4))} {
		l := geom.Line(end, b)
		p.path.add(&l)
	}
	p.flushFull()
}
