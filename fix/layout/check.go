package layout

import (
	"context"
	"fmt"
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/clear"
)

// FaultKind says what is wrong with a layout.
type FaultKind uint8

// Kinds of fault.
const (
	Outside    FaultKind = iota // beyond the margin of the stock, or in a clamp zone
	Overlap                     // material of two parts in one place
	TooNear                     // two parts nearer than the gap
	Turned                      // at a turn that is not allowed, or against the grain
	Lost                        // placed and left over do not add up to the count
	WrongSheet                  // on a sheet that it may not lie on
)

func (k FaultKind) String() string {
	return [...]string{"outside", "overlap", "too near", "turned", "lost", "on a sheet it may not lie on"}[k]
}

// Fault is one thing wrong with a layout.
type Fault struct {
	Kind  FaultKind
	Sheet int // index in Result.Sheets, -1 for Lost
	A, B  int // the parts, as indices in Placed (an item for Lost); B is -1 for one alone
	At    geom.Point
	By    float64 // mm: how far outside, how near; a count for Lost
}

func (f Fault) String() string {
	switch f.Kind {
	case Lost:
		return fmt.Sprintf("part %d: %g lost or too many", f.A+1, f.By)
	case Overlap, TooNear:
		return fmt.Sprintf("sheet %d: parts %d and %d %s (%.4g mm) at %.4g, %.4g", f.Sheet+1, f.A+1, f.B+1, f.Kind, f.By, f.At.X, f.At.Y)
	}
	return fmt.Sprintf("sheet %d: part %d %s (%.4g mm) at %.4g, %.4g", f.Sheet+1, f.A+1, f.Kind, f.By, f.At.X, f.At.Y)
}

// rounding is how far (mm) a measured distance may fall short by rounding alone.
const rounding = 1e-6

// Check measures a layout on the lines and arcs themselves and returns all that
// is wrong with it; none for one that may be cut. gap is the least distance
// between two parts, mm, above 0, of which none has a gap of its own. It shares no code with the search.
func Check(items []Item, sheets []Sheet, r *Result, gap float64) []Fault {
	var out []Fault
	count := make([]int, len(items))
	used := map[[2]int]bool{}
	for n := range r.Sheets {
		l := &r.Sheets[n]
		if l.Sheet < 0 || l.Sheet >= len(sheets) || l.Copy < 0 || l.Copy >= max(1, sheets[l.Sheet].Count) || used[[2]int{l.Sheet, l.Copy}] {
			out = append(out, Fault{Kind: Outside, Sheet: n, A: -1, B: -1})
			continue
		}
		used[[2]int{l.Sheet, l.Copy}] = true
		var ps []placedPart
		for k, p := range l.Placed {
			if p.Item < 0 || p.Item >= len(items) {
				out = append(out, Fault{Kind: Lost, Sheet: n, A: k, B: -1})
				continue
			}
			count[p.Item]++
			it := &items[p.Item]
			if len(it.Sheets) > 0 && !slices.Contains(it.Sheets, l.Sheet) {
				out = append(out, Fault{Kind: WrongSheet, Sheet: n, A: k, B: -1, At: p.Shift})
			}
			if !mayTurn(it, &sheets[l.Sheet], p.Turn) {
				out = append(out, Fault{Kind: Turned, Sheet: n, A: k, B: -1, At: p.Shift})
			}
			ps = append(ps, newPlacedPart(it, p, k, ownGap(it, gap)))
		}
		for i := range ps {
			if by, at := ps[i].outside(&sheets[l.Sheet]); by > rounding {
				out = append(out, Fault{Outside, n, ps[i].index, -1, at, by})
			}
		}
		out = append(out, apart(ps, n)...)
	}
	for _, l := range r.Left {
		if l.Item >= 0 && l.Item < len(items) {
			count[l.Item] += l.Count
		}
	}
	for i := range items {
		if d := count[i] - items[i].Count; d != 0 {
			out = append(out, Fault{Kind: Lost, Sheet: -1, A: i, B: -1, By: float64(d)})
		}
	}
	return out
}

// mayTurn reports whether a turn is among those allowed and along the grain.
func mayTurn(it *Item, s *Sheet, turn float64) bool {
	same := func(a, b, period float64) bool {
		d := math.Mod(math.Abs(a-b), period)
		return d < 1e-6 || period-d < 1e-6
	}
	if s.Grained && it.Grained && !same(it.Grain+turn, s.Grain, 180) {
		return false
	}
	if it.Free {
		return true
	}
	if it.Turns == nil {
		return s.Grained && it.Grained || same(turn, 0, 90)
	}
	for _, t := range it.Turns {
		if same(turn, t, 360) {
			return true
		}
	}
	return false
}

// ownGap is the gap that a part asks for, mm.
func ownGap(it *Item, usual float64) float64 {
	if it.Gap > 0 {
		return it.Gap
	}
	return usual
}

