package diff

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/index"
)

// Bounds on the search for a motion that many parts share. They keep it linear in
// the parts; what they leave out is told part by part.
const (
	anchorsTried  = 24 // parts before that are laid on parts after
	partnersTried = 64 // parts after that one part before is laid on
	turnsTried    = 16 // turns of one part on another
	motionsTried  = 48 // motions of which a sample of parts is looked at
	motionsFull   = 6  // motions of which all parts are looked at
	sampleParts   = 96 // parts in a sample
	crossParts    = 40 // parts before whose shifts onto all alike are counted
	crossPartners = 4096
)

// finder looks for motions that take parts of one drawing onto parts of another.
type finder struct {
	a, b   []*shape
	na, nb []string       // numbers, "" where none or not unique
	atB    map[string]int // part after by number
	tol    float64        // mm, at scale 1
	from   []int          // parts before that may move
	seek   []int          // those of them that are laid on parts after to find how
	usedB  []bool         // parts after that are settled
	order  []int          // parts after, by form
	grids  map[int]*index.Cells[int]
	known  map[int][]int // partners found
	sights []int         // parts before by which the turn of round ones is told
}

// form is the enclosed area over the squared length of all rings: no similarity
// changes it.
func form(s *shape) float64 {
	if !(s.length > 0) {
		return 0
	}
	return s.area / (s.length * s.length)
}

// formSlack is the relative difference of forms up to which shapes are looked at.
const formSlack = 0.02

func newFinder(m *matcher, from []int) *finder {
	f := &finder{a: m.sa, b: m.sb, na: m.na, nb: m.nb, tol: m.tol, from: from, seek: from, usedB: m.taken, grids: map[int]*index.Cells[int]{}, known: map[int][]int{}, atB: map[string]int{}}
	for j := range f.b {
		f.order = append(f.order, j)
		if f.nb[j] != "" {
			f.atB[f.nb[j]] = j
		}
	}
	slices.SortStableFunc(f.order, func(x, y int) int { return cmp.Compare(form(f.b[x]), form(f.b[y])) })
	return f
}

// scaled returns the tolerance on parts grown by s: what is known of the smaller
// drawing to tol is known of the larger to s tol, and the larger adds its own, the
// more the less alike the two are in size.
func scaled(tol, s float64) float64 {
	if s <= 1 {
		return tol
	}
	return tol * (s + 1 - 1/s)
}

// window returns the range of order with forms like that of s.
func (f *finder) window(s *shape) (lo, hi int) {
	q := form(s)
	at := func(v float64) int {
		i, _ := slices.BinarySearchFunc(f.order, v, func(j int, v float64) int { return cmp.Compare(form(f.b[j]), v) })
		return i
	}
	return at(q * (1 - formSlack)), at(q * (1 + formSlack))
}

// scaleOf returns the factor that takes the size of a to that of b: 1 if they may
// be congruent. ok is false where no factor makes them alike.
func (f *finder) scaleOf(a, b *shape) (s float64, ok bool) {
	if a.alike(b, 1, f.tol) {
		return 1, true
	}
	if !(a.area > 0 && b.area > 0) {
		return 0, false
	}
	s = math.Sqrt(b.area / a.area)
	return s, a.alike(b, s, scaled(f.tol, s))
}

// motion is a candidate and what speaks for it.
type motion struct {
	lay   geom.Transform
	votes int
	order int // in which it was met
	hits  []pair
}

// best returns the motion that takes most parts onto their like, with the pairs.
// Of equals the simplest is taken: none, a shift, a turn, a mirror, a scale. keep
// tells which motions count.
func (f *finder) best(keep func(t geom.Transform) bool) (motion, bool) {
	var found motion
	for _, mirror := range []bool{false, true} {
		if mirror && 2*len(found.hits) > min(len(f.from), len(f.b)) {
			break
		}
		for _, c := range f.tried(f.candidates(mirror), keep) {
			if f.better(&c, &found) {
				found = c
			}
		}
	}
	return found, len(found.hits) > 0
}

// better compares motions whose hits are known.
func (f *finder) better(x, y *motion) bool {
	if len(x.hits) != len(y.hits) {
		return len(x.hits) > len(y.hits)
	}
	return len(x.hits) > 0 && simpler(x.lay, y.lay)
}

