package dxf

import (
	"fmt"
	"io"
	"math"
	"slices"

	"sluice/geom"
)

// Layers of a written drawing; all are always there, in this order.
const (
	LayerOutside = "OUTSIDE" // perimeters of parts
	LayerInside  = "INSIDE"  // holes and slots
	LayerEtch    = "ETCH"    // marks made at low power
	LayerTab     = "TAB"     // pieces of outline left uncut
	LayerNote    = "NOTE"    // text and the like, not to be cut
)

// Layers of a drawing of paths for the machine. They have names of their own, so
// that nobody sets the kerf off a second time; notes lie on NOTE here too.
const (
	LayerRunOutside = "RUN-OUTSIDE" // the middle of the stream along perimeters
	LayerRunInside  = "RUN-INSIDE"  // the same in holes and slots
	LayerRunEtch    = "RUN-ETCH"    // marks made at low power
	LayerWay        = "WAY"         // of the head from cut to cut, the stream shut
	LayerWayRaised  = "WAY-RAISED"  // the same over pieces cut loose: the head must be raised
)

// SettledColor is the colour number of what a person decided to carry on NOTE.
const SettledColor = 9

type writtenLayer struct {
	name  string
	color int
}

// Colours of our layers: on black and on white each is told from the others, by
// colour-blind people too, and none has a meaning at a machine that goes by colour.
const (
	plainColor  = 7   // black or white: perimeters
	tealColor   = 132 // holes
	ochreColor  = 42  // marks
	violetColor = 200 // what needs care: tabs, raised moves
	greyColor   = 251 // what is not run
)

var writtenLayers = []writtenLayer{
	{LayerOutside, plainColor},
	{LayerInside, tealColor},
	{LayerEtch, ochreColor},
	{LayerTab, violetColor},
	{LayerNote, greyColor},
}

var pathLayers = []writtenLayer{
	{LayerRunOutside, plainColor},
	{LayerRunInside, tealColor},
	{LayerRunEtch, ochreColor},
	{LayerWay, greyColor},
	{LayerWayRaised, violetColor},
	{LayerNote, greyColor},
}

// Output is a drawing to be written.
type Output struct {
	Paths    bool // it is one of paths for the machine, with their layers
	Items    []Item
	Factor   float64 // mm in one drawing unit, above 0
	InsUnits int     // that unit in the header's terms ($INSUNITS)
	Imperial bool    // $MEASUREMENT
}

// Item is one thing to draw: a path, a text or a point. Lengths are mm.
type Item struct {
	Layer string
	// Path is drawn as CIRCLE where it is a full circle (one piece, or two
	// arcs), LINE where it is one line, and LWPOLYLINE else. Each piece must
	// start where the one before ends. A full circle can only stand alone.
	Path   geom.Path
	Closed bool
	// Settled says that a person decided to carry the path: it is drawn in
	// SettledColor, so that it is known again in the drawing.
	Settled bool
	Text    *OutText
	Point   *geom.Point
}

// OutText is one line of text.
type OutText struct {
	At            geom.Point // left end of the baseline, or the middle
	Height, Angle float64    // mm, radians
	Value         string
	Centered      bool // At is the middle of the text
}

// Write writes out as an R2000 DXF drawing. The same output gives the same
// bytes, and a drawing that is read and written again keeps them: coordinates
// are rounded to 1e-8 mm or a little finer, bulges to 1e-12. Arcs become
// two-vertex LWPOLYLINEs, since the angles of an ARC would not give back its
// ends.
//
// It fails where a layer is none of the written ones, a number is not finite, pieces of a
// path do not meet, or w does.
func Write(w io.Writer, out *Output) error {
	if !(out.Factor > 0) || math.IsInf(out.Factor, 0) {
		return fmt.Errorf("dxf: unit factor %g", out.Factor)
	}
	kind := &partSkeleton
	if out.Paths {
		kind = &pathSkeleton
	}
	dr := drawer{round: newRounding(out.Factor), box: geom.NoBox(), last: kind.handles, layers: kind.layers}
	dr.tagText = make(tagText, 0, 1<<10+entityBytes*len(out.Items))
	for i := range out.Items {
		if err := dr.item(&out.Items[i]); err != nil {
			return fmt.Errorf("dxf: item %d: %w", i+1, err)
		}
	}
	head, tail := kind.parts(out, dr.box, dr.last)
	for _, part := range [][]byte{head, dr.tagText, tail} {
		if _, err := w.Write(part); err != nil {
			return err
		}
	}
	return nil
}

