package cli

import (
	"bytes"
	"errors"
	"io"
	"path"

	"sluice/geom"
	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/report"
	"sluice/lint/rules"
)

// flaw is a rule's pair of small drawings, judged.
type flaw struct {
	bad, good *lint.Result
	window    geom.Box // the same piece of both
	at        geom.Point
}

// flawOf judges the drawings of a rule, nil if there are none or they do not show
// it.
func (c *call) flawOf(id string) *flaw {
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
		r := c.engine.check(c.ctx, name, bytes.NewReader(data), j, 1)
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
	x := &flaw{bad: judged("flaw.dxf"), good: judged("near.dxf")}
	if x.bad == nil || x.good == nil || len(x.bad.Findings) == 0 {
		return nil
	}
	f := clearest(x.bad.Findings)
	x.at, x.window = f.At, windowOn(f, x.bad)
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

// stock returns the box of the sheet, false where no size is set.
func stock(j *job.Job) (geom.Box, bool) {
	if len(j.Sheet.Size) != 2 {
		return geom.Box{}, false
	}
	return geom.Box{Max: geom.Pt(j.Sheet.Size[0], j.Sheet.Size[1])}, true
}

// windowOn returns the piece of a drawing that shows a finding: what it is about
// with its surroundings, wide enough for its measure to be seen; the whole, where
// that shows nothing drawn or the sheet matters.
func windowOn(f *lint.Finding, r *lint.Result) geom.Box {
	all := r.Extents
	s, matters := stock(r.Job)
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

// picture returns one side of the pair as an SVG picture that stands alone.
func (x *flaw) picture(r *lint.Result, title string) ([]byte, error) {
	var b bytes.Buffer
	err := report.SheetSVG(&b, r.Sheet, report.SVGOptions{Title: title, Width: 420, Bare: true, Findings: r.Findings, Extents: x.window})
	return b.Bytes(), err
}

// explainDrawn writes rules as a page with pictures, or the picture of one flaw.
func (c *call) explainDrawn(chosen []ruleText) int {
	if c.format == "svg" {
		if len(chosen) != 1 {
			return c.failf("--format svg draws one rule; write sluice explain RULE --format svg")
		}
		return c.render(func(w io.Writer) error {
			x := c.flawOf(chosen[0].ID)
			if x == nil {
				return errors.New(chosen[0].ID + ": there is no picture of this rule")
			}
			data, err := x.picture(x.bad, chosen[0].ID+": "+chosen[0].Title)
			if err == nil {
				_, err = w.Write(data)
			}
			return err
		})
	}
	return c.render(func(w io.Writer) error {
		var pages []report.RulePage
		for i := range chosen {
			r := &chosen[i]
			p := report.RulePage{ID: r.ID, Title: r.Title, Severity: r.Severity}
			for _, f := range r.fields() {
				if n := len(p.Says); f.head == "" && n > 0 {
					p.Says[n-1].Text += ". " + f.words
					continue
				}
				p.Says = append(p.Says, report.Saying{About: f.head, Text: f.words})
			}
			if x := c.flawOf(r.ID); x != nil {
				var err, err2 error
				p.Flaw, err = x.picture(x.bad, r.ID+": the flaw")
				p.Near, err2 = x.picture(x.good, r.ID+": a near miss, which passes")
				if err := errors.Join(err, err2); err != nil {
					return err
				}
			}
			pages = append(pages, p)
		}
		return report.RulesHTML(w, Version, pages)
	})
}
