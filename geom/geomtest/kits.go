package geomtest

import (
	"math"
	"math/rand/v2"

	"sluice/geom"
)

// Kit is a made-up kit of interlocking flat parts whose joints are known. All
// lengths are mm.
type Kit struct {
	Name      string
	Thickness float64 // of the sheet: how far tabs stand out
	Width     float64 // of slots and notches: the thickness and some play
	Parts     []KitPart
	Joints    []KitJoint
	Mates     []KitMate
	EdgeMates []KitEdgeMate
}

// KitPart is a placed part.
type KitPart struct {
	Name  string
	Outer geom.Path   // counter-clockwise
	Holes []geom.Path // clockwise
}

// KitJoint is a joint of a part.
type KitJoint struct {
	Part          int
	Kind          string     // "slot", "notch", "tab" or "gap"
	At            geom.Point // middle; of a tab: the middle of its end
	Dir           geom.Point // along Length
	Out           geom.Point // out of the part; zero for a slot
	Length, Depth float64    // a notch is Length deep
}

// KitMate names two joints that meet, by index in Joints.
type KitMate struct{ A, B int }

// KitEdgeMate names two finger edges that meet: the parts, a place on each and
// the tabs and gaps along each, in the same order.
type KitEdgeMate struct {
	PartA, PartB     int
	AtA, AtB         geom.Point
	JointsA, JointsB []int
}

// RandomKit returns a kit of one of five kinds: a box with fingers, ribs between
// two spines, ribs across spines, an egg crate, a carcass of walls on a floor.
// Corners are sharp, rounded, chamfered or relieved, edges are split here and
// there, and parts carry holes that are no joints. The same rng state gives the
// same kit.
func RandomKit(rng *rand.Rand) *Kit {
	t := []float64{2, 3, 3, 3.175, 4, 5, 6}[rng.IntN(7)]
	b := &kitMaker{rng: rng, t: t, play: []float64{0, 0, 0.1, 0.2}[rng.IntN(4)]}
	b.kit = &Kit{Thickness: t, Width: t + b.play}
	b.style = rng.IntN(6)
	b.long = []float64{0, 0, 0.2, 0.5}[rng.IntN(4)]
	switch rng.IntN(5) {
	case 0:
		b.box()
	case 1:
		b.ladder()
	case 2:
		b.spines()
	case 3:
		b.crate()
	default:
		b.carcass()
	}
	b.layOut()
	return b.kit
}

// Without returns the kit without part p, and the indices in Joints that lose
// their mate by it.
func (k *Kit) Without(p int) (rest *Kit, lost []int) {
	rest = &Kit{Name: k.Name, Thickness: k.Thickness, Width: k.Width}
	rest.Parts = append(append(rest.Parts, k.Parts[:p]...), k.Parts[p+1:]...)
	for _, m := range k.Mates {
		switch {
		case k.Joints[m.A].Part == p:
			lost = append(lost, m.B)
		case k.Joints[m.B].Part == p:
			lost = append(lost, m.A)
		}
	}
	return rest, lost
}

// kitMaker builds one kit.
type kitMaker struct {
	rng   *rand.Rand
	kit   *Kit
	t     float64
	play  float64 // slots are wider than the sheet by this
	long  float64 // slots are longer than their tabs by this
	style int     // of corners
}

// vert is a corner of a polygon under construction.
type vert struct {
	p    geom.Point
	kind uint8 // how the corner is made
}

const (
	plain uint8 = iota // sharp
	tip                // outside corner of a tab
	foot               // inside corner where a tab stands, or in a slot
)

// corner sizes by style: radius of tips, chamfer of tips, radius of feet (above
// 0 a fillet, below 0 a round relief), for thickness t.
func (b *kitMaker) sizes() (tipR, tipC, footR float64) {
	switch b.style {
	case 1:
		return 0.25 * b.t, 0, 0.1 * b.t
	case 2:
		return 0, 0.25 * b.t, 0
	case 3:
		return 0, 0, -0.6
	case 5: // exploded into lines
		return 0.3 * b.t, 0, 0
	case 4:
		return 0.15 * b.t, 0, -0.5
	}
	return 0, 0, 0
}

