package assembly

import (
	"math"
	"slices"

	"sluice/geom/plate"
	"sluice/lint/kit"
)

// maker rebuilds one kit.
type maker struct {
	kit    *kit.Kit
	t      float64 // thickness, mm
	play   float64 // by which slots are longer than their tabs, mm
	of     [][]feature
	plates []*plate.Plate
	placed []bool
}

// placed part of a group.
type stand struct {
	part   int
	pose   plate.Pose
	lo, hi plate.Vec
	open   []bool // by feature: nothing meets it yet
	others int    // other ways in which it would have closed as many joints
}

// met is a pair of joints that close.
type met struct {
	a, b       int // indices in the group's stands
	fa, fb     int // features
	off, angle float64
}

// proposal is where a part may go, by the joints that say so.
type proposal struct {
	part  int
	pose  plate.Pose
	mid   plate.Vec // where its middle comes to lie
	votes []vote
	bad   bool // it would be inside another part
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
	bins   map[[4]int][]*proposal
	all    []*proposal
	was    []bool // what stood before it was put together
	try    uint64 // which of proposals alike is taken: 0 the most compact, else another
}

// mostTries is how often a group is put together in other ways where joints stay open.
const mostTries = 14

// build puts together what hangs together with a part: where joints stay open, in other
// ways too, of which the one counts that closes most.
func (m *maker) build(first int, round uint64) *group {
	var best *group
	was := slices.Clone(m.placed)
	for n := range uint64(mostTries) {
		copy(m.placed, was)
		try := n
		if round > 0 {
			try += round * 1000
		}
		g := m.tried(first, try, false)
		if best == nil || len(g.joints) > len(best.joints) || len(g.joints) == len(best.joints) && len(g.stands) > len(best.stands) {
			best = g
		}
		if len(g.stands) < 2 || best.closed() {
			break
		}
	}
	copy(m.placed, was)
	for i := range best.stands {
		m.placed[best.stands[i].part] = true
	}
	best.was = was
	return best
}

// counted puts a group together once more, the same way, and counts in how many other
// ways each part would have gone.
func (g *group) counted() *group {
	m := g.m
	now := slices.Clone(m.placed)
	copy(m.placed, g.was)
	again := m.tried(g.stands[0].part, g.try, true)
	copy(m.placed, now)
	return again
}