// simpler orders motions by how much they do.
func simpler(x, y geom.Transform) bool {
	rank := func(t geom.Transform) (r int) {
		m := MotionOf(t, 0)
		if m.Scale != 1 {
			r += 8
		}
		if m.Mirrored {
			r += 4
		}
		if m.Angle != 0 {
			r += 2
		}
		if t.T != (geom.Point{}) {
			r++
		}
		return r
	}
	mx, my := MotionOf(x, 0), MotionOf(y, 0)
	return cmp.Or(cmp.Compare(rank(x), rank(y)), cmp.Compare(math.Abs(math.Log(mx.Scale)), math.Abs(math.Log(my.Scale))),
		cmp.Compare(math.Abs(mx.Angle), math.Abs(my.Angle)), cmp.Compare(x.T.Norm(), y.T.Norm()), cmp.Compare(x.T.X, y.T.X),
		cmp.Compare(x.T.Y, y.T.Y)) < 0
}

// tried lays a sample of the parts by each of the likeliest motions, then all by
// the best of them.
func (f *finder) tried(list []motion, keep func(t geom.Transform) bool) []motion {
	list = slices.DeleteFunc(list, func(m motion) bool { return !keep(m.lay) })
	slices.SortStableFunc(list, func(x, y motion) int {
		return cmp.Or(cmp.Compare(y.votes, x.votes), cmp.Compare(x.order, y.order))
	})
	list = list[:min(len(list), motionsTried)]
	var some []int
	for k := 0; k < len(f.from); k += max(1, len(f.from)/sampleParts) {
		some = append(some, f.from[k])
	}
	for i := range list {
		list[i].votes = len(f.hits(list[i].lay, some, loosely))
	}
	slices.SortStableFunc(list, func(x, y motion) int { return cmp.Compare(y.votes, x.votes) })
	list = list[:min(len(list), motionsFull)]
	var out []motion
	for _, m := range list {
		// Once with all that come near, once without those that only happen to.
		m.lay = f.refined(m.lay, f.hits(m.lay, f.from, loosely))
		m.lay = f.refined(m.lay, f.hits(m.lay, f.from, closely))
		for _, lay := range []geom.Transform{m.lay, f.straightened(m.lay)} {
			if keep(lay) {
				m.lay, m.hits = lay, f.hits(lay, f.from, allRound)
				out = append(out, m)
			}
		}
	}
	return out
}

// closeness says how near a laid part must come to another to count as a hit.
type closeness uint8

const (
	loosely  closeness = iota // the centre within looseCentre
	closely                   // the centre within ten times the tolerance
	allRound                  // and the outlines within a few times the tolerance
)

// hits pairs parts that t brings onto parts of their form and size.
func (f *finder) hits(t geom.Transform, from []int, how closeness) []pair {
	s := factorOf(t)
	tol := scaled(f.tol, s)
	k := int(math.Ceil(math.Log2(max(1, s))))
	g := f.grids[k]
	if g == nil {
		g = index.NewCells[int](math.Ldexp(looseCentre, k), len(f.b))
		for j := range f.b {
			if !f.usedB[j] {
				g.Add(f.b[j].centre, j)
			}
		}
		f.grids[k] = g
	}
	far := math.Ldexp(looseCentre, k-1) // half a cell
	if how != loosely {
		far = min(far, 10*tol)
	}
	used := map[int]bool{}
	var out []pair
	for _, i := range from {
		at, best := t.Apply(f.a[i].centre), pair{i, -1, far}
		g.Around(at, far, func(j int) bool {
			d := at.Dist(f.b[j].centre)
			if d > best.cost || d == best.cost && best.j >= 0 || used[j] || f.contradicts(i, j) || !f.a[i].alike(f.b[j], s, tol) {
				return true
			}
			if how != allRound || near(f.a[i], f.b[j], t, 3*tol) {
				best.j, best.cost = j, d
			}
			return true
		})
		if best.j >= 0 {
			used[best.j] = true
			out = append(out, best)
		}
	}
	return out
}

// looseCentre is the side, mm, of the cells in which the centre of a laid part is
// sought before its motion is refined: a small part tells a turn to 1e-4, which
// is half a millimetre some metres away.
const looseCentre = 1.0

// contradicts reports whether the numbers written on two parts say that they are
// not the same: one is on another part of the other drawing.
func (f *finder) contradicts(i, j int) bool {
	if f.na[i] == "" || f.na[i] == f.nb[j] {
		return false
	}
	other, ok := f.atB[f.na[i]]
	return ok && f.nb[j] != "" && f.a[i].alike(f.b[other], 1, f.tol)
}

