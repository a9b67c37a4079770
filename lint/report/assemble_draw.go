package report

import (
	"bytes"
	"fmt"
	"html"
	"html/template"
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/plate"
	"sluice/geom/plate/view"
)

// Sizes on pictures, as shares of their width or height, whichever is more.
const (
	pictureMargin = 0.03
	arrowHead     = 0.045
	arrowHalf     = 0.019 // half the width of the head
	largestNumber = 0.045
	largestSmall  = 0.075
	leastFrame    = 0.4 // of that of the group: small parts are not drawn as large as it
)

// scarcely is the share of a part below which what is seen of it does not show where it is.
const scarcely = 0.06

// turnPicture draws a turn: what stands, what goes in, in place, and the same drawn back
// along its way, with an arrow for each.
func (v *groupView) turnPicture(t *turn, title string) template.HTML {
	isNew := make([]bool, len(v.g.Parts))
	for _, i := range t.Parts {
		isNew[i] = true
	}
	stands := func(i int) bool { return t.Stands[i] || isNew[i] }
	alone := func(i int) bool { return isNew[i] }
	look := v.scene.Look(stands, alone)
	var inner, over bytes.Buffer
	frame := look.Box
	if !t.First {
		back := t.Along.Mul(-v.pull(t))
		dx, dy := v.shift(back)
		ghost := v.scene.Look(alone, nil)
		move := v.scene.Camera.At(back)
		moved := geom.Box{Min: ghost.Box.Min.Add(move), Max: ghost.Box.Max.Add(move)}
		put := &over
		if back.Dot(v.scene.Camera.Near) < 0 {
			put = &inner // it lies behind
		}
		fmt.Fprintf(put, `<g class="ghost" transform="translate(%d %d)">`, dx, dy)
		v.show(put, ghost, alone, isNew)
		put.WriteString(`</g>`)
		if hidden := func(i int) bool { return isNew[i] && look.Share[i] < scarcely }; slices.ContainsFunc(t.Parts, hidden) {
			over.WriteString(`<g class="within">`)
			v.show(&over, v.scene.Look(hidden, nil), hidden, isNew)
			over.WriteString(`</g>`)
		}
		frame = window(frame.Union(moved), ghost.Box.Union(moved))
		size := max(frame.W(), frame.H())
		for _, step := range t.Steps {
			v.arrow(&over, v.target(step, look), move, size)
		}
	}
	v.show(&inner, look, stands, isNew)
	return v.svg(frame, "", "step: "+title, inner.String()+over.String())
}

// How much a picture shows at least: of what there is, and of what is looked at.
const (
	leastOfAll = 0.5
	leastOfNew = 2.6
)

// window returns what of a frame to show, so that what is small in it is seen: a box
// around it.
func window(all, of geom.Box) geom.Box {
	cut := func(lo, hi, from, to, size float64) (float64, float64) {
		if size >= hi-lo {
			return lo, hi
		}
		at := min(max((from+to-size)/2, lo), hi-size)
		return at, at + size
	}
	size := max(leastOfNew*max(of.W(), of.H()), leastOfAll*max(all.W(), all.H()))
	x0, x1 := cut(all.Min.X, all.Max.X, of.Min.X, of.Max.X, size)
	y0, y1 := cut(all.Min.Y, all.Max.Y, of.Min.Y, of.Max.Y, size)
	return geom.Box{Min: geom.Pt(x0, y0), Max: geom.Pt(x1, y1)}
}

// shift is what a move in space comes to on the picture.
func (v *groupView) shift(by plate.Vec) (dx, dy int) {
	p := v.scene.Camera.At(by)
	return int(math.Round(p.X * v.unit)), int(math.Round(-p.Y * v.unit))
}

// target is where the arrow of parts ends on the view: on what is seen of them, or, where
// they are hidden, in the middle of their boxes.
func (v *groupView) target(parts []int, look *view.Look) geom.Point {
	lo, hi := v.boxes[parts[0]][0], v.boxes[parts[0]][1]
	best := parts[0]
	for _, i := range parts {
		for k := range 3 {
			lo[k], hi[k] = min(lo[k], v.boxes[i][0][k]), max(hi[k], v.boxes[i][1][k])
		}
		if look.Room[i] > look.Room[best] {
			best = i
		}
	}
	if look.Room[best] > 0 {
		return look.Spot[best]
	}
	return v.scene.Camera.At(lo.Add(hi).Mul(0.5))
}

