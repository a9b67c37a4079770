package paths

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/clear"
	"sluice/geom/index"
	"sluice/geom/near"
	"sluice/geom/outline"
)

// pierceShare is the radius of the hole that a pierce blows, in kerfs: one to
// one and a half kerfs across (common practice, no source).
const pierceShare = 0.75

// Finder finds places to pierce and lead in. It serves one goroutine.
type Finder struct {
	sheet  *outline.Sheet
	p      Params
	all    *near.Index         // everything drawn on the sheet, once it is asked for
	boxes  *index.Tree         // of outermost outlines and open paths, once they are asked for
	nested []bool              // by outline: another lies directly in it
	leads  *index.Cells[*lead] // that were taken
}

// NewFinder returns a finder for a sheet.
func NewFinder(s *outline.Sheet, p Params) *Finder {
	f := &Finder{sheet: s, p: p, nested: make([]bool, len(s.Outlines))}
	for i := range s.Outlines {
		if k := s.Outlines[i].Parent; k >= 0 {
			f.nested[k] = true
		}
	}
	f.leads = index.NewCells[*lead](max(2*(p.lead()+p.Kerf), 1e-3), 0)
	return f
}

// lead is a piece of a lead-in or lead-out of an outline.
type lead struct {
	geom.Piece
	own int32 // the outline
}

// cuts returns the index of everything drawn on the sheet.
func (f *Finder) cuts() *near.Index {
	if f.all == nil {
		f.all = near.Sheet(f.sheet)
	}
	return f.all
}

// clear reports whether the stream can run along a lead of the outline own: half
// a kerf from its material and from keep, and further from all else by a kerf,
// which that cut takes, and the margin.
func (f *Finder) clear(lead geom.Path, own int32, keep geom.Path) bool {
	x := f.cuts()
	d := f.p.Kerf / 2
	far := f.p.Kerf + d + f.p.Margin
	for i := range lead {
		l := &lead[i]
		box := l.Box()
		if f.p.Sheet != (geom.Box{}) && !f.p.Sheet.ContainsBox(box.Inflate(d)) || f.p.inClamp(l, d) {
			return false
		}
		for k := range keep {
			if geom.PieceDist(l, &keep[k]) < d-weld {
				return false
			}
		}
		ok := true
		x.In(box.Inflate(far), func(k int32) bool {
			it := &x.Items[k]
			need := far
			switch {
			case it.Etch:
				return true
			case it.Outline == own:
				need = d - weld
			}
			ok = geom.PieceDist(l, &it.Piece) >= need
			return ok
		})
		if !ok || !f.clearOfLeads(l, own) {
			return false
		}
	}
	return true
}

// clearOfLeads reports whether a piece of a lead stays a kerf from every lead of
// its own outline and the margin besides from all others.
func (f *Finder) clearOfLeads(l *geom.Piece, own int32) bool {
	far := f.p.Kerf + max(0, f.p.Margin)
	return f.leads.In(l.Box().Inflate(far), func(o *lead) bool {
		need := f.p.Kerf + f.p.Margin
		if o.own == own {
			need = f.p.Kerf
		}
		return geom.PieceDist(l, &o.Piece) >= need
	})
}

// pierceable reports whether the hole of a pierce at q stays in the waste of the
// outline own, and off the clamps.
func (f *Finder) pierceable(q geom.Point, own int32) bool {
	x := f.cuts()
	r := pierceShare*f.p.Kerf - weld
	if hole := geom.Line(q, q); f.p.inClamp(&hole, r) {
		return false
	}
	ok := true
	x.In(geom.BoxOf(q).Inflate(r), func(k int32) bool {
		it := &x.Items[k]
		ok = it.Etch || it.Outline != own || it.Dist(q) >= r
		return ok
	})
	return ok
}

// usable reports whether a lead-in can be taken.
func (f *Finder) usable(in geom.Path, own int32, keep geom.Path) bool {
	return f.pierceable(in[0].A, own) && f.clear(in, own, keep)
}

// shares are the lengths tried, in lead lengths.
var shares = [...]float64{1, 0.7, 0.5, 0.35}

