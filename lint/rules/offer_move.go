package rules

import (
	"fmt"

	"sluice/fix"
	"sluice/fix/layout"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/lint"
)

// mostMoved is how many parts of a drawing are looked at for how far they would have to
// be moved aside, and of how many; beyond, the way is worked out once it is taken.
const mostMoved, mostPartsMoved = 60, 600

// mover tells rules how far parts would have to be moved aside.
type mover struct {
	p     *lint.Pass
	aside *layout.Aside // nil: not needed yet
	n     int
}

// newMover returns a mover for the drawing of a pass.
func newMover(p *lint.Pass) *mover { return &mover{p: p} }

// offer offers to move part k aside; words say so. It is not offered where there is no room.
func (m *mover) offer(f *lint.Finding, words string, k int32) {
	part := &m.p.Sheet.Parts[k]
	if part.Tangled || part.Enclosed {
		return
	}
	w := lint.Way{Name: "spread", Words: words, Aside: []int32{k}}
	if m.n++; m.n <= mostMoved && len(m.p.Sheet.Parts) <= mostPartsMoved {
		if m.aside == nil {
			m.aside = lint.AsideIn(m.p.Sheet, m.p.Job)
		}
		by, ok := m.aside.Shift(int(k))
		m.aside.Back(int(k))
		if !ok {
			return
		}
		w.Moves = by.Norm()
		w.Words += ": by " + mm(by.X) + ", " + mm(by.Y) + " mm"
	}
	f.Choices, f.Repair = append(f.Choices, w), lint.Choice
}

// smaller returns the smaller of two parts, the later where they are alike.
func smaller(p *lint.Pass, a, b int32) int32 {
	if p.Sheet.Parts[a].Area < p.Sheet.Parts[b].Area*(1-1e-9) {
		return a
	}
	return b
}

// twice finds parts that are drawn twice on themselves, so that a person may say
// whether two of them are meant.
type twice struct {
	p     *lint.Pass
	whole map[int32][]int32 // by part that is: the strokes of the second drawing
	ways  map[int32][]lint.Way
}

// find gathers parts of which every piece is drawn once more.
func (t *twice) find() {
	t.whole, t.ways = map[int32][]int32{}, map[int32][]lint.Way{}
	copies := map[int32][]int32{} // by stroke: whole repeats of it
	for i := range t.p.Sheet.Overlaps {
		if o := &t.p.Sheet.Overlaps[i]; o.Whole && t.p.Drawing.Strokes[o.Twin].Length()-o.Piece.Length() < t.p.Job.Limits.Join {
			copies[o.Twin] = append(copies[o.Twin], o.Stroke)
		}
	}
	if len(copies) == 0 {
		return
	}
parts:
	for k := range t.p.Sheet.Parts {
		part := &t.p.Sheet.Parts[k]
		if part.Unsure() {
			continue
		}
		var strokes []int32
		for _, i := range append([]int32{part.Outer}, part.Holes...) {
			for _, s := range t.p.Sheet.Outlines[i].Src {
				if s < 0 || len(copies[s]) == 0 {
					continue parts
				}
				strokes = append(strokes, copies[s][0])
			}
		}
		t.whole[int32(k)] = strokes
	}
}

// offer offers to keep one of a part that is drawn twice, or both.
func (t *twice) offer(f *lint.Finding, twin int32) {
	if t.whole == nil {
		t.find()
	}
	k := t.p.PartOfStroke(twin)
	strokes, ok := t.whole[k]
	if k < 0 || !ok {
		return
	}
	ways, known := t.ways[k]
	if !known {
		ways = t.waysOf(k, strokes)
		t.ways[k] = ways
	}
	f.Choices = append(f.Choices, ways...)
	f.Message += "; so is all of part " + t.p.PartName(k)
}

func (t *twice) waysOf(k int32, strokes []int32) []lint.Way {
	name := t.p.PartName(k)
	once := fix.Edit{Kind: "drop-duplicate", At: t.p.Sheet.Parts[k].Centroid, Part: name, Entities: t.p.EntityIDs(strokes...), Note: "the second of part " + name + " left out"}
	for _, i := range strokes {
		once.Ops = append(once.Ops, fix.Op{Kind: fix.Drop, Stroke: i})
	}
	var one lint.Finding
	one.Offer("keep-one", "keep part "+name+" once: it was drawn twice by mistake", once)
	one.Choices[0].Default, one.Choices[0].Act = true, fmt.Sprintf("twice|%d|one", k)
	ways := one.Choices
	s := layout.Twice(t.p.Sheet, int(k))
	a := lint.AsideIn(s, t.p.Job)
	by, ok := a.Shift(len(s.Parts) - 1)
	if !ok {
		return ways
	}
	e := fix.Edit{Kind: "keep-copy", At: t.p.Sheet.Parts[k].Centroid, Moved: by.Norm(), Part: name, Entities: t.p.EntityIDs(strokes...),
		Note: fmt.Sprintf("the second of part %s moved aside by %s, %s mm", name, mm(by.X), mm(by.Y))}
	for _, i := range strokes {
		st := t.p.Drawing.Strokes[i]
		st.Piece, st.Made = st.Transform(geom.Shift(by)), drawing.Edited
		e.Ops = append(e.Ops, fix.Op{Kind: fix.Replace, Stroke: i, With: []drawing.Stroke{st}})
	}
	var f lint.Finding
	f.Offer("keep-both", fmt.Sprintf("keep both of part %s: the second is moved aside by %s, %s mm", name, mm(by.X), mm(by.Y)), e)
	for i := range f.Choices {
		f.Choices[i].Act = fmt.Sprintf("twice|%d|both", k)
	}
	return append(ways, f.Choices...)
}