// arrow draws the way of a part: from where it is drawn back to where it goes.
func (v *groupView) arrow(w *bytes.Buffer, b, back geom.Point, size float64) {
	a := b.Add(back)
	d := b.Sub(a)
	l := math.Hypot(d.X, d.Y)
	head := min(arrowHead*size, 0.6*l)
	if l < 1e-6 {
		return
	}
	d = d.Mul(1 / l)
	side := geom.Pt(-d.Y, d.X).Mul(head * arrowHalf / arrowHead)
	neck := b.Sub(d.Mul(head))
	line := v.runs(nil, [][]geom.Point{{a, neck}}, false)
	tip := v.runs(nil, [][]geom.Point{{b, neck.Add(side), neck.Sub(side)}}, true)
	fmt.Fprintf(w, `<path class="halo" d="%s"/><path class="way" d="%s"/><path class="tip" d="%s"/>`, line, line, tip)
}

// svg writes a picture as an element of a page.
func (v *groupView) svg(frame geom.Box, class, label, inner string) template.HTML {
	if !frame.Finite() {
		return ""
	}
	least := leastFrame * max(v.scene.Box.W(), v.scene.Box.H())
	if grow := (least - max(frame.W(), frame.H())) / 2; grow > 0 {
		frame = frame.Inflate(grow)
	}
	if class != "" {
		class = ` class="` + class + `"`
	}
	return template.HTML(fmt.Sprintf(`<svg%s viewBox="%s" role="img" aria-label="%s">%s</svg>`,
		class, v.frame(frame, pictureMargin*max(frame.W(), frame.H())), html.EscapeString(clean(label)), inner))
}

// wholePicture draws parts of the group as they stand, with their numbers, and where
// plates are missing.
func (v *groupView) wholePicture(parts []int, label string) template.HTML {
	in := make([]bool, len(v.g.Parts))
	for _, i := range parts {
		in[i] = true
	}
	there := func(i int) bool { return in[i] }
	look := v.scene.Look(there, there)
	var w bytes.Buffer
	v.show(&w, look, there, nil)
	frame := look.Box
	if len(parts) == len(v.g.Parts) {
		v.gone(&w)
		frame = v.whole()
	}
	most := largestNumber
	if v.toned { // small, among others
		most = largestSmall
	}
	v.numbers(&w, look, most*max(frame.W(), frame.H()))
	return v.svg(frame, "whole", label, w.String())
}

// gone draws the outlines of the plates that the group lacks.
func (v *groupView) gone(w *bytes.Buffer) {
	for i := range v.a.Kit.Missing {
		if m := &v.a.Kit.Missing[i]; m.Group == v.number {
			v.dashed(w, "gone", m.Pose, m.Outline, m.Thickness)
		}
	}
}

// whole returns the box, on the view, of a group and of the plates that it lacks.
func (v *groupView) whole() geom.Box {
	box := v.scene.Box
	for i := range v.a.Kit.Missing {
		if m := &v.a.Kit.Missing[i]; m.Group == v.number {
			for _, p := range m.Outline {
				for _, z := range [2]float64{0, m.Thickness} {
					box = box.Union(geom.BoxOf(v.scene.Camera.At(m.Pose.Apply(plate.Flat(p, z)))))
				}
			}
		}
	}
	return box
}

// drawFlat draws a part as it lies in the drawing.
func (a *Assembly) drawFlat(part int, name string) template.HTML {
	box := a.Sheet.Parts[part].Box
	if !box.Finite() {
		return ""
	}
	size := max(box.W(), box.H())
	frame := box.Inflate(size / 40)
	d := pathData{origin: geom.Pt(frame.Min.X, frame.Max.Y)}
	for _, ring := range view.Flat(a.shape(part), size/400) {
		for i, p := range ring {
			c := byte('L')
			if i == 0 {
				c = 'M'
			}
			q := d.local(p)
			d.command(c, geom.Pt(math.Round(q.X*100)/100, math.Round(q.Y*100)/100))
		}
		d.buf = append(d.buf, 'Z')
	}
	return template.HTML(fmt.Sprintf(`<svg viewBox="%s" role="img" aria-label="part %s"><path d="%s"/></svg>`, viewBox(frame.W(), frame.H()), html.EscapeString(name), d.buf))
}

// drawOutline draws the outline of a plate that is missing.
func drawOutline(outline []geom.Point, label string) template.HTML {
	box := geom.BoxOf(outline...)
	if !box.Finite() {
		return ""
	}
	frame := box.Inflate(max(box.W(), box.H()) / 20)
	d := pathData{origin: geom.Pt(frame.Min.X, frame.Max.Y)}
	for i, p := range outline {
		c := byte('L')
		if i == 0 {
			c = 'M'
		}
		d.command(c, d.local(p))
	}
	return template.HTML(fmt.Sprintf(`<svg viewBox="%s" role="img" aria-label="%s"><path class="gone" d="%sZ"/></svg>`, viewBox(frame.W(), frame.H()), html.EscapeString(label), d.buf))
}
