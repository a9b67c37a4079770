package dxf

import (
	"math"

	"sluice/geom"
	"sluice/geom/drawing"
)

// bulged draws one piece of a polyline of the object plane.
func (rd *reader) bulged(e *env, pl *plane, a, b geom.Point, bulge float64) error {
	switch {
	case bulge == 0 || pl.kind == planeEdge:
		return rd.stroke(e, geom.Line(pl.apply(a), pl.apply(b)))
	case pl.kind == planeSkewed:
		q := geom.Bulge(a, b, bulge)
		if q.IsLine() {
			return rd.stroke(e, geom.Line(pl.apply(a), pl.apply(b)))
		}
		t0, t1 := q.StartAngle(), q.StartAngle()+q.Sweep
		if q.Sweep < 0 {
			t0, t1 = t1, t0
		}
		return rd.conic(e, pl.apply(q.C), pl.dir(geom.Pt(q.R, 0)), pl.dir(geom.Pt(0, q.R)), t0, t1, "ELLIPSE")
	}
	if pl.mirrors() {
		bulge = -bulge
	}
	return rd.stroke(e, geom.Bulge(pl.apply(a), pl.apply(b), bulge))
}

// run draws the pieces between vertices as they come. Vertices equal to the one
// before draw nothing, but a polyline of one place draws a piece of no length.
type run struct {
	rd          *reader
	e           *env
	pl          plane
	first, last geom.Point
	bulge       float64 // of last
	n           int     // vertices
	drawn       int
	size        float64 // largest coordinate
}

func (u *run) add(p geom.Point, bulge float64) error {
	u.n++
	u.size = max(u.size, abs(p.X), abs(p.Y))
	if u.n == 1 {
		u.first, u.last, u.bulge = p, p, bulge
		return nil
	}
	return u.to(p, bulge)
}

func (u *run) to(p geom.Point, bulge float64) error {
	a, b := u.last, u.bulge
	u.last, u.bulge = p, bulge
	if a == p {
		return nil
	}
	u.drawn++
	return u.rd.bulged(u.e, &u.pl, a, p, b)
}

// end closes the run if asked to. A last corner that repeats the first but for
// the rounding of doubles needs no piece between.
func (u *run) end(closed bool) error {
	round := 1e-12 * max(min(1, u.size), abs(u.first.X), abs(u.first.Y))
	if closed && u.n > 1 && !(u.drawn > 1 && u.last.Dist(u.first) <= round) {
		if err := u.to(u.first, 0); err != nil {
			return err
		}
	}
	if u.drawn == 0 && u.n > 0 {
		at := u.pl.apply(u.first)
		return u.rd.stroke(u.e, geom.Line(at, at))
	}
	return nil
}

func (rd *reader) lwpolyline(r *record, e *env) error {
	z := r.num(38, 0)
	u := run{rd: rd, e: e, pl: e.plane(r, z)}
	var p geom.Point
	bulge, width := 0.0, r.num(43, 0)
	open := false
	vertices := 0
	lead := r.lead(10)
	for i := range r.nums {
		n := &r.nums[i]
		if n.code == lead {
			vertices++
			if open {
				if err := u.add(p, bulge); err != nil {
					return err
				}
			}
			p, bulge, open = geom.Point{}, 0, true
		}
		switch n.code {
		case 10:
			p.X = n.v
		case 20:
			p.Y = n.v
		case 42:
			bulge = n.v
		case 40, 41:
			width = max(width, n.v)
		}
	}
	if open {
		if err := u.add(p, bulge); err != nil {
			return err
		}
	}
	if says := r.num(90, 0); says != 0 && says != float64(vertices) {
		if err := rd.problemOf("vertex-count", int(r.line), e.ent, says > float64(vertices), "the LWPOLYLINE says it has "+ftoa(says)+" vertices, but has "+itoa(vertices)); err != nil {
			return err
		}
	}
	if vertices == 0 {
		return rd.problemOf("no-vertices", int(r.line), e.ent, true, "a LWPOLYLINE without vertices")
	}
	if width > 0 {
		rd.note(&rd.told.wide, "width "+ftoa(width))
	}
	rd.notFlat(r, z)
	return u.end(r.flags(70)&1 != 0)
}

// polyline draws an old-style POLYLINE. Of splined ones (flag 4) the vertices
// of the frame (vertex flag 16) are left out, so that those on the curve remain;
// of curve-fitted ones (flag 2) all vertices lie on the curve.
func (rd *reader) polyline(r *record, e *env) error {
	flags := r.flags(70)
	if flags&(16|64) != 0 {
		rd.tell(drawing.Unread, e, r, "POLYLINE, a mesh in space")
		return nil
	}
	spatial := flags&8 != 0
	z := r.num(30, 0)
	u := run{rd: rd, e: e}
	if !spatial {
		u.pl = e.plane(r, z)
	}
	first := len(rd.d.Strokes)
	lo, hi, width := math.Inf(1), math.Inf(-1), max(r.num(40, 0), r.num(41, 0))
	splined := flags&4 != 0
	for i := range r.verts {
		v := &r.verts[i]
		if splined && v.flags&16 != 0 || v.flags&(64|128) != 0 {
			continue
		}
		width = max(width, v.width)
		lo, hi = min(lo, v.p.z), max(hi, v.p.z)
		p, bulge := v.p.flat(), v.bulge
		if spatial {
			p, bulge = e.place(v.p), 0
		}
		if err := u.add(p, bulge); err != nil {
			return err
		}
	}
	if u.n == 0 {
		return rd.problemOf("no-vertices", int(r.line), e.ent, true, "a POLYLINE without vertices")
	}
	if err := u.end(flags&1 != 0); err != nil {
		return err
	}
	if !spatial && z != 0 {
		lo, hi = z, z // its vertices may repeat it or not
	}
	rd.notFlat(r, lo, hi)
	if width > 0 {
		rd.note(&rd.told.wide, "width "+ftoa(width))
	}
	if made := len(rd.d.Strokes) - first; flags&6 != 0 && made > 0 {
		return rd.curve(e, drawing.Curve{Kind: "POLYLINE", First: int32(first), Count: int32(made)})
	}
	return nil
}
