package paths

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/clear"
)

// leadLoop gives a closed run its leads and starts it there: small holes from their
// middle; a perimeter at a corner of the part, where a mark shows least, along the
// side that follows; else where an arc can meet the run along it, or a line.
func (f *Finder) leadLoop(c *Cut) {
	o := &f.sheet.Outlines[c.Outline]
	if c.Kind == Inside && !f.nested[c.Outline] {
		ctr, r := clear.LargestCircle(o.Pieces, 1e-3)
		if r <= f.p.Kerf/2+f.p.lead() && f.leadFromCentre(c, ctr) {
			return
		}
	}
	if c.Kind == Outside && !c.Chamber {
		if starts, _ := corners(c.Run, f.p.Kerf); f.leadAt(c, starts, cornerShapes) {
			return
		}
	}
	starts := candidates(c.Run, f.p.Kerf)
	if f.leadAt(c, starts, closedShapes) {
		return
	}
	if c.Kind == Inside {
		ctr, _ := clear.LargestCircle(c.Run, 1e-3)
		if f.leadFromCentre(c, ctr) {
			return
		}
	}
	c.NoRoom = true
	f.startBare(c, starts)
	c.Over = f.overlap(c)
}

// leadAt begins a closed run at the first of the places at which a lead of one of the
// shapes is clear, long ones before short ones.
func (f *Finder) leadAt(c *Cut, starts []spot, shapes []shape) bool {
	for _, share := range shares {
		length := share * f.p.lead()
		for _, lead := range shapes {
			for _, s := range starts {
				p, t := c.Run[s.piece].At(s.t), c.Run[s.piece].TangentAt(s.t)
				in := lead(p, t, length)
				if !f.usable(in, c.Outline, nil) {
					continue
				}
				c.Run, c.In = startedAt(c.Run, s), in
				c.Over = f.overlap(c)
				c.Out = f.leadOut(c, length)
				return true
			}
		}
	}
	return false
}

// leadFromCentre leads straight from a place in a hole to the run, which is how
// small holes are begun.
func (f *Finder) leadFromCentre(c *Cut, ctr geom.Point) bool {
	best, at := math.Inf(1), spot{}
	for i := range c.Run {
		if n, t := c.Run[i].Nearest(ctr); n.Dist(ctr) < best-weld {
			best, at = n.Dist(ctr), spot{i, t}
		}
	}
	if best < 2*weld {
		return false
	}
	p := c.Run[at.piece].At(at.t)
	in := geom.Path{geom.Line(ctr, p)}
	if !f.usable(in, c.Outline, nil) {
		return false
	}
	c.Run, c.In = startedAt(c.Run, at), in
	c.Over = f.overlap(c)
	end, _ := c.end()
	out := geom.Path{geom.Line(end, end.Lerp(ctr, 0.5))}
	if out.Length() > weld && f.clear(out, c.Outline, nil) {
		c.Out = out
	}
	return true
}

// startBare begins a run without a lead where the hole of the pierce takes from
// nothing but the part itself, which must suffer it, if there is such a place.
func (f *Finder) startBare(c *Cut, starts []spot) {
	for _, s := range starts {
		if f.pierceSpares(c.Run[s.piece].At(s.t), c.Outline, nil) {
			c.Run = startedAt(c.Run, s)
			return
		}
	}
}

// overlap returns the beginning of a closed run, to be run once more: what is cut
// already, so that it comes nearer to nothing.
func (f *Finder) overlap(c *Cut) geom.Path {
	l := c.Run.Length()
	return stretchOf(c.Run, 0, min(f.p.Overlap, l/2))
}

// end returns where the run, with its overlap, ends, and in which direction.
func (c *Cut) end() (at, dir geom.Point) {
	last := &c.Run[len(c.Run)-1]
	if n := len(c.Over); n > 0 {
		last = &c.Over[n-1]
	}
	return last.B, last.TangentAt(1)
}

// leadOut leads away from the end of a closed run, on an arc or a line; else, where
// that lies at its start, back along the lead-in, which is clear since it is cut;
// else nowhere: the stream is shut in the cut.
func (f *Finder) leadOut(c *Cut, length float64) geom.Path {
	p, t := c.end()
	for _, out := range [...]geom.Path{
		arcLead(p, t.Mul(-1), length/2, true).Reverse(),
		lineOut(p, t, length/2, math.Pi/6),
		lineOut(p, t, length/2, math.Pi/2),
	} {
		if f.clear(out, c.Outline, nil) {
			return out
		}
	}
	if len(c.Over) > 0 {
		return nil
	}
	back := c.In.Reverse()
	return stretchOf(back, 0, back.Length()/2)
}

// shape is a way to lead in to a place p with the direction of travel t.
type shape func(p, t geom.Point, length float64) geom.Path

