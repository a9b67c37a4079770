package geomtest

import (
	"math"
	"math/rand/v2"

	"sluice/geom"
)

// Hard is a made-up drawing of a kind that is hard to repair without cutting
// what was not drawn. Lengths are mm.
type Hard struct {
	Name  string // what it is, in a word or two
	Lines []HardLine
}

// HardLine is a line, arc or circle on a layer.
type HardLine struct {
	geom.Piece
	Layer string
}

// hardKinds are the kinds of hard drawing by name.
var hardKinds = []struct {
	name string
	draw func(d *hardMaker)
}{
	{"overlapping rectangles", (*hardMaker).overlapping},
	{"shared stretches", (*hardMaker).stretches},
	{"nested frames", (*hardMaker).frames},
	{"marks across edges", (*hardMaker).marks},
	{"slits", (*hardMaker).slits},
	{"a border round a kit", (*hardMaker).border},
	{"near doubles", (*hardMaker).nearDoubles},
	{"a grid", (*hardMaker).grid},
	{"T-joints", (*hardMaker).teeJoints},
	{"gaps about the limit", (*hardMaker).gaps},
}

// HardKinds is the number of kinds that HardDrawing draws in turn.
func HardKinds() int { return len(hardKinds) }

// HardDrawing returns the hard drawing of a seed: of the kind seed modulo
// HardKinds, its sizes at random, turned as a whole in one of three cases, its
// lines split here and there, run either way and shuffled. The same seed gives the
// same drawing.
func HardDrawing(seed uint64) Hard {
	d := &hardMaker{rng: rand.New(rand.NewPCG(seed, 0x68617264))}
	kind := hardKinds[seed%uint64(len(hardKinds))]
	kind.draw(d)
	lay := geom.Identity()
	if d.rng.IntN(3) == 0 {
		lay = geom.Turn(geom.Pt(100, 100), uniform(d.rng, 0, 2*math.Pi))
	}
	var out []HardLine
	for _, l := range d.lines {
		l.Piece = l.Piece.Transform(lay)
		parts := geom.Path{l.Piece}
		if !l.IsCircle() && d.rng.IntN(5) == 0 {
			at := uniform(d.rng, 0.2, 0.8)
			parts = geom.Path{l.Sub(0, at), l.Sub(at, 1)}
		}
		for _, p := range parts {
			if d.rng.IntN(2) == 0 {
				p = p.Reverse()
			}
			out = append(out, HardLine{p, l.Layer})
		}
	}
	if d.rng.IntN(2) == 0 {
		d.rng.Shuffle(len(out), func(i, j int) { out[i], out[j] = out[j], out[i] })
	}
	return Hard{Name: kind.name, Lines: out}
}

type hardMaker struct {
	rng   *rand.Rand
	lines []HardLine
}

func (d *hardMaker) in(lo, hi float64) float64 { return uniform(d.rng, lo, hi) }

// put draws a path on layer 0.
func (d *hardMaker) put(p ...geom.Piece) {
	for _, q := range p {
		d.lines = append(d.lines, HardLine{q, "0"})
	}
}

func hardRect(x, y, w, h float64) geom.Path {
	c := [4]geom.Point{{X: x, Y: y}, {X: x + w, Y: y}, {X: x + w, Y: y + h}, {X: x, Y: y + h}}
	var p geom.Path
	for i := range c {
		p = append(p, geom.Line(c[i], c[(i+1)%4]))
	}
	return p
}

// overlapping draws rectangles that lie half over each other at an edge.
func (d *hardMaker) overlapping() {
	for k := range 1 + d.rng.IntN(4) {
		x, y := float64(k)*140, d.in(0, 20)
		w, h := d.in(30, 60), d.in(20, 50)
		d.put(hardRect(x, y, w, h)...)
		dx, dy := w, h*d.in(0.2, 0.8) // beside it, edges on one line
		if d.rng.IntN(2) == 0 {
			dx, dy = w*d.in(0.3, 0.7), 0 // along it, over its lower edge
		}
		if d.rng.IntN(3) == 0 {
			dx, dy = w*d.in(0.2, 0.8), h*d.in(0.2, 0.8) // across its corner
		}
		d.put(hardRect(x+dx, y+dy, d.in(20, 60), d.in(15, 50))...)
	}
}