// refined fits a motion to the centres of the pairs it makes by least squares
// (B. Horn, J. Opt. Soc. Am. A 4, 1987, in the plane), and rounds what comes
// within the tolerance of round figures.
func (f *finder) refined(t geom.Transform, hits []pair) geom.Transform {
	m := MotionOf(t, 0)
	var ca, cb geom.Point
	for _, h := range hits {
		ca, cb = ca.Add(f.a[h.i].centre), cb.Add(f.b[h.j].centre)
	}
	if len(hits) == 0 {
		return t
	}
	ca, cb = ca.Mul(1/float64(len(hits))), cb.Mul(1/float64(len(hits)))
	var dot, cross, sq, reach float64
	for _, h := range hits {
		u, v := f.a[h.i].centre.Sub(ca), f.b[h.j].centre.Sub(cb)
		if m.Mirrored {
			u.X = -u.X
		}
		dot, cross, sq = dot+u.Dot(v), cross+u.Cross(v), sq+u.Dot(u)
		reach = max(reach, u.Norm()+f.a[h.i].reach)
	}
	tol := scaled(f.tol, m.Scale)
	if len(hits) > 2 && sq > 0 && reach > 0 {
		m.Angle = math.Atan2(cross, dot)
		if m.Scale != 1 {
			m.Scale = math.Hypot(dot, cross) / sq
		}
	}
	m.Scale = roundScale(m.Scale, tol/2/reach)
	if q := math.Round(m.Angle*36000/(2*math.Pi)) * 2 * math.Pi / 36000; math.Abs(q-m.Angle)*reach*m.Scale <= tol/2 {
		m.Angle = q
	}
	u := similarity(m.Scale, m.Mirrored, m.Angle, geom.Point{})
	u.T = cb.Sub(u.Apply(ca))
	if m.Angle == 0 && !m.Mirrored && (m.Scale == 1 && u.T.Norm() <= f.tol || m.Scale != 1 && u.T.Norm() <= tol) {
		u.T = geom.Point{} // it stays where it was
	}
	return u
}

// nearStraight is how far, radians, a turn may be from a right angle to be tried as
// one: a tenth of a degree, which parts of a few millimetres do not tell.
const nearStraight = 0.1 * math.Pi / 180

// straightened returns a motion with its turn made a right angle if it is near
// one, so that the middle of the parts stays where it was laid.
func (f *finder) straightened(t geom.Transform) geom.Transform {
	m := MotionOf(t, 0)
	q := math.Round(m.Angle/(math.Pi/2)) * math.Pi / 2
	if m.Angle == q || math.Abs(m.Angle-q) > nearStraight {
		return t
	}
	var mid geom.Point
	for _, i := range f.from {
		mid = mid.Add(f.a[i].centre.Mul(1 / float64(len(f.from))))
	}
	u := similarity(m.Scale, m.Mirrored, q, geom.Point{})
	if u.T = t.Apply(mid).Sub(u.Apply(mid)); u.T.Norm() <= scaled(f.tol, m.Scale) {
		u.T = geom.Point{}
	}
	return u
}

// unitFactors are the factors by which drawings go wrong between units: powers of
// ten, inch, foot, and 72, 90 and 96 dots to the inch, and what comes of one upon
// another.
var unitFactors = [...]float64{10, 100, 1000, 2.54, 25.4, 254, 12, 304.8, 25.4 / 72, 25.4 / 90, 25.4 / 96, 72, 90, 96, 39.37007874015748}

// roundScale returns a round figure within slack (absolute) of s, else s: a factor
// between units, or a number of few digits, or the inverse of one.
func roundScale(s, slack float64) float64 {
	for _, u := range unitFactors {
		for _, v := range [2]float64{u, 1 / u} {
			if math.Abs(v-s) <= slack {
				return v
			}
		}
	}
	if math.Abs(s-1) < 0.1 { // per cent, and shares of it
		for _, step := range [...]float64{100, 200, 1000, 10_000} {
			if v := math.Round(s*step) / step; math.Abs(v-s) <= slack {
				return v
			}
		}
		return s
	}
	for digits := 1; digits <= 5; digits++ {
		for _, v := range [2]float64{fewDigits(s, digits), 1 / fewDigits(1/s, digits)} {
			if math.Abs(v-s) <= slack {
				return v
			}
		}
	}
	return s
}

// fewDigits rounds to n significant digits.
func fewDigits(v float64, n int) float64 {
	p := math.Pow(10, float64(n)-1-math.Floor(math.Log10(v)))
	return math.Round(v*p) / p
}
