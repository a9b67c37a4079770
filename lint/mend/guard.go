package mend

import (
	"sluice/fix/guard"
	"sluice/geom/drawing"
	"sluice/geom/outline"
	"sluice/lint"
	"sluice/lint/job"
)

// newGuard returns the guard of a drawing as read: what comes of it is compared
// with that before it is written.
func newGuard(d *drawing.Drawing, j *job.Job, o Options) *guard.Guard {
	return guard.New(guard.Strokes(d, guardRoles(d, j)), guard.Limits{
		Join: j.Limits.Join, Same: j.Limits.Same, Gap: j.Limits.Gap, Curve: j.Limits.Curve,
		Kerf: j.Jet.Kerf, Hole: j.HoleLimit(), DrawnGap: j.DrawnGap(), Workers: o.Workers,
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
