package report

import (
	"bytes"
	"fmt"
	"html"
	"math"
	"slices"
	"strconv"

	"sluice/geom"
	"sluice/geom/plate"
	"sluice/geom/plate/view"
	"sluice/lint/assembly"
)

// shape returns a part as a plate.
func (a *Assembly) shape(part int) *plate.Plate {
	return assembly.Shape(a.Sheet, part, a.Kit.PlateOf(part))
}

// Groups are seen from the front, so many degrees from the right and from above: what
// moves to the right, away or up does so on the picture as well.
const (
	seenRight = 33.0
	seenAbove = 29.0
)

// How finely curves of parts are drawn: a share of the size of the group, within bounds, mm.
const (
	curveShare = 1.0 / 1500
	leastCurve = 0.04
	mostCurve  = 0.3
)

// across is how many units of its picture a group is wide or high.
const across = 4000

// groupView draws a group, whole or in part. Patches are written once, in used, and
// pictures point there.
type groupView struct {
	a      *Assembly
	g      *assembly.Group
	number int
	scene  *view.Scene
	lo, hi plate.Vec // of the group in space
	boxes  [][2]plate.Vec
	unit   float64 // units of the picture in a mm
	used   []bool  // by patch: some picture shows it
	bare   bool    // lines in which plates meet are left out
	toned  bool    // pictures say the tone of each patch where they show it
	least  int     // how many dots of what stands have to show for it to be drawn
}

// newGroupView orders a group for painting.
func newGroupView(a *Assembly, number int) *groupView {
	return viewOf(a, &a.Kit.Groups[number], number)
}

// viewOf orders parts in space for painting. No other view of the page has the number.
func viewOf(a *Assembly, g *assembly.Group, number int) *groupView {
	v := &groupView{a: a, g: g, number: number}
	v.lo, v.hi = plate.Vec{math.Inf(1), math.Inf(1), math.Inf(1)}, plate.Vec{math.Inf(-1), math.Inf(-1), math.Inf(-1)}
	solids := make([]view.Solid, len(v.g.Parts))
	for i := range v.g.Parts {
		p := &v.g.Parts[i]
		solids[i] = view.Solid{Plate: a.shape(p.Part), Pose: p.Pose}
		lo, hi := solids[i].Plate.Extent(p.Pose)
		v.boxes = append(v.boxes, [2]plate.Vec{lo, hi})
		for k := range 3 {
			v.lo[k], v.hi[k] = min(v.lo[k], lo[k]), max(v.hi[k], hi[k])
		}
	}
	size := v.hi.Sub(v.lo).Norm()
	v.scene = view.New(view.From(seenRight, seenAbove), solids, min(max(size*curveShare, leastCurve), mostCurve))
	v.unit = across / max(v.scene.Box.W(), v.scene.Box.H(), 1)
	v.used = make([]bool, len(v.scene.Patches))
	return v
}

// mostShown is how many patches all pictures of a page show, about.
const mostShown = 50_000

// bound leaves the least of what stands out of pictures, where the steps of a kit would
// show too much. The group is one of so many steps, of all those of the kit.
func (v *groupView) bound(steps, all int) {
	l := v.scene.Look(func(int) bool { return true }, nil)
	most := 2 * mostShown / max(all, 1) // half of it stands, as an average
	seams := 0
	for _, k := range l.Patches {
		seams += len(v.scene.Patches[k].Seams)
	}
	v.bare = len(l.Patches)+seams > most && steps > 1
	if v.bare && len(l.Dots) > most {
		dots := slices.Sorted(slices.Values(l.Dots))
		v.least = dots[len(dots)-most]
	}
}

// local turns a place on the view into one on the picture, where y points down.
func (v *groupView) local(p geom.Point) (x, y int) {
	return int(math.Round((p.X - v.scene.Box.Min.X) * v.unit)), int(math.Round((v.scene.Box.Max.Y - p.Y) * v.unit))
}

// runs appends runs of places to a path: relative steps in whole units.
func (v *groupView) runs(d []byte, runs [][]geom.Point, closed bool) []byte {
	put := func(n int, first bool) {
		if !first && n >= 0 {
			d = append(d, ' ')
		}
		d = strconv.AppendInt(d, int64(n), 10)
	}
	for _, run := range runs {
		var x, y int
		begun := false
		for i, p := range run {
			px, py := v.local(p)
			switch {
			case i == 0:
				d = append(d, 'M')
				put(px, true)
				put(py, false)
			case px == x && py == y:
				continue
			case !begun:
				d = append(d, 'l')
				put(px-x, true)
				put(py-y, false)
				begun = true
			default:
				put(px-x, false)
				put(py-y, false)
			}
			x, y = px, py
		}
		if closed {
			d = append(d, 'z')
		}
	}
	return d
}

