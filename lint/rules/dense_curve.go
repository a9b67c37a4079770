package rules

import (
	"fmt"

	"sluice/fix"
	"sluice/fix/repair"
	"sluice/geom/curve"
	"sluice/geom/outline"
	"sluice/lint"
)

var denseCurve = &lint.Rule{
	ID:       "dense-curve",
	Severity: lint.Note,
	Repair:   lint.Auto,
	Choices:  []string{"refit"},
	Doc: lint.Doc{
		Title:      "Arc exploded into short lines",
		What:       "Eight or more lines in a row whose ends lie on one arc and that turn by at most 15 degrees at each corner.",
		Why:        "The head brakes at every corner it is given: the motion stutters, and the edge comes out fluted.",
		Bad:        "A circle of 5 mm radius drawn as 30 lines.",
		Good:       "A hexagon, an octagon, a wheel with 12 teeth: polygons are meant.",
		Exceptions: "Straight runs; corners of more than 15 degrees.",
		Limit:      "[limits] same (0.01 mm) from each end to the arc; [limits] curve (0.02 mm) from the lines to the arc for the repair to be made unasked.",
		Fix:        "The lines are replaced by one arc through their ends (a whole circle by a circle).",
		Reason:     "Safe where the lines lie within the curve limit of the arc; where the facets are coarser the outline moves further, so it is asked for ([repair] dense_curve = \"refit\").",
		Since:      "0.1",
	},
	Check: func(p *lint.Pass) {
		for i := range p.Sheet.Outlines {
			o := &p.Sheet.Outlines[i]
			denseRuns(p, &o.Path, true, o.Part)
		}
		for i := range p.Sheet.Open {
			o := &p.Sheet.Open[i]
			denseRuns(p, &o.Path, false, o.Part)
		}
	},
}

func denseRuns(p *lint.Pass, path *outline.Path, closed bool, part int32) {
	if len(path.Pieces) < 8 {
		return
	}
	lim := p.Job.Limits
	for _, r := range curve.DenseRuns(path.Pieces, closed, lim.Same, lim.Curve) {
		safe := r.Deviation <= lim.Curve
		n := len(path.Pieces)
		src := make([]int32, 0, r.Count)
		for k := range r.Count {
			src = append(src, path.Src[(r.First+k)%n])
		}
		what := "an arc"
		if r.Circle {
			what = "a circle"
		}
		f := lint.Finding{
			At: r.Arc.Mid(), Box: r.Arc.Box(),
			Message:  fmt.Sprintf("%s of radius %s mm drawn as %d lines, up to %s mm off it", what, mm(r.Arc.R), r.Count, mm(r.Deviation)),
			Fact:     lint.Fact{One: fmt.Sprintf("%s drawn as %d short lines", what, r.Count), Many: "arcs drawn as short lines"},
			Layer:    p.LayerOf(src[0]),
			Entities: p.EntityIDs(src...),
			Part:     p.PartName(part),
			Measure:  &lint.Measure{Name: "deviation", Value: r.Deviation, Limit: lim.Curve, Unit: "mm"},
			Repair:   lint.Auto,
		}
		safety := fix.Auto
		if !safe {
			f.Repair, safety = lint.Choice, fix.Choice
			f.Fact.Why = "# off a true arc"
		}
		if e, ok := repair.RefitRun(p.Drawing, path, r); ok {
			e.Rule, e.Part, e.Entities = "dense-curve", f.Part, f.Entities
			if safe || p.Job.Repair.DenseCurve == "refit" {
				f.Fixes = lint.OneFix(safety, e)
			}
			if !safe {
				f.Offer("refit", fmt.Sprintf("put %s in the place of the lines, up to %s mm off them", what, mm(r.Deviation)), e)
			}
		}
		p.Report(f)
	}
}
