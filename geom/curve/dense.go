package curve

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
)

// Run is a stretch of straight pieces of a path that was once one arc.
type Run struct {
	First, Count int        // pieces of the path, wrapping round a closed one
	Arc          geom.Piece // from the run's first point to its last
	MaxTurn      float64    // largest turn at a corner inside the run, radians
	Deviation    float64    // largest distance between the arc and the lines, mm
	Circle       bool       // the run is the whole closed path
}

const (
	denseLines = 8                  // fewest lines of a run
	denseTurn  = 15 * math.Pi / 180 // largest turn at a corner inside a run
	leastTurn  = 3 * math.Pi / 180  // a run that turns less is a straight edge
	// A vertex turns with the arc where its own curvature (turn over the mean of
	// its two lines) is within this factor of the arc's: a long edge running
	// tangentially into an arc is no part of it, however near its ends lie.
	sameBend = 3
	// Leaving an arc shows as residuals that grow faster than the cube of the
	// length, by which they grow along any smooth curve; 20 rather than 8
	// leaves room for noise.
	leaves = 20
)

// DenseRuns returns the runs of 8 or more lines in a row of p whose ends lie
// within same (mm) of one arc through the run's first and last point, which
// turn at most 15 degrees, and all to one side, at each corner inside, in order
// of First. Runs that turn less than 3 degrees in all, or whose arc rises less
// than curveTol (mm) above its chord, are straight edges and left out. Runs do
// not overlap. The time taken is near-linear in len(p).
func DenseRuns(p geom.Path, closed bool, same, curveTol float64) []Run {
	n := len(p)
	if n < denseLines || !(same > 0) {
		return nil
	}
	d := &denseFinder{p: p, n: n, same: same, rise: max(curveTol, 0)}
	d.turn = make([]float64, n)
	d.bend = make([]float64, n)
	for i := range n {
		if i == 0 && !closed {
			continue
		}
		d.turn[i], d.bend[i] = softTurn(p[(i+n-1)%n], p[i])
	}
	start, whole := 0, false
	if closed {
		start, whole = d.seam()
		if whole {
			if r, ok := d.circle(); ok {
				return []Run{r}
			}
		}
	}
	// Stretches of lines with soft corners to one side between them.
	for i := 0; i < n; {
		j := i + 1
		for j < n && d.soft(start+j) && (j == i+1 || d.sameSide(start+j, start+j-1)) {
			j++
		}
		if j-i >= denseLines {
			d.stretch(start+i, j-i, max(0, d.used-i))
			d.used = max(d.used, i+d.end)
		}
		// A line may end one stretch and start the next that bends back.
		if j-i > 1 && j < n && d.soft(start+j) {
			j--
		}
		i = j
	}
	slices.SortFunc(d.out, func(a, b Run) int { return cmp.Compare(a.First, b.First) })
	return d.out
}

// softTurn returns the turn from line a to line b and its curvature, or zeros
// where that is a corner, no turn at all, or not between two lines.
func softTurn(a, b geom.Piece) (turn, bend float64) {
	if !a.IsLine() || !b.IsLine() {
		return 0, 0
	}
	u, v := a.B.Sub(a.A), b.B.Sub(b.A)
	t := geom.TurnTo(u, v)
	l := u.Norm() + v.Norm()
	if !(math.Abs(t) <= denseTurn+1e-9) || math.Abs(t) < 1e-7 || u.Norm() == 0 || v.Norm() == 0 {
		return 0, 0
	}
	return t, 2 * t / l
}

// denseFinder is one search under way. Vertex i is the start of piece i; both
// are counted modulo n.
type denseFinder struct {
	p          geom.Path
	n          int
	turn, bend []float64
	same, rise float64
	out        []Run
	pts        []geom.Point // of the stretch at work
	at         int          // piece at which the stretch starts
	end        int          // end of its last run, in lines from at
	used       int          // the same from the start of the search
}

func (d *denseFinder) soft(i int) bool { return d.turn[i%d.n] != 0 }

func (d *denseFinder) sameSide(i, j int) bool {
	return (d.turn[i%d.n] > 0) == (d.turn[j%d.n] > 0)
}

// seam returns a vertex of a closed path at which no run needs to go on: a
// corner, or a change of side, or where it bends least; whole tells that it
// bends to one side all round.
func (d *denseFinder) seam() (start int, whole bool) {
	least := 0
	for i := range d.n {
		if !d.soft(i) {
			return i, false
		}
		if math.Abs(d.bend[i]) < math.Abs(d.bend[least])*(1-1e-6) {
			least = i
		}
	}
	for i := range d.n {
		if !d.sameSide(i, i+d.n-1) {
			return (i + d.n - 1) % d.n, false
		}
	}
	return least, true
}

// circle returns the whole path as one circle if its points lie on one.
func (d *denseFinder) circle() (Run, bool) {
	var sum, most float64
	for _, t := range d.turn {
		sum, most = sum+t, max(most, math.Abs(t))
	}
	if math.Abs(math.Abs(sum)-2*math.Pi) > 1e-6 {
		return Run{}, false
	}
	c, r, ok := fitCircle(func(yield func(geom.Point) bool) {
		for i := range d.p {
			if !yield(d.p[i].A) {
				return
			}
		}
	})
	if !ok || r <= d.rise {
		return Run{}, false
	}
	var dev float64
	for i := range d.p {
		if math.Abs(d.p[i].A.Dist(c)-r) > d.same || !bends(d.bend[i], 1/r) {
			return Run{}, false
		}
		n, _ := d.p[i].Nearest(c)
		dev = max(dev, math.Abs(d.p[i].A.Dist(c)-r), math.Abs(n.Dist(c)-r))
	}
	out := d.p[0].A.Sub(c).Unit()
	from := c.Add(out.Mul(r))
	arc := geom.Piece{A: from, B: from, C: c, R: r, Sweep: math.Copysign(2*math.Pi, sum)}
	return Run{0, d.n, arc, most, dev, true}, true
}

