package figures

import (
	"math"
	"strings"

	"sluice/geom"
	"sluice/geom/index"
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
	tree  *index.PieceTree
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

// disc lays the span across the disc towards the nearest edge. Another lies as near
// on the other side, so the span runs from left to right whichever is found.
func (g *gauges) disc(at geom.Point, m *lint.Measure) *Gauge {
	dir := geom.Pt(1, 0)
	if p, ok := g.nearest(at); ok && p != at {
		dir = p.Sub(at).Unit()
		if dir.X < -1e-9 || dir.X < 1e-9 && dir.Y < 0 {
			dir = dir.Mul(-1)
		}
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
		var pieces []geom.Piece
		if g.sheet != nil {
			for i := range g.sheet.Outlines {
				pieces = append(pieces, g.sheet.Outlines[i].Pieces...)
			}
			for i := range g.sheet.Open {
				pieces = append(pieces, g.sheet.Open[i].Pieces...)
			}
		}
		g.tree = index.Scattered(pieces)
	}
	_, at := g.tree.Nearest(q, math.Inf(1))
	if at < 0 {
		return q, false
	}
	p, _ := g.tree.Pieces[at].Nearest(q)
	return p, true
}
