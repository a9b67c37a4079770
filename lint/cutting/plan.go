package cutting

import (
	"sluice/geom"
	"sluice/geom/outline"
	"sluice/lint/cutting/paths"
	"sluice/lint/job"
)

// PathParams returns how paths are made under a job. Parts that can fall between
// the slats, smaller than two pitches both ways, are cut before the others.
func PathParams(j *job.Job, extents geom.Box) paths.Params {
	p := paths.Params{Kerf: j.Jet.Kerf, Lead: j.LeadLength(), Margin: j.Jet.LeadMargin, Overlap: j.Jet.Overlap, Small: 2 * j.Table.SlatPitch}
	if len(j.Sheet.Size) == 2 {
		var o geom.Point
		if j.Sheet.Origin == "drawing" && !extents.Empty() {
			o = extents.Min.Sub(geom.Pt(j.Sheet.Margin, j.Sheet.Margin))
		}
		// Of a drawing that lies beside its sheet the sheet says nothing.
		if b := (geom.Box{Min: o, Max: o.Add(geom.Pt(j.Sheet.Size[0], j.Sheet.Size[1]))}); b.ContainsBox(extents) {
			p.Sheet = b
		}
	}
	return p
}

// Paths plans the paths of a sheet under a job.
func Paths(s *outline.Sheet, j *job.Job, extents geom.Box) *paths.Plan {
	return paths.New(s, PathParams(j, extents))
}
