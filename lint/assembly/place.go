package assembly

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom/plate"
	"sluice/lint/kit"
)

// maker rebuilds one kit.
type maker struct {
	kit           *kit.Kit
	t             float64     // thickness, mm
	round         uint64      // of putting the kit together in other ways
	wide          float64     // by which slots are wider than the sheet, mm
	drawn         [][]feature // by part, as they are drawn
	shapes        []alike
	shapeOf       []int           // by part: index in shapes, -1 of a part without joints
	mates         [][][]mate      // by shape and feature: what may meet it
	leanMates     [][][]mate      // by shape and feature: what may meet it at an angle; without poses
	askew         bool            // some may
	paired        map[[2]int]bool // shapes whose joints were matched by their lengths
	left          []int           // by shape: copies that stand nowhere yet
	rounds, tries uint64          // in which the kit, and each group, is put together at most
	brief         bool            // in fewer ways than it may be: groups that cannot be meant have no order found
	volumes       map[relation]float64
	looks         int // spent so far, in places looked at
}

// mate is a joint of another part that may meet one, and where its part comes to lie then,
// as the part of the one sees it.
type mate struct {
	shape, f int
	pose     plate.Pose
}

// stand is a placed part of a group.
type stand struct {
	shape  int
	part   int        // which copy it is, chosen when all stand
	copy   int        // index in the shape's copies
	pose   plate.Pose // of the pattern
	lo, hi plate.Vec
	open   []bool       // by feature: nothing meets it yet
	void   []bool       // by feature: what it is part of, or what is part of it, is met instead
	edges  map[int]bool // features that are edges which only what is missing shows to be some
}

// close notes that a joint is met: of an edge, so are its tabs and gaps, and the other way
// round. It returns what is open no more.
func (s *stand) close(m *maker, f int) (gone []int) {
	of := m.shapes[s.shape].of
	for k := range of {
		if k == f || s.open[k] && of[f].edge >= 0 && of[k].edge == of[f].edge && (of[k].kind == meets) != (of[f].kind == meets) {
			s.open[k], s.void[k] = false, k != f
			gone = append(gone, k)
		}
	}
	return gone
}

// met is a pair of joints that close.
type met struct {
	a, b       int // indices in the group's stands
	fa, fb     int // features
	off, angle float64
	slant      float64 // the angle between the parts, degrees; 0: square
	whole      bool    // the edges that they are part of meet
}

// proposal is where a part of a shape may go, by the joints that say so.
type proposal struct {
	shape  int
	pose   plate.Pose
	mid    plate.Vec // where its middle comes to lie
	lo, hi plate.Vec // as far as it reaches, once that is known
	known  bool
	votes  []vote
	worth  int  // joints that close if it is taken
	stale  bool // worth is to be counted anew
	bad    bool // it would be inside another part
	out    bool // it closed nothing, and is looked at no more
}

type vote struct{ stand, f, g int }

// clash is the volume, mm3, up to which plates only touch.
const clash = 0.5

// together is how far, mm, the middle of a part may be out for two joints to mean the
// same place.
const together = 0.6

// group is what hangs together.
type group struct {
	m      *maker
	stands []stand
	joints []met
	bins   map[[4]int32][]*proposal
	all    []*proposal
	by     map[[2]int][]*proposal // by stand and feature: what counts on it
	lo, hi plate.Vec
	try    uint64 // which of proposals alike is taken: 0 the one that others bear out, else by chance
	pool   []proposal
	noted  int // proposals
	asks   int // plates that its open joints ask for, and one; 0: not counted
}

// pair finds what may meet each joint of each shape.
func (m *maker) pair() {
	m.paired = map[[2]int]bool{}
	for _, p := range m.kit.Pairs {
		if a, b := m.shapeOf[p.PartA], m.shapeOf[p.PartB]; a >= 0 && b >= 0 {
			m.paired[[2]int{min(a, b), max(a, b)}] = true
		}
	}
	m.mates = make([][][]mate, len(m.shapes))
	for s := range m.shapes {
		a := &m.shapes[s]
		m.mates[s] = make([][]mate, len(a.of))
		for f := range a.of {
			for q := range m.shapes {
				b := &m.shapes[q]
				for h := range b.of {
					for _, pose := range m.poses(&a.of[f], &b.of[h]) {
						if !m.known(m.mates[s][f], q, pose) {
							m.mates[s][f] = append(m.mates[s][f], mate{q, h, pose})
						}
					}
				}
			}
		}
	}
}

