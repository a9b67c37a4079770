package dxf

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"slices"
	"sync"

	"github.com/yofu/dxf/color"
	ydrawing "github.com/yofu/dxf/drawing"
	"github.com/yofu/dxf/entity"
	"github.com/yofu/dxf/table"

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

// SettledColor is the colour number of what a person decided to carry on NOTE.
const SettledColor = 9

var writtenLayers = []struct {
	name  string
	color color.ColorNumber
}{
	{LayerOutside, color.White},
	{LayerInside, color.Red},
	{LayerEtch, color.Blue},
	{LayerTab, color.Green},
	{LayerNote, color.Grey128},
}

// Output is a drawing to be written.
type Output struct {
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

// yofu/dxf keeps its standard layer, line types and style in package variables
// and numbers them anew for each drawing, so drawings are written one at a time.
var writing sync.Mutex

// Write writes out as an R2000 DXF drawing. The same output gives the same
// bytes, and a drawing that is read and written again keeps them: coordinates
// are rounded to 1e-8 mm or a little finer, bulges to 1e-12. Arcs become
// two-vertex LWPOLYLINEs, since the angles of an ARC would not give back its
// ends.
//
// It fails where a layer is none of the five, a number is not finite, pieces of a
// path do not meet, or w does.
func Write(w io.Writer, out *Output) error {
	if !(out.Factor > 0) || math.IsInf(out.Factor, 0) {
		return fmt.Errorf("dxf: unit factor %g", out.Factor)
	}
	writing.Lock()
	defer writing.Unlock()

	d := ydrawing.New()
	d.CurrentStyle.LastHeightUsed = 100 // a package variable: what was drawn before must not show
	dr := drawer{layers: map[string]*table.Layer{}, round: newRounding(out.Factor), box: geom.NoBox()}
	dr.addLayers(d)
	for i := range out.Items {
		if err := dr.item(&out.Items[i]); err != nil {
			return fmt.Errorf("dxf: item %d: %w", i+1, err)
		}
	}
	d.Sections[ydrawing.ENTITIES] = dr.entities
	head := &header{insUnits: out.InsUnits, box: dr.box}
	if !out.Imperial {
		head.measurement = 1
	}
	d.Sections[ydrawing.HEADER] = head

	bw := bufio.NewWriterSize(w, 64<<10)
	f := &textFormat{w: bw}
	handle := 1
	for _, s := range d.Sections[1:] {
		s.SetHandle(&handle)
	}
	d.Sections[0].SetHandle(&handle)
	for _, s := range d.Sections {
		s.Format(f)
	}
	f.WriteString(0, "EOF")
	return bw.Flush() // keeps the first error
}

// drawer turns items into entities.
type drawer struct {
	layers   map[string]*table.Layer
	round    rounding
	entities entity.Entities
	box      geom.Box // drawing units
}

func (d *drawer) item(it *Item) error {
	layer, ok := d.layers[it.Layer]
	if !ok {
		return fmt.Errorf("layer %q is none of the written ones", it.Layer)
	}
	add := func(e entity.Entity) {
		e.SetLayer(layer)
		d.entities = append(d.entities, e)
	}
	if it.Settled {
		plain := add
		add = func(e entity.Entity) { plain(colored{e, SettledColor}) }
	}
	if len(it.Path) > 0 {
		if err := d.path(it.Path, it.Closed, add); err != nil {
			return err
		}
	}
	if t := it.Text; t != nil {
		if err := d.text(t, add); err != nil {
			return err
		}
	}
	if it.Point != nil {
		if !it.Point.Finite() {
			return fmt.Errorf("a point that is not finite")
		}
		p := d.round.point(*it.Point)
		d.box = d.box.Add(p)
		add(entity.NewPoint(p.X, p.Y, 0))
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

func (d *drawer) path(path geom.Path, closed bool, add func(entity.Entity)) error {
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
		e := entity.NewCircle()
		e.Center, e.Radius = []float64{c.X, c.Y, 0}, r
		d.box = d.box.Union(geom.BoxOf(c).Inflate(r))
		add(e)
		return nil
	}
	run := d.vertices(path, closed)
	if len(run) < 2 || len(run) == 2 && !closed && run[0].bulge == 0 {
		a := run[0].at
		b := run[len(run)-1].at
		l := entity.NewLine()
		l.Start, l.End = []float64{a.X, a.Y, 0}, []float64{b.X, b.Y, 0}
		d.box = d.box.Add(a).Add(b)
		add(l)
		return nil
	}
	if closed {
		run = straightClose(run)
	}
	l := entity.NewLwPolyline(0)
	l.Num, l.Closed = len(run), closed
	l.Vertices, l.Bulges = make([][]float64, len(run)), make([]float64, len(run))
	flat := make([]float64, 2*len(run))
	for i, v := range run {
		flat[2*i], flat[2*i+1] = v.at.X, v.at.Y
		l.Vertices[i] = flat[2*i : 2*i+2]
		l.Bulges[i] = v.bulge
		d.box = d.box.Add(v.at)
		if v.bulge != 0 {
			d.box = d.box.Union(geom.Bulge(v.at, run[(i+1)%len(run)].at, v.bulge).Box())
		}
	}
	add(l)
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

func (d *drawer) text(t *OutText, add func(entity.Entity)) error {
	if !t.At.Finite() || math.IsNaN(t.Height-t.Height) || math.IsNaN(t.Angle-t.Angle) {
		return fmt.Errorf("a text that is not finite")
	}
	value := escapeText(t.Value)
	if value == "" {
		return nil
	}
	e := entity.NewText()
	at := d.round.point(t.At)
	e.Coord1 = []float64{at.X, at.Y, 0}
	e.Height = d.round.length(t.Height)
	e.WidthFactor = 1
	e.Value = value
	deg := roundTo(math.Mod(t.Angle*(180/math.Pi), 360), 8)
	if deg < 0 {
		deg = roundTo(deg+360, 8)
	}
	if deg < 360 {
		e.Rotation = deg
	}
	if t.Centered {
		e.Anchor(entity.CENTER_CENTER)
	}
	d.box = d.box.Add(at)
	add(e)
	return nil
}