// closed reports whether every joint of the group meets another.
func (g *group) closed() bool {
	for i := range g.stands {
		if slices.Contains(g.stands[i].open, true) {
			return false
		}
	}
	return true
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

// tried puts a group together in one way; count says whether other ways are counted.
func (m *maker) tried(first int, try uint64, count bool) *group {
	g := &group{m: m, bins: map[[4]int][]*proposal{}, try: try}
	g.add(first, plate.Still(), nil)
	for {
		p := g.best()
		if p == nil {
			return g
		}
		others := 0
		if count {
			others = g.others(p)
		}
		g.add(p.part, p.pose, p.votes)
		g.stands[len(g.stands)-1].others = others
	}
}

// add stands a part where it goes and notes what it proposes.
func (g *group) add(part int, pose plate.Pose, votes []vote) {
	m := g.m
	m.placed[part] = true
	s := stand{part: part, pose: pose, open: make([]bool, len(m.of[part]))}
	s.lo, s.hi = m.plates[part].Extent(pose)
	for i := range s.open {
		s.open[i] = true
	}
	at := len(g.stands)
	for _, v := range votes {
		if g.stands[v.stand].open[v.f] && s.open[v.g] {
			g.stands[v.stand].open[v.f], s.open[v.g] = false, false
			g.joints = append(g.joints, g.meeting(v, part, pose, at))
		}
	}
	g.stands = append(g.stands, s)
	for f := range m.of[part] {
		if !s.open[f] {
			continue
		}
		for q := range m.of {
			if m.placed[q] {
				continue
			}
			for h := range m.of[q] {
				for _, rel := range m.poses(&m.of[part][f], &m.of[q][h]) {
					g.propose(q, rel.Then(pose), vote{at, f, h})
				}
			}
		}
	}
}

// meeting measures a joint that closes: how far apart its halves are.
func (g *group) meeting(v vote, part int, pose plate.Pose, at int) met {
	m := g.m
	s := &g.stands[v.stand]
	best, turned := math.Inf(1), 0.0
	for _, rel := range m.poses(&m.of[s.part][v.f], &m.of[part][v.g]) {
		want := rel.Then(s.pose)
		mid := m.of[part][v.g].at
		if d := want.Apply(mid).Sub(pose.Apply(mid)).Norm(); d < best && sameTurn(want, pose) {
			best = d
			turned = math.Acos(min(1, max(-1, want.R[2].Dot(pose.R[2])))) * 180 / math.Pi
		}
	}
	if math.IsInf(best, 1) {
		best = 0
	}
	return met{a: v.stand, b: at, fa: v.f, fb: v.g, off: best, angle: turned}
}

func sameTurn(a, b plate.Pose) bool {
	return a.R[0].Dot(b.R[0]) > 0.999 && a.R[1].Dot(b.R[1]) > 0.999
}

// propose notes where a joint would have a part.
func (g *group) propose(part int, pose plate.Pose, v vote) {
	b := &g.m.kit.Sheet.Parts[part].Box
	c := b.Center()
	mid := pose.Apply(plate.Vec{c.X, c.Y, g.m.t / 2})
	bin := func(x float64) int { return int(math.Floor(x / (2 * together))) }
	x, y, z := bin(mid[0]), bin(mid[1]), bin(mid[2])
	for dx := -1; dx <= 1; dx++ {
		for dy := -1; dy <= 1; dy++ {
			for dz := -1; dz <= 1; dz++ {
				for _, p := range g.bins[[4]int{part, x + dx, y + dy, z + dz}] {
					if p.mid.Sub(mid).Norm() <= together && sameTurn(p.pose, pose) {
						p.votes = append(p.votes, v)
						return
					}
				}
			}
		}
	}
	p := &proposal{part: part, pose: pose, mid: mid, votes: []vote{v}}
	key := [4]int{part, x, y, z}
	g.bins[key] = append(g.bins[key], p)
	g.all = append(g.all, p)
}

// worth counts the joints that close if a proposal is taken, each once.
func (g *group) worth(p *proposal) int {
	if len(p.votes) == 1 {
		if v := p.votes[0]; !g.stands[v.stand].open[v.f] {
			return 0
		}
		return 1
	}
	n := 0
	own := map[int]bool{}
	theirs := map[[2]int]bool{}
	for _, v := range p.votes {
		if key := [2]int{v.stand, v.f}; g.stands[v.stand].open[v.f] && !own[v.g] && !theirs[key] {
			own[v.g], theirs[key] = true, true
			n++
		}
	}
	return n
}

// best returns the proposal on which most joints agree, of those alike the one that
// keeps the whole smallest; nil where none can be taken.
func (g *group) best() *proposal {
	for {
		var best *proposal
		most, share, size := 0, 0.0, 0.0
		live := g.all[:0]
		for _, p := range g.all {
			if p.bad || g.m.placed[p.part] {
				continue
			}
			live = append(live, p)
			n := g.worth(p)
			if n == 0 || n < most {
				continue
			}
			r := float64(n) / float64(len(g.m.of[p.part]))
			if n == most && r < share-1e-9 {
				continue
			}
			v := g.grown(p)
			if g.try > 0 {
				v = float64(mix(g.try, uint64(p.part), uint64(p.votes[0].f), uint64(int64(p.mid[0]*8)), uint64(int64(p.mid[2]*8))))
			}
			if n == most && math.Abs(r-share) < 1e-9 && v >= size-1e-6 {
				continue
			}
			best, most, share, size = p, n, r, v
		}
		g.all = live
		if best == nil {
			return nil
		}
		if !g.inside(best) {
			return best
		}
		best.bad = true
	}
}

// others counts the other ways in which the part of a proposal would close as many
// joints without being inside another.
func (g *group) others(p *proposal) (n int) {
	want := g.worth(p)
	for _, o := range g.all {
		if o != p && !o.bad && o.part == p.part && g.worth(o) == want && !g.inside(o) {
			n++
		}
	}
	return n
}

// grown returns how large the box around all would be, as the sum of its sides.
func (g *group) grown(p *proposal) float64 {
	lo, hi := g.m.plates[p.part].Extent(p.pose)
	for i := range g.stands {
		s := &g.stands[i]
		for k := range 3 {
			lo[k], hi[k] = min(lo[k], s.lo[k]), max(hi[k], s.hi[k])
		}
	}
	return hi[0] - lo[0] + hi[1] - lo[1] + hi[2] - lo[2]
}

// inside reports whether a part would be inside one that stands.
func (g *group) inside(p *proposal) bool {
	lo, hi := g.m.plates[p.part].Extent(p.pose)
	for i := range g.stands {
		s := &g.stands[i]
		if apart(lo, hi, s.lo, s.hi) {
			continue
		}
		n := 0 // joints with it, whose rounded corners scrape
		for _, v := range p.votes {
			if v.stand == i {
				n++
			}
		}
		if plate.Overlap(g.m.plates[s.part], s.pose, g.m.plates[p.part], p.pose) > g.m.scrapes(n) {
			return true
		}
	}
	return false
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
