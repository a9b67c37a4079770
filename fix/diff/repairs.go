package diff

import (
	"sluice/geom"
	"sluice/geom/index"
)

// Repair is a kind of flaw of which one drawing has more than the other.
type Repair struct {
	Kind          RepairKind
	Before, After int // of the flaw
}

// RepairKind names what a repair does away with.
type RepairKind string

// Kinds of repair, in the order in which they are told.
const (
	GapsClosed RepairKind = "gaps"    // narrow gaps in outlines
	Doubles    RepairKind = "doubles" // pieces drawn more than once
	Strays     RepairKind = "strays"  // specks that belong to nothing
	Refitted   RepairKind = "curves"  // splines and ellipses, which arcs stand in for
	Joined     RepairKind = "entities"
)

// narrowGaps counts the gaps of a side that a repair closes by itself.
func narrowGaps(s *Side) int {
	n := 0
	for i := range s.Sheet.Gaps {
		if g := &s.Sheet.Gaps[i]; g.Partner && g.Width <= s.Gap {
			n++
		}
	}
	return n
}

// compareRepairs counts the flaws that one drawing has and the other has not. Of
// how many entities draw the outlines only the same outlines tell anything.
func (d *Diff) compareRepairs() {
	a, b := d.Before, d.After
	alike := d.Count.Changed() == 0 && !d.Uncompared()
	for _, r := range []Repair{
		{GapsClosed, narrowGaps(a), narrowGaps(b)},
		{Doubles, len(a.Sheet.Overlaps), len(b.Sheet.Overlaps)},
		{Strays, len(a.Sheet.Strays), len(b.Sheet.Strays)},
		{Refitted, a.Curves, b.Curves},
		{Joined, a.Entities, b.Entities},
	} {
		if r.Before == r.After || r.Kind == Joined && !alike || d.Whole != nil && d.Whole.Scale != 1 && (r.Kind == GapsClosed || r.Kind == Strays) {
			continue // what is narrow or short in one size is not in another
		}
		d.Repairs = append(d.Repairs, r)
	}
}

// repaired matches parts in place that differ only where a narrow gap of one of
// them has been closed: away from its gaps each lies within the tolerance of the
// other, and beside them within the width of the gap.
func (m *matcher) repaired() {
	ga, gb := gapsOf(m.a), gapsOf(m.b)
	if len(ga) == 0 && len(gb) == 0 {
		return
	}
	widest := max(m.a.Gap, m.b.Gap)
	corners := index.NewCells[int](2*(m.tol+widest), len(m.sb))
	for _, j := range m.restB() {
		corners.Add(m.sb[j].box.Min, j)
	}
	for _, i := range m.restA() {
		corners.Around(m.sa[i].box.Min, m.tol+widest, func(j int) bool {
			a, b := m.sa[i], m.sb[j]
			if m.taken[j] || len(a.rings) != len(b.rings) || !sameBox(a.box, b.box, m.tol+widest) {
				return true
			}
			gaps := append(append([]gapAt{}, ga[i]...), gb[j]...)
			w := 0.0
			for _, g := range gaps {
				w = max(w, g.width)
			}
			g, ok := deviate(a.index(), b.index(), geom.Identity(), limits{m.eps, m.tol + w})
			if len(gaps) == 0 || !ok || !away(a, b, gaps, m.tol, m.eps) || !away(b, a, gaps, m.tol, m.eps) {
				return true
			}
			m.take(i, j, Part{Verdict: Same, Lay: geom.Identity(), Scale: 1, Group: -1, Repaired: g.dist, From: g.from, To: g.to})
			return false
		})
	}
}

// gapAt is a narrow gap in an outline.
type gapAt struct {
	at    geom.Point
	width float64
}

// gapsOf lists the narrow gaps of each part.
func gapsOf(s *Side) map[int][]gapAt {
	out := map[int][]gapAt{}
	for i := range s.Sheet.Gaps {
		g := &s.Sheet.Gaps[i]
		if !g.Partner || g.Width > s.Gap || g.Outline < 0 {
			continue
		}
		k := int(s.Sheet.Outlines[g.Outline].Part)
		out[k] = append(out[k], gapAt{g.At, g.Width})
	}
	return out
}

// away reports whether the pieces of a that end at none of the gaps lie within tol
// of b.
func away(a, b *shape, gaps []gapAt, tol, eps float64) bool {
	var rest []geom.Piece
	for _, p := range a.index().Pieces {
		beside := false
		for _, g := range gaps {
			beside = beside || min(p.A.Dist(g.at), p.B.Dist(g.at)) <= g.width+tol
		}
		if !beside {
			rest = append(rest, p)
		}
	}
	var g gap
	return g.reach(rest, geom.Identity(), b.index(), limits{eps, tol})
}
