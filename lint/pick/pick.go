// Package pick takes the changes between two drawings one by one: it tells each as a
// finding that can be accepted or rejected, and draws the later drawing without those
// that are rejected.
//
// What is drawn alike in both, stroke by stroke, is no change. The other strokes are put
// together as a person would name them: an outline of which anything is other, a part
// that came, went or moved, what is marked on a part. Rejecting a change takes what it
// brought out, and puts back what it took away: what belongs together goes together, so
// that no outline is left half one way and half the other.
package pick

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"slices"

	"sluice/fix"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/index"
	"sluice/geom/outline"
	"sluice/lint"
)

// Choices of a change.
const (
	Accept = "accept"
	Reject = "reject"
)

// alike is within which distance, mm, strokes of both drawings are the same.
const alike = 1e-3

// beside is how near, mm, marks that lie on no part are one change.
const beside = 4

// side is one of the two drawings.
type side struct {
	res   *lint.Result
	role  []outline.Role // by stroke: what it is until a person decides otherwise
	other []int32        // strokes that the other drawing does not have
	texts []int          // texts that it does not have
	of    []int32        // by stroke: the outline that it bounds, else -1
}

// item is something that differs: a stroke, or a text, of one of the drawings.
type item struct {
	new    bool
	stroke int32 // -1: a text
	text   int
}

// Changes returns what differs between two judged drawings as findings of the later one,
// with the choices to accept or to reject it, from the top down.
func Changes(old, now *lint.Result) []lint.Finding {
	a, b := newSide(old), newSide(now)
	a.compare(b)
	g := gather(a, b)
	var all []lint.Finding
	for _, items := range g.groups() {
		all = append(all, g.finding(items))
	}
	slices.SortStableFunc(all, func(x, y lint.Finding) int {
		return cmp.Or(cmp.Compare(y.At.Y, x.At.Y), cmp.Compare(x.At.X, y.At.X), cmp.Compare(x.ID, y.ID))
	})
	return all
}

func newSide(r *lint.Result) *side {
	s := &side{res: r, of: make([]int32, len(r.Drawing.Strokes))}
	undecided := map[int32]bool{} // drawn like a cut, and not cut until a person says so
	for i := range r.Sheet.Aside {
		for _, src := range r.Sheet.Aside[i].Src {
			undecided[src] = true
		}
	}
	for i := range r.Sheet.Open {
		if o := &r.Sheet.Open[i]; o.Loose && !lint.CutMark(r.Drawing, r.Job, o) {
			for _, src := range o.Src {
				undecided[src] = true
			}
		}
	}
	s.role = make([]outline.Role, len(r.Drawing.Strokes))
	role, _ := lint.Roles(r.Drawing, r.Job)
	for i := range s.role {
		s.role[i] = role(&r.Drawing.Strokes[i])
		if undecided[int32(i)] && s.role[i] == outline.Cut {
			s.role[i] = outline.Noted
		}
	}
	for i := range s.of {
		s.of[i] = -1
	}
	for i := range r.Sheet.Outlines {
		for _, src := range r.Sheet.Outlines[i].Src {
			if src >= 0 {
				s.of[src] = int32(i)
			}
		}
	}
	return s
}

// compare finds what each of two sides has alone.
func (a *side) compare(b *side) {
	d, e := a.res.Drawing, b.res.Drawing
	there := index.NewCells[int32](4*beside, len(e.Strokes))
	for i := range e.Strokes {
		if b.role[i] != outline.Ignore {
			there.Add(spot(&e.Strokes[i].Piece), int32(i))
		}
	}
	met := make([]bool, len(e.Strokes))
	for i := range d.Strokes {
		s := &d.Strokes[i]
		if a.role[i] == outline.Ignore {
			continue
		}
		found := int32(-1)
		there.Around(spot(&s.Piece), alike, func(k int32) bool {
			if !met[k] && a.role[i] == b.role[k] && sameStroke(&s.Piece, &e.Strokes[k].Piece) {
				found = k
			}
			return found < 0
		})
		if found < 0 {
			a.other = append(a.other, int32(i))
		} else {
			met[found] = true
		}
	}
	for i := range e.Strokes {
		if !met[i] && b.role[i] != outline.Ignore {
			b.other = append(b.other, int32(i))
		}
	}
	type text struct {
		value string
		x, y  int64
	}
	key := func(t *drawing.Text) text {
		return text{t.Value, int64(math.Round(t.At.X * 100)), int64(math.Round(t.At.Y * 100))}
	}
	n := map[text]int{}
	for i := range e.Texts {
		n[key(&e.Texts[i])]++
	}
	for i := range d.Texts {
		if k := key(&d.Texts[i]); n[k] > 0 {
			n[k]--
		} else {
			a.texts = append(a.texts, i)
		}
	}
	n = map[text]int{}
	for i := range d.Texts {
		n[key(&d.Texts[i])]++
	}
	for i := range e.Texts {
		if k := key(&e.Texts[i]); n[k] > 0 {
			n[k]--
		} else {
			b.texts = append(b.texts, i)
		}
	}
}

