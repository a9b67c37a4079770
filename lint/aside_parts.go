package lint

import (
	"sluice/fix/layout"
	"sluice/geom"
	"sluice/geom/outline"
	"sluice/lint/job"
)

// AsideOf gets ready to move single parts of a judged drawing aside.
func AsideOf(r *Result) *layout.Aside { return AsideIn(r.Sheet, r.Job) }

// AsideIn gets ready to move parts of a sheet aside: apart by what parts moved apart
// are, on the sheet, and out of the clamp zones.
func AsideIn(s *outline.Sheet, j *job.Job) *layout.Aside {
	room, zones, _ := j.Placed(s.PartsBox())
	wide := make([]geom.Box, len(zones))
	for i := range zones {
		wide[i] = zones[i].Inflate(j.ClampSpacing())
	}
	return layout.NewAside(s, layout.SpreadOptions{Gap: j.MovedSpacing(), Room: room}, wide)
}