// stretches draws panels in a row with common edges of unlike length, drawn once
// or twice.
func (d *hardMaker) stretches() {
	x := 0.0
	for range 2 + d.rng.IntN(4) {
		w, h := d.in(20, 60), d.in(30, 70)
		p := hardRect(x, d.in(0, 10)*float64(d.rng.IntN(2)), w, h)
		if x > 0 && d.rng.IntN(2) == 0 {
			p = p[:3] // its left edge is its neighbour's
		}
		d.put(p...)
		x += w
	}
}

// frames draws outlines one in the other, with or without one centre.
func (d *hardMaker) frames() {
	for k := range 1 + d.rng.IntN(3) {
		x := float64(k) * 150
		w, h := d.in(80, 130), d.in(80, 130)
		ox, oy := 0.0, 0.0
		for range 2 + d.rng.IntN(5) {
			if d.rng.IntN(4) == 0 {
				d.put(geom.Circle(geom.Pt(x+ox+w/2, oy+h/2), min(w, h)/2))
			} else {
				d.put(hardRect(x+ox, oy, w, h)...)
			}
			m := d.in(1.2, 9)
			w, h, ox, oy = w-2*m-1, h-2*m-1, ox+m+0.5*float64(d.rng.IntN(2)), oy+m
			if w < 4 || h < 4 {
				break
			}
		}
	}
}

// marks draws lines that run across, onto and along the edges of plates.
func (d *hardMaker) marks() {
	w, h := d.in(60, 150), d.in(50, 100)
	d.put(hardRect(0, 0, w, h)...)
	d.put(geom.Circle(geom.Pt(w/2, h/2), d.in(3, 12)))
	for range 1 + d.rng.IntN(5) {
		x, y := d.in(5, w-5), d.in(5, h-5)
		switch d.rng.IntN(5) {
		case 0: // from edge to edge
			d.put(geom.Line(geom.Pt(x, 0), geom.Pt(x, h)))
		case 1: // over the edge
			d.put(geom.Line(geom.Pt(x, -d.in(1, 20)), geom.Pt(x, y)))
		case 2: // a cross
			d.put(geom.Line(geom.Pt(x-3, y), geom.Pt(x+3, y)), geom.Line(geom.Pt(x, y-3), geom.Pt(x, y+3)))
		case 3: // from an edge inward
			d.put(geom.Line(geom.Pt(0, y), geom.Pt(d.in(3, w/2), y)))
		default: // a bow inside
			d.put(geom.Bulge(geom.Pt(x-4, y), geom.Pt(x+4, y), d.in(0.2, 1)))
		}
	}
}

// slits draws slits from a hole to the edge, from the edge inward, and lines that
// end where a circle starts.
func (d *hardMaker) slits() {
	w, h := d.in(80, 140), d.in(60, 100)
	d.put(hardRect(0, 0, w, h)...)
	r, c := d.in(4, 14), geom.Pt(w/2, h/2)
	d.put(geom.Circle(c, r))
	switch d.rng.IntN(4) {
	case 0:
		d.put(geom.Line(geom.Pt(c.X+r, c.Y), geom.Pt(w, c.Y)))
	case 1:
		d.put(geom.Line(geom.Pt(c.X, c.Y+r), geom.Pt(c.X, h)))
	case 2:
		d.put(geom.Line(geom.Pt(d.in(5, w/3), 0), geom.Pt(w/3, d.in(5, h/3))))
	default:
		d.put(geom.Line(geom.Pt(c.X+r, c.Y), geom.Pt(c.X+r+d.in(2, 10), c.Y+d.in(-6, 6))))
	}
}

