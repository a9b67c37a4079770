package clear

import (
	"context"
	"math"

	"sluice/geom"
)

// Detail is a feature of an outline too small for the stream.
type Detail struct {
	Kind  string     // "inside-radius", "bump", "nick" or "step"
	At    geom.Point // its middle
	Size  float64    // radius of an inside radius, height of a step, else the larger of width and height, mm
	Limit float64    // half the kerf for an inside radius, else the kerf, mm
	Ring  int32
	Piece int32 // the piece at its middle
	First int32 // the first of its pieces
	Count int32 // how many of its ring they are, from the first on
	Box   geom.Box
}

const (
	// cornerTurn is the turn (radians) from which a vertex or a small arc is a
	// corner of a feature: 20 degrees. Curves exploded into lines turn less at
	// each joint.
	cornerTurn = math.Pi / 9
	// filletTurn is the least turn (radians) of an inside radius that counts:
	// 30 degrees. A flatter one hides less than a thirtieth of the radius.
	filletTurn = math.Pi / 6
	// straightOn is the most (radians) by which the outline may turn over a bump
	// or step: 12 degrees. What turns more is a corner of the part.
	straightOn = math.Pi / 15
	// leastShare is the share of the kerf below which a step is drawing noise.
	leastShare = 0.02
)

// Details returns the features of a part that a stream of width kerf (mm)
// cannot hold: inside radii drawn smaller than half the kerf, and bumps, nicks
// and steps of an otherwise straight edge smaller than the kerf in width and
// height. Sharp corners, round holes, curves made of many pieces and everything
// that Narrows reports as a narrow slot are left out. rings are as for Narrows.
// It returns what it has when ctx ends.
func Details(ctx context.Context, rings []Ring, kerf float64) []Detail {
	if !(kerf > 0) || math.IsInf(kerf, 0) {
		return nil
	}
	var out []Detail
	for r := range rings {
		if ctx.Err() != nil {
			return nil
		}
		e := newEdge(rings[r].Path, kerf)
		out = e.radii(out, int32(r))
		out = e.features(out, int32(r))
	}
	if len(out) == 0 {
		return nil
	}
	slots, err := Narrows(ctx, rings, Waste, kerf)
	if err != nil {
		return nil
	}
	kept := out[:0]
	for _, d := range out {
		if !inSlot(d, slots) {
			kept = append(kept, d)
		}
	}
	return kept
}

func inSlot(d Detail, slots []Narrow) bool {
	for i := range slots {
		s := &slots[i]
		if (s.RingA == d.Ring || s.RingB == d.Ring) && s.Box.Inflate(s.Width).Contains(d.At) {
			return true
		}
	}
	return false
}

// edge is one ring with the turns at its vertices.
type edge struct {
	path geom.Path
	kerf float64
	turn []float64 // at the start of each piece
	idx  []int32   // pieces that have a length
}

func newEdge(path geom.Path, kerf float64) *edge {
	e := &edge{path: path, kerf: kerf, turn: make([]float64, len(path))}
	for i := range path {
		if path[i].Length() > 0 {
			e.idx = append(e.idx, int32(i))
		}
	}
	for k, i := range e.idx {
		h := e.idx[(k+len(e.idx)-1)%len(e.idx)]
		e.turn[i] = geom.TurnTo(path[h].TangentAt(1), path[i].TangentAt(0))
	}
	return e
}

// tight reports whether a piece is an inside arc smaller than the stream.
func (e *edge) tight(i int32) bool {
	p := &e.path[i]
	return p.R > 0 && p.Sweep < 0 && p.R < e.kerf/2-slack
}

// radii reports the runs of smoothly joined inside arcs that are too small.
func (e *edge) radii(out []Detail, ring int32) []Detail {
	n := len(e.idx)
	first := -1 // a place where no run goes on
	for k, i := range e.idx {
		if !e.tight(i) || math.Abs(e.turn[i]) > cornerTurn {
			first = k
			break
		}
	}
	if first < 0 {
		return out // a round hole
	}
	for k := 0; k < n; {
		i := e.idx[(first+k)%n]
		if !e.tight(i) {
			k++
			continue
		}
		run := []int32{i}
		turn, radius := -e.path[i].Sweep, e.path[i].R
		for k++; k < n; k++ {
			j := e.idx[(first+k)%n]
			if !e.tight(j) || math.Abs(e.turn[j]) > cornerTurn {
				break
			}
			run = append(run, j)
			turn -= e.path[j].Sweep
			radius = min(radius, e.path[j].R)
		}
		if turn < filletTurn {
			continue
		}
		at, piece, box := e.middle(run)
		d := Detail{Kind: "inside-radius", At: at, Size: radius, Limit: e.kerf / 2, Ring: ring, Piece: piece, Box: box}
		out = append(out, e.spanning(d, run))
	}
	return out
}

