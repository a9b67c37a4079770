package cutting

import (
	"sluice/geom"
	"sluice/geom/outline"
	"sluice/lint/cutting/paths"
	"sluice/lint/job"
)

// PathParams returns how paths are made under a job, of parts that lie in the box
// drawn. Parts that can fall between the slats, smaller than two pitches both
// ways, are cut before the others.
func PathParams(j *job.Job, drawn geom.Box) paths.Params {
	p := paths.Params{Kerf: j.Jet.Kerf, Lead: j.LeadLength(), Margin: j.Jet.LeadMargin, Overlap: j.Jet.Overlap, Small: 2 * j.Table.SlatPitch}
	corner := j.SheetCorner(drawn)
	p.Clamps = j.Clamps(corner)
	if len(j.Sheet.Size) == 2 {
		// Of a drawing that lies beside its sheet the sheet says nothing.
		if b := (geom.Box{Min: corner, Max: corner.Add(geom.Pt(j.Sheet.Size[0], j.Sheet.Size[1]))}); b.ContainsBox(drawn) {
			p.Sheet = b
		}
	}
	return p
}

// Paths plans the paths of a sheet under a job. Where it has no parts, extents
// is the box of what is drawn.
func Paths(s *outline.Sheet, j *job.Job, extents geom.Box) *paths.Plan {
	if parts := s.PartsBox(); parts.Finite() {
		extents = parts
	}
	return paths.New(s, PathParams(j, extents))
}