// closedShapes are the lead-ins tried along a closed run, cornerShapes those at the
// corners of a part: first in line with the side that follows.
var (
	closedShapes = []shape{
		func(p, t geom.Point, l float64) geom.Path { return arcLead(p, t, l, false) },
		func(p, t geom.Point, l float64) geom.Path { return lineLead(p, t, l, math.Pi/2) },
		func(p, t geom.Point, l float64) geom.Path { return lineLead(p, t, l, math.Pi/6) },
	}
	cornerShapes = []shape{
		func(p, t geom.Point, l float64) geom.Path { return lineLead(p, t, l, 0) },
		func(p, t geom.Point, l float64) geom.Path { return lineLead(p, t, l, math.Pi/6) },
	}
)

// spot is a place on a run.
type spot struct {
	piece int
	t     float64
}

// mostCandidates bounds the places tried on a run.
const mostCandidates = 24

// candidates returns places to start a closed run at, best first: the middles of
// long pieces, straight ones before bent, then places nearer to their ends.
func candidates(run geom.Path, kerf float64) []spot {
	order := make([]int, len(run))
	length := make([]float64, len(run))
	for i := range run {
		order[i] = i
		length[i] = run[i].Length()
		if run[i].R > 0 {
			length[i] /= 2 // a mark shows more on a curve
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(length[b], length[a]) })
	order = order[:min(len(order), mostCandidates)]
	var out []spot
	for _, t := range [...]float64{0.5, 0.15, 0.85} {
		for _, i := range order {
			if t == 0.5 || run[i].Length() > 4*kerf {
				out = append(out, spot{i, t})
			}
		}
	}
	return out
}

// sharp is by how much a part turns, at least, where it has a corner to start at.
const sharp = math.Pi / 3

// corners returns the places behind the corners of a part, those between long sides
// first: a corner of a tab of a joint is a poor place for a mark. The sides of the
// first good ones are at least half as long as those of the best.
func corners(run geom.Path, kerf float64) (out []spot, good int) {
	n := len(run)
	side := map[int]float64{} // by piece behind the corner: the shorter side
	for i := range run {
		if !rolled(&run[i], kerf) {
			continue
		}
		before, after := (i+n-1)%n, (i+1)%n
		side[after] = min(run[before].Length(), run[after].Length())
		if side[after] > 2*kerf {
			out = append(out, spot{after, 0})
		}
	}
	slices.SortStableFunc(out, func(a, b spot) int { return cmp.Compare(side[b.piece], side[a.piece]) })
	out = out[:min(len(out), mostCandidates)]
	for good < len(out) && side[out[good].piece] >= side[out[0].piece]/2 {
		good++
	}
	return out, good
}

// rolled reports whether a piece of a run leads round a corner: on an arc of half a
// kerf.
func rolled(p *geom.Piece, kerf float64) bool {
	return p.R > 0 && math.Abs(p.R-kerf/2) <= weld && p.Sweep >= sharp
}

// nearCorners begins the perimeters that begin at a corner at another as good, where
// that shortens the way of the head from the cut before to the cut behind.
func (f *Finder) nearCorners(cuts []Cut) {
	for i := range cuts {
		c := &cuts[i]
		if c.Kind != Outside || !c.Closed || c.Chamber || c.NoRoom || !rolled(&c.Run[len(c.Run)-1], f.p.Kerf) {
			continue
		}
		way := func(c *Cut) (l float64) {
			if i > 0 {
				l += cuts[i-1].End().Dist(c.Start())
			}
			if i+1 < len(cuts) {
				l += c.End().Dist(cuts[i+1].Start())
			}
			return l
		}
		best := *c
		starts, good := corners(c.Run, f.p.Kerf)
		for _, s := range starts[:good] {
			t := Cut{Kind: c.Kind, Part: c.Part, Outline: c.Outline, Closed: true, Run: c.Run}
			if way(c) > least && f.leadAt(&t, []spot{s}, cornerShapes) && t.In.Length() > c.In.Length()-weld && way(&t) < way(&best)-least {
				best = t
			}
		}
		if best.Start() != c.Start() {
			*c = best
			f.take(c)
		}
	}
}

// startedAt returns the closed run begun at a place of it.
func startedAt(run geom.Path, s spot) geom.Path {
	p := run[s.piece]
	if len(run) == 1 && p.IsCircle() {
		return geom.Path{geom.Arc(p.C, p.R, p.At(s.t).Sub(p.C).Angle(), p.Sweep)}
	}
	out := make(geom.Path, 0, len(run)+1)
	l := p.Length()
	if (1-s.t)*l > weld {
		out = append(out, p.Sub(s.t, 1))
	}
	out = append(out, run[s.piece+1:]...)
	out = append(out, run[:s.piece]...)
	if s.t*l > weld {
		out = append(out, p.Sub(0, s.t))
	}
	out[len(out)-1].B = out[0].A
	return out
}
