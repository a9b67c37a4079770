package report

import (
	_ "embed"
	"fmt"
	"html"
	"io"
	"math"
	"strings"

	"sluice/fix/diff"
	"sluice/geom"
	"sluice/geom/outline"
	"sluice/lint"
	"sluice/lint/figures"
)

//go:embed assets/diff_picture.css
var diffPictureCSS string

// diffSVG writes a difference as a picture that stands alone: what stayed in thin
// ink, what was before in dashes, what came after in full lines, changed parts
// tinted by what became of them.
func diffSVG(w io.Writer, c *Changes) error {
	o := c.Overlay()
	p := newPicture(o.Frame)
	drawDiff(p, c.Changes, o, nil, nil)
	const pixels = 1000
	page := svgPage{
		pixels: pixels, width: o.Frame.W(), css: diffPictureCSS, shows: "show-both", board: p.String(),
		title: clean(c.Before.Name) + " -> " + clean(c.After.Name) + ": " + diffVerdict(c.Changes),
	}
	page.legend(o.Frame, legendLines(c.Changes))
	return page.write(w)
}

// legend writes a key below the drawing, its letters a share of the picture's
// width, and below that the lines.
func (p *svgPage) legend(frame geom.Box, lines []string) {
	letter := frame.W() / 60
	key, step := 2.6*letter, 1.5*letter
	n := func(v float64) string { return string(appendSVGNumber(nil, v)) }
	var b strings.Builder
	x := letter
	for _, e := range []struct{ class, word string }{
		{"same", "unchanged"}, {"before", "before"}, {"after", "after"}, {"reshaped", "reshaped"}, {"removed", "removed"}, {"added", "added"}, {"moved", "moved, turned, scaled"},
	} {
		form := "<path d=\"M%[2]s %[3]sh%[4]s\" class=\"%[1]s\"/>"
		if e.class != "same" && e.class != "before" && e.class != "after" {
			form = "<path d=\"M%[2]s %[5]sh%[4]sv%[6]sh-%[4]sz\" class=\"%[1]s\"/>"
		}
		y := frame.H() + key/2
		fmt.Fprintf(&b, form, e.class, n(x), n(y), n(2*letter), n(y-letter/2), n(letter))
		fmt.Fprintf(&b, "<text x=\"%s\" y=\"%s\" font-size=\"%s\" dy=\".35em\">%s</text>", n(x+2.5*letter), n(y), n(letter), e.word)
		x += letter * (4 + 0.56*float64(len(e.word)))
	}
	for i, line := range lines {
		fmt.Fprintf(&b, "<text x=\"%s\" y=\"%s\" font-size=\"%s\">%s</text>", n(letter), n(frame.H()+key+step*(float64(i)+0.4)), n(letter), html.EscapeString(line))
	}
	rows := step * float64(len(lines))
	p.tall = min(tallFor(p.pixels, frame.W(), frame.H()+key, 60)+int(math.Ceil(rows*float64(p.pixels)/frame.W())), 2*p.pixels)
	p.height = frame.H() + key + rows
	p.key = b.String()
}

// legendLines says under the picture what no outline shows.
func legendLines(d *figures.Changes) []string {
	var s []string
	if d.Whole != nil {
		s = append(s, capital(wholeText(d.Diff))+"; before is drawn as if it lay there.")
	}
	for _, t := range append(hiddenTexts(d.Diff), notedTexts(d.Diff)...) {
		s = append(s, capital(t)+".")
	}
	if t := repairText(d); t != "" {
		s = append(s, capital(t)+".")
	}
	return s
}

// drawDiff draws both drawings over each other and, on top, what leads from one
// to the other. named returns attributes for the fill of part k of d.Parts, row the
// id of its row; nil where there are none.
func drawDiff(p *picture, d *figures.Changes, o *figures.Overlay, named func(k int, after bool) string, row func(k int) string) {
	for side, after := range []bool{false, true} {
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
			diffSheet(p, d.Diff, s, of, after, named)
			p.labels(o.Labels[side])
			p.group("ly edge other", func() { drawApart(p, o.Apart[side], o.Lay[side]) })
		})
	}
	p.group("ly way", func() {
		for k := range d.Parts {
			if q := &d.Parts[k]; q.Before >= 0 && q.After >= 0 && q.Shift != (geom.Point{}) {
				arrow(p, d.Laid.Sheet.Parts[q.Before].Centroid, d.After.Sheet.Parts[q.After].Centroid)
			}
		}
	})
	drawDeviations(p, d, o, row)
}

// drawDeviations draws how far reshaped parts are off, with a ring where most.
func drawDeviations(p *picture, d *figures.Changes, o *figures.Overlay, row func(k int) string) {
	var at []geom.Point
	var of []int
	p.group("ly off", func() {
		for k := range d.Parts {
			q := &d.Parts[k]
			if q.Verdict != diff.Reshaped || q.Mirrored {
				continue
			}
			if q.Deviation > d.Tolerance {
				l := geom.Line(q.From, q.To)
				p.path.add(&l)
				p.flushFull()
				at, of = append(at, q.To), append(of, k)
			}
			for i := range q.Holes {
				at, of = append(at, q.Holes[i].At), append(of, k)
			}
		}
	})
	p.signs("ly off mark", lint.Note, markOn(o.Shown, len(at)), at, func(i int) string {
		if row == nil {
			return ""
		}
		return row(of[i])
	})
}

// drawApart draws what only one of the drawings shows.
func drawApart(p *picture, list []diff.Apart, lay geom.Transform) {
	for _, a := range list {
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
func diffSheet(p *picture, d *diff.Diff, s *diff.Side, of []int, after bool, named func(k int, after bool) string) {
	verdict := func(part int32) diff.Verdict { return d.Parts[of[part]].Verdict }
	for _, v := range []diff.Verdict{diff.Same, diff.Moved, diff.Turned, diff.Scaled, diff.Reshaped, diff.Added, diff.Removed} {
		p.group("ly fill "+string(v), func() {
			for i := range s.Sheet.Parts {
				if verdict(int32(i)) != v {
					continue
				}
				if named != nil && len(s.Sheet.Parts) <= figures.LabeledParts {
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
