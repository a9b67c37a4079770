package geomtest

import (
	"math"
	"math/rand/v2"

	"sluice/geom"
)

// Flaw is one planted flaw.
type Flaw struct {
	Kind string     // "gap", "overshoot", "whole-repeat", "part-repeat", "dense", "spline", "ellipse", "z", "speck", "tail", "dot"
	Rule string     // the rule that should tell it
	At   geom.Point // mm
	Size float64    // mm, where it has one
}

// Flawed is a kit drawn with flaws that a repair can put right unasked.
type Flawed struct {
	Kit   *Kit
	Flaws []Flaw
	DXF   []byte // the drawing with the flaws
	Clean []byte // the same kit without
}

// Flaw draws a kit as a careless program would: outlines as loose lines and arcs
// in any order and direction, some with gaps of up to 0.5 mm, repeats, curves as
// many short lines or splines, z other than 0, and specks. The same rng state
// gives the same drawing.
func (k *Kit) Flaw(rng *rand.Rand) *Flawed {
	f := &Flawed{Kit: k}
	var clean Drafter
	d := flawMaker{rng: rng, f: f}
	all := geom.NoBox()
	for _, p := range k.Parts {
		all = all.Union(p.Outer.Box())
		for _, path := range append([]geom.Path{p.Outer}, p.Holes...) {
			for _, q := range path {
				clean.Piece(q, 0)
			}
			d.outline(path)
		}
	}
	// Specks lie below the kit, where nothing else is.
	for i := range rng.IntN(4) {
		at := geom.Pt(all.Min.X+15*float64(i), all.Min.Y-20)
		l := uniform(rng, 0.05, 0.8)
		if rng.IntN(3) == 0 {
			d.todo = append(d.todo, stroke{geom.Line(at, at), 0})
			d.plant("dot", "stray-piece", at, 0)
			continue
		}
		p := geom.Line(at, at.Add(geom.Polar(geom.Point{}, l, uniform(rng, 0, 6))))
		d.todo = append(d.todo, stroke{p, 0})
		d.plant("speck", "stray-piece", p.Mid(), l)
	}
	rng.Shuffle(len(d.todo), func(i, j int) { d.todo[i], d.todo[j] = d.todo[j], d.todo[i] })
	for _, s := range d.todo {
		d.out.Piece(s.p, s.z)
	}
	f.DXF, f.Clean = d.out.Bytes(), clean.Bytes()
	return f
}

type stroke struct {
	p geom.Piece
	z float64
}

// flawMaker draws outlines with flaws.
type flawMaker struct {
	rng  *rand.Rand
	f    *Flawed
	out  Drafter
	todo []stroke
}

func (d *flawMaker) plant(kind, rule string, at geom.Point, size float64) {
	d.f.Flaws = append(d.f.Flaws, Flaw{kind, rule, at, size})
}

// outline draws one closed path with at most one flaw a piece.
func (d *flawMaker) outline(path geom.Path) {
	rng := d.rng
	if len(path) == 1 && path[0].IsCircle() {
		d.circle(path[0])
		return
	}
	pieces := append(geom.Path(nil), path...)
	n := len(pieces)
	used := make([]bool, n)
	d.gaps(pieces, used)
	d.strokes(pieces, used)
	if rng.IntN(8) == 0 {
		d.speck(path, used)
	}
}

// gaps draws a gap or an overshoot at one or two corners.
func (d *flawMaker) gaps(pieces geom.Path, used []bool) {
	rng, n := d.rng, len(pieces)
	for range rng.IntN(3) {
		i := rng.IntN(n)
		j := (i + 1) % n
		if used[i] || used[j] || pieces[i].Length() < 4 || pieces[j].Length() < 4 {
			continue
		}
		corner := pieces[i].B
		turn := math.Abs(geom.TurnTo(pieces[i].TangentAt(1), pieces[j].TangentAt(0)))
		used[i], used[j] = true, true
		switch {
		case rng.IntN(4) == 0 && turn > 0.5 && turn < 2.2 && pieces[i].IsLine():
			l := uniform(rng, 0.05, 0.45)
			pieces[i] = geom.Line(pieces[i].A, corner.Add(pieces[i].TangentAt(1).Mul(l)))
			d.plant("overshoot", "", corner, l)
		case rng.IntN(2) == 0:
			// Both ends drawn back along themselves, together by at most 0.5 mm.
			a, b := uniform(rng, 0.01, 0.25), uniform(rng, 0.01, 0.24)
			p, q := &pieces[i], &pieces[j]
			*p = p.Sub(0, 1-a/p.Length())
			*q = q.Sub(b/q.Length(), 1)
			d.plant("gap", "open-outline", p.B.Mid(q.A), p.B.Dist(q.A))
		default:
			a := uniform(rng, 0.005, 0.49)
			p := &pieces[i]
			*p = p.Sub(0, 1-a/p.Length())
			d.plant("gap", "open-outline", p.B.Mid(corner), p.B.Dist(corner))
		}
	}
}

