// Package survey takes the sizes from a drawing by which a person would tell its
// unit: how wide slots are, how deep tabs, how large holes and windows. It works
// in drawing units, before any tolerance in mm means anything: all its
// tolerances are shares of the size of the drawing or of the shape looked at, so
// that a drawing shows the same however it is scaled, turned or mirrored.
//
// It is a look at the drawing, not its outlines: what does not close within a
// small share of the drawing is passed over. The time is near-linear in the
// pieces.
package survey

import (
	"iter"
	"math"
	"slices"

	"sluice/geom"
)

// Size is a size that several shapes have, in drawing units.
type Size struct {
	Value float64
	Count int
}

// Survey is what a drawing shows. Lists of sizes are ordered by size.
type Survey struct {
	Box      geom.Box // of all that is drawn
	Long     float64  // of all that is drawn, along or across the direction that most of it runs in
	Wide     float64  // across Long, the shorter
	Largest  float64  // longer side of the largest outline; 0 without any
	Outlines int      // closed
	Holes    []Size   // diameters of round holes
	Slots    []Size   // widths of rectangular holes, and of notches deeper than wide
	Steps    []Size   // by how much tabs stand out and gaps between fingers go in
	Joint    Joint
	Windows  Windows
	Lengths  []Size // of straight sides, rectangles and circles, exact to a 10^-5
}

// Joint is the thickness that joints agree on.
type Joint struct {
	Width float64 // in drawing units; 0: none found
	Count int     // slots and steps that say so
	Sure  bool    // slots and tabs agree on it, or fingers of several parts
}

// Windows are the equal openings that a drawing has most of, round ones aside.
type Windows struct {
	Short, Long float64 // their sides
	Pitch       float64 // between the centres of nearest neighbours, the middle value
	Count       int
}

// Shares by which the survey judges, of the drawing's diagonal unless said
// otherwise. Experience, no published source.
const (
	weldShare = 1e-5 // ends that near are one
	reach     = 2e-3 // free ends that near each other belong together
	likeShare = 0.03 // sizes that differ by less, of themselves, count as one
	trimShare = 0.01 // of all ends, those farthest out on each side, two at least, do not count for the diagonal
)

// Of surveys lines and arcs, and curves given as points along them.
func Of(pieces iter.Seq[geom.Piece], curves iter.Seq[[]geom.Point]) *Survey {
	return Take(pieces, curves).Survey()
}

// Taken is what the survey looks at, apart from the drawing that it was taken from.
type Taken struct {
	chords *chords
	loops  []loop // closed from the beginning
}

// Take takes what is looked at from lines and arcs, and from curves given as points along
// them.
func Take(pieces iter.Seq[geom.Piece], curves iter.Seq[[]geom.Point]) *Taken {
	chords, loops := chordsOf(pieces, curves)
	return &Taken{chords, loops}
}

// Survey surveys what was taken, once: it is of no use afterwards.
func (t *Taken) Survey() *Survey {
	s := &Survey{Box: geom.NoBox()}
	chords, loops := t.chords, t.loops
	t.chords, t.loops = nil, nil
	for _, p := range chords.at {
		s.Box = s.Box.Add(p)
	}
	for i := range loops {
		s.Box = s.Box.Union(loops[i].box())
	}
	if s.Box.Empty() {
		return s
	}
	s.Wide, s.Long = spanAlong(mainDirection(chords), chords.at, loops)
	diagonal := trimmed(chords)
	if diagonal == 0 {
		diagonal = s.Box.Diagonal()
	}
	loops = append(loops, trace(chords, diagonal)...)
	shapes := shapesOf(loops, diagonal)
	nest(shapes)
	unframe(shapes)
	s.measure(shapes)
	return s
}

// chords are straight stretches between points: runs of them, each of which goes on
// where the one before ends, in the order in which they were drawn.
type chords struct {
	at   []geom.Point
	kind []chordKind // by point, of the stretch to the next one
}

// chordKind says what leads from a point to the next.
type chordKind uint8

const (
	noChord  chordKind = iota // nothing: a run ends
	straight                  // a line
	bent                      // one of several chords that stand for an arc or curve
)

func newChords(points int) *chords {
	return &chords{make([]geom.Point, 0, points), make([]chordKind, 0, points)}
}

// add puts a chord behind the others.
func (c *chords) add(a, b geom.Point, k chordKind) {
	n := len(c.at)
	if n == 0 || c.at[n-1] != a {
		c.at, c.kind = append(c.at, a), append(c.kind, noChord)
		n++
	}
	c.kind[n-1] = k
	c.at, c.kind = append(c.at, b), append(c.kind, noChord)
}

// all visits the chords.
func (c *chords) all(visit func(a, b geom.Point, k chordKind)) {
	for i, k := range c.kind {
		if k != noChord {
			visit(c.at[i], c.at[i+1], k)
		}
	}
}

// arcStep is the largest turn of one chord of an arc.
const arcStep = math.Pi / 8

