package outline

import (
	"cmp"
	"context"
	"slices"

	"sluice/geom/drawing"
)

// AsideKind says what a closed path that is no edge of a part seems to be.
type AsideKind uint8

// Kinds of what is set aside.
const (
	Border AsideKind = iota + 1 // edge of the sheet or of a drawing frame
	Frame                       // what belongs to it: title block, table, marks at its edge
	Step                        // countersink or counterbore around a hole
	Letter                      // outline lettering

	// AsideKinds is one more than the last kind.
	AsideKinds = int(Letter) + 1
)

// Choice is what a person decided of one kind.
type Choice uint8

// Choices.
const (
	Ask    Choice = iota // not decided: taken out, and asked about
	Settle               // taken out, as decided: not asked about
	Keep                 // an outline like any other
)

// Aside is a path that is not cut, or not until a person has decided.
type Aside struct {
	Outline
	Kind    AsideKind
	Group   int  // those of one group are one question, from 0
	Settled bool // decided: nothing is to be asked
	Written bool // drawn on the layer of what is carried already
}

// asideMark is what is known of an outline that is taken out.
type asideMark struct {
	path  Path
	kind  AsideKind // 0: of none
	group int

	island bool // counter of a letter that is cut: it falls out, and is no part
}

// sifted is the seventh stage: outlines less those that bound no part, nested
// anew. It takes the outlines over from the stage before.
type sifted struct {
	*nested
	outlines  []Outline // those taken out have no pieces any more; at the end those among what is carried
	locate    *locator
	shared    []sharedSeg          // between outlines that are left
	out       map[int32]*asideMark // by outline: taken out
	carried   []bool               // by outline: drawn where nothing is cut
	drawn     int                  // number of outlines that are drawn to be cut
	frames    []frame              // borders found
	lettering []Lettering
	groups    int

	kids   [][]int32      // by outline: those directly in it, while kinds are looked for
	looked map[int32]look // shapes already measured
}

// choice returns what was decided of a kind.
func (o *Options) choice(k AsideKind) Choice {
	if k == Frame {
		k = Border // what belongs to a border goes with it
	}
	return o.Aside[k]
}

// putAside takes out outlines that close but bound no part, before it is settled
// what is part and what is hole, and nests the rest anew. Each kind is looked for
// once those before it are out of the way.
//
// What a corrected drawing carries is nested with the rest, so that it is seen
// for what it was seen for when it was cut; then it is taken out in any case.
func (n *nested) putAside(ctx context.Context, role func(*drawing.Stroke) Role) (*sifted, error) {
	a := &sifted{
		nested: n, outlines: n.outlines, locate: n.locate, shared: n.shared, drawn: len(n.outlines), carried: make([]bool, len(n.outlines)),
		out: map[int32]*asideMark{}, looked: map[int32]look{},
	}
	if err := a.noteOutlines(ctx, role); err != nil || a.o.plain {
		return a, err
	}
	kinds := []func(){a.findBorders, a.findLetters, a.findSteps, a.takeCarried}
	if len(a.outlines) == a.drawn {
		kinds = kinds[:3]
	}
	for _, find := range kinds {
		n := len(a.out)
		a.linkKids()
		find()
		if len(a.out) > n {
			a.renest()
		}
	}
	a.kids, a.looked = nil, nil // nothing is looked for any more
	a.shared = slices.DeleteFunc(a.shared, func(s sharedSeg) bool { return a.isOut(s.a) || a.isOut(s.b) })
	return a, nil
}

// renest finds anew which of the outlines left lies in which.
func (a *sifted) renest() { a.locate = nest(a.outlines, a.crossOut, a.o.Join) }

// noteOutlines adds the closed paths among what is carried.
func (a *sifted) noteOutlines(ctx context.Context, role func(*drawing.Stroke) Role) error {
	if len(a.noted) == 0 {
		return nil
	}
	o := a.o
	o.plain = true
	s, err := Build(ctx, a.strokes, func(s *drawing.Stroke) Role {
		if role(s) == Noted {
			return Cut
		}
		return Ignore
	}, o)
	if err != nil {
		return err
	}
	for i := range s.Outlines {
		n := s.Outlines[i]
		if n.Hole() {
			n.reverse()
		}
		n.Parent, n.Depth, n.Part = -1, 0, -1
		for k := range n.Flags { // the outline that draws it too may turn out to be of another kind
			n.Flags[k] &^= IsTwin
		}
		a.outlines = append(a.outlines, n)
		a.carried = append(a.carried, true)
	}
	if len(s.Outlines) > 0 {
		a.renest()
	}
	return nil
}

// takeCarried takes out what is left of what is carried.
func (a *sifted) takeCarried() {
	for i, is := range a.carried {
		if is && !a.isOut(int32(i)) {
			k, group := a.noteKind(int32(i))
			a.takeOut(int32(i), k, group)
		}
	}
}

// noteKind says what a closed path among what is carried is besides: where there
// is a border, all that is drawn so outside the parts belongs to it.
func (a *sifted) noteKind(i int32) (k AsideKind, group int) {
	if len(a.frames) == 0 {
		return 0, -1
	}
	for p := a.outlines[i].Parent; p >= 0; p = a.outlines[p].Parent {
		if !a.carried[p] {
			return 0, -1
		}
	}
	for _, f := range a.frames {
		if f.path.Contains(a.outlines[i].Centroid) {
			return Frame, f.group
		}
	}
	return Frame, a.frames[0].group
}