// strokes draws the pieces, some of them twice, in specks or above the plane.
func (d *flawMaker) strokes(pieces geom.Path, used []bool) {
	rng := d.rng
	for i, p := range pieces {
		z := 0.0
		if rng.IntN(25) == 0 {
			z = uniform(rng, 0.5, 5)
			d.plant("z", "not-flat", p.Mid(), z)
		}
		if rng.IntN(2) == 0 {
			p = p.Reverse()
		}
		l := p.Length()
		switch {
		case used[i]:
		case p.R >= 2 && math.Abs(p.Sweep) > 1 && rng.IntN(3) == 0:
			m := max(8, int(math.Ceil(1.3*math.Abs(p.Sweep)/(2*math.Acos(1-0.015/p.R)))))
			at := p.A
			for k := range m {
				to := p.At(float64(k+1) / float64(m))
				d.todo = append(d.todo, stroke{geom.Line(at, to), z})
				if z != 0 && k > 0 { // the first is planted already
					d.plant("z", "not-flat", at.Mid(to), z)
				}
				at = to
			}
			d.plant("dense", "dense-curve", p.Mid(), p.R)
			continue
		case l > 3 && rng.IntN(12) == 0:
			q := p
			if rng.IntN(2) == 0 {
				q = q.Reverse()
			}
			d.todo = append(d.todo, stroke{q, 0})
			d.plant("whole-repeat", "duplicate-segment", p.Mid(), l)
		case l > 8 && rng.IntN(10) == 0:
			t0 := uniform(rng, 0.1, 0.4)
			q := p.Sub(t0, uniform(rng, t0+0.2, 0.9))
			d.todo = append(d.todo, stroke{q, 0})
			d.plant("part-repeat", "duplicate-segment", q.Mid(), q.Length())
		}
		d.todo = append(d.todo, stroke{p, z})
	}
}

// speck draws a short line that hangs on a corner.
func (d *flawMaker) speck(path geom.Path, used []bool) {
	rng, n := d.rng, len(path)
	i := rng.IntN(n)
	if j := (i + 1) % n; !used[i] && !used[j] {
		u, v := path[i].TangentAt(1), path[j].TangentAt(0)
		if turn := geom.TurnTo(u, v); math.Abs(turn) > 0.7 && math.Abs(turn) < 2.3 {
			away := u.Sub(v).Unit() // points out of the corner
			l := uniform(rng, 0.2, 0.6)
			t := geom.Line(path[i].B, path[i].B.Add(away.Mul(l)))
			d.todo = append(d.todo, stroke{t, 0})
			d.plant("tail", "stray-piece", t.Mid(), l)
		}
	}
}

// circle draws a whole circle as itself, a polygon, a spline or an ellipse.
func (d *flawMaker) circle(c geom.Piece) {
	switch d.rng.IntN(5) {
	case 0:
		m := max(30, int(math.Ceil(1.3*math.Pi/math.Acos(1-0.015/c.R))))
		at := c.A
		for k := range m {
			to := c.At(float64(k+1) / float64(m))
			if k == m-1 {
				to = c.A
			}
			d.todo = append(d.todo, stroke{geom.Line(at, to), 0})
			at = to
		}
		d.plant("dense", "dense-curve", c.C, c.R)
	case 1:
		d.out.CircleSpline(c.C, c.R)
		d.plant("spline", "curve-kind", c.C, c.R)
	case 2:
		d.out.CircleEllipse(c.C, c.R)
		d.plant("ellipse", "curve-kind", c.C, c.R)
	case 3:
		d.out.Piece(c, 0)
		for _, half := range [2]geom.Piece{c.Sub(0, 0.5), c.Sub(0.5, 1)} {
			d.todo = append(d.todo, stroke{half, 0})
			d.plant("whole-repeat", "duplicate-segment", half.Mid(), half.Length())
		}
	default:
		d.out.Piece(c, 0)
	}
}
