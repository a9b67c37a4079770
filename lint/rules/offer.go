package rules

import (
	"sluice/fix"
	"sluice/fix/repair"
	"sluice/geom/outline"
	"sluice/lint"
)

// offerOutline offers to leave a whole outline out.
func offerOutline(p *lint.Pass, f *lint.Finding, name, words string, o *outline.Outline) {
	e := repair.DropOutline(p.Drawing, &o.Path, o.Box.Center())
	e.Part, e.Entities = f.Part, p.EntityIDs(o.Src...)
	f.Offer(name, words, e)
}

// leaver offers to leave parts and holes out. What it takes to drop one is looked at
// once, and the edits are made only for what is chosen: many findings may be about
// one part, and it may have many pieces.
type leaver struct {
	p      *lint.Pass
	shared map[int32]bool // parts that share an edge with another: they cannot go alone
	whole  map[int32]bool // by outline: nothing else is drawn by its strokes
}

func newLeaver(p *lint.Pass) *leaver {
	l := &leaver{p, map[int32]bool{}, map[int32]bool{}}
	for i := range p.Sheet.Shared {
		s := &p.Sheet.Shared[i]
		l.shared[s.PartA], l.shared[s.PartB] = true, true
	}
	return l
}

// dropped returns what takes outline i away, nothing where that cannot be done.
func (l *leaver) dropped(i int32) []fix.Op {
	o := &l.p.Sheet.Outlines[i]
	return repair.DropOutline(l.p.Drawing, &o.Path, o.Box.Center()).Ops
}

func (l *leaver) alone(i int32) bool {
	can, known := l.whole[i]
	if !known {
		can = len(l.dropped(i)) > 0
		l.whole[i] = can
	}
	return can
}

// part offers to leave part k out, with its holes and marks.
func (l *leaver) part(f *lint.Finding, k int32) {
	part := &l.p.Sheet.Parts[k]
	if part.Tangled || l.shared[k] {
		return
	}
	all := append([]int32{part.Outer}, part.Holes...)
	for _, i := range all {
		if !l.p.Sheet.Outlines[i].Closed || !l.alone(i) {
			return
		}
	}
	name := l.p.PartName(k)
	f.OfferLater("drop", "leave part "+name+" out", 0, func() []fix.Fix {
		e := fix.Edit{Kind: "drop-part", At: part.Centroid, Part: name, Note: "part " + name + " left out"}
		for _, i := range all {
			e.Ops = append(e.Ops, l.dropped(i)...)
			e.Entities = append(e.Entities, l.p.EntityIDs(l.p.Sheet.Outlines[i].Src...)...)
		}
		for _, list := range [][]outline.Open{l.p.Sheet.Etch, l.p.Sheet.Open, l.p.Sheet.Noted} {
			for i := range list {
				if o := &list[i]; o.Part == k && o.Inside {
					e.Ops = append(e.Ops, repair.DropOutline(l.p.Drawing, &o.Path, part.Centroid).Ops...)
				}
			}
		}
		return lint.OneFix(fix.Choice, e)
	})
}

// beside offers to leave part k out, of which other parts share edges: those edges
// stay.
func (l *leaver) beside(f *lint.Finding, k int32) {
	part := &l.p.Sheet.Parts[k]
	if part.Tangled || part.Enclosed {
		return
	}
	name, p := l.p.PartName(k), l.p
	keep := map[int32]bool{}
	for i := range p.Sheet.Shared {
		s := &p.Sheet.Shared[i]
		if s.PartA == k || s.PartB == k {
			for _, list := range [][]int32{s.Strokes, s.Extra} {
				for _, i := range list {
					keep[i] = true
				}
			}
		}
	}
	var ops []fix.Op
	var gone []int32
	for _, i := range append([]int32{part.Outer}, part.Holes...) {
		o := &p.Sheet.Outlines[i]
		drawn := map[int32]float64{}
		for n, s := range o.Src {
			if s >= 0 && !keep[s] {
				drawn[s] += o.Pieces[n].Length()
			}
		}
		for _, s := range o.Src {
			length, ok := drawn[s]
			if !ok {
				continue
			}
			if p.Drawing.Strokes[s].Length() > length+1e-6 {
				return // it draws something else besides
			}
			ops, gone = append(ops, fix.Op{Kind: fix.Drop, Stroke: s}), append(gone, s)
			delete(drawn, s)
		}
	}
	e := fix.Edit{Kind: "drop-part", At: part.Centroid, Part: name, Entities: p.EntityIDs(gone...), Note: "part " + name + " left out; the edge that it shares stays", Ops: ops}
	f.Offer("drop", "leave part "+name+" out; the edge stays with the other", e)
}

// hole offers to leave a hole out.
func (l *leaver) hole(f *lint.Finding, i int32) {
	if !l.alone(i) {
		return
	}
	part := f.Part
	f.OfferLater("drop", "leave the hole beside it out: the material stays whole there", 0, func() []fix.Fix {
		o := &l.p.Sheet.Outlines[i]
		e := repair.DropOutline(l.p.Drawing, &o.Path, o.Box.Center())
		e.Part, e.Entities = part, l.p.EntityIDs(o.Src...)
		return lint.OneFix(fix.Choice, e)
	})
}
