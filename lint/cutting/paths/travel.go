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
	free  int32 // the piece is loose from this cut on
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
	margin := p.Kerf/2 + p.Margin
	var boxes []geom.Box
	for _, f := range pl.Freed(s) {
		h := hull{free: f.By + 1, pts: widened(geom.Hull(s.Outlines[f.Outline].Pieces.Flatten(0.1)), margin)}
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
	way, ok := w.around(a, b)
	if !ok {
		w.clamps = true
		way, ok = w.around(a, b)
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

// met counts what lies in the way from p to q: loose pieces but for those around
// the ends of the whole way, and clamps with those.
func (w *walker) met(p, q, a, b geom.Point) (loose, clamps int) {
	w.boxes.In(geom.BoxOf(p, q), func(i int32) bool {
		h := &w.hulls[i]
		if _, ok := h.meets(p, q); !ok || h.free > w.now {
			return true
		}
		switch {
		case h.clamp:
			clamps++
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
		if h.free > w.now || w.clamps && !h.clamp || h.holds(a) || h.holds(b) {
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
