package mend

import (
	"sluice/fix/fit"
	"sluice/fix/guard"
	"sluice/fix/layout"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/outline"
	"sluice/lint"
	"sluice/lint/cutting"
	"sluice/lint/job"
)

// newGuard returns the guard of a drawing as read: what comes of it is compared
// with that before it is written.
func newGuard(d *drawing.Drawing, j *job.Job, o Options) *guard.Guard {
	return guard.New(guardStrokes(d, j), guard.Limits{
		Join: j.Limits.Join, Same: j.Limits.Same, Gap: j.Limits.Gap, Curve: j.Limits.Curve,
		Kerf: j.Jet.Kerf, Hole: j.HoleLimit(), DrawnGap: cutting.DrawnGap(j), Workers: o.Workers,
	})
}

// guardRoles returns the roles of strokes in the guard's terms.
func guardRoles(d *drawing.Drawing, j *job.Job) func(*drawing.Stroke) guard.Role {
	role, _ := lint.Roles(d, j)
	return func(s *drawing.Stroke) guard.Role {
		switch role(s) {
		case outline.Cut:
			return guard.Cut
		case outline.Tab:
			return guard.Tab
		case outline.Etch:
			return guard.Etch
		case outline.Ignore:
			return guard.Nothing
		}
		return guard.Note
	}
}

// guardStrokes returns the strokes of a drawing in the guard's terms.
func guardStrokes(d *drawing.Drawing, j *job.Job) []guard.Stroke {
	return guard.Strokes(d, guardRoles(d, j))
}

// guardMoved has the guard compare a drawing with what came of it as parts moved.
// With rest the parts that are not among moves are to have stayed.
func (m *mender) guardMoved(res *lint.Result, d *drawing.Drawing, moves []layout.Move, rest bool) error {
	all := guardMoves(moves)
	if rest {
		moved := map[int]bool{}
		for i := range moves {
			moved[moves[i].Part] = true
		}
		for k := range res.Sheet.Parts {
			if !moved[k] {
				all = append(all, guard.Move{Part: k, T: geom.Identity()})
			}
		}
	}
	return m.guard.Moved(m.ctx, guardStrokes(res.Drawing, m.j), guardStrokes(d, m.j), guardParts(res.Sheet), all, besides, rest)
}

func guardParts(s *outline.Sheet) []guard.Part {
	parts := make([]guard.Part, len(s.Parts))
	for k := range s.Parts {
		p := &s.Parts[k]
		parts[k].Outer = s.Outlines[p.Outer].Pieces
		for _, h := range p.Holes {
			parts[k].Holes = append(parts[k].Holes, s.Outlines[h].Pieces)
		}
	}
	return parts
}

// measured has the guard take the measures of the parts that are reported.
func measured(s *outline.Sheet) error {
	list := make([]guard.Measured, len(s.Parts))
	for k, p := range guardParts(s) {
		list[k] = guard.Measured{Part: p, Area: s.Parts[k].Area, Centroid: s.Parts[k].Centroid}
	}
	return guard.Measures(list)
}

func guardMoves(moves []layout.Move) []guard.Move {
	out := make([]guard.Move, len(moves))
	for i, mv := range moves {
		out[i] = guard.Move{Part: mv.Part, T: mv.T}
	}
	return out
}

// guardPlaced has the guard count the parts of a layout.
func guardPlaced(s *outline.Sheet, want []int, placed []layout.Move, left map[int]int) error {
	return guard.Placed(guardParts(s), want, guardMoves(placed), left)
}

// guardScaled has the guard compare a drawing with what came of it as it was
// scaled.
func (m *mender) guardScaled(res *lint.Result, d *drawing.Drawing, sc *fit.Scale) error {
	kept := make([]guard.Kept, len(sc.Bolts))
	for i, b := range sc.Bolts {
		kept[i] = guard.Kept{At: b.At, Radius: b.Diameter / 2}
	}
	return m.guard.Scaled(m.ctx, guardStrokes(res.Drawing, m.j), guardStrokes(d, m.j), sc.Factor, kept)
}
