package diff

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/index"
)

// tally gathers motions, those alike as one.
type tally struct {
	f    *finder
	at   map[[5]int64]int
	list []motion
	mid  geom.Point // of the parts before: where shifts are compared
	size float64
}

func (f *finder) newTally() *tally {
	box := geom.NoBox()
	for _, i := range f.from {
		box = box.Union(f.a[i].box)
	}
	return &tally{f: f, at: map[[5]int64]int{}, mid: box.Center(), size: max(box.Diagonal(), 1)}
}

// add counts a vote. Motions that move the middle of the parts to within a
// thousandth of their extent of each other are one.
func (y *tally) add(t geom.Transform, votes int) {
	m := MotionOf(t, 0)
	p := t.Apply(y.mid)
	cell := max(y.size*m.Scale/1000, 0.5)
	k := [5]int64{int64(math.Round(math.Log(m.Scale) * 1000)), int64(math.Round(m.Angle * 500)), int64(math.Round(p.X / cell)), int64(math.Round(p.Y / cell)), 0}
	if m.Mirrored {
		k[4] = 1
	}
	i, ok := y.at[k]
	if !ok {
		i = len(y.list)
		y.at[k] = i
		y.list = append(y.list, motion{lay: t, order: i})
	}
	y.list[i].votes += votes
}

// candidates lists motions that lay some part on one of its form. Parts of rare
// form are tried first; where all are common, those that lie furthest out; and
// the shifts, right-angled turns and mirrors that take many parts onto any of
// their like are counted.
func (f *finder) candidates(mirror bool) []motion {
	y := f.newTally()
	anchors := f.anchors()
	for _, i := range anchors {
		for _, j := range f.partners(i) {
			s, ok := f.scaleOf(f.a[i], f.b[j])
			if !ok {
				continue
			}
			for _, t := range f.layings(i, j, s, mirror) {
				y.add(t, 1)
			}
		}
	}
	f.cross(y, anchors, mirror)
	return y.list
}

// anchors picks the parts before that are laid on parts after.
func (f *finder) anchors() []int {
	type rated struct {
		i, many int
		size    float64
	}
	var list []rated
	for _, i := range f.seek {
		if lo, hi := f.window(f.a[i]); hi > lo {
			// Up to eight alike are as good as one; the larger tells a turn better.
			list = append(list, rated{i, max(8, hi-lo), f.a[i].reach})
		}
	}
	slices.SortStableFunc(list, func(x, y rated) int {
		return cmp.Or(cmp.Compare(x.many, y.many), cmp.Compare(y.size, x.size))
	})
	var out []int
	for k := 0; k < len(list) && len(out) < anchorsTried*2/3; k++ {
		out = append(out, list[k].i)
	}
	var rest []int
	for k := len(out); k < len(list); k++ {
		rest = append(rest, list[k].i)
	}
	return append(out, outermost(f.a, rest, anchorsTried-len(out))...)
}

// outermost returns up to n of the shapes listed, those whose centres lie furthest
// out in directions all round.
func outermost(shapes []*shape, list []int, n int) []int {
	var out []int
	for k := range 2 * n {
		if len(out) == n {
			break
		}
		dir := geom.Polar(geom.Point{}, 1, 2*math.Pi*float64(k)/float64(n)+0.1)
		best, far := -1, math.Inf(-1)
		for _, i := range list {
			if d := shapes[i].centre.Dot(dir); d > far {
				best, far = i, d
			}
		}
		if best >= 0 && !slices.Contains(out, best) {
			out = append(out, best)
		}
	}
	return out
}

// partners lists parts after of the form of part i before: all, or where they are
// many the one of its number, those furthest out and some between.
func (f *finder) partners(i int) []int {
	list, ok := f.known[i]
	if !ok {
		list = f.findPartners(i)
		f.known[i] = list
	}
	return list
}

func (f *finder) findPartners(i int) []int {
	lo, hi := f.window(f.a[i])
	var list []int
	for _, j := range f.order[lo:hi] {
		if !f.usedB[j] {
			list = append(list, j)
		}
	}
	if len(list) <= partnersTried {
		return list
	}
	out := outermost(f.b, list, partnersTried/2)
	if j, ok := f.atB[f.na[i]]; ok && f.na[i] != "" && slices.Contains(list, j) {
		out = append(out, j)
	}
	for k := 0; k < len(list) && len(out) < partnersTried; k += max(1, len(list)*2/partnersTried) {
		if !slices.Contains(out, list[k]) {
			out = append(out, list[k])
		}
	}
	return out
}