// known reports whether a shape would lie just as it does in a pose listed already.
func (m *maker) known(all []mate, shape int, pose plate.Pose) bool {
	b := &m.shapes[shape]
	mid := pose.Apply(b.middle)
	for i := range all {
		o := &all[i]
		if o.shape != shape || o.pose.Apply(b.middle).Sub(mid).Norm() > 0.01 {
			continue
		}
		for k := range b.fits {
			if sameTurn(b.fits[k].pose.Then(o.pose), pose) {
				return true
			}
		}
	}
	return false
}

// mix makes one number of several that looks like chance, and is the same each time.
func mix(all ...uint64) uint64 {
	h := uint64(14695981039346656037)
	for _, v := range all {
		for range 8 {
			h = (h ^ v&0xff) * 1099511628211
			v >>= 8
		}
	}
	return h >> 12
}

// begin starts a group with a shape.
func (m *maker) begin(try uint64) *group {
	return &group{
		m: m, bins: map[[4]int32][]*proposal{}, by: map[[2]int][]*proposal{}, try: try,
		lo: plate.Vec{math.Inf(1), math.Inf(1), math.Inf(1)}, hi: plate.Vec{math.Inf(-1), math.Inf(-1), math.Inf(-1)},
	}
}

// grow adds parts until none can be.
func (g *group) grow() {
	for {
		if p := g.best(); p != nil {
			g.add(p.shape, p.pose, p.votes)
		} else if !g.lean() {
			return
		}
	}
}

// add stands a part where it goes and notes what it proposes.
func (g *group) add(shape int, pose plate.Pose, votes []vote) {
	m := g.m
	a := &m.shapes[shape]
	m.left[shape]--
	pose = g.between(shape, pose, votes)
	s := stand{shape: shape, pose: pose, open: make([]bool, len(a.of)), void: make([]bool, len(a.of))}
	s.lo, s.hi = a.plate.Extent(pose)
	for k := range 3 {
		g.lo[k], g.hi[k] = min(g.lo[k], s.lo[k]), max(g.hi[k], s.hi[k])
	}
	for i := range s.open {
		s.open[i] = true
	}
	at := len(g.stands)
	slices.SortStableFunc(votes, func(u, v vote) int { return cmp.Compare(g.part(v), g.part(u)) }) // whole edges first
	for _, v := range votes {
		if o := &g.stands[v.stand]; o.open[v.f] && s.open[v.g] {
			g.joints = append(g.joints, g.meeting(v, shape, pose, at))
			g.shut(v.stand, v.f)
			s.close(m, v.g)
		}
	}
	g.stands = append(g.stands, s)
	if m.askew {
		g.settle(at)
	}
	for f := range a.of {
		if !s.open[f] {
			continue
		}
		for i := range m.mates[shape][f] {
			x := &m.mates[shape][f][i]
			if m.left[x.shape] > 0 {
				g.propose(x.shape, x.pose.Then(pose), vote{at, f, x.f})
			}
		}
	}
}

// part returns 1 for an edge, 0 for what may be part of one.
func (g *group) part(v vote) int {
	if g.m.shapes[g.stands[v.stand].shape].of[v.f].kind == meets {
		return 1
	}
	return 0
}

// meeting measures a joint that closes: how far apart its halves are.
func (g *group) meeting(v vote, shape int, pose plate.Pose, at int) met {
	m := g.m
	s := &g.stands[v.stand]
	out := met{a: v.stand, b: at, fa: v.f, fb: v.g}
	if off, angle, ok := crossed(&m.shapes[s.shape].of[v.f], s.pose, &m.shapes[shape].of[v.g], pose); ok && m.leans(&m.shapes[s.shape].of[v.f], &m.shapes[shape].of[v.g]) {
		out.off, out.slant = off, angle
		return out
	}
	best := math.Inf(1)
	for _, rel := range m.poses(&m.shapes[s.shape].of[v.f], &m.shapes[shape].of[v.g]) {
		want := rel.Then(s.pose)
		mid := m.shapes[shape].of[v.g].at
		if d := want.Apply(mid).Sub(pose.Apply(mid)).Norm(); d < best && sameTurn(want, pose) {
			best = d
			out.off, out.angle = d, apartBy(want, pose)
		}
	}
	return out
}

