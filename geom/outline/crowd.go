package outline

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
)

// A crowd is a box in which too many pieces lie to compare all pairs. It is
// parted until its boxes are quiet or small:
//
//   - few pieces: all pairs are compared;
//   - no ends in the box: each piece runs through it from border to border. If no
//     two of these chords interleave along the border, and no two that lie next to
//     each other cross, then none cross: a curve that reached another past those
//     between would have to cross them first. That settles bundles, fans and nested
//     rings in the time it takes to sort them;
//   - smaller than a few times the tolerance: what is in it meets in one place.
const (
	fewPieces  = 32
	crowdDepth = 44
)

// visit compares what lies in a box. Whatever is found is kept only if its place
// lies in the box (lower and left borders included).
func (c *comparer) visit(items []int32, box geom.Box, depth int) {
	c.own = box
	if len(items) <= fewPieces {
		c.allPairs(items)
		return
	}
	ends := c.endsIn(items, box)
	if ends == 0 && c.quiet(items, box) {
		return
	}
	size := max(box.W(), box.H())
	if size <= 8*c.same || depth >= crowdDepth {
		c.onePlace(items, box)
		return
	}
	k := 2
	if ends > len(items)/2 { // short pieces: part at once as far as their number asks
		k = max(2, min(8, int(math.Sqrt(float64(len(items)/8)))))
	}
	for _, sub := range c.part(items, box, k) {
		if len(sub.items) > 1 {
			c.visit(sub.items, sub.box, depth+1)
		}
	}
}

// inBox reports whether the box owns p.
func inBox(b *geom.Box, p geom.Point) bool {
	return p.X >= b.Min.X && p.X < b.Max.X && p.Y >= b.Min.Y && p.Y < b.Max.Y
}

// endsIn counts the ends in a box; those of full circles are no ends.
func (c *comparer) endsIn(items []int32, box geom.Box) int {
	grown := box.Inflate(2 * c.same)
	n := 0
	for _, i := range items {
		p := c.piece(int(i))
		if p.IsCircle() {
			if grown.ContainsBox(c.boxes[i]) {
				n++ // wholly inside: no chord of the box
			}
			continue
		}
		if grown.Contains(p.A) {
			n++
		}
		if grown.Contains(p.B) {
			n++
		}
	}
	return n
}

type subBox struct {
	box   geom.Box
	items []int32
}

// part splits a box into k by k and shares the items out.
func (c *comparer) part(items []int32, box geom.Box, k int) []subBox {
	subs := make([]subBox, k*k)
	w, h := box.W()/float64(k), box.H()/float64(k)
	edge := func(lo, step, hi float64, i int) float64 {
		if i == k {
			return hi
		}
		return lo + step*float64(i)
	}
	for r := range k {
		for q := range k {
			subs[r*k+q].box = geom.Box{
				Min: geom.Pt(edge(box.Min.X, w, box.Max.X, q), edge(box.Min.Y, h, box.Max.Y, r)),
				Max: geom.Pt(edge(box.Min.X, w, box.Max.X, q+1), edge(box.Min.Y, h, box.Max.Y, r+1)),
			}
		}
	}
	at := func(v, lo, step float64) int { return max(0, min(k-1, int((v-lo)/step))) }
	for _, i := range items {
		b := c.boxes[i].Inflate(2 * c.same)
		q0, q1 := at(b.Min.X, box.Min.X, w), at(b.Max.X, box.Min.X, w)
		r0, r1 := at(b.Min.Y, box.Min.Y, h), at(b.Max.Y, box.Min.Y, h)
		for r := r0; r <= r1; r++ {
			for q := q0; q <= q1; q++ {
				s := &subs[r*k+q]
				if q0 == q1 && r0 == r1 || touchesBox(c.piece(int(i)), s.box.Inflate(2*c.same)) {
					s.items = append(s.items, i)
				}
			}
		}
	}
	return subs
}

// touchesBox reports whether a piece comes into a box.
func touchesBox(p *geom.Piece, b geom.Box) bool {
	if b.Contains(p.A) || b.Contains(p.B) {
		return true
	}
	if p.R == 0 {
		_, _, ok := clipLine(p, &b)
		return ok
	}
	// The nearest and furthest points of the box from the centre bound the radii
	// that reach it.
	dx := max(b.Min.X-p.C.X, 0, p.C.X-b.Max.X)
	dy := max(b.Min.Y-p.C.Y, 0, p.C.Y-b.Max.Y)
	fx := max(math.Abs(b.Min.X-p.C.X), math.Abs(b.Max.X-p.C.X))
	fy := max(math.Abs(b.Min.Y-p.C.Y), math.Abs(b.Max.Y-p.C.Y))
	if dx*dx+dy*dy > p.R*p.R || fx*fx+fy*fy < p.R*p.R {
		return false
	}
	if p.IsCircle() {
		return true
	}
	_, n := borderCrossings(p, &b)
	return n > 0
}

