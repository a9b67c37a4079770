package paths

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
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

// usable reports whether a lead-in can be taken. Beside an outline that crosses
// another there may be material of the other part.
func (f *Finder) usable(in geom.Path, own int32, keep geom.Path) bool {
	return f.pierceable(in[0].A, own) && f.clear(in, own, keep) && (len(f.sheet.Crossings) == 0 || f.sheet.PartAt(in[0].A) < 0)
}

// shares are the lengths tried, in lead lengths.
var shares = [...]float64{1, 0.7, 0.5, 0.35}

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

// take remembers the leads of a cut, so that later ones keep clear of them.
func (f *Finder) take(c *Cut) {
	for _, p := range [2]geom.Path{c.In, c.Out} {
		for i := range p {
			f.leads.AddBox(p[i].Box(), &lead{p[i], c.Outline})
		}
	}
}

// lineOut is a line that leaves the run at an angle to it, onwards below a right angle
// and back above.
func lineOut(p, t geom.Point, length, angle float64) geom.Path {
	s, c := math.Sincos(angle)
	return geom.Path{geom.Line(p, p.Add(rightOf(t).Mul(length*s)).Add(t.Mul(length*c)))}
}

func sortGaps(g []gap, length float64) {
	for i := range g {
		if g[i].from >= length {
			g[i].from, g[i].to = g[i].from-length, g[i].to-length
		}
	}
	slices.SortFunc(g, func(a, b gap) int { return cmp.Compare(a.from, b.from) })
}