// takeOut takes outline i out of what is nested, unless a person decided that
// it is an outline like any other.
func (a *sifted) takeOut(i int32, k AsideKind, group int) {
	if a.isOut(i) {
		return
	}
	if k != 0 && a.kept(i, k) {
		if a.carried[i] {
			a.outlines[i].Was = k
		}
		a.carried[i] = false
		return
	}
	a.putOut(i, k, group)
}

// kept reports whether a person decided that outline i, which looks like one of a kind
// that bounds no part, is an outline like any other.
func (a *sifted) kept(i int32, k AsideKind) bool {
	switch a.o.choice(k) {
	case Keep:
		return true
	case Ask:
		return a.o.Decided && !a.carried[i] || a.meantCut(&a.outlines[i].Path)
	}
	return false
}

// putOut takes outline i out of what is nested.
func (a *sifted) putOut(i int32, k AsideKind, group int) {
	if a.isOut(i) {
		return
	}
	o := &a.outlines[i]
	a.out[i] = &asideMark{path: o.Path, kind: k, group: group}
	o.Path = Path{} // what has no pieces is around nothing and in nothing
}

func (a *sifted) isOut(i int32) bool { return a.out[i] != nil }

// linkKids lists what lies directly in each outline.
func (a *sifted) linkKids() {
	outs := a.outlines
	a.kids = make([][]int32, len(outs))
	for i := range outs {
		if p := outs[i].Parent; p >= 0 && !a.isOut(int32(i)) {
			a.kids[p] = append(a.kids[p], int32(i))
		}
	}
}

// forgetMarks takes what is carried out of those lists, but where it lies around
// something that is cut: elsewhere it is a mark, and tells nothing of borders
// and steps.
func (a *sifted) forgetMarks() {
	outs := a.outlines
	if len(outs) == a.drawn {
		return
	}
	holds := make([]bool, len(outs))
	for i := range outs[:a.drawn] {
		if a.isOut(int32(i)) {
			continue
		}
		for p := outs[i].Parent; p >= 0 && a.carried[p] && !holds[p]; p = outs[p].Parent {
			holds[p] = true
		}
	}
	for i := range a.kids {
		a.kids[i] = slices.DeleteFunc(a.kids[i], func(k int32) bool { return a.carried[k] && !holds[k] })
	}
}

// aroundAside finds the outermost outline around each that was taken out, while
// outlines run as the locator knows them.
func (a *sifted) aroundAside() map[int32]int32 {
	around := map[int32]int32{}
	for i, m := range a.out {
		low, _ := lowAt(&Outline{Path: m.path, Box: a.outlines[i].Box})
		around[i] = a.outer(a.locate.around(low))
	}
	return around
}

// tellAside lists what was taken out, in an order of its own, with the part of
// the outline around it.
func (t *telling) tellAside(around map[int32]int32, toPart func(int32) int32) {
	t.tellLettering(around, toPart)
	for i := range t.outlines {
		m, o := t.out[int32(i)], t.outlines[i]
		if m == nil || m.kind == 0 {
			continue // gatherNotes has the marks
		}
		o.Path = m.path
		if m.island {
			t.Open = append(t.Open, Open{Path: o.Path, Box: o.Box, Length: o.Length, Part: around[int32(i)]})
			continue
		}
		o.Parent, o.Depth, o.Part = -1, 0, toPart(around[int32(i)])
		o.fromCorner()
		written := t.carried[i]
		t.Aside = append(t.Aside, Aside{
			Outline: o, Kind: m.kind, Group: m.group, Written: written,
			Settled: written && t.settled(&o.Path) || t.o.choice(m.kind) == Settle,
		})
	}
	slices.SortStableFunc(t.Aside, func(x, y Aside) int {
		return cmp.Or(cmp.Compare(x.Kind, y.Kind), cmp.Compare(y.Box.Max.Y, x.Box.Max.Y), cmp.Compare(x.Box.Min.X, y.Box.Min.X),
			cmp.Compare(x.Area, y.Area))
	})
}

// AsidePaths returns what is set aside as paths, in the same order.
func (s *Sheet) AsidePaths() []Open {
	list := make([]Open, len(s.Aside))
	for i := range s.Aside {
		a := &s.Aside[i]
		list[i] = Open{Path: a.Path, Box: a.Box, Length: a.Length, Part: a.Part, Inside: a.Part >= 0}
	}
	return list
}

// dropAt leaves out the members with the given indices.
func dropAt[T any](list []T, gone map[int32]bool) []T {
	k := int32(-1)
	return slices.DeleteFunc(list, func(T) bool { k++; return gone[k] })
}

// claimed reports whether a path among what is carried is told as set aside, and
// tells it there where it does not close or was decided on before.
func (t *telling) claimed(o *Open) bool {
	if t.told == nil {
		t.told = map[int32]bool{}
		tell := func(p *Path) {
			for _, s := range p.Src {
				t.told[s] = true
			}
		}
		for _, m := range t.out {
			if m.kind != 0 {
				tell(&m.path)
			}
		}
		for i := t.drawn; i < len(t.outlines); i++ { // to be cut after all
			tell(&t.outlines[i].Path)
		}
	}
	if !slices.ContainsFunc(o.Src, func(s int32) bool { return !t.told[s] }) {
		return true
	}
	g := t.frameOf(o.Pieces)
	if g < 0 && !t.settled(&o.Path) {
		return false
	}
	t.addMark(o, g, true)
	return true
}