// clipLine returns the shares of the line inside the box (Liang and Barsky's
// method).
func clipLine(p *geom.Piece, b *geom.Box) (t0, t1 float64, ok bool) {
	d := p.B.Sub(p.A)
	t0, t1 = 0, 1
	for _, s := range [4][2]float64{{-d.X, p.A.X - b.Min.X}, {d.X, b.Max.X - p.A.X}, {-d.Y, p.A.Y - b.Min.Y}, {d.Y, b.Max.Y - p.A.Y}} {
		switch {
		case s[0] == 0:
			if s[1] < 0 {
				return 0, 0, false
			}
		case s[0] < 0:
			t0 = max(t0, s[1]/s[0])
		default:
			t1 = min(t1, s[1]/s[0])
		}
	}
	return t0, t1, t0 <= t1
}

// borderCrossings returns the shares at which an arc meets the border of a box,
// at most eight.
func borderCrossings(p *geom.Piece, b *geom.Box) (ts [8]float64, n int) {
	add := func(x, y float64) {
		d := geom.Pt(x-p.C.X, y-p.C.Y)
		if n < len(ts) && p.SweepsOver(d) {
			ts[n] = p.ShareOf(d)
			n++
		}
	}
	for _, x := range [2]float64{b.Min.X, b.Max.X} {
		if d := x - p.C.X; math.Abs(d) < p.R {
			h := math.Sqrt((p.R - d) * (p.R + d))
			for _, y := range [2]float64{p.C.Y - h, p.C.Y + h} {
				if y >= b.Min.Y && y <= b.Max.Y {
					add(x, y)
				}
			}
		}
	}
	for _, y := range [2]float64{b.Min.Y, b.Max.Y} {
		if d := y - p.C.Y; math.Abs(d) < p.R {
			h := math.Sqrt((p.R - d) * (p.R + d))
			for _, x := range [2]float64{p.C.X - h, p.C.X + h} {
				if x > b.Min.X && x < b.Max.X {
					add(x, y)
				}
			}
		}
	}
	return ts, n
}

// chord is one passage of a piece through a box: where it enters and leaves, as
// places along the border.
type chord struct {
	piece int32
	u, v  float64
}

// stop is an end of a chord on the border.
type stop struct {
	at    float64
	chord int32
}

// opened is a chord in the list of those that are open.
type opened struct {
	met        bool
	prev, next int32
}

// quiet reports whether no two pieces cross in a box in which none ends. Where a
// few do, they are compared and told, and the box is quiet all the same.
func (c *comparer) quiet(items []int32, box geom.Box) bool {
	b := box.Inflate(c.same)
	chords := c.chords[:0]
	curved := false
	for _, i := range items {
		p := c.piece(int(i))
		if p.R == 0 {
			t0, t1, ok := clipLine(p, &b)
			if !ok || t1-t0 <= 0 {
				continue
			}
			chords = append(chords, chord{i, along(&b, p.At(t0)), along(&b, p.At(t1))})
			continue
		}
		curved = true
		ts, n := borderCrossings(p, &b)
		if n%2 != 0 {
			return false // it touches a corner or a side: part the box further
		}
		slices.Sort(ts[:n])
		from := 0
		if n > 0 && !b.Contains(p.At((ts[0]+ts[1%n])/2)) {
			from = 1 // a circle that is inside at its start
		}
		for k := from; k < n; k += 2 {
			chords = append(chords, chord{i, along(&b, p.At(ts[k])), along(&b, p.At(ts[(k+1)%n]))})
		}
	}
	c.chords = chords
	for k := range chords {
		if chords[k].u > chords[k].v {
			chords[k].u, chords[k].v = chords[k].v, chords[k].u
		}
	}
	return c.apart(chords, curved)
}

// along returns the place of a border point along the border, 0 to 4.
func along(b *geom.Box, p geom.Point) float64 {
	x := (p.X - b.Min.X) / b.W()
	y := (p.Y - b.Min.Y) / b.H()
	switch m := min(x, 1-x, y, 1-y); m {
	case y:
		return x
	case 1 - x:
		return 1 + y
	case 1 - y:
		return 3 - x
	default:
		return 4 - y
	}
}