// leadLoop gives a closed run its leads and starts it there.
func (f *Finder) leadLoop(c *Cut) {
	o := &f.sheet.Outlines[c.Outline]
	if c.Kind == Inside && !f.nested[c.Outline] {
		ctr, r := clear.LargestCircle(o.Pieces, 1e-3)
		if r <= f.p.Kerf/2+f.p.lead() && f.leadFromCentre(c, ctr) {
			return
		}
	}
	starts := candidates(c.Run, f.p.Kerf)
	for _, share := range shares {
		length := share * f.p.lead()
		for _, shape := range closedShapes {
			for _, s := range starts {
				p, t := c.Run[s.piece].At(s.t), c.Run[s.piece].TangentAt(s.t)
				in := shape(p, t, length)
				if !f.usable(in, c.Outline, nil) {
					continue
				}
				c.Run = startedAt(c.Run, s)
				c.In = in
				c.Out = f.leadOut(p, t, length, c)
				return
			}
		}
	}
	if c.Kind == Inside {
		ctr, _ := clear.LargestCircle(c.Run, 1e-3)
		if f.leadFromCentre(c, ctr) {
			return
		}
	}
	c.NoRoom = true
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
	c.Run = startedAt(c.Run, at)
	c.In = in
	c.Out = geom.Path{geom.Line(p, p.Lerp(ctr, 0.5))}
	return true
}

// leadOut leads away from the end of a closed run: on an arc, else back along
// the lead-in, which is clear since it is cut.
func (f *Finder) leadOut(p, t geom.Point, length float64, c *Cut) geom.Path {
	out := arcLead(p, t.Mul(-1), length/2, true).Reverse()
	if f.clear(out, c.Outline, nil) {
		return out
	}
	back := c.In.Reverse()
	return stretchOf(back, 0, back.Length()/2)
}

// closedShapes are the lead-ins tried at a place p of a closed run with the
// direction of travel t, of the given length.
var closedShapes = []func(p, t geom.Point, length float64) geom.Path{
	func(p, t geom.Point, l float64) geom.Path { return arcLead(p, t, l, false) },
	func(p, t geom.Point, l float64) geom.Path { return lineLead(p, t, l, math.Pi/2) },
	func(p, t geom.Point, l float64) geom.Path { return lineLead(p, t, l, math.Pi/6) },
}

// arcLead is a quarter circle that meets the run along it. The waste is on the
// right of t, or on the left for a run seen backwards.
func arcLead(p, t geom.Point, length float64, left bool) geom.Path {
	r := length * 2 / math.Pi
	n, sweep := rightOf(t), -math.Pi/2
	if left {
		n, sweep = n.Mul(-1), math.Pi/2
	}
	c := p.Add(n.Mul(r))
	return geom.Path{{A: c.Sub(t.Mul(r)), B: p, C: c, R: r, Sweep: sweep}}
}

// lineLead is a line that meets the run at an angle to it, from behind below a
// right angle and from ahead above.
func lineLead(p, t geom.Point, length, angle float64) geom.Path {
	s, c := math.Sincos(angle)
	from := p.Add(rightOf(t).Mul(length * s)).Sub(t.Mul(length * c))
	return geom.Path{geom.Line(from, p)}
}

// leadRun gives a run between tabs its leads, which lean away from the tabs.
func (f *Finder) leadRun(c *Cut, keep geom.Path) {
	first, last := c.Run[0], c.Run[len(c.Run)-1]
	find := func(p, t geom.Point, pierce bool) geom.Path {
		for _, share := range shares {
			for _, angle := range [...]float64{0.75 * math.Pi, math.Pi / 2, 5 * math.Pi / 6} {
				l := lineLead(p, t, share*f.p.lead(), angle)
				if f.clear(l, c.Outline, keep) && (!pierce || f.pierceable(l[0].A, c.Outline)) {
					return l
				}
			}
		}
		return nil
	}
	c.In = find(first.A, first.TangentAt(0), true)
	c.NoRoom = c.In == nil
	// Seen backwards the waste is on the left: mirror the lead at the run's end.
	end, t := last.B, last.TangentAt(1)
	for _, share := range [...]float64{0.5, 0.35} {
		for _, angle := range [...]float64{math.Pi / 4, math.Pi / 2} {
			s, co := math.Sincos(angle)
			to := end.Add(rightOf(t).Mul(share * f.p.lead() * s)).Sub(t.Mul(share * f.p.lead() * co))
			if l := (geom.Path{geom.Line(end, to)}); f.clear(l, c.Outline, keep) {
				c.Out = l
				return
			}
		}
	}
}

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

// take remembers the leads of a cut, so that later ones keep clear of them.
func (f *Finder) take(c *Cut) {
	for _, p := range [2]geom.Path{c.In, c.Out} {
		for i := range p {
			f.leads.AddBox(p[i].Box(), &lead{p[i], c.Outline})
		}
	}
}

func sortGaps(g []gap, length float64) {
	for i := range g {
		if g[i].from >= length {
			g[i].from, g[i].to = g[i].from-length, g[i].to-length
		}
	}
	slices.SortFunc(g, func(a, b gap) int { return cmp.Compare(a.from, b.from) })
}