// border draws a frame round parts, with or without a title block.
func (d *hardMaker) border() {
	n := 2 + d.rng.IntN(5)
	m := d.in(3, 30)
	for k := range n {
		x := float64(k) * 70
		w, h := d.in(30, 60), d.in(30, 60)
		d.put(hardRect(x, 0, w, h)...)
		d.put(geom.Circle(geom.Pt(x+w/2, h/2), d.in(2, 8)))
	}
	d.put(hardRect(-m, -m, float64(n)*70+m, 60+2*m)...)
	if d.rng.IntN(2) == 0 {
		d.put(hardRect(-m-5, -m-5, float64(n)*70+m+10, 60+2*m+10)...)
	}
	if d.rng.IntN(2) == 0 { // title block in the corner of the border
		d.put(geom.Line(geom.Pt(float64(n)*70-40, -m), geom.Pt(float64(n)*70-40, -m+m/2)), geom.Line(geom.Pt(float64(n)*70-40, -m+m/2), geom.Pt(float64(n)*70, -m+m/2)))
	}
}

// nearDoubles draws outlines again 0.02 to 0.06 mm aside.
func (d *hardMaker) nearDoubles() {
	for k := range 1 + d.rng.IntN(4) {
		outer, holes := RandomPart(d.rng)
		all := append([]geom.Path{outer}, holes...)
		at := geom.Shift(geom.Pt(float64(k)*160, 0))
		aside := geom.Shift(geom.Polar(geom.Point{}, d.in(0.02, 0.06), d.in(0, 2*math.Pi)))
		for i, p := range all {
			p = p.Transform(at)
			d.put(p...)
			if i == 0 || d.rng.IntN(3) == 0 {
				q := p.Transform(aside)
				d.put(q[d.rng.IntN(len(q)):]...)
			}
		}
	}
}

// grid draws cells by lines across, or each cell by itself.
func (d *hardMaker) grid() {
	nx, ny := 2+d.rng.IntN(4), 2+d.rng.IntN(4)
	w, h := d.in(10, 40), d.in(10, 40)
	if d.rng.IntN(2) == 0 {
		for i := range nx + 1 {
			d.put(geom.Line(geom.Pt(float64(i)*w, 0), geom.Pt(float64(i)*w, float64(ny)*h)))
		}
		for j := range ny + 1 {
			d.put(geom.Line(geom.Pt(0, float64(j)*h), geom.Pt(float64(nx)*w, float64(j)*h)))
		}
		return
	}
	off := d.in(0, 0.06) * float64(d.rng.IntN(2))
	for i := range nx {
		for j := range ny {
			d.put(hardRect(float64(i)*(w+off), float64(j)*(h+off), w, h)...)
		}
	}
}

// teeJoints draws plates parted by lines that end on their edges, short of them or
// past them.
func (d *hardMaker) teeJoints() {
	w, h := d.in(60, 120), d.in(40, 90)
	d.put(hardRect(0, 0, w, h)...)
	for range 1 + d.rng.IntN(3) {
		x := d.in(10, w-10)
		miss := []float64{0, 0, 0.1, -0.1, 0.4, -0.4, 0.7}[d.rng.IntN(7)]
		d.put(geom.Line(geom.Pt(x, 0), geom.Pt(x, h-miss)))
	}
}

// gaps draws outlines with gaps about the half millimetre up to which they are
// closed, in line, at corners and aside.
func (d *hardMaker) gaps() {
	for k := range 1 + d.rng.IntN(4) {
		outer, holes := RandomPart(d.rng)
		at := geom.Shift(geom.Pt(float64(k)*160, 0))
		for _, p := range append([]geom.Path{outer}, holes...) {
			p = p.Transform(at)
			for i := range p {
				q := p[i]
				g := d.in(0.05, 0.9)
				if l := q.Length(); !q.IsCircle() && l > 4*g && d.rng.IntN(6) == 0 {
					q = q.Sub(g/l, 1)
				}
				d.put(q)
			}
		}
	}
}