// apart runs once round the border. Chords that are open when another closes and
// were opened after it cross it.
func (c *comparer) apart(chords []chord, curved bool) bool {
	stops := slices.Grow(c.stops[:0], 2*len(chords))
	for k, ch := range chords {
		stops = append(stops, stop{ch.u, int32(k)}, stop{ch.v, int32(k)})
	}
	c.stops = stops
	slices.SortFunc(stops, func(a, b stop) int {
		switch {
		case a.at < b.at:
			return -1
		case a.at > b.at:
			return 1
		}
		return cmp.Compare(a.chord, b.chord)
	})
	// Open chords as a linked list in the order of opening.
	c.open = slices.Grow(c.open[:0], len(chords))[:len(chords)]
	clear(c.open)
	open := c.open
	last := int32(-1)
	budget := 8 * len(chords)
	found := c.found[:0]
	defer func() { c.found = found }()
	// Neighbours: along the border, each chord and the next stop's.
	for k := range stops {
		ch := stops[k].chord
		if !open[ch].met {
			open[ch] = opened{met: true, prev: last, next: -1}
			if last >= 0 {
				open[last].next = ch
			}
			last = ch
			continue
		}
		for o := last; o != ch; o = open[o].prev {
			if budget--; budget < 0 || curved {
				return false
			}
			found = append(found, [2]int32{chords[o].piece, chords[ch].piece})
		}
		p, n := open[ch].prev, open[ch].next
		if p >= 0 {
			open[p].next = n
		}
		if n >= 0 {
			open[n].prev = p
		} else {
			last = p
		}
	}
	if curved {
		pairs, ok := facing(chords)
		if !ok {
			return false
		}
		found = append(found, pairs...)
	}
	for _, f := range found {
		if f[0] != f[1] {
			c.pair(min(f[0], f[1]), max(f[0], f[1]))
		}
	}
	return true
}

// facing returns the pairs of chords that bound one face of a box parted by
// chords that do not interleave: each chord with the one around it, and those
// side by side within the same one. ok is false where too many share a face.
func facing(chords []chord) (pairs [][2]int32, ok bool) {
	const most = 6
	order := make([]int32, len(chords))
	for k := range order {
		order[k] = int32(k)
	}
	slices.SortFunc(order, func(a, b int32) int {
		return cmp.Or(cmp.Compare(chords[a].u, chords[b].u), cmp.Compare(chords[b].v, chords[a].v), cmp.Compare(a, b))
	})
	var stack []int32
	kids := map[int32][]int32{} // chord (or -1) -> chords directly within it
	for _, k := range order {
		for len(stack) > 0 && chords[stack[len(stack)-1]].v < chords[k].u {
			stack = stack[:len(stack)-1]
		}
		around := int32(-1)
		if len(stack) > 0 {
			around = stack[len(stack)-1]
		}
		kids[around] = append(kids[around], k)
		stack = append(stack, k)
	}
	for _, k := range append([]int32{-1}, order...) {
		list := kids[k]
		if len(list) > most {
			return nil, false
		}
		for x, i := range list {
			if k >= 0 {
				pairs = append(pairs, [2]int32{chords[k].piece, chords[i].piece})
			}
			for _, j := range list[x+1:] {
				pairs = append(pairs, [2]int32{chords[i].piece, chords[j].piece})
			}
		}
	}
	return pairs, true
}

// onePlace tells what a box hardly larger than the tolerance holds: pieces that
// pass cross there, ends touch what passes, and pieces that leave one node in the
// same direction lie on each other.
func (c *comparer) onePlace(items []int32, box geom.Box) {
	var through, ending []int32
	for _, i := range items {
		p := c.piece(int(i))
		switch {
		case !p.IsCircle() && (box.Contains(p.A) || box.Contains(p.B)):
			ending = append(ending, i)
		case touchesBox(p, box):
			through = append(through, i)
		}
	}
	// Whatever passes is compared with a few of the longest that pass: enough to
	// name them all at the one place where they cross.
	const pivots = 3
	c.byLength(through)
	for x := range min(pivots, len(through)) {
		for _, j := range through[x+1:] {
			c.pair(min(through[x], j), max(through[x], j))
		}
	}
	for _, i := range ending {
		for x := range min(16, len(through)) {
			c.pair(min(i, through[x]), max(i, through[x]))
		}
	}
	c.fans(ending, box)
}

func (c *comparer) byLength(items []int32) {
	slices.SortFunc(items, func(a, b int32) int {
		return cmp.Or(cmp.Compare(c.piece(int(b)).Length(), c.piece(int(a)).Length()), cmp.Compare(a, b))
	})
}

// fans compares pieces that end in one box by the direction in which they leave:
// only those within reach of each other along their whole length can lie on each
// other.
func (c *comparer) fans(items []int32, box geom.Box) {
	type ray struct {
		i        int32
		dir, len float64
	}
	rays := make([]ray, 0, len(items))
	for _, i := range items {
		p := *c.piece(int(i))
		if !box.Contains(p.A) {
			p = p.Reverse()
		}
		rays = append(rays, ray{i, p.At(min(1, 0.5)).Sub(p.A).Angle(), p.Length()})
	}
	slices.SortFunc(rays, func(a, b ray) int {
		return cmp.Or(cmp.Compare(a.dir, b.dir), cmp.Compare(a.i, b.i))
	})
	n := len(rays)
	for x := range rays {
		reach := min(math.Pi/8, 4*c.same/max(rays[x].len, 5*c.same))
		for step := 1; step < min(n, 64); step++ {
			y := (x + step) % n
			turn := math.Mod(rays[y].dir-rays[x].dir+4*math.Pi, 2*math.Pi)
			if turn > max(reach, min(math.Pi/8, 4*c.same/max(rays[y].len, 5*c.same))) {
				break
			}
			c.pair(min(rays[x].i, rays[y].i), max(rays[x].i, rays[y].i))
		}
	}
}