// between returns the pose moved to the mean of where its votes would have it.
func (g *group) between(shape int, pose plate.Pose, votes []vote) plate.Pose {
	m := g.m
	mid := pose.Apply(m.shapes[shape].middle)
	var sum plate.Vec
	n := 0
	for _, v := range votes {
		s := &g.stands[v.stand]
		for _, rel := range m.poses(&m.shapes[s.shape].of[v.f], &m.shapes[shape].of[v.g]) {
			want := rel.Then(s.pose)
			if d := want.Apply(m.shapes[shape].middle).Sub(mid); sameTurn(want, pose) && d.Norm() <= together {
				sum = sum.Add(d)
				n++
				break
			}
		}
	}
	if n > 1 && sum.Norm() > 0.01*float64(n) {
		pose.T = pose.T.Add(sum.Mul(1 / float64(n)))
	}
	return pose
}

// apartBy returns the angle by which two poses are turned to each other, degrees.
func apartBy(a, b plate.Pose) float64 {
	trace := a.R[0].Dot(b.R[0]) + a.R[1].Dot(b.R[1]) + a.R[2].Dot(b.R[2])
	return math.Acos(min(1, max(-1, (trace-1)/2))) * 180 / math.Pi
}

func sameTurn(a, b plate.Pose) bool {
	return a.R[0].Dot(b.R[0]) > 0.999 && a.R[1].Dot(b.R[1]) > 0.999
}

// bin is where in a table of places one is looked for.
func bin(shape int, mid plate.Vec) [4]int32 {
	at := func(x float64) int32 { return int32(math.Floor(x / (4 * together))) }
	return [4]int32{int32(shape), at(mid[0]), at(mid[1]), at(mid[2])}
}

// find returns the proposal of a shape that lies like a pose, and by which of its fits.
func (g *group) find(shape int, pose plate.Pose, mid plate.Vec) (*proposal, *fit) {
	a := &g.m.shapes[shape]
	key := bin(shape, mid)
	var from, to [3]int32
	for k := range 3 { // only bins that are near enough
		rest := mid[k] - 4*together*float64(key[k+1])
		if rest < together {
			from[k] = -1
		}
		if rest > 3*together {
			to[k] = 1
		}
	}
	for dx := from[0]; dx <= to[0]; dx++ {
		for dy := from[1]; dy <= to[1]; dy++ {
			for dz := from[2]; dz <= to[2]; dz++ {
				for _, p := range g.bins[[4]int32{key[0], key[1] + dx, key[2] + dy, key[3] + dz}] {
					if p.mid.Sub(mid).Norm() > together {
						continue
					}
					for i := range a.fits {
						if sameTurn(a.fits[i].pose.Then(p.pose), pose) {
							return p, &a.fits[i]
						}
					}
				}
			}
		}
	}
	return nil, nil
}

// mostNoted bounds the places that are noted, and with them memory: of a kit with so many
// the first parts propose where all others go.
const mostNoted = 700_000

// propose notes where a joint would have a part.
func (g *group) propose(shape int, pose plate.Pose, v vote) {
	g.m.looks++
	mid := pose.Apply(g.m.shapes[shape].middle)
	p, f := g.find(shape, pose, mid)
	if p != nil {
		if p.bad {
			return
		}
		v.g = f.perm[v.g]
		p.stale = true
		if p.out {
			p.out = false
			g.all = append(g.all, p)
		}
	} else {
		if g.noted++; g.noted > mostNoted {
			return
		}
		if len(g.pool) == cap(g.pool) {
			g.pool = make([]proposal, 0, 256)
		}
		g.pool = append(g.pool, proposal{shape: shape, pose: pose, mid: mid, worth: 1, stale: false})
		p = &g.pool[len(g.pool)-1]
		key := bin(shape, mid)
		g.bins[key] = append(g.bins[key], p)
		g.all = append(g.all, p)
	}
	p.votes = append(p.votes, v)
	key := [2]int{v.stand, v.f}
	g.by[key] = append(g.by[key], p)
}

// corners is how much of a cube of the sheet's thickness rounded corners of one joint may
// be in the way: they are eased by hand, or by the taper of the cut.
const corners = 0.05

// scrapes returns the volume, mm3, by which two parts with n joints may be in each other
// and still go together.
func (m *maker) scrapes(n int) float64 { return clash + float64(n)*corners*m.t*m.t*m.t }

// apart reports whether two boxes have nothing in common.
func apart(alo, ahi, blo, bhi plate.Vec) bool {
	for k := range 3 {
		if alo[k] >= bhi[k]-1e-9 || blo[k] >= ahi[k]-1e-9 {
			return true
		}
	}
	return false
}
