package paths

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/index"
	"sluice/geom/outline"
)

// Move is the way of the head from one cut to the next with the stream shut.
type Move struct {
	Way   []geom.Point // from the end of one cut to the start of the next
	Over  int          // cut-out pieces passed over, since there is no way around
	Clamp int          // clamp zones passed over likewise, or entered
}

// Length returns the length of the way, mm.
func (m *Move) Length() float64 {
	var l float64
	for i := 1; i < len(m.Way); i++ {
		l += m.Way[i-1].Dist(m.Way[i])
	}
	return l
}

// lead finds the ways between the cuts. A piece that is cut out and not held by
// tabs, be it a slug or a part, may have tipped up into the nozzle's way, so
// ways go around it where that is possible, and around the clamps.
func (pl *Plan) lead(s *outline.Sheet, p Params) {
	w := newWalker(s, pl, p)
	pl.Moves = make([]Move, len(pl.Cuts))
	for i := 1; i < len(pl.Cuts); i++ {
		w.now = int32(i)
		m := &pl.Moves[i]
		*m = w.move(pl.Cuts[i-1].End(), pl.Cuts[i].Start())
		pl.Travel += m.Length()
		if m.Over > 0 {
			pl.Over++
		}
		if m.Clamp > 0 {
			pl.OverClamp++
		}
	}
}

// walker leads ways around hulls.
type walker struct {
	hulls  []hull
	boxes  *index.Tree // of the hulls
	now    int32
	clamps bool // only clamps are in the way
}

func newWalker(s *outline.Sheet, pl *Plan, p Params) *walker {
	w := &walker{}
	var boxes []geom.Box
	for _, f := range pl.Freed(s) {
		h := hull{shape: f.Shape, free: f.By + 1, pts: widened(geom.Hull(f.Shape.Flatten(0.1)), p.Kerf/2+p.Margin)}
		if len(h.pts) < 3 {
			continue
		}
		h.box = geom.BoxOf(h.pts...)
		w.hulls = append(w.hulls, h)
		boxes = append(boxes, h.box)
	}
	for _, b := range p.Clamps {
		// Whatever lies half a kerf from the box lies outside of this one.
		b = b.Inflate(p.Kerf / 2 * (math.Sqrt2/2 - 1e-3))
		w.hulls = append(w.hulls, hull{pts: cornersOf(b), box: b, clamp: true})
		boxes = append(boxes, b)
	}
	w.boxes = index.NewTree(boxes)
	return w
}

// mostTurns bounds how often one way is led around something.
const mostTurns = 24

// move returns the move from a to b: around everything in the way; else around
// the clamps, over loose pieces, for which a head can be raised; else straight.
func (w *walker) move(a, b geom.Point) Move {
	m := Move{Way: []geom.Point{a, b}}
	way, ok := w.way(a, b)
	if !ok {
		w.clamps = true
		way, ok = w.way(a, b)
		w.clamps = false
	}
	if ok {
		m.Way = way
	}
	for i := 0; i+1 < len(m.Way); i++ {
		loose, clamp := w.met(m.Way[i], m.Way[i+1], a, b)
		m.Over, m.Clamp = m.Over+loose, m.Clamp+clamp
	}
	return m
}

// way returns a way from a to b that passes over nothing loose, if one is found.
// Where an end lies in a pocket of a loose piece, within its hull but beside it, and
// the plain way passes over the piece, it is led out of the pocket straight first.
func (w *walker) way(a, b geom.Point) ([]geom.Point, bool) {
	if way, ok := w.around(a, b); ok && !w.overEnds(way) {
		return way, true
	}
	// The first that leads there is as good as the shortest: they are tried by length.
	type pair struct {
		p, q geom.Point
		l    float64
	}
	var pairs []pair
	for _, p := range w.doors(a, b) {
		for _, q := range w.doors(b, a) {
			if p != a || q != b {
				pairs = append(pairs, pair{p, q, a.Dist(p) + p.Dist(q) + q.Dist(b)})
			}
		}
	}
	slices.SortStableFunc(pairs, func(x, y pair) int { return cmp.Compare(x.l, y.l) })
	for _, d := range pairs[:min(len(pairs), mostPairs)] {
		if mid, ok := w.around(d.p, d.q); ok {
			way := slices.Compact(append(append([]geom.Point{a}, mid...), b))
			n := len(way)
			if n > 1 && !w.overEnds(way) && w.blocked(a, way[1], a, b) < 0 && w.blocked(way[n-2], b, a, b) < 0 {
				return way, true
			}
		}
	}
	return nil, false
}

