package figures

import (
	"math"
	"strings"

	"github.com/tidwall/rtree"

	"sluice/geom"
	"sluice/geom/outline"
	"sluice/lint"
)

// Gauge is the measure of a finding as drawn on the sheet, to scale: the span
// between the two ends of a gap, or the disc that just fits a slot, a web or a
// hole, with the span across it.
type Gauge struct {
	A, B  geom.Point // ends of the span
	Value float64    // mm
	Limit float64    // mm; 0: no limit to draw
	Disc  bool       // a disc of diameter Value about the middle of the span
}

// gauges finds where the measures of findings lie on one sheet. It indexes the
// pieces of the sheet when first asked for a width.
type gauges struct {
	sheet *outline.Sheet
	tree  *rtree.RTreeG[*geom.Piece]
}

// gaugesOf returns the gauge of each finding, nil for one whose measure is no length
// that can be drawn.
func gaugesOf(s *outline.Sheet, fs []lint.Finding) []*Gauge {
	g := &gauges{sheet: s}
	out := make([]*Gauge, len(fs))
	for i := range fs {
		out[i] = g.of(&fs[i])
	}
	return out
}

// gap returns the gap that a finding is about, nil if it is about none.
func (g *gauges) gap(f *lint.Finding) *outline.Gap {
	if f.Subject.Kind != lint.OfGap || g.sheet == nil || int(f.Subject.Index) >= len(g.sheet.Gaps) {
		return nil
	}
	return &g.sheet.Gaps[f.Subject.Index]
}

// widths are the words in the names of measures that are widths between two
// edges, which a disc can show.
var widths = []string{"width", "web", "diameter", "distance", "clearance", "thick", "spacing", "strip"}

// of returns the gauge of a finding, nil if its measure is no length that can
// be drawn.
func (g *gauges) of(f *lint.Finding) *Gauge {
	m := f.Measure
	if m == nil || m.Unit != "mm" || !(m.Value >= 0) || math.IsInf(m.Value, 0) || !f.At.Finite() {
		return nil
	}
	if gap := g.gap(f); gap != nil && gap.Partner && gap.A.Finite() && gap.B.Finite() {
		return &Gauge{A: gap.A, B: gap.B, Value: m.Value}
	}
	for _, w := range widths {
		if strings.Contains(m.Name, w) && m.Value > 0 {
			return g.disc(f.At, m)
		}
	}
	return nil
}

// disc lays the span across the disc towards the nearest edge.
func (g *gauges) disc(at geom.Point, m *lint.Measure) *Gauge {
	dir := geom.Pt(1, 0)
	if p, ok := g.nearest(at); ok && p != at {
		dir = p.Sub(at).Unit()
	}
	limit := m.Limit
	if !(limit > 0) || math.IsInf(limit, 0) || limit > 50*m.Value {
		limit = 0
	}
	half := dir.Mul(m.Value / 2)
	return &Gauge{A: at.Sub(half), B: at.Add(half), Value: m.Value, Limit: limit, Disc: true}
}

// nearest returns the place on the outlines of the sheet nearest to q.
func (g *gauges) nearest(q geom.Point) (geom.Point, bool) {
	if g.tree == nil {
		g.index()
	}
	target := [2]float64{q.X, q.Y}
	best, found := geom.Point{}, math.Inf(1)
	g.tree.Nearby(
		func(lo, hi [2]float64, p *geom.Piece, item bool) float64 {
			if item {
				d := p.Dist(q)
				return d * d
			}
			dx := max(0, lo[0]-target[0], target[0]-hi[0])
			dy := max(0, lo[1]-target[1], target[1]-hi[1])
			return dx*dx + dy*dy
		},
		func(_, _ [2]float64, p *geom.Piece, d float64) bool {
			best, _ = p.Nearest(q)
			found = d
			return false
		})
	return best, !math.IsInf(found, 1)
}

func (g *gauges) index() {
	g.tree = &rtree.RTreeG[*geom.Piece]{}
	if g.sheet == nil {
		return
	}
	add := func(path geom.Path) {
		for i := range path {
			if b := path[i].Box(); b.Finite() {
				g.tree.Insert([2]float64{b.Min.X, b.Min.Y}, [2]float64{b.Max.X, b.Max.Y}, &path[i])
			}
		}
	}
	for i := range g.sheet.Outlines {
		add(g.sheet.Outlines[i].Pieces)
	}
	for i := range g.sheet.Open {
		add(g.sheet.Open[i].Pieces)
	}
}
