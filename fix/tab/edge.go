package tab

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
)

// An edge is a stretch of an outline without corners; between edges lie
// corners, which may be rounded or relieved: what is short or tightly curved
// belongs to the corner, and its net turn tells a convex corner from a concave
// one.
//
//	      +------+ end      + convex corner (the outline turns left)
//	 side |      | side     - concave corner
//	------+      +------    a joint's tab: sides no longer than the joint
//	 -   -        shoulder  depth between an end and concave corners
type edge struct {
	s0, s1        float64 // arc length; s1 passes the length where it runs over the start
	before, after float64 // net turn at its two corners, radians, left positive
	round         bool    // a whole outline without corners: s0 and s1 mean nothing
	joint         bool    // mates with another part, as far as shape can tell
	shoulder      bool    // beside a joint or in a step
}

const (
	cornerTurn = 15.5 * math.Pi / 180 // a joint between pieces that turns more is a corner
	tightTurn  = 30 * math.Pi / 180   // an arc that turns more over a tight radius is one too
	square     = math.Pi / 4          // least net turn of a corner that counts as convex or concave
)

// track is an outline laid out along its length with material on its left.
type track struct {
	cutter
	turn  []float64 // turn between the piece before and piece i, radians
	spun  []float64 // cumulative turn at the start of piece i, the joint before it left out; and at the end
	edges []edge
}

// newTrack lays out a closed path. Edges shorter than least are counted to the
// corner beside them; sides up to joint long may belong to a joint.
func newTrack(c *cutter, least, joint float64) *track {
	n := len(c.path.Pieces)
	t := &track{cutter: *c, turn: make([]float64, n), spun: make([]float64, 1, n+1)}
	for i := range n {
		p, q := &c.path.Pieces[(i+n-1)%n], &c.path.Pieces[i]
		t.turn[i] = geom.TurnTo(p.TangentAt(1), q.TangentAt(0))
		t.spun = append(t.spun, t.spun[i]+t.turn[i]+q.Sweep)
	}
	t.findEdges(least)
	t.markJoints(joint)
	return t
}

// corner reports whether a corner lies between the piece before and piece i.
func (t *track) corner(i int, least float64) bool {
	n := len(t.path.Pieces)
	return math.Abs(t.turn[i]) > cornerTurn || t.tight(i, least) || t.tight((i+n-1)%n, least)
}

// tight reports whether piece i is all corner: a tight arc.
func (t *track) tight(i int, least float64) bool {
	p := &t.path.Pieces[i]
	return p.R > 0 && p.R < 2*least && math.Abs(p.Sweep) > tightTurn && !p.IsCircle()
}

func (t *track) findEdges(least float64) {
	n := len(t.path.Pieces)
	first := -1
	for i := range n {
		if t.corner(i, least) {
			first = i
			break
		}
	}
	if first < 0 {
		t.edges = []edge{{s1: t.length, round: true}}
		return
	}
	// Runs between corners; turns gathered since the last edge that counted.
	gathered, lead := 0.0, 0.0
	for k := 0; k < n; {
		i := (first + k) % n
		gathered += t.turn[i]
		length, sweep := t.at[i+1]-t.at[i], t.path.Pieces[i].Sweep
		j := k + 1
		for ; j < n && !t.corner((first+j)%n, least); j++ {
			m := (first + j) % n
			length += t.at[m+1] - t.at[m]
			sweep += t.turn[m] + t.path.Pieces[m].Sweep
		}
		k = j
		if length < least || t.tight(i, least) {
			gathered += sweep
			continue
		}
		if len(t.edges) == 0 {
			lead = gathered
		} else {
			t.edges[len(t.edges)-1].after = gathered
		}
		t.edges = append(t.edges, edge{s0: t.at[i], s1: t.at[i] + length, before: gathered})
		gathered = 0
	}
	if m := len(t.edges); m > 0 {
		t.edges[m-1].after = gathered + lead
		t.edges[0].before = gathered + lead
	}
}

func convex(turn float64) bool  { return turn > square }
func concave(turn float64) bool { return turn < -square }

// markJoints finds the edges that look like those of joints: ends and sides of
// tabs, bottoms and sides of notches, no deeper than depth. Shallow ones are
// taken first: what lies between two tabs is then no side of a larger one.
func (t *track) markJoints(depth float64) {
	n := len(t.edges)
	if n < 4 {
		return
	}
	at := func(i int) *edge { return &t.edges[(i+n)%n] }
	type joint struct {
		i    int
		deep float64
	}
	var found []joint
	for i := range n {
		prev, e, next := at(i-1), at(i), at(i+1)
		// An end or a bottom has two sides of about one length.
		l, a, b := e.s1-e.s0, prev.s1-prev.s0, next.s1-next.s0
		if l > 4*depth || max(a, b) > depth || math.Abs(a-b) > 0.25*max(a, b) {
			continue
		}
		if concave(e.before) && concave(e.after) && convex(prev.before) && convex(next.after) ||
			convex(e.before) && convex(e.after) && concave(prev.before) && concave(next.after) {
			found = append(found, joint{i, max(a, b)})
		}
	}
	slices.SortStableFunc(found, func(a, b joint) int { return cmp.Compare(a.deep, b.deep) })
	side := make([]bool, n)
	for _, j := range found {
		if side[(j.i+n-2)%n] && at(j.i-2).s1-at(j.i-2).s0 < 0.7*j.deep || side[(j.i+2)%n] && at(j.i+2).s1-at(j.i+2).s0 < 0.7*j.deep {
			continue
		}
		side[(j.i+n-1)%n], side[(j.i+1)%n] = true, true
		at(j.i-1).joint, at(j.i).joint, at(j.i+1).joint = true, true, true
	}
	for i := range n {
		if e := at(i); !e.joint {
			e.shoulder = concave(e.before) || concave(e.after) || side[(i+n-1)%n] || side[(i+1)%n]
		}
	}
}

// turnOver returns how far the outline turns between arc lengths s-d and s+d,
// radians, left positive; d is at most half the length.
func (t *track) turnOver(s, d float64) float64 {
	return t.spunAt(s+d) - t.spunAt(s-d)
}

// spunAt returns the cumulative turn at arc length s of any lap.
func (t *track) spunAt(s float64) float64 {
	lap := math.Floor(s / t.length)
	a := t.find(offset(s, t.length))
	if a.piece == 0 && a.t == 0 && s-lap*t.length > t.length/2 {
		lap++ // snapped forward over the start
	}
	spun := t.spun[a.piece] + lap*t.spun[len(t.spun)-1]
	if a.t > 0 {
		spun += t.turn[a.piece] + a.t*t.path.Pieces[a.piece].Sweep
	}
	return spun
}

// tangentAt returns the direction of travel at arc length s.
func (t *track) tangentAt(s float64) geom.Point {
	a := t.find(offset(s, t.length))
	return t.path.Pieces[a.piece].TangentAt(a.t)
}
