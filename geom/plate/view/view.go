// Package view draws plates in space as they are seen from far away, with what is hidden
// taken out. A picture is a list of patches to paint one over the other, from the back
// to the front. The order holds for any choice of the plates, so that a kit is ordered
// once and drawn at each step of its assembly. Lengths are mm; pictures have y upwards.
package view

import (
	"math"

	"sluice/geom"
	"sluice/geom/plate"
)

// Camera is from where things are seen: all lines of sight run parallel.
type Camera struct {
	Right, Up plate.Vec // in the plane of the picture
	Near      plate.Vec // towards the viewer
}

// From returns a camera that stands so many degrees to the right of the front and so
// many degrees above the table. The front is where y is least.
func From(right, above float64) Camera {
	sr, cr := math.Sincos(right * math.Pi / 180)
	sa, ca := math.Sincos(above * math.Pi / 180)
	near := plate.Vec{sr * ca, -cr * ca, sa}
	x := plate.Vec{cr, sr, 0}
	return Camera{Right: x, Up: near.Cross(x), Near: near}
}

// At returns where a place is on the picture.
func (c *Camera) At(v plate.Vec) geom.Point { return geom.Pt(c.Right.Dot(v), c.Up.Dot(v)) }

// Solid is a plate in space.
type Solid struct {
	Plate *plate.Plate
	Pose  plate.Pose
}

// Patch is a piece of a picture: some faces of one plate, or parts of them, in one shade.
type Patch struct {
	Solid int
	Tone  int            // 0 to 2, from light to dark, by which way the faces look
	Rings [][]geom.Point // inside by even and odd
	Lines [][]geom.Point // edges of the plate on them
	Whole bool           // the lines are the rings
	Seams []Seam
}

// Scene is plates in space, ordered for painting.
type Scene struct {
	Camera  Camera
	Patches []Patch // from the back to the front
	Box     geom.Box
	solids  []Solid
}

// New orders plates. Curves are taken as lines within tol, mm.
func New(c Camera, solids []Solid, tol float64) *Scene {
	s := &Scene{Camera: c, Box: geom.NoBox(), solids: solids}
	m := &painter{camera: c}
	for i := range solids {
		m.add(i, &solids[i], tol)
	}
	m.creased()
	s.Patches = gathered(m.ordered(), &c)
	for i := range s.Patches {
		for _, r := range s.Patches[i].Rings {
			s.Box = s.Box.Union(geom.BoxOf(r...))
		}
	}
	return s
}

// Flat returns the outlines of a plate as it lies in its drawing, with as few places as
// tol, mm, allows.
func Flat(p *plate.Plate, tol float64) (rings [][]geom.Point) {
	for _, r := range p.Rings {
		if pts, _ := thin(r, tol); len(pts) > 2 {
			rings = append(rings, pts)
		}
	}
	return rings
}

// gathered joins polygons that follow each other and do not lie over each other.
func gathered(all []*poly, c *Camera) (out []Patch) {
	var last []*poly
	flush := func() {
		if len(last) == 0 {
			return
		}
		p := Patch{Solid: last[0].solid, Tone: last[0].tone, Whole: true, Seams: seams(last, c)}
		for _, q := range last {
			for i := range q.rings {
				r := &q.rings[i]
				p.Rings = append(p.Rings, r.flat)
				p.Whole = p.Whole && r.whole()
			}
		}
		if !p.Whole {
			for _, q := range last {
				for i := range q.rings {
					p.Lines = q.rings[i].strokes(p.Lines)
				}
			}
		}
		out = append(out, p)
		last = last[:0]
	}
	for _, q := range all {
		if len(last) > 0 && (last[0].solid != q.solid || last[0].tone != q.tone) {
			flush()
		}
		for _, o := range last {
			if o.box.Overlaps(q.box) && overlap(o, q) {
				flush()
				break
			}
		}
		last = append(last, q)
	}
	flush()
	return out
}

// strokes adds the runs of lines of a ring.
func (r *ring) strokes(lines [][]geom.Point) [][]geom.Point {
	n := len(r.flat)
	start := 0
	for start < n && r.line[start] {
		start++
	}
	if start == n {
		return append(lines, append(append([]geom.Point(nil), r.flat...), r.flat[0]))
	}
	var run []geom.Point
	for k := 1; k <= n; k++ {
		i := (start + k) % n
		if !r.line[i] {
			if run != nil {
				lines, run = append(lines, run), nil
			}
			continue
		}
		if run == nil {
			run = append(run, r.flat[i])
		}
		run = append(run, r.flat[(i+1)%n])
	}
	if run != nil {
		lines = append(lines, run)
	}
	return lines
}

// whole reports whether all sides of a ring are lines.
func (r *ring) whole() bool {
	for _, l := range r.line {
		if !l {
			return false
		}
	}
	return true
}