// Bounds of the search for a way out of pockets: corners of each hull that serve, and
// pairs of them tried.
const (
	mostDoors = 4
	mostPairs = 12
)

// doors returns where a way from a may leave the hulls about it: a itself, and the
// corners, nearest first on the way to b, of the hulls whose piece does not lie under it.
func (w *walker) doors(a, b geom.Point) []geom.Point {
	out := []geom.Point{a}
	w.boxes.In(geom.BoxOf(a), func(i int32) bool {
		h := &w.hulls[i]
		if !w.free(h) || h.clamp || !h.holds(a) || h.under(a) {
			return true
		}
		pts := slices.Clone(h.pts)
		slices.SortStableFunc(pts, func(p, q geom.Point) int { return cmp.Compare(a.Dist(p)+p.Dist(b), a.Dist(q)+q.Dist(b)) })
		found := 0
		for _, p := range pts {
			if found < mostDoors && !h.over(a, p) {
				out = append(out, p)
				found++
			}
		}
		return true
	})
	return out
}

// overEnds reports whether a way passes over a piece within whose hull it begins or
// ends, but beside the piece.
func (w *walker) overEnds(way []geom.Point) bool {
	a, b := way[0], way[len(way)-1]
	for i := 0; i+1 < len(way); i++ {
		if w.boxes.In(geom.BoxOf(way[i], way[i+1]), func(k int32) bool {
			h := &w.hulls[k]
			return !w.free(h) || h.clamp || !h.beside(a, b) || !h.over(way[i], way[i+1])
		}) {
			continue
		}
		return true
	}
	return false
}

// free reports whether what a hull is about is in the way now.
func (w *walker) free(h *hull) bool { return h.free <= w.now && (h.clamp || !w.clamps) }

// around returns a way from a to b that meets nothing; false where none is found.
func (w *walker) around(a, b geom.Point) ([]geom.Point, bool) {
	way := []geom.Point{a, b}
	if w.blocked(a, b, a, b) < 0 {
		return way, true
	}
	for turns := 0; turns < mostTurns; turns++ {
		changed := false
		for i := 0; i+1 < len(way); i++ {
			k := w.blocked(way[i], way[i+1], a, b)
			if k < 0 {
				continue
			}
			around := w.hulls[k].around(way[i], way[i+1])
			if len(around) == 0 {
				continue
			}
			way = slices.Insert(way, i+1, around...)
			changed = true
			break
		}
		if !changed {
			break
		}
		if len(way) > 4*mostTurns {
			break
		}
	}
	way = w.straightened(way, a, b)
	for i := 0; i+1 < len(way); i++ {
		if w.blocked(way[i], way[i+1], a, b) >= 0 {
			return nil, false
		}
	}
	return way, true
}

// met counts what lies in the way from p to q: loose pieces but for those in which
// the whole way begins or ends, and clamps with those.
func (w *walker) met(p, q, a, b geom.Point) (loose, clamps int) {
	w.boxes.In(geom.BoxOf(p, q), func(i int32) bool {
		h := &w.hulls[i]
		if _, ok := h.meets(p, q); !ok || h.free > w.now {
			return true
		}
		switch {
		case h.clamp:
			clamps++
		case h.beside(a, b):
			if h.over(p, q) {
				loose++
			}
		case !h.holds(a) && !h.holds(b):
			loose++
		}
		return true
	})
	return loose, clamps
}

// straightened leaves out corners that are not needed.
func (w *walker) straightened(way []geom.Point, a, b geom.Point) []geom.Point {
	out := way[:1:1]
	for i := 0; i+1 < len(way); {
		j := len(way) - 1
		for j > i+1 && w.blocked(way[i], way[j], a, b) >= 0 {
			j--
		}
		out = append(out, way[j])
		i = j
	}
	return out
}

// blocked returns the first loose piece in the way from p to q, -1 if there is
// none. Pieces around the two ends a and b of the whole way do not count: they
// must be left, or entered.
func (w *walker) blocked(p, q, a, b geom.Point) int {
	best, at := int32(-1), math.Inf(1)
	w.boxes.In(geom.BoxOf(p, q), func(i int32) bool {
		h := &w.hulls[i]
		if !w.free(h) || h.holds(a) || h.holds(b) {
			return true
		}
		if t, ok := h.meets(p, q); ok && (t < at || t == at && i < best) {
			best, at = i, t
		}
		return true
	})
	return int(best)
}