// entityBytes is about how long an entity is.
const entityBytes = 250

// drawer turns items into the text of entities.
type drawer struct {
	tagText
	last    handle // given out
	round   rounding
	box     geom.Box // drawing units
	layers  []writtenLayer
	layer   string // of the item at hand
	settled bool
}

// entity begins an entity of the item at hand.
func (d *drawer) entity(name, class string) {
	d.last++
	d.str(0, name)
	d.hex(5, d.last)
	d.str(100, "AcDbEntity")
	d.str(8, d.layer)
	if d.settled {
		d.int(62, SettledColor)
	}
	d.str(100, class)
}

func (d *drawer) item(it *Item) error {
	if !slices.ContainsFunc(d.layers, func(l writtenLayer) bool { return l.name == it.Layer }) {
		return fmt.Errorf("layer %q is none of the written ones", it.Layer)
	}
	d.layer, d.settled = it.Layer, it.Settled
	if len(it.Path) > 0 {
		if err := d.path(it.Path, it.Closed); err != nil {
			return err
		}
	}
	if t := it.Text; t != nil {
		if err := d.text(t); err != nil {
			return err
		}
	}
	if it.Point != nil {
		if !it.Point.Finite() {
			return fmt.Errorf("a point that is not finite")
		}
		p := d.round.point(*it.Point)
		d.box = d.box.Add(p)
		d.entity("POINT", "AcDbPoint")
		d.point(10, p)
	}
	return nil
}

// meets is how far apart, mm, the end of a piece and the start of the next may lie
// to be one vertex. Pieces set off from each other meet to 1e-6 mm; a chord across
// more than that would be a cut that nobody drew.
const meets = 1e-6

func jump(from, to geom.Point) error {
	return fmt.Errorf("a path jumps by %.4g mm, from %.2f, %.2f to %.2f, %.2f", from.Dist(to), from.X, from.Y, to.X, to.Y)
}

func (d *drawer) path(path geom.Path, closed bool) error {
	for i := range path {
		p := &path[i]
		if !p.A.Finite() || !p.B.Finite() || !p.C.Finite() || math.IsNaN(p.R-p.R) || math.IsNaN(p.Sweep-p.Sweep) {
			return fmt.Errorf("a piece that is not finite")
		}
		if p.IsCircle() && len(path) > 1 {
			return fmt.Errorf("a full circle within a path")
		}
		if i > 0 && path[i-1].B.Dist(p.A) > meets {
			return jump(path[i-1].B, p.A)
		}
	}
	if last := path[len(path)-1].B; closed && last.Dist(path[0].A) > meets {
		return jump(last, path[0].A)
	}
	if c, r, ok := d.circle(path, closed); ok {
		d.box = d.box.Union(geom.BoxOf(c).Inflate(r))
		d.entity("CIRCLE", "AcDbCircle")
		d.point(10, c)
		d.float(40, r)
		d.float(210, 0)
		d.float(220, 0)
		d.float(230, 1)
		return nil
	}
	run := d.vertices(path, closed)
	if len(run) < 2 || len(run) == 2 && !closed && run[0].bulge == 0 {
		a, b := run[0].at, run[len(run)-1].at
		d.box = d.box.Add(a).Add(b)
		d.entity("LINE", "AcDbLine")
		d.point(10, a)
		d.point(11, b)
		return nil
	}
	flags := 0
	if closed {
		run, flags = straightClose(run), 1
	}
	d.entity("LWPOLYLINE", "AcDbPolyline")
	d.int(90, len(run))
	d.int(70, flags)
	for i, v := range run {
		d.box = d.box.Add(v.at)
		d.float(10, v.at.X)
		d.float(20, v.at.Y)
		if v.bulge != 0 {
			d.box = d.box.Union(geom.Bulge(v.at, run[(i+1)%len(run)].at, v.bulge).Box())
			d.float(42, v.bulge)
		}
	}
	return nil
}