// outline turns corners into a closed path, run as the corners are.
func (b *kitMaker) outline(vs []vert) geom.Path {
	vs = dropStraight(vs)
	n := len(vs)
	tipR, tipC, footR := b.sizes()
	type cut struct {
		in, out geom.Point
		path    geom.Path
	}
	cs := make([]cut, n)
	for i, v := range vs {
		u := v.p.Sub(vs[(i+n-1)%n].p).Unit()
		w := vs[(i+1)%n].p.Sub(v.p).Unit()
		turn := geom.TurnTo(u, w)
		c := cut{in: v.p, out: v.p}
		switch {
		case v.kind == tip && turn > 0 && (tipR > 0 || tipC > 0):
			back := tipC
			if tipR > 0 {
				back = tipR * math.Tan(turn/2)
			}
			c.in, c.out = v.p.Sub(u.Mul(back)), v.p.Add(w.Mul(back))
			if tipR > 0 {
				c.path = geom.Path{geom.Bulge(c.in, c.out, math.Tan(turn/4))}
				if b.style == 5 {
					c.path = exploded(c.path[0])
				}
			} else {
				c.path = geom.Path{geom.Line(c.in, c.out)}
			}
		case v.kind == foot && turn < 0 && footR > 0:
			back := footR * math.Tan(-turn/2)
			c.in, c.out = v.p.Sub(u.Mul(back)), v.p.Add(w.Mul(back))
			c.path = geom.Path{geom.Bulge(c.in, c.out, math.Tan(turn/4))}
		case v.kind == foot && turn < 0 && footR < 0:
			r := -footR
			arc := geom.Arc(v.p, r, u.Mul(-1).Angle(), -(math.Pi - turn))
			arc.A, arc.B = v.p.Sub(u.Mul(r)), v.p.Add(w.Mul(r))
			c.in, c.out, c.path = arc.A, arc.B, geom.Path{arc}
		}
		cs[i] = c
	}
	var path geom.Path
	for i := range cs {
		path = append(path, cs[i].path...)
		from, to := cs[i].out, cs[(i+1)%n].in
		if from.Dist(to) < 1e-9 {
			continue
		}
		// Some edges are drawn in two or three goes.
		if b.rng.IntN(6) == 0 && from.Dist(to) > 4 {
			m := from.Lerp(to, uniform(b.rng, 0.3, 0.7))
			path = append(path, geom.Line(from, m), geom.Line(m, to))
			continue
		}
		path = append(path, geom.Line(from, to))
	}
	return path
}

// exploded returns an arc as lines between points on it.
func exploded(p geom.Piece) geom.Path {
	const n = 6
	var path geom.Path
	for i := range n {
		path = append(path, geom.Line(p.At(float64(i)/n), p.At(float64(i+1)/n)))
	}
	return path
}

// dropStraight takes out repeated corners, and those at which the path goes
// straight on.
func dropStraight(vs []vert) []vert {
	around := func(vs []vert, keep func(a, v, c geom.Point) bool) []vert {
		var out []vert
		n := len(vs)
		for i, v := range vs {
			if keep(vs[(i+n-1)%n].p, v.p, vs[(i+1)%n].p) {
				out = append(out, v)
			}
		}
		return out
	}
	vs = around(vs, func(a, v, _ geom.Point) bool { return a.Dist(v) > 1e-9 })
	return around(vs, func(a, v, c geom.Point) bool { return math.Abs(v.Sub(a).Cross(c.Sub(v))) > 1e-9 })
}

// add makes a part of corners (counter-clockwise) and returns its index.
func (b *kitMaker) add(name string, vs []vert) int {
	b.kit.Parts = append(b.kit.Parts, KitPart{Name: name, Outer: b.outline(vs)})
	return len(b.kit.Parts) - 1
}

func (b *kitMaker) joint(j KitJoint) int {
	b.kit.Joints = append(b.kit.Joints, j)
	return len(b.kit.Joints) - 1
}

// slot cuts a slot for a tab of length l with its middle at c, along dir.
func (b *kitMaker) slot(part int, c, dir geom.Point, l float64) int {
	x, y := dir.Mul((l+b.long)/2), dir.Left().Mul(b.kit.Width/2)
	// Clockwise, so that the corners are those of the waste.
	vs := []vert{{c.Sub(x).Sub(y), foot}, {c.Sub(x).Add(y), foot}, {c.Add(x).Add(y), foot}, {c.Add(x).Sub(y), foot}}
	p := &b.kit.Parts[part]
	p.Holes = append(p.Holes, b.outline(vs))
	return b.joint(KitJoint{Part: part, Kind: "slot", At: c, Dir: dir, Length: l + b.long})
}