// chordsOf breaks everything into chords; full circles and closed curves are
// loops at once.
func chordsOf(pieces iter.Seq[geom.Piece], curves iter.Seq[[]geom.Point]) (chords *chords, loops []loop) {
	count, circles, last := 0, 0, geom.Point{}
	for p := range pieces {
		switch {
		case p.IsCircle():
			circles++
		default:
			if count == 0 || p.A != last {
				count++
			}
			count += chordsIn(&p)
			last = p.B
		}
	}
	chords, loops = newChords(count), make([]loop, 0, circles)
	var pts []geom.Point
	for p := range pieces {
		n := chordsIn(&p)
		if n == 1 {
			chords.add(p.A, p.B, straight)
			continue
		}
		pts = pts[:0]
		for k := range n + 1 {
			pts = append(pts, p.At(float64(k)/float64(n)))
		}
		if p.IsCircle() {
			loops = append(loops, bentLoop(slices.Clone(pts[:n])))
			continue
		}
		chords.run(pts)
	}
	for pts := range curves {
		if len(pts) < 2 || slices.ContainsFunc(pts, func(p geom.Point) bool { return !p.Finite() }) {
			continue
		}
		if box := geom.BoxOf(pts...); len(pts) > 3 && pts[0].Dist(pts[len(pts)-1]) <= 1e-6*box.Diagonal() {
			loops = append(loops, bentLoop(pts[:len(pts)-1]))
			continue
		}
		chords.run(pts)
	}
	return chords, loops
}

// chordsIn returns how many chords stand for a piece.
func chordsIn(p *geom.Piece) int {
	if p.IsLine() {
		return 1
	}
	return max(2, int(math.Ceil(math.Abs(p.Sweep)/arcStep)))
}

// run puts the chords between points behind the others.
func (c *chords) run(pts []geom.Point) {
	k := bent
	if len(pts) == 2 {
		k = straight
	}
	for i := range len(pts) - 1 {
		c.add(pts[i], pts[i+1], k)
	}
}

// trimmed returns the diagonal of the box of most ends: one stray piece far out
// must not blur the rest.
func trimmed(chords *chords) float64 {
	if len(chords.at) == 0 {
		return 0
	}
	v := make([]float64, 0, 2*len(chords.at))
	span := func(of func(geom.Point) float64) float64 {
		v = v[:0]
		chords.all(func(a, b geom.Point, _ chordKind) { v = append(v, of(a), of(b)) })
		k := max(int(trimShare*float64(len(v))), min(2, len(v)/8))
		low := ordered(v, k)
		return ordered(v, len(v)-1-k) - low
	}
	return math.Hypot(span(func(p geom.Point) float64 { return p.X }), span(func(p geom.Point) float64 { return p.Y }))
}

// ordered returns the value that would be the k-th in order, and moves values about
// (C. A. R. Hoare, "Algorithm 65: find", 1961). Where that makes no headway it sorts.
func ordered(v []float64, k int) float64 {
	for tries := 64; len(v) > 16 && tries > 0; tries-- {
		a, m, z := v[0], v[len(v)/2], v[len(v)-1]
		m = max(min(a, m), min(max(a, m), z))
		i, j := 0, len(v)-1
		for i <= j {
			for v[i] < m {
				i++
			}
			for v[j] > m {
				j--
			}
			if i <= j {
				v[i], v[j] = v[j], v[i]
				i++
				j--
			}
		}
		switch {
		case k <= j:
			v = v[:j+1]
		case k >= i:
			v, k = v[i:], k-i
		default:
			return v[k]
		}
	}
	slices.Sort(v)
	return v[k]
}

// Bins of a quarter turn by which the main direction is found, and the share of
// the length of all chords that must run in it.
const (
	directionBins = 180
	mainShare     = 0.2
)

// mainDirection returns the direction that most straight chords run in or
// across, so that a drawing turned as a whole is as large as before; along x where
// there is none.
func mainDirection(chords *chords) geom.Point {
	var length, longest [directionBins]float64
	var dir [directionBins]geom.Point
	total := 0.0
	chords.all(func(a, b geom.Point, kind chordKind) {
		d := b.Sub(a)
		l := d.Norm()
		total += l
		if kind == bent || l == 0 {
			return
		}
		turn := math.Mod(d.Angle()/(math.Pi/2)+4+0.5/directionBins, 1)
		k := min(int(turn*directionBins), directionBins-1)
		length[k] += l
		if l > longest[k] {
			longest[k], dir[k] = l, d.Unit()
		}
	})
	best := 0
	for k := range length {
		if length[k] > length[best] {
			best = k
		}
	}
	if length[best] == 0 || length[best] < mainShare*total {
		return geom.Pt(1, 0)
	}
	return dir[best]
}

// spanAlong returns the extents along a direction and across it, the shorter
// first.
func spanAlong(u geom.Point, pts []geom.Point, loops []loop) (short, long float64) {
	box := geom.NoBox()
	add := func(p geom.Point) { box = box.Add(geom.Pt(p.Dot(u), p.Dot(u.Left()))) }
	for _, p := range pts {
		add(p)
	}
	for i := range loops {
		for _, p := range loops[i].pts {
			add(p)
		}
	}
	return min(box.W(), box.H()), max(box.W(), box.H())
}
