package rules

import (
	"cmp"
	"fmt"
	"slices"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/lint"
)

var unreadEntity = &lint.Rule{
	ID:       "unread-entity",
	Severity: lint.Warning,
	Repair:   lint.None,
	Doc: lint.Doc{
		Title:      "Content left out",
		What:       "Content that the reader knows no outline for, or that is hidden: on a layer that is off or frozen, or outside the model. One finding for each type and layer. Problems met while reading the file are told here too.",
		Why:        "What is left out is not cut. Better to hear it now than to find a hole missing in the plate.",
		Bad:        "A hatch, an image, a solid; a hole on a frozen layer.",
		Good:       "Points and texts, which are carried over.",
		Exceptions: "Layers under [layers] ignore, which were left out on purpose.",
		Limit:      "None.",
		Fix:        "Export it as lines and arcs, or thaw its layer, if it belongs to the parts.",
		Reason:     "Never made: the content cannot be read.",
		Since:      "0.1",
	},
	Check: func(p *lint.Pass) {
		unreadContent(p)
		for i := range p.Drawing.Problems {
			unreadProblem(p, &p.Drawing.Problems[i])
		}
	},
}

func unreadContent(p *lint.Pass) {
	type group struct {
		typ, layer, why string
		kind            drawing.NoticeKind
	}
	type sum struct {
		n   int
		ids []string
		at  geom.Point
		box geom.Box
	}
	sums := map[group]*sum{}
	var keys []group
	for i := range p.Drawing.Notices {
		n := &p.Drawing.Notices[i]
		if n.Kind == drawing.NotFlat {
			continue
		}
		e := &p.Drawing.Entities[n.Entity]
		g := group{e.Type, p.Drawing.LayerName(n.Layer), n.Text, n.Kind}
		s := sums[g]
		if s == nil {
			s = &sum{at: n.At, box: n.Box}
			sums[g] = s
			keys = append(keys, g)
		}
		s.n++
		s.box = s.box.Union(n.Box)
		if len(s.ids) < 64 {
			s.ids = append(s.ids, e.ID())
		}
	}
	slices.SortFunc(keys, func(a, b group) int {
		return cmp.Or(cmp.Compare(a.typ, b.typ), cmp.Compare(a.layer, b.layer), cmp.Compare(a.kind, b.kind), cmp.Compare(a.why, b.why))
	})
	for _, g := range keys {
		s := sums[g]
		f := lint.Finding{
			At: s.at, Box: s.box, Layer: g.layer, Entities: s.ids,
			Measure: &lint.Measure{Name: "count", Value: float64(s.n), Unit: "entities"},
		}
		if !s.box.Empty() {
			f.At = s.box.Center()
		}
		switch g.kind {
		case drawing.Hidden:
			f.Message = fmt.Sprintf("%d %s left out: %s", s.n, g.typ, g.why)
		case drawing.Wide:
			f.Message = fmt.Sprintf("%d %s drawn as a filled band (%s): its centre line was read", s.n, g.typ, g.why)
		default:
			f.Message = fmt.Sprintf("%d %s left out: no outline is known for it", s.n, g.typ)
			if g.why != "" && g.why != g.typ {
				f.Message = fmt.Sprintf("%d %s left out: %s", s.n, g.typ, g.why)
			}
		}
		p.Report(f)
	}
}

// unreadProblem reports a problem met while reading: gravely where something was
// lost, else as a note.
func unreadProblem(p *lint.Pass, pr *drawing.Problem) {
	f := lint.Finding{Message: fmt.Sprintf("line %d: %s", pr.Line, pr.Text), Severity: lint.Note}
	if pr.Lost {
		f.Severity = lint.Warning
	}
	if pr.Code == "cut-short" {
		f.Severity = lint.Error
	}
	if pr.Entity >= 0 && int(pr.Entity) < len(p.Drawing.Entities) {
		e := &p.Drawing.Entities[pr.Entity]
		f.Entities = []string{e.ID()}
		f.Layer = p.Drawing.LayerName(e.Layer)
	}
	p.Report(f)
}
