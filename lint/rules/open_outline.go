package rules

import (
	"fmt"
	"slices"

	"sluice/fix"
	"sluice/fix/repair"
	"sluice/geom"
	"sluice/geom/outline"
	"sluice/lint"
)

var openOutline = &lint.Rule{
	ID:       "open-outline",
	Brought:  lint.BroughtWorse,
	Severity: lint.Error,
	Repair:   lint.Auto,
	Choices:  []string{"extend", "straight", "round", "join", "etch", "drop"},
	Doc: lint.Doc{
		Title:      "Outline that does not close",
		What:       "A chain of lines and arcs whose ends do not meet: one finding for each gap, measured from one free end to the nearest other, or at the end itself where none lies within 10 mm.",
		Why:        "The controller takes an open chain as a cut of its own: it pierces at one end and stops at the other, so the part stays joined to the sheet or is cut on the wrong side of the line.",
		Bad:        "A rectangle of four lines whose last line stops 0.2 mm before the first begins.",
		Good:       "Four lines whose ends agree to within 0.001 mm, even if no two coordinates are the same.",
		Exceptions: "Paths wholly inside a part whose ends have no partner are loose marks; lone specks shorter than the kerf are stray pieces.",
		Limit:      "[limits] join (0.001 mm): ends nearer than this are one place. [limits] gap (0.5 mm): up to this a gap is closed by fix.",
		Fix:        "Up to the gap limit the two ends are run on, or cut back, to where they cross; where they do not cross nearby a short line joins them. An end that stops short of the inside of a piece is run on to it. Ends are paired so that all pairs together fit best, those first that go on into each other. Wider gaps are asked about: run the ends on, close them by a line or a tangent arc, bring them together, or etch the open path or leave it out.",
		Reason:     "Safe: lines are only lengthened or shortened along themselves, or ends moved by at most 0.01 mm; nothing already drawn shifts sideways by more.",
		Since:      "0.1",
	},
	Check: func(p *lint.Pass) {
		paths := openPaths{p: p}
		for i := range p.Sheet.Gaps {
			g := &p.Sheet.Gaps[i]
			f := lint.Finding{
				At: g.At, Box: geom.BoxOf(g.A, g.B),
				Layer:    p.LayerOf(g.EndA.Stroke),
				Entities: p.EntityIDs(g.EndA.Stroke, g.EndB.Stroke),
				Part:     gapPart(p, g),
				Repair:   lint.None,
				Subject:  lint.AboutGap(i),
			}
			if !g.Partner {
				f.Message = "the outline ends here; no other free end lies within 10 mm" + nearEnds(g.Near, 10) + within(g)
				f.Fact = lint.Fact{One: "the outline ends in the open", Many: "open ends of outlines", Why: "no other end lies within 10 mm"}
				paths.offer(&f, g)
				p.Report(f)
				continue
			}
			f.Message = fmt.Sprintf("gap of %s mm between two ends", mm(g.Width))
			if g.Inside {
				f.Message = fmt.Sprintf("the outline ends %s mm from the piece it should meet", mm(g.Width))
			}
			f.Fact = lint.Fact{One: "gap of # in the outline", Many: "gaps of # in outlines"}
			f.Measure = &lint.Measure{Name: "gap", Value: g.Width, Limit: p.Job.Limits.Join, Unit: "mm"}
			if g.Width <= p.Job.Limits.Gap {
				e := repair.CloseGap(p.Drawing, g, p.Job.Limits.Gap)
				e.Rule, e.Part, e.Entities = "open-outline", f.Part, f.Entities
				if len(e.Ops) > 0 {
					f.Repair = lint.Auto
					f.Fixes = lint.OneFix(fix.Auto, e)
				} else {
					f.Message += fmt.Sprintf(", which cannot be closed by moving an end by at most %s mm", mm(p.Job.Limits.Gap))
					f.Fact.Why = fmt.Sprintf("not to be closed by moving an end by %s mm", mm(p.Job.Limits.Gap))
				}
			} else {
				f.Fact.Why = fmt.Sprintf("fix closes up to %s mm", mm(p.Job.Limits.Gap))
				f.Message += fmt.Sprintf(", wider than the %s mm that fix closes", mm(p.Job.Limits.Gap)) + nearEnds(g.Near, 0) + within(g)
			}
			if f.Repair != lint.Auto {
				offerGap(p, &f, g)
				paths.offer(&f, g)
			}
			p.Report(f)
		}
	},
}