// straightClose turns a closed run so that its last vertex carries no bulge:
// some readers, yofu/dxf's among them, refuse one there. Where every segment is
// an arc the first vertex is repeated at the end.
func straightClose(run []runVertex) []runVertex {
	for k := len(run) - 1; k >= 0; k-- {
		if run[k].bulge == 0 {
			return slices.Concat(run[k+1:], run[:k+1])
		}
	}
	return append(run, runVertex{at: run[0].at})
}

// circle returns centre and radius (drawing units, rounded) where the path is
// one full circle.
func (d *drawer) circle(path geom.Path, closed bool) (geom.Point, float64, bool) {
	p := &path[0]
	switch {
	case len(path) == 1 && p.IsCircle():
	case len(path) == 2 && closed && p.R > 0 && path[1].R > 0:
		q := &path[1]
		near := 10 * d.round.quantum()
		if p.C.Dist(q.C) > near || abs(p.R-q.R) > near || abs(abs(p.Sweep+q.Sweep)-2*math.Pi) > 1e-9 {
			return geom.Point{}, 0, false
		}
	default:
		return geom.Point{}, 0, false
	}
	r := d.round.length(p.R)
	return d.round.point(p.C), r, r > 0
}

// runVertex is one vertex of an LWPOLYLINE (drawing units).
type runVertex struct {
	at    geom.Point
	bulge float64
}

// largestBulge is where an arc is cut in two: nearly full circles are ill
// defined by their ends.
const largestBulge = 3

// vertices rounds the path's ends and bulges to what will be written, and
// leaves out pieces that have no length then. Arcs too flat to be told from a
// line when read back become lines here already.
func (d *drawer) vertices(path geom.Path, closed bool) []runVertex {
	run := make([]runVertex, 0, len(path)+1)
	put := func(p geom.Piece) { run = append(run, runVertex{d.round.point(p.A), p.BulgeValue()}) }
	for i := range path {
		if p := path[i]; abs(p.BulgeValue()) > largestBulge {
			put(p.Sub(0, 0.5))
			put(p.Sub(0.5, 1))
		} else {
			put(p)
		}
	}
	if !closed {
		run = append(run, runVertex{at: d.round.point(path[len(path)-1].B)})
	}
	kept := run[:0]
	for i, v := range run {
		last := i == len(run)-1
		if last && !closed {
			kept = append(kept, v)
			break
		}
		next := run[0].at
		if !last {
			next = run[i+1].at
		} else if len(kept) > 0 {
			next = kept[0].at
		}
		if next == v.at {
			continue
		}
		v.bulge = roundTo(v.bulge, 12)
		if geom.Bulge(v.at, next, v.bulge).IsLine() {
			v.bulge = 0
		}
		kept = append(kept, v)
	}
	if len(kept) == 0 {
		kept = append(kept, runVertex{at: run[0].at})
	}
	return kept
}

func (d *drawer) text(t *OutText) error {
	if !t.At.Finite() || math.IsNaN(t.Height-t.Height) || math.IsNaN(t.Angle-t.Angle) {
		return fmt.Errorf("a text that is not finite")
	}
	value := escapeText(t.Value)
	if value == "" {
		return nil
	}
	turn := roundTo(math.Mod(t.Angle*(180/math.Pi), 360), 8)
	if turn < 0 {
		turn = roundTo(turn+360, 8)
	}
	if turn >= 360 {
		turn = 0
	}
	at := d.round.point(t.At)
	d.box = d.box.Add(at)
	d.entity("TEXT", "AcDbText")
	d.point(10, at)
	d.float(40, d.round.length(t.Height))
	d.float(50, turn)
	d.float(41, 1) // width
	d.float(51, 0) // slant
	d.str(1, value)
	d.str(7, "Standard")
	if t.Centered {
		d.int(72, 1)
		d.point(11, at)
	}
	d.str(100, "AcDbText")
	if t.Centered {
		d.int(73, 2)
	}
	return nil
}