func bends(bend, k float64) bool {
	b := math.Abs(bend)
	return b <= sameBend*k && k <= sameBend*b
}

// stretch finds the runs within count pieces from the one at, of which the
// first skip are taken.
func (d *denseFinder) stretch(at, count, skip int) {
	d.at, d.end = at, 0
	d.pts = d.pts[:0]
	for k := range count {
		d.pts = append(d.pts, d.p[(at+k)%d.n].A)
	}
	d.pts = append(d.pts, d.p[(at+count-1)%d.n].B)
	for i := skip; i+denseLines <= count; {
		r, off, ok := d.arc(i, i+denseLines)
		if !ok || d.betterLater(i, count, off) {
			i++
			continue
		}
		j := i + denseLines
		j, r = d.extend(i, j, count, r, off)
		rise := math.Abs(r.Arc.BulgeValue()) * r.Arc.A.Dist(r.Arc.B) / 2
		if math.Abs(r.Arc.Sweep) <= leastTurn || rise <= d.rise {
			i += max(1, (j-i)/2)
			continue
		}
		r.First, r.Count = (at+i)%d.n, j-i
		for k := i + 1; k < j; k++ {
			r.MaxTurn = max(r.MaxTurn, math.Abs(d.turn[(at+k)%d.n]))
		}
		ray := rayOf(r.Arc)
		for k := i; k < j; k++ {
			r.Deviation = max(r.Deviation, ray.chordOff(d.pts[k], d.pts[k+1]))
		}
		d.out = append(d.out, r)
		i, d.end = j, j
	}
}

// exact is the residual below which lines count as lying on the arc for good:
// the rounding of files.
func (d *denseFinder) exact() float64 { return d.same / 100 }

// betterLater reports whether the window of fewest lines from i on lies on its
// arc far worse than one that starts a few lines later: then line i belongs to
// what comes before the arc.
func (d *denseFinder) betterLater(i, count int, off float64) bool {
	if off <= d.exact() {
		return false
	}
	for s := i + 1; s < i+denseLines && s+denseLines <= count; s++ {
		if _, o, ok := d.arc(s, s+denseLines); ok && o*leaves < off {
			return true
		}
	}
	return false
}

// extend returns the farthest end of the run from i, known to reach j, and its
// arc.
func (d *denseFinder) extend(i, j, count int, r Run, off float64) (int, Run) {
	for j < count {
		next := min(count, i+2*(j-i))
		limit := min(d.same, max(d.exact(), leaves*off))
		q, o, ok := d.arc(i, next)
		if ok && o <= limit {
			j, r, off = next, q, o
			continue
		}
		lo, hi := j, next // lo is in, hi is out
		for hi-lo > 1 {
			m := (lo + hi) / 2
			if q, o, ok := d.arc(i, m); ok && o <= limit {
				lo, r = m, q
			} else {
				hi = m
			}
		}
		return lo, r
	}
	return j, r
}

// arc returns the arc over the points i..j of the stretch and the largest
// distance of the points from it, and false where there is none within same.
func (d *denseFinder) arc(i, j int) (r Run, off float64, ok bool) {
	a, b := d.pts[i], d.pts[j]
	first := math.Abs(d.bend[(d.at+i+1)%d.n])
	for k := i + 2; k < j; k++ { // cheap: vertices that cannot be of one arc
		if v := math.Abs(d.bend[(d.at+k)%d.n]); v > sameBend*sameBend*first || first > sameBend*sameBend*v {
			return r, 0, false
		}
	}
	var sum float64
	for k := i + 1; k < j; k++ {
		sum += d.turn[(d.at+k)%d.n]
	}
	l := a.Dist(b)
	if math.Abs(sum) >= 2*math.Pi || l == 0 {
		return r, 0, false
	}
	inner := d.pts[i+1 : j]
	half, _, ok := halfTurn(a, b, slices.Values(inner), d.same)
	if !ok || (half > 0) != (sum > 0) {
		return r, 0, false
	}
	k := 2 * math.Abs(math.Sin(half)) / l
	if !(k*l > 1e-3) && math.Abs(half) > math.Pi/2 {
		return r, 0, false // all but closed: the ends say nothing of the circle
	}
	r.Arc = arcFromTurn(a, b, 2*half)
	if r.Arc.IsLine() {
		return r, 0, false
	}
	ray := rayOf(r.Arc)
	for m, p := range inner {
		off = max(off, math.Abs(ray.off(p)))
		if !bends(d.bend[(d.at+i+1+m)%d.n], k) {
			return r, 0, false
		}
	}
	return r, off, off <= d.same
}

// rayOf returns the circle or line of a piece, seen from its start.
func rayOf(p geom.Piece) ray { return ray{p.A, p.TangentAt(0), p.Curvature()} }

// chordOff returns the largest distance of the points of the line pq from the
// ray's circle: at an end or at the foot of the perpendicular from the centre.
func (r ray) chordOff(p, q geom.Point) float64 {
	off := max(math.Abs(r.off(p)), math.Abs(r.off(q)))
	if r.k == 0 {
		return off
	}
	d := q.Sub(p)
	s := (d.Dot(r.t.Left())/r.k - p.Sub(r.a).Dot(d)) / d.Dot(d)
	if s > 0 && s < 1 {
		off = max(off, math.Abs(r.off(p.Lerp(q, s))))
	}
	return off
}