// some lists free parts after of the form of part i before, the one of its number
// first, at most partnersTried.
func (f *finder) some(i int) []int {
	var out []int
	if j, ok := f.atB[f.na[i]]; ok && f.na[i] != "" && !f.usedB[j] {
		out = append(out, j)
	}
	lo, hi := f.window(f.a[i])
	for k := lo; k < hi && len(out) < partnersTried; k += max(1, (hi-lo)/partnersTried) {
		if j := f.order[k]; !f.usedB[j] && (len(out) == 0 || out[0] != j) {
			out = append(out, j)
		}
	}
	return out
}

// layings returns the ways to lay part i before, scaled by s, on part j after.
func (f *finder) layings(i, j int, s float64, mirror bool) []geom.Transform {
	a, b := f.a[i], f.b[j]
	tol := scaled(f.tol, s)
	base := baseOf(a, s, mirror)
	var out []geom.Transform
	list := turns(a, b, tol, base)
	if len(list) > turnsTried {
		list = list[:turnsTried]
	}
	if a.round() {
		list = f.sightTurns(i, j, s, base)
	}
	for _, angle := range list {
		ft := fit{lay: laying(a, b, base, angle), angle: angle}
		if !near(a, b, ft.lay, max(50*tol, 0.002*b.reach)) {
			continue
		}
		if !near(a, b, ft.lay, tol/4) && !a.round() {
			ft = ft.refined(a, b)
		}
		if near(a, b, ft.lay, 3*tol) {
			out = append(out, ft.lay)
		}
	}
	return out
}

// round reports whether no turn changes the shape, as far as its moments tell.
func (s *shape) round() bool {
	for i := range s.rings {
		if len(s.rings[i].path) > 1 || s.rings[i].path[0].R == 0 || s.rings[i].path[0].C.Dist(s.centre) > 1e-6*s.reach {
			return false
		}
	}
	return true
}

// sightTurns returns the turns that bring some other part, seen from the round
// part i, to one of its form as far from the round part j.
func (f *finder) sightTurns(i, j int, s float64, base geom.Transform) []float64 {
	out := []float64{0, math.Pi / 2, math.Pi, -math.Pi / 2}
	if f.sights == nil {
		f.sights = outermost(f.a, f.from, 4)
	}
	for _, k := range f.sights {
		d := base.Apply(f.a[k].centre).Sub(f.a[i].centre)
		if k == i || d.Norm() < f.a[i].reach {
			continue
		}
		n := 0
		for _, l := range f.partners(k) {
			e := f.b[l].centre.Sub(f.b[j].centre)
			if l != j && math.Abs(e.Norm()-d.Norm()) <= 10*scaled(f.tol, s) && f.a[k].alike(f.b[l], s, scaled(f.tol, s)) && n < turnsTried {
				out = append(out, geom.TurnTo(d, e))
				n++
			}
		}
	}
	return out
}

// cross counts the shifts from some of the parts before, taken as they are,
// turned by right angles or mirrored, and scaled as between units, to all parts
// after of their form: the peak is the shift that most share, however many
// parts are alike.
func (f *finder) cross(y *tally, anchors []int, mirror bool) {
	some := slices.Clone(anchors)
	for k := 0; k < len(f.seek) && len(some) < crossParts; k += max(1, len(f.seek)/crossParts) {
		if !slices.Contains(some, f.seek[k]) {
			some = append(some, f.seek[k])
		}
	}
	type shifted struct {
		s    float64
		turn int
		d    index.Cell
	}
	type peak struct {
		votes, order int
		shift        geom.Point
	}
	peaks := map[shifted]peak{}
	for _, i := range some {
		lo, hi := f.window(f.a[i])
		step := max(1, (hi-lo)/crossPartners)
		for k := lo; k < hi; k += step {
			j := f.order[k]
			if f.usedB[j] {
				continue
			}
			s, ok := f.scaleOf(f.a[i], f.b[j])
			if !ok {
				continue
			}
			// Discs of all sizes would give every factor.
			if s = roundScale(s, 1e-3*s); s != 1 && !betweenUnits(s) {
				continue
			}
			for turn := range 4 {
				lay := similarity(s, mirror, float64(turn)*math.Pi/2, geom.Point{})
				d := f.b[j].centre.Sub(lay.Apply(f.a[i].centre))
				key := shifted{s, turn, index.CellOf(d, 0.5*max(1, s))}
				p, ok := peaks[key]
				if !ok {
					p.order, p.shift = len(peaks), d
				}
				p.votes++
				peaks[key] = p
			}
		}
	}
	var best []shifted
	for k, p := range peaks {
		if p.votes > 1 {
			best = append(best, k)
		}
	}
	slices.SortFunc(best, func(u, v shifted) int {
		return cmp.Or(cmp.Compare(peaks[v].votes, peaks[u].votes), cmp.Compare(peaks[u].order, peaks[v].order))
	})
	for _, k := range best[:min(len(best), motionsTried)] {
		y.add(similarity(k.s, mirror, float64(k.turn)*math.Pi/2, peaks[k].shift), peaks[k].votes)
	}
}