// patch writes a patch: its face, and its edges over it.
func (v *groupView) patch(w *bytes.Buffer, k int, id string) {
	p := &v.scene.Patches[k]
	face := v.runs(nil, p.Rings, true)
	if p.Whole {
		fmt.Fprintf(w, `<path%s class="t%d l" d="%s"/>`, id, p.Tone, face)
		return
	}
	if id != "" {
		fmt.Fprintf(w, `<g%s>`, id)
	}
	fmt.Fprintf(w, `<path class="t%d" d="%s"/>`, p.Tone, face)
	if len(p.Lines) > 0 {
		fmt.Fprintf(w, `<path class="l" d="%s"/>`, v.runs(nil, p.Lines, false))
	}
	if id != "" {
		w.WriteString(`</g>`)
	}
}

// seam writes the lines in which another plate meets a patch.
func (v *groupView) seam(w *bytes.Buffer, lines [][]geom.Point, id string) {
	fmt.Fprintf(w, `<path%s class="l" d="%s"/>`, id, v.runs(nil, lines, false))
}

// defs writes the patches that pictures point to.
func (v *groupView) defs(w *bytes.Buffer) {
	for k, used := range v.used {
		if !used {
			continue
		}
		v.patch(w, k, fmt.Sprintf(` id="v%d-%d"`, v.number, k))
		for n, s := range v.scene.Patches[k].Seams {
			if v.bare {
				break
			}
			v.seam(w, s.Lines, fmt.Sprintf(` id="v%d-%ds%d"`, v.number, k, n))
		}
		w.WriteByte('\n')
	}
}

// show writes what is seen of parts: new ones, and those that stand.
func (v *groupView) show(w *bytes.Buffer, l *view.Look, stands func(int) bool, isNew []bool) {
	open := ""
	for n, k := range l.Patches {
		class := "old"
		switch {
		case isNew != nil && isNew[v.scene.Patches[k].Solid]:
			class = "new"
		case isNew != nil && l.Dots[n] < v.least:
			continue
		}
		if class != open {
			if open != "" {
				w.WriteString("</g>")
			}
			fmt.Fprintf(w, `<g class="%s">`, class)
			open = class
		}
		v.used[k] = true
		tone := ""
		if v.toned {
			tone = fmt.Sprintf(` class="t%d"`, v.scene.Patches[k].Tone)
		}
		fmt.Fprintf(w, `<use%s href="#v%d-%d"/>`, tone, v.number, k)
		for n, s := range v.scene.Patches[k].Seams {
			if stands(s.With) && !v.bare {
				fmt.Fprintf(w, `<use href="#v%d-%ds%d"/>`, v.number, k, n)
			}
		}
	}
	if open != "" {
		w.WriteString("</g>")
	}
}

// numbers writes the numbers of parts where there is room for them: letters so many mm
// high at most.
func (v *groupView) numbers(w *bytes.Buffer, l *view.Look, most float64) {
	w.WriteString(`<g class="no">`)
	for i := range l.Spot {
		name := clean(v.a.Name(v.g.Parts[i].Part))
		if name == "" || len(name) > longestNumber || l.Room[i] <= 0 {
			continue
		}
		// As wide as high at least: the number has to fit into the round place.
		size := min(most, l.Room[i]*2.2/math.Sqrt(1+0.36*float64(len(name)*len(name))))
		if size < most/3 {
			continue
		}
		x, y := v.local(l.Spot[i])
		fmt.Fprintf(w, `<text x="%d" y="%d" font-size="%d" text-anchor="middle" dy=".35em">%s</text>`, x, y, int(size*v.unit), html.EscapeString(name))
	}
	w.WriteString(`</g>`)
}

// longestNumber is how many bytes a number on a picture has at most.
const longestNumber = 6

// frame returns the viewBox that shows a box of the view.
func (v *groupView) frame(b geom.Box, margin float64) string {
	b = b.Inflate(margin)
	x0, y0 := v.local(geom.Pt(b.Min.X, b.Max.Y))
	x1, y1 := v.local(geom.Pt(b.Max.X, b.Min.Y))
	return fmt.Sprintf("%d %d %d %d", x0, y0, max(x1-x0, 1), max(y1-y0, 1))
}

// dashed writes an outline in space in dashes.
func (v *groupView) dashed(w *bytes.Buffer, class string, at plate.Pose, outline []geom.Point, thickness float64) {
	var runs [][]geom.Point
	for _, z := range [2]float64{0, thickness} {
		var run []geom.Point
		for _, p := range outline {
			run = append(run, v.scene.Camera.At(at.Apply(plate.Flat(p, z))))
		}
		runs = append(runs, run)
	}
	fmt.Fprintf(w, `<path class="%s" d="%s"/>`, class, v.runs(nil, runs, true))
}