// middle returns the middle of a run of pieces by length, its piece, and the box.
func (e *edge) middle(run []int32) (geom.Point, int32, geom.Box) {
	box := geom.NoBox()
	length := 0.0
	for _, i := range run {
		length += e.path[i].Length()
		box = box.Union(e.path[i].Box())
	}
	left := length / 2
	for _, i := range run {
		l := e.path[i].Length()
		if left <= l {
			return e.path[i].At(left / l), i, box
		}
		left -= l
	}
	last := run[len(run)-1]
	return e.path[last].B, last, box
}

// bend is a corner, or an arc so short that it acts as one.
type bend struct {
	at   int     // index into idx of its piece (a corner is at the piece's start)
	arc  bool    // the piece itself turns
	turn float64 // radians
	from float64 // where along the ring it starts and ends, mm
	to   float64
}

// bends lists the corners and short arcs of the ring in order, and its length.
func (e *edge) bends() ([]bend, float64) {
	var out []bend
	s := 0.0
	for k, i := range e.idx {
		p := &e.path[i]
		l := p.Length()
		if math.Abs(e.turn[i]) >= cornerTurn {
			out = append(out, bend{k, false, e.turn[i], s, s})
		}
		if p.R > 0 && l < 2*e.kerf && math.Abs(p.Sweep) >= cornerTurn {
			out = append(out, bend{k, true, p.Sweep, s, s + l})
		}
		s += l
	}
	return out, s
}

// features reports bumps, nicks and steps: groups of bends nearer to each other
// than the kerf, with straight edge on both sides, after which the outline goes
// on in its old direction.
func (e *edge) features(out []Detail, ring int32) []Detail {
	bs, length := e.bends()
	n := len(bs)
	if n < 3 {
		return out
	}
	gap := func(k int) float64 { // free edge before bend k
		if k%n == 0 {
			return bs[0].from + length - bs[n-1].to
		}
		return bs[k%n].from - bs[k%n-1].to
	}
	first := -1
	for k := range n {
		if gap(k) >= e.kerf {
			first = k
			break
		}
	}
	if first < 0 {
		return out
	}
	for k := first; k < first+n; {
		j := k + 1
		turn := bs[k%n].turn
		for ; j < first+n && gap(j) < e.kerf; j++ {
			turn += bs[j%n].turn
		}
		if j-k >= 2 && math.Abs(turn) <= straightOn {
			if d, ok := e.feature(bs[k%n], bs[(j-1)%n]); ok {
				d.Ring = ring
				out = append(out, d)
			}
		}
		k = j
	}
	return out
}

// feature measures what lies between two bends along the direction of travel
// before the first.
func (e *edge) feature(from, to bend) (Detail, bool) {
	n := len(e.idx)
	last := to.at
	if !to.arc { // a corner belongs to the piece before it
		last = (last + n - 1) % n
	}
	var run []int32
	for k := from.at; ; k = (k + 1) % n {
		run = append(run, e.idx[k])
		if k == last {
			break
		}
	}
	start := e.path[run[0]].A
	end := e.path[run[len(run)-1]].B
	before := e.idx[(from.at+n-1)%n]
	u := e.path[before].TangentAt(1)
	frame := geom.NoBox()
	turned := geom.Transform{XX: u.X, XY: u.Y, YX: -u.Y, YY: u.X}
	for _, i := range run {
		p := e.path[i]
		p.A, p.B, p.C = p.A.Sub(start), p.B.Sub(start), p.C.Sub(start)
		frame = frame.Union(p.Transform(turned).Box())
	}
	w, h := frame.W(), frame.H()
	least := leastShare * e.kerf
	if w >= e.kerf-slack || h >= e.kerf-slack || h < least {
		return Detail{}, false
	}
	at, piece, box := e.middle(run)
	d := Detail{At: at, Size: max(w, h), Limit: e.kerf, Piece: piece, Box: box}
	rise := turned.Apply(end.Sub(start)).Y
	switch {
	case math.Abs(rise) >= h/2:
		d.Kind, d.Size = "step", math.Abs(rise)
	case -frame.Min.Y > frame.Max.Y: // to the right of travel lies the waste
		d.Kind = "bump"
	default:
		d.Kind = "nick"
	}
	return e.spanning(d, run), true
}

// spanning notes which pieces of the ring a detail is made of.
func (e *edge) spanning(d Detail, run []int32) Detail {
	n := int32(len(e.path))
	d.First, d.Count = run[0], (run[len(run)-1]-run[0]+n)%n+1
	return d
}