// offerGap offers the ways in which a person may have a gap closed.
func offerGap(p *lint.Pass, f *lint.Finding, g *outline.Gap) {
	for _, how := range []string{repair.GapExtend, repair.GapStraight, repair.GapRound, repair.GapJoin} {
		e := repair.CloseGapAs(p.Drawing, g, how)
		e.Rule, e.Part, e.Entities = "open-outline", f.Part, f.Entities
		f.Offer(how, e.Note, e)
	}
	f.Repair = lint.Choice
}

// openPaths offers to etch the open paths in which gaps lie, or to leave them out.
type openPaths struct {
	p    *lint.Pass
	with map[int32]*outline.Open // by stroke
}

// find gathers the open paths once they are asked for.
func (o *openPaths) find() {
	o.with = map[int32]*outline.Open{}
	enter := func(path *outline.Open) {
		for _, s := range path.Src {
			if _, ok := o.with[s]; !ok && s >= 0 {
				o.with[s] = path
			}
		}
	}
	for i := range o.p.Sheet.Open {
		if path := &o.p.Sheet.Open[i]; !path.Loose {
			enter(path)
		}
	}
	for i := range o.p.Sheet.Outlines {
		if out := &o.p.Sheet.Outlines[i]; !out.Closed && !out.Tangled {
			enter(&outline.Open{Path: out.Path, Box: out.Box, Length: out.Length, Part: out.Part})
		}
	}
}

// offer offers to etch the path in which a gap lies, or to leave it out. Either settles
// all gaps of the path.
func (o *openPaths) offer(f *lint.Finding, g *outline.Gap) {
	if o.with == nil {
		o.find()
	}
	path := o.with[g.EndA.Stroke]
	if path == nil {
		return
	}
	for _, c := range []struct{ how, words string }{
		{repair.MarkEtch, "etch the open path, %s mm, instead of cutting it"}, {repair.MarkDrop, "leave the open path out, %s mm"},
	} {
		words := fmt.Sprintf(c.words, mm(path.Length))
		part, at, entities := f.Part, f.At, o.p.EntityIDs(path.Src...)
		f.OfferLater(c.how, words, 0, func() []fix.Fix {
			e, ok := repair.Mark(o.p.Drawing, path, c.how, false, o.p.Job.Limits.Gap)
			if !ok {
				return nil
			}
			e.Rule, e.Part, e.Entities, e.At = "open-outline", part, entities, at
			return lint.OneFix(fix.Choice, e)
		})
		f.Choices[len(f.Choices)-1].Act = fmt.Sprintf("open|%d|%s", path.Src[slices.IndexFunc(path.Src, func(s int32) bool { return s >= 0 })], c.how)
	}
	f.Repair = lint.Choice
}

// within tells of outlines that lie within an open path.
func within(g *outline.Gap) string {
	switch g.Within {
	case 0:
		return ""
	case 1:
		return "; 1 outline lies within it, a part or a hole: it gets no tabs and no number until this closes"
	}
	return fmt.Sprintf("; %d outlines lie within it, parts or holes: they get no tabs and no numbers until this closes", g.Within)
}

// gapPart names the part whose outline a gap keeps open, if it is one.
func gapPart(p *lint.Pass, g *outline.Gap) string {
	if g.Outline < 0 {
		return ""
	}
	return p.PartName(p.Sheet.Outlines[g.Outline].Part)
}

// nearEnds names the nearest free ends further than least mm away, two at most.
func nearEnds(list []outline.Near, least float64) string {
	s := ""
	n := 0
	for _, c := range list {
		if c.Dist < least || n == 2 {
			continue
		}
		if n++; n == 1 {
			s = "; nearest ends: "
		} else {
			s += ", "
		}
		s += fmt.Sprintf("%s mm away at %s,%s", mm(c.Dist), mm(c.At.X), mm(c.At.Y))
	}
	return s
}