// placedPart is a part where it lies.
type placedPart struct {
	index int
	gap   float64     // of its own, mm
	rings []geom.Path // outer first
	box   geom.Box
}

func newPlacedPart(it *Item, p Placed, index int, gap float64) placedPart {
	t := p.Transform()
	q := placedPart{index: index, gap: gap, rings: []geom.Path{it.Outer.Transform(t)}}
	for _, h := range it.Holes {
		q.rings = append(q.rings, h.Transform(t))
	}
	q.box = q.rings[0].Box()
	return q
}

// material reports whether the part has material at q.
func (p *placedPart) material(q geom.Point) bool {
	if !p.box.Contains(q) || !p.rings[0].Contains(q) {
		return false
	}
	for _, h := range p.rings[1:] {
		if h.Contains(q) {
			return false
		}
	}
	return true
}

// outside returns how far the part reaches where it must not, and where.
func (p *placedPart) outside(s *Sheet) (by float64, at geom.Point) {
	worse := func(d float64, q geom.Point) {
		if d > by {
			by, at = d, q
		}
	}
	b, c := p.box, p.box.Center()
	worse(s.Margin-b.Min.X, geom.Pt(b.Min.X, c.Y))
	worse(s.Margin-b.Min.Y, geom.Pt(c.X, b.Min.Y))
	worse(b.Max.X-(s.Width-s.Margin), geom.Pt(b.Max.X, c.Y))
	worse(b.Max.Y-(s.Height-s.Margin), geom.Pt(c.X, b.Max.Y))
	keep := func(edge geom.Path, within bool, margin float64) {
		if edge.Contains(p.rings[0][0].Mid()) != within {
			worse(max(margin, 1), p.rings[0][0].Mid())
		} else if !within && p.material(edge[0].Mid()) {
			worse(max(margin, 1), edge[0].Mid())
		}
		for _, r := range p.rings {
			if d, q, _, ok := clear.Between(r, edge, max(margin, rounding)); ok {
				worse(margin-d, q)
			}
		}
	}
	if len(s.Outline) > 0 {
		keep(s.Outline, true, s.Margin)
	}
	for _, h := range s.Holes {
		keep(h, false, s.Margin)
	}
	for _, z := range s.Clamps {
		if z.Empty() || !z.Inflate(s.OffClamps).Overlaps(p.box) {
			continue
		}
		// Touching is allowed: the zone less a hair must be clear.
		in := z.Inflate(-rounding)
		if in.Empty() {
			continue
		}
		edge := geom.Path{
			geom.Line(in.Min, geom.Pt(in.Max.X, in.Min.Y)), geom.Line(geom.Pt(in.Max.X, in.Min.Y), in.Max),
			geom.Line(in.Max, geom.Pt(in.Min.X, in.Max.Y)), geom.Line(geom.Pt(in.Min.X, in.Max.Y), in.Min),
		}
		hit := p.material(in.Center()) || in.Contains(p.rings[0][0].A)
		for _, r := range p.rings {
			d, q, _, ok := clear.Between(r, edge, max(s.OffClamps, rounding))
			if ok && d == 0 {
				hit = true
			} else if ok && s.OffClamps > 0 {
				worse(s.OffClamps-d-rounding, q)
			}
		}
		if hit {
			worse(1, z.Center())
		}
	}
	return by, at
}

// apart finds the parts that overlap or come too near.
func apart(ps []placedPart, sheet int) []Fault {
	var out []Fault
	var rings []clear.Ring
	var of []int32
	widest := 0.0
	for i := range ps {
		widest = max(widest, ps[i].gap)
		for _, r := range ps[i].rings {
			rings = append(rings, clear.Ring{Path: r, Box: r.Box()})
			of = append(of, int32(i))
		}
	}
	told := map[[2]int]bool{}
	for _, c := range clear.CloseParts(context.Background(), rings, of, widest) {
		f := Fault{TooNear, sheet, ps[c.I].index, ps[c.J].index, c.A.Mid(c.B), c.Dist}
		if c.Dist == 0 {
			f.Kind = Overlap
		} else if c.Dist > max(ps[c.I].gap, ps[c.J].gap)-rounding {
			continue
		}
		told[[2]int{c.I, c.J}] = true
		out = append(out, f)
	}
	// One wholly in the material of another meets no line of it.
	for i := range ps {
		for j := range ps {
			if i == j || told[[2]int{min(i, j), max(i, j)}] || !ps[i].box.Overlaps(ps[j].box) {
				continue
			}
			at := ps[j].rings[0][0].Mid()
			if ps[i].material(at) {
				told[[2]int{min(i, j), max(i, j)}] = true
				out = append(out, Fault{Overlap, sheet, ps[min(i, j)].index, ps[max(i, j)].index, at, 0})
			}
		}
	}
	return out
}
