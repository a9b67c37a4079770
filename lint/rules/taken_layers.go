package rules

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/index"
	"sluice/geom/outline"
	"sluice/lint"
	"sluice/lint/job"
)

// takenLayer gathers what one layer draws that is not cut, or that is cut though
// it never plots.
type takenLayer struct {
	layer    int32
	role     outline.Role
	by       string // pattern of the job
	answered bool   // a person says what it is taken for
	n        int    // entities
	last     int32  // entity counted last
	ids      []string
	box      geom.Box
	strokes  []int32
}

// takenLayers tells each layer that its name, its colour or its plotting takes
// from the cut, in one line. Closed outlines among them weigh more unless the job
// file names the layer itself: those a person may well want cut.
func takenLayers(p *lint.Pass) {
	for _, t := range gatherTaken(p) {
		name := p.Drawing.LayerName(t.layer)
		f := lint.Finding{
			Severity: lint.Note, Layer: name, Entities: t.ids, Box: t.box, At: t.box.Center(),
			Measure: &lint.Measure{Name: "count", Value: float64(t.n), Unit: "entities"},
		}
		closed := closedAmong(p.Drawing, t.strokes, p.Job.Limits.Same)
		what := counted(t.n, "entity", "entities")
		if closed > 0 {
			what += " with " + counted(closed, "closed outline", "closed outlines")
			if t.by == "" || !job.Written(t.by) {
				f.Severity = lint.Off // as the rule or the job has it
			}
		}
		fate := map[outline.Role]string{outline.Etch: "taken for marks", outline.Ignore: "left out", outline.Cut: "cut"}[t.role]
		f.Message = fmt.Sprintf("layer %q: %s %s, %s", name, what, fate, takenWhy(t))
		f.Fact = lint.Fact{One: f.Message, Many: "layers " + fate}
		if t.by != "" {
			offerLayer(p, &f, t, closed)
		}
		p.Report(f)
	}
}

// offerLayer offers what a layer that its name takes from the cut may be taken for.
func offerLayer(p *lint.Pass, f *lint.Finding, t *takenLayer, closed int) {
	name := p.Drawing.LayerName(t.layer)
	f.Key, f.Repair = lint.LayerKey(name, t.by), lint.Choice
	taken, _ := p.Job.Layers.Take(name, int(p.Drawing.Strokes[t.strokes[0]].Color), p.Drawing.NoPlot(t.layer))
	says := "its name says"
	if job.Written(t.by) {
		says = "the job file says"
	}
	drop := lint.Way{Name: "drop", Words: "leave it out"}
	etch := lint.Way{Name: "etch", Words: "etch it as marks"}
	use := lint.Way{Name: "use", Words: "cut it: " + counted(t.n, "entity", "entities")}
	switch closed {
	case t.n:
	case 0:
		use.Brings = "none of them closes"
	default:
		use.Brings = counted(closed, "outline closes", "outlines close") + ", other lines may be left open"
	}
	if taken == job.TakenEtch {
		etch.Words, etch.Default = etch.Words+", as "+says, true
		f.Choices = append(f.Choices, etch, use, drop)
		return
	}
	drop.Words, drop.Default = drop.Words+", as "+says, true
	f.Choices = append(f.Choices, drop, use, etch)
}

// counted writes a number with what it counts.
func counted(n int, one, many string) string {
	if n == 1 {
		many = one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// takenWhy says why a layer is taken for what it is.
func takenWhy(t *takenLayer) string {
	word, is := strings.CutPrefix(t.by, "word:")
	switch {
	case t.answered:
		return "as answered"
	case t.role == outline.Cut:
		return "though it never plots: [layers] ignore is without plot:never"
	case is:
		return fmt.Sprintf("for the word %q in its name", word)
	case job.Written(t.by):
		return fmt.Sprintf("as [layers] says (%q)", t.by)
	}
	return "since it never plots"
}

// gatherTaken returns the layers to tell, in the order of their names.
func gatherTaken(p *lint.Pass) []*takenLayer {
	type key struct {
		layer int32
		role  outline.Role
		by    string
	}
	type drawn struct {
		layer int32
		color int16
	}
	d := p.Drawing
	known := map[drawn]*takenLayer{} // nil: cut, or decided by a layer of our own
	of := map[key]*takenLayer{}
	var all []*takenLayer
	for i := range d.Strokes {
		s := &d.Strokes[i]
		if s.As != drawing.AsLayer || s.Entity < 0 {
			continue
		}
		t, ok := known[drawn{s.Layer, s.Color}]
		if !ok {
			role, by := lint.LayerRole(d, p.Job, s.Layer, s.Color)
			if by != "" || role == outline.Cut && d.NoPlot(s.Layer) {
				k := key{s.Layer, role, by}
				if t = of[k]; t == nil {
					t = &takenLayer{layer: s.Layer, role: role, by: by, last: -1, box: geom.NoBox()}
					if c := p.Job.Answers.Choice(lint.KeyID("unread-entity", lint.LayerKey(d.LayerName(s.Layer), by))); c != "" && c != job.Leave {
						t.answered = true
					}
					of[k] = t
					all = append(all, t)
				}
			}
			known[drawn{s.Layer, s.Color}] = t
		}
		if t == nil {
			continue
		}
		t.box = t.box.Union(s.Box())
		t.strokes = append(t.strokes, int32(i))
		if s.Entity != t.last {
			t.last = s.Entity
			t.n++
			if len(t.ids) < 64 {
				t.ids = append(t.ids, d.Entities[s.Entity].ID())
			}
		}
	}
	slices.SortStableFunc(all, func(a, b *takenLayer) int {
		return cmp.Or(cmp.Compare(d.LayerName(a.layer), d.LayerName(b.layer)), cmp.Compare(a.by, b.by))
	})
	return all
}

// closedAmong counts the closed outlines that strokes make: full circles, and
// rings of strokes whose ends lie within same mm of each other.
func closedAmong(d *drawing.Drawing, strokes []int32, same float64) int {
	ends := index.NewPoints[int32](same, 2*len(strokes))
	n := 0
	for _, i := range strokes {
		s := &d.Strokes[i]
		if s.IsCircle() {
			n++
			continue
		}
		if s.A == s.B || s.Length() <= same {
			continue
		}
		if !ends.Union(ends.Place(s.A), ends.Place(s.B)) {
			n++ // the stroke closes a ring
		}
	}
	return n
}
