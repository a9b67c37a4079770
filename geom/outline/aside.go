package outline

import (
	"cmp"
	"context"
	"slices"

	"sluice/geom"
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

	around int32 // the outermost outline in which it lies, -1; see locateAside

	island bool // counter of a letter that is cut: it falls out, and is no part
}

// aside is the state of putAside.
type aside struct {
	out    map[int32]*asideMark // by outline: taken out
	note   []bool               // by outline: drawn where nothing is cut
	drawn  int                  // number of outlines that are drawn to be cut
	kids   [][]int32            // by outline: those directly in it
	looks  map[int32]look       // shapes already measured
	frames []frame              // borders found
	told   map[int32]bool       // strokes of what is carried that are told already
	groups int
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
func (b *builder) putAside(ctx context.Context, role func(*drawing.Stroke) Role) error {
	b.aside = aside{out: map[int32]*asideMark{}, looks: map[int32]look{}}
	if err := b.noteOutlines(ctx, role); err != nil {
		return err
	}
	if b.o.plain {
		return nil
	}
	for _, find := range []func(){b.findBorders, b.findLetters, b.findSteps} {
		n := len(b.aside.out)
		b.linkKids()
		find()
		if len(b.aside.out) > n {
			b.nest()
		}
	}
	n := len(b.aside.out)
	for i, is := range b.aside.note {
		if is && !b.isOut(int32(i)) {
			k, group := b.noteKind(int32(i))
			b.takeOut(int32(i), k, group)
		}
	}
	if len(b.aside.out) > n {
		b.nest()
	}
	b.shared = slices.DeleteFunc(b.shared, func(s sharedSeg) bool { return b.isOut(s.a) || b.isOut(s.b) })
	return nil
}

// noteOutlines adds the closed paths among what is carried.
func (b *builder) noteOutlines(ctx context.Context, role func(*drawing.Stroke) Role) error {
	b.aside.drawn = len(b.sheet.Outlines)
	b.aside.note = make([]bool, b.aside.drawn)
	if len(b.note) == 0 {
		return nil
	}
	o := b.o
	o.plain = true
	s, err := Build(ctx, b.strokes, func(s *drawing.Stroke) Role {
		if role(s) == Noted {
			return Cut
		}
		return Ignore
	}, o)
	if err != nil {
		return err
	}
	if len(s.Outlines) > 0 {
		defer b.nest()
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
		b.sheet.Outlines = append(b.sheet.Outlines, n)
		b.aside.note = append(b.aside.note, true)
	}
	return nil
}

// noteKind says what a closed path among what is carried is besides: where there
// is a border, all that is drawn so outside the parts belongs to it.
func (b *builder) noteKind(i int32) (k AsideKind, group int) {
	if len(b.aside.frames) == 0 {
		return 0, -1
	}
	for p := b.sheet.Outlines[i].Parent; p >= 0; p = b.sheet.Outlines[p].Parent {
		if !b.aside.note[p] {
			return 0, -1
		}
	}
	for _, f := range b.aside.frames {
		if f.path.Contains(b.sheet.Outlines[i].Centroid) {
			return Frame, f.group
		}
	}
	return Frame, b.aside.frames[0].group
}

// takeOut takes outline i out of what is nested, unless a person decided that
// it is an outline like any other.
func (b *builder) takeOut(i int32, k AsideKind, group int) {
	if b.isOut(i) {
		return
	}
	if k != 0 && b.o.choice(k) == Keep {
		if b.aside.note[i] {
			b.sheet.Outlines[i].Was = k
		}
		b.aside.note[i] = false
		return
	}
	b.putOut(i, k, group)
}

// putOut takes outline i out of what is nested.
func (b *builder) putOut(i int32, k AsideKind, group int) {
	if b.isOut(i) {
		return
	}
	o := &b.sheet.Outlines[i]
	b.aside.out[i] = &asideMark{path: o.Path, kind: k, group: group}
	o.Path = Path{} // what has no pieces is around nothing and in nothing
}

func (b *builder) isOut(i int32) bool { return b.aside.out[i] != nil }

// linkKids lists what lies directly in each outline.
func (b *builder) linkKids() {
	outs := b.sheet.Outlines
	b.aside.kids = make([][]int32, len(outs))
	for i := range outs {
		if p := outs[i].Parent; p >= 0 && !b.isOut(int32(i)) {
			b.aside.kids[p] = append(b.aside.kids[p], int32(i))
		}
	}
}

// forgetMarks takes what is carried out of those lists, but where it lies around
// something that is cut: elsewhere it is a mark, and tells nothing of borders
// and steps.
func (b *builder) forgetMarks() {
	outs := b.sheet.Outlines
	if len(outs) == b.aside.drawn {
		return
	}
	holds := make([]bool, len(outs))
	for i := range outs[:b.aside.drawn] {
		if b.isOut(int32(i)) {
			continue
		}
		for p := outs[i].Parent; p >= 0 && b.aside.note[p] && !holds[p]; p = outs[p].Parent {
			holds[p] = true
		}
	}
	for i := range b.aside.kids {
		b.aside.kids[i] = slices.DeleteFunc(b.aside.kids[i], func(k int32) bool { return b.aside.note[k] && !holds[k] })
	}
}

// settled reports whether all that is drawn of a path was decided before.
func (b *builder) settled(p *Path) bool {
	for _, s := range p.Src {
		if s >= 0 && b.strokes[s].As != drawing.AsSettled {
			return false
		}
	}
	return true
}

// locateAside finds the outline around each that was taken out, while the locator
// still knows the outlines' pieces.
func (b *builder) locateAside() {
	for i, m := range b.aside.out {
		m.around = b.outer(b.locate.around(lowPoint(&Outline{Path: m.path, Box: b.sheet.Outlines[i].Box})))
	}
}

// tellAside lists what was taken out, in an order of its own.
func (b *builder) tellAside(toPart func(int32) int32) {
	s := b.sheet
	b.tellLettering(toPart)
	for i := range s.Outlines {
		m := b.aside.out[int32(i)]
		if m == nil {
			continue
		}
		if m.kind == 0 {
			continue // a mark: gatherNotes has it
		}
		if m.island {
			s.Open = append(s.Open, Open{Path: m.path, Box: s.Outlines[i].Box, Length: s.Outlines[i].Length, Part: m.around})
			continue
		}
		note := b.aside.note[i]
		a := Aside{Outline: s.Outlines[i], Kind: m.kind, Group: m.group, Written: note}
		a.Path = m.path
		a.Settled = note && b.settled(&m.path) || b.o.choice(m.kind) == Settle
		a.Parent, a.Depth, a.Part = -1, 0, toPart(m.around)
		a.fromCorner()
		s.Aside = append(s.Aside, a)
	}
	slices.SortStableFunc(s.Aside, func(x, y Aside) int {
		return cmp.Or(cmp.Compare(x.Kind, y.Kind), cmp.Compare(y.Box.Max.Y, x.Box.Max.Y), cmp.Compare(x.Box.Min.X, y.Box.Min.X),
			cmp.Compare(x.Area, y.Area))
	})
}

// lowPoint returns a point on the outline from which rays seldom pass through
// corners.
func lowPoint(o *Outline) geom.Point {
	p, _ := lowAt(o)
	return p
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
	if len(gone) == 0 {
		return list
	}
	kept := list[:0]
	for k := range list {
		if !gone[int32(k)] {
			kept = append(kept, list[k])
		}
	}
	return kept
}

// claimed reports whether a path among what is carried is told as set aside, and
// tells it there where it does not close or was decided on before.
func (b *builder) claimed(o *Open) bool {
	if b.aside.told == nil {
		b.aside.told = map[int32]bool{}
		for _, m := range b.aside.out {
			if m.kind == 0 {
				continue
			}
			for _, s := range m.path.Src {
				b.aside.told[s] = true
			}
		}
		for i := b.aside.drawn; i < len(b.sheet.Outlines); i++ {
			for _, s := range b.sheet.Outlines[i].Src { // to be cut after all
				b.aside.told[s] = true
			}
		}
	}
	told := true
	for _, s := range o.Src {
		told = told && b.aside.told[s]
	}
	if told {
		return true
	}
	if g := b.frameOf(o.Pieces); g >= 0 || b.settled(&o.Path) {
		b.addMark(o, g, true)
		return true
	}
	return false
}