// spot returns the place by which a stroke is looked up: its middle, which of a circle is
// the centre, wherever that begins.
func spot(p *geom.Piece) geom.Point {
	if p.IsCircle() {
		return p.C
	}
	return p.Mid()
}

func sameStroke(p, q *geom.Piece) bool {
	near := func(a, b geom.Point) bool { return a.Dist(b) <= alike }
	return near(p.Mid(), q.Mid()) && (near(p.A, q.A) && near(p.B, q.B) || near(p.A, q.B) && near(p.B, q.A)) ||
		p.IsCircle() && q.IsCircle() && near(p.C, q.C) && math.Abs(p.R-q.R) <= alike
}

// groups of what differs.
type grouping struct {
	a, b  *side
	items []item
	sets  index.Sets[int32]
}

// gather puts together what is one change.
func gather(a, b *side) *grouping {
	g := &grouping{a: a, b: b}
	for n, s := range [2]*side{a, b} {
		for _, i := range s.other {
			g.items = append(g.items, item{n == 1, i, -1})
		}
		for _, i := range s.texts {
			g.items = append(g.items, item{n == 1, -1, i})
		}
	}
	g.sets = index.NewSets[int32](len(g.items))
	g.byOutline()
	g.byEnds()
	g.byPart()
	return g
}

// of returns the side that an item is on.
func (g *grouping) of(it *item) *side {
	if it.new {
		return g.b
	}
	return g.a
}

// place returns where an item is.
func (g *grouping) place(it *item) geom.Point {
	d := g.of(it).res.Drawing
	if it.stroke < 0 {
		return d.Texts[it.text].At
	}
	return spot(&d.Strokes[it.stroke].Piece)
}

// outline returns the outline that an item bounds, -1 for none.
func (g *grouping) outline(it *item) int32 {
	if it.stroke < 0 {
		return -1
	}
	return g.of(it).of[it.stroke]
}

// byEnds puts strokes together whose ends meet, in either drawing.
func (g *grouping) byEnds() {
	ends := index.NewPoints[int32](0.05, 2*len(g.items))
	first := map[int32]int32{}
	join := func(p geom.Point, i int32) {
		at := ends.Find(ends.Place(p))
		if k, ok := first[at]; ok {
			g.sets.Union(k, i)
		} else {
			first[at] = i
		}
	}
	for i := range g.items {
		it := &g.items[i]
		if it.stroke < 0 {
			continue
		}
		d := g.of(it).res.Drawing
		if s := &d.Strokes[it.stroke]; g.cut(it) && !s.IsCircle() {
			join(s.A, int32(i))
			join(s.B, int32(i))
		}
	}
}

// cut reports whether an item is cut, or left uncut as a tab.
func (g *grouping) cut(it *item) bool {
	if it.stroke < 0 {
		return false
	}
	s := g.of(it)
	r := s.role[it.stroke]
	return r == outline.Cut || r == outline.Tab
}

// byPart puts marks and texts together that lie on one part, or near each other beside
// all parts.
func (g *grouping) byPart() {
	on := map[string]int32{}
	near := index.NewPoints[int32](beside, 16)
	first := map[int32]int32{}
	finder := [2]func(geom.Point) int{g.a.res.Sheet.PartFinder(), g.b.res.Sheet.PartFinder()}
	for i := range g.items {
		it := &g.items[i]
		if g.cut(it) {
			continue
		}
		at := g.place(it)
		side, res := 0, g.a.res
		if it.new {
			side, res = 1, g.b.res
		}
		if k := finder[side](at); k >= 0 {
			if had, ok := on[res.Names[k]]; ok {
				g.sets.Union(had, int32(i))
			} else {
				on[res.Names[k]] = int32(i)
			}
			continue
		}
		p := near.Find(near.Place(at))
		if had, ok := first[p]; ok {
			g.sets.Union(had, int32(i))
		} else {
			first[p] = int32(i)
		}
	}
}

