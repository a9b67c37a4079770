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

// hull is the convex hull about a piece that gets cut out, widened, or about a
// clamp zone.
type hull struct {
	pts   []geom.Point // counter-clockwise
	box   geom.Box
	shape geom.Path // the edge of the piece itself
	free  int32     // the piece is loose from this cut on
	clamp bool
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
	for _, l := range loosePieces(s, pl) {
		l.pts = widened(geom.Hull(l.shape.Flatten(0.1)), p.Kerf/2+p.Margin)
		if len(l.pts) < 3 {
			continue
		}
		l.box = geom.BoxOf(l.pts...)
		w.hulls = append(w.hulls, l)
		boxes = append(boxes, l.box)
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

// loosePieces returns what comes loose, and when: the slug within each closed run
// along a hole or a chamber, and each part without tabs behind its perimeter.
func loosePieces(s *outline.Sheet, pl *Plan) []hull {
	held := make([]bool, len(s.Outlines))
	for i := range pl.Cuts {
		if c := &pl.Cuts[i]; c.Outline >= 0 && c.Kind == Outside && !c.Closed {
			held[c.Outline] = true
		}
	}
	var out []hull
	for i := range pl.Cuts {
		c := &pl.Cuts[i]
		switch free := int32(i) + 1; {
		case !c.Closed:
		case c.Kind == Inside || c.Chamber:
			out = append(out, hull{shape: c.Run, free: free})
		case !held[c.Outline]:
			out = append(out, hull{shape: s.Outlines[c.Outline].Pieces, free: free})
		}
	}
	return out
}

// cornersOf returns the corners of a box, counter-clockwise.
func cornersOf(b geom.Box) []geom.Point {
	return []geom.Point{b.Min, geom.Pt(b.Max.X, b.Min.Y), b.Max, geom.Pt(b.Min.X, b.Max.Y)}
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
	var best []geom.Point
	least := math.Inf(1)
	for _, p := range w.doors(a, b) {
		for _, q := range w.doors(b, a) {
			mid, ok := w.around(p, q)
			if !ok {
				continue
			}
			way := slices.Compact(append(append([]geom.Point{a}, mid...), b))
			n := len(way)
			if n < 2 || w.overEnds(way) || w.blocked(a, way[1], a, b) >= 0 || w.blocked(way[n-2], b, a, b) >= 0 {
				continue
			}
			if l := (&Move{Way: way}).Length(); l < least {
				best, least = way, l
			}
		}
	}
	return best, best != nil
}

// mostDoors bounds how many ways out of a pocket are tried.
const mostDoors = 6

// doors returns where a way from a may leave the hulls about it: a itself, and the
// nearest corners of the hulls whose piece does not hold it, as seen on the way to b.
func (w *walker) doors(a, b geom.Point) []geom.Point {
	var out []geom.Point
	w.boxes.In(geom.BoxOf(a), func(i int32) bool {
		h := &w.hulls[i]
		if w.free(h) && !h.clamp && h.holds(a) && !h.shape.Contains(a) {
			for _, p := range h.pts {
				if !h.over(a, p) {
					out = append(out, p)
				}
			}
		}
		return true
	})
	slices.SortStableFunc(out, func(p, q geom.Point) int { return cmp.Compare(a.Dist(p)+p.Dist(b), a.Dist(q)+q.Dist(b)) })
	return append([]geom.Point{a}, out[:min(len(out), mostDoors)]...)
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

// beside reports whether one of two ends lies within the hull and none in the piece.
func (h *hull) beside(a, b geom.Point) bool {
	return (h.holds(a) || h.holds(b)) && !h.shape.Contains(a) && !h.shape.Contains(b)
}

// over reports whether the line from p to q passes over the piece itself.
func (h *hull) over(p, q geom.Point) bool {
	line := geom.Line(p, q)
	length := line.Length()
	if length < weld {
		return false
	}
	ts := []float64{0, 1}
	var at []geom.Cross
	for i := range h.shape {
		at = geom.Crossings(at[:0], &line, &h.shape[i], weld)
		for _, c := range at {
			ts = append(ts, c.T)
		}
	}
	slices.Sort(ts)
	for i := 1; i < len(ts); i++ {
		if (ts[i]-ts[i-1])*length > 100*weld && h.shape.Contains(line.At((ts[i]+ts[i-1])/2)) {
			return true
		}
	}
	return false
}

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

// holds reports whether q lies inside the hull, its edge left out.
func (h *hull) holds(q geom.Point) bool {
	if !h.box.Contains(q) {
		return false
	}
	for i, p := range h.pts {
		r := h.pts[(i+1)%len(h.pts)]
		if r.Sub(p).Cross(q.Sub(p)) <= 1e-9*r.Dist(p) {
			return false
		}
	}
	return true
}

// meets returns where the line from p to q enters the inside of the hull, as a
// share, by clipping it with the hull's sides.
func (h *hull) meets(p, q geom.Point) (float64, bool) {
	t0, t1 := 0.0, 1.0
	d := q.Sub(p)
	for i, a := range h.pts {
		e := h.pts[(i+1)%len(h.pts)].Sub(a).Unit()
		dist, step := e.Cross(p.Sub(a)), e.Cross(d) // inside is positive
		switch {
		case step == 0:
			if dist <= 1e-6 {
				return 0, false
			}
		case step > 0:
			t0 = max(t0, (1e-6-dist)/step)
		default:
			t1 = min(t1, (1e-6-dist)/step)
		}
		if t0 >= t1 {
			return 0, false
		}
	}
	return t0, true
}

// around returns the corners by which the shorter way around the hull goes from
// p to q, which lie outside it.
func (h *hull) around(p, q geom.Point) []geom.Point {
	ring := geom.Hull(append([]geom.Point{p, q}, h.pts...))
	n := len(ring)
	i, j := slices.Index(ring, p), slices.Index(ring, q)
	if i < 0 || j < 0 {
		// An end lies on the hull's edge, within rounding: go by the nearest corner.
		return h.byCorner(p, q)
	}
	ahead := func(from, to int) (pts []geom.Point, l float64) {
		for k := from; k != to; k = (k + 1) % n {
			l += ring[k].Dist(ring[(k+1)%n])
			if k != from {
				pts = append(pts, ring[k])
			}
		}
		return pts, l
	}
	one, l1 := ahead(i, j)
	two, l2 := ahead(j, i)
	if l1 <= l2 {
		return one
	}
	slices.Reverse(two)
	return two
}

// byCorner goes by the corner of the hull that makes the shortest way.
func (h *hull) byCorner(p, q geom.Point) []geom.Point {
	best := slices.MinFunc(h.pts, func(a, b geom.Point) int {
		return cmp.Compare(p.Dist(a)+a.Dist(q), p.Dist(b)+b.Dist(q))
	})
	if best == p || best == q {
		return nil
	}
	return []geom.Point{best}
}

// widened moves the corners of a convex shape outwards by at least d, with a
// corner for every 45 degrees.
func widened(pts []geom.Point, d float64) []geom.Point {
	if len(pts) < 3 {
		return nil
	}
	var out []geom.Point
	r := d / math.Cos(math.Pi/8)
	for _, p := range pts {
		for k := range 8 {
			out = append(out, geom.Polar(p, r, (float64(k)+0.5)*math.Pi/4))
		}
	}
	return geom.Hull(out)
}