// tabAt is a tab on an edge: its middle along the edge and its length.
type tabAt struct{ at, l float64 }

// edge appends corners from a up to but not including c, with tabs of the sheet's
// depth, and notes them as joints of the part that is about to be added.
func (b *kitMaker) edge(vs []vert, part int, a, c geom.Point, tabs []tabAt, ids *[]int) []vert {
	u := c.Sub(a).Unit()
	out := u.Left().Mul(-1)
	vs = append(vs, vert{a, plain})
	for _, t := range tabs {
		p := func(s, d float64) geom.Point { return a.Add(u.Mul(s)).Add(out.Mul(d)) }
		vs = append(vs, vert{p(t.at-t.l/2, 0), foot}, vert{p(t.at-t.l/2, b.t), tip}, vert{p(t.at+t.l/2, b.t), tip}, vert{p(t.at+t.l/2, 0), foot})
		id := b.joint(KitJoint{Part: part, Kind: "tab", At: p(t.at, b.t), Dir: u, Out: out, Length: t.l, Depth: b.t})
		*ids = append(*ids, id)
	}
	return vs
}

func (b *kitMaker) mate(x, y int) { b.kit.Mates = append(b.kit.Mates, KitMate{x, y}) }

// decoys adds holes that are no joints, within the box, clear of all else.
func (b *kitMaker) decoys(part int, box geom.Box) {
	p := &b.kit.Parts[part]
	for range b.rng.IntN(4) {
		at := geom.Pt(uniform(b.rng, box.Min.X, box.Max.X), uniform(b.rng, box.Min.Y, box.Max.Y))
		var h geom.Path
		switch b.rng.IntN(3) {
		case 0:
			h = geom.Path{geom.Circle(geom.Point{}, uniform(b.rng, 1.5, 4)).Reverse()}
		case 1:
			h = roundedRect(uniform(b.rng, 3, 5)*b.t, uniform(b.rng, 2, 2.8)*b.t, 1).Reverse()
		default:
			h = roundedRect(4*b.t, b.t, b.t/2).Reverse() // a long hole with round ends
		}
		h = h.Transform(geom.Shift(at))
		ok := box.ContainsBox(h.Box())
		for _, g := range p.Holes {
			ok = ok && g.Box().Dist(h.Box()) > 3
		}
		if ok {
			p.Holes = append(p.Holes, h)
		}
	}
}

// layOut puts the parts side by side in rows, each turned and perhaps turned
// over, and the joints with them.
func (b *kitMaker) layOut() {
	k := b.kit
	x, y, row := 0.0, 0.0, 0.0
	mode := b.rng.IntN(3)
	over := b.rng.IntN(3) == 0 // some parts lie face down
	for i := range k.Parts {
		p := &k.Parts[i]
		turn := 0.0
		switch mode {
		case 1:
			turn = float64(b.rng.IntN(4)) * math.Pi / 2
		case 2:
			turn = uniform(b.rng, 0, 2*math.Pi)
		}
		tr := geom.Turn(geom.Point{}, turn)
		if over && b.rng.IntN(2) == 0 {
			tr = geom.MirrorX(0).Then(tr)
		}
		if x > 900 {
			x, y, row = 0, y+row+8, 0
		}
		box := p.Outer.Transform(tr).Box()
		tr = tr.Then(geom.Shift(geom.Pt(x, y).Sub(box.Min)))
		x += box.W() + 8
		row = max(row, box.H())
		p.Outer = p.Outer.Transform(tr)
		for h := range p.Holes {
			p.Holes[h] = p.Holes[h].Transform(tr)
		}
		if tr.Mirrors() {
			p.Outer = p.Outer.Reverse()
			for h := range p.Holes {
				p.Holes[h] = p.Holes[h].Reverse()
			}
		}
		for j := range k.Joints {
			if q := &k.Joints[j]; q.Part == i {
				q.Dir = tr.Apply(q.Dir).Sub(tr.T)
				q.Out = tr.Apply(q.Out).Sub(tr.T)
				q.At = tr.Apply(q.At)
			}
		}
		for e := range k.EdgeMates {
			m := &k.EdgeMates[e]
			if m.PartA == i {
				m.AtA = tr.Apply(m.AtA)
			}
			if m.PartB == i {
				m.AtB = tr.Apply(m.AtB)
			}
		}
	}
}