// groups returns the items of each change.
func (g *grouping) groups() [][]item {
	at := map[int32]int{}
	var out [][]item
	for i := range g.items {
		root := g.sets.Find(int32(i))
		k, ok := at[root]
		if !ok {
			k = len(out)
			at[root] = k
			out = append(out, nil)
		}
		out[k] = append(out[k], g.items[i])
	}
	return out
}

// finding tells a change.
func (g *grouping) finding(items []item) lint.Finding {
	f := lint.Finding{Rule: "change", Severity: lint.Warning, Box: geom.NoBox()}
	for i := range items {
		d := g.of(&items[i]).res.Drawing
		if items[i].stroke >= 0 {
			f.Box = f.Box.Union(d.Strokes[items[i].stroke].Box())
		} else {
			f.Box = f.Box.Union(geom.BoxOf(d.Texts[items[i].text].At))
		}
	}
	f.At = f.Box.Center()
	w := g.words(items)
	f.Rule, f.Message, f.Part, f.Subject = w.kind, w.says, w.part, lint.Subject{}
	f.Fact = lint.Fact{One: w.says, Many: w.kind}
	f.Key = g.key(items)
	sum := sha256.Sum256([]byte(f.Key))
	f.ID = hex.EncodeToString(sum[:6])
	f.Choices = []lint.Way{
		{Name: Accept, Words: "take it as it is in the later drawing", Default: true},
		{Name: Reject, Words: "leave it as it was in the earlier drawing", Fixes: []fix.Fix{{Safety: fix.Choice, Edits: []fix.Edit{g.rejected(items, &f)}}}},
	}
	return f
}

// key knows a change by all that it is made of, whatever else differs.
func (g *grouping) key(items []item) string {
	var all []string
	for i := range items {
		it := &items[i]
		p := g.place(it)
		what := "stroke"
		if it.stroke < 0 {
			what = g.of(it).res.Drawing.Texts[it.text].Value
		}
		all = append(all, fmt.Sprintf("%v %s %.2f %.2f", it.new, what, p.X, p.Y))
	}
	slices.Sort(all)
	return fmt.Sprint(all)
}

// rejected returns the edit of the later drawing that takes a change back.
func (g *grouping) rejected(items []item, f *lint.Finding) fix.Edit {
	e := fix.Edit{Kind: "reject-change", Rule: f.Rule, At: f.At, Part: f.Part, Note: f.Message + ": left as it was", Asked: true}
	var back []drawing.Stroke
	for i := range items {
		it := &items[i]
		switch {
		case it.new && it.stroke >= 0:
			e.Ops = append(e.Ops, fix.Op{Kind: fix.Drop, Stroke: it.stroke})
		case it.new:
			e.Ops = append(e.Ops, fix.Op{Kind: fix.DropText, Index: int32(it.text)})
		case it.stroke >= 0:
			st := g.a.res.Drawing.Strokes[it.stroke]
			back = append(back, drawing.Stroke{Piece: st.Piece, Entity: -1, Layer: -1, Made: drawing.Edited, As: asOf(g.a.role[it.stroke])})
		default:
			t := g.a.res.Drawing.Texts[it.text]
			t.Entity, t.Layer = -1, -1
			e.Ops = append(e.Ops, fix.Op{Kind: fix.AddText, Text: &t})
		}
	}
	if len(back) > 0 {
		e.Ops = append(e.Ops, fix.Op{Kind: fix.Add, With: back})
	}
	return e
}

// asOf returns what a stroke is taken as that had a role.
func asOf(r outline.Role) drawing.As {
	switch r {
	case outline.Etch:
		return drawing.AsEtch
	case outline.Noted:
		return drawing.AsNote
	case outline.Tab:
		return drawing.AsTab
	}
	return drawing.AsCut
}
