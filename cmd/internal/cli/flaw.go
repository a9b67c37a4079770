package cli

import (
	"bytes"
	"path"

	"sluice/geom"
	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/report"
	"sluice/lint/rules"
)

// flawOf judges the drawings of a rule, nil if there are none or they do not show
// it.
func (c *call) flawOf(id string) *report.Flaw {
	j := job.Default()
	if data, err := rules.Drawings.ReadFile(path.Join("flaws", id, "job.toml")); err == nil {
		if j, err = job.Parse(data, "job.toml", nil); err != nil {
			return nil
		}
	}
	judged := func(name string) *lint.Result {
		data, err := rules.Drawings.ReadFile(path.Join("flaws", id, name))
		if err != nil {
			return nil
		}
		r := c.engine.check(c.ctx, name, bytes.NewReader(data), j, checkOptions{cores: 1, plain: true})
		if r.Err != nil || r.Drawing == nil || r.Sheet == nil {
			return nil
		}
		var own []lint.Finding
		for _, f := range r.Findings {
			if f.Rule == id {
				own = append(own, f)
			}
		}
		r.Findings = own
		return r
	}
	x := &report.Flaw{Bad: judged("flaw.dxf"), Good: judged("near.dxf"), Stock: stock(j)}
	if x.Bad == nil || x.Good == nil || len(x.Bad.Findings) == 0 {
		return nil
	}
	f := clearest(x.Bad.Findings)
	x.At, x.Window = f.At, windowOn(f, x.Bad, x.Stock)
	return x
}

// clearest returns the finding to look at: of those with a length that of the
// smallest, else the first.
func clearest(fs []lint.Finding) *lint.Finding {
	best := &fs[0]
	for i := range fs {
		if m := fs[i].Measure; m != nil && m.Unit == "mm" && m.Value > 0 &&
			(best.Measure == nil || best.Measure.Unit != "mm" || best.Measure.Value <= 0 || m.Value < best.Measure.Value) {
			best = &fs[i]
		}
	}
	return best
}

// stock returns the box of the sheet, empty where no size is set.
func stock(j *job.Job) geom.Box {
	if len(j.Sheet.Size) != 2 {
		return geom.NoBox()
	}
	return geom.Box{Max: geom.Pt(j.Sheet.Size[0], j.Sheet.Size[1])}
}

// windowOn returns the piece of a drawing that shows a finding: what it is about
// with its surroundings, wide enough for its measure to be seen; the whole, where
// that shows nothing drawn or the sheet matters.
func windowOn(f *lint.Finding, r *lint.Result, s geom.Box) geom.Box {
	all := r.Extents
	matters := !s.Empty()
	if matters {
		all = all.Union(s)
	}
	whole := geom.Box{Min: geom.Pt(0, 0), Max: geom.Pt(100, 60)}
	if !all.Empty() {
		whole = all.Inflate(0.04*max(all.W(), all.H()) + 0.5)
	}
	if matters {
		return whole
	}
	size := max(whole.W(), whole.H())
	reach := 0.3 * size
	if m := f.Measure; m != nil && m.Unit == "mm" {
		reach = max(14*m.Value, 3*m.Limit)
	} else if d := max(f.Box.W(), f.Box.H()); !f.Box.Empty() && d > 0 {
		reach = 1.7 * d
	}
	if reach = max(reach, 6); reach >= 0.8*size {
		return whole
	}
	half := geom.Pt(reach/2, reach/2)
	window := geom.Box{Min: f.At.Sub(half), Max: f.At.Add(half)}
	for i := range r.Drawing.Strokes {
		if r.Drawing.Strokes[i].Dist(f.At) < reach/2 {
			return window
		}
	}
	return whole
}
