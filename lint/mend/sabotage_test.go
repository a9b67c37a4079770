package mend

import (
	"bytes"
	"context"
	"errors"
	"math"
	"slices"
	"testing"

	"sluice/fix"
	"sluice/fix/guard"
	"sluice/fix/repair"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/dxf"
	"sluice/geom/geomtest"
	"sluice/geom/outline"
	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/rules"
)

// sabotagedKit is a plate with round corners, a slot and two holes, an edge drawn
// twice, a corner that does not close by 0.2 mm, a speck and a line to engrave;
// and two small parts, one with a hole, that want tabs.
func sabotagedKit() []byte {
	var d geomtest.Drafter
	line := func(x0, y0, x1, y1 float64) { d.Piece(geom.Line(geom.Pt(x0, y0), geom.Pt(x1, y1)), 0) }
	line(10, 0, 199.8, 0)
	line(200, 0, 200, 110)
	d.Piece(geom.Arc(geom.Pt(190, 110), 10, 0, math.Pi/2), 0)
	line(190, 120, 0, 120)
	line(0, 120, 0, 10)
	d.Piece(geom.Arc(geom.Pt(10, 10), 10, math.Pi, math.Pi/2), 0)
	line(0, 90, 0, 40) // again
	d.Piece(geom.Circle(geom.Pt(50, 60), 12), 0)
	d.Piece(geom.Circle(geom.Pt(150, 60), 8), 0)
	line(80, 55, 120, 55)
	d.Piece(geom.Arc(geom.Pt(120, 60), 5, -math.Pi/2, math.Pi), 0)
	line(120, 65, 80, 65)
	d.Piece(geom.Arc(geom.Pt(80, 60), 5, math.Pi/2, math.Pi), 0)
	line(210, 100, 210.4, 100)
	for _, x := range []float64{230, 280} {
		line(x, 0, x+32, 0)
		line(x+32, 0, x+32, 14)
		line(x+32, 14, x+20, 24)
		line(x+20, 24, x, 24)
		line(x, 24, x, 0)
	}
	d.Piece(geom.Circle(geom.Pt(240, 12), 4), 0)
	d.Layer = "engrave"
	line(30, 100, 90, 100)
	return d.Bytes()
}

// bench is a repair stopped before it is written.
type bench struct {
	t   *testing.T
	m   *mender
	res *lint.Result
}

func newBench(t *testing.T, data []byte, j *job.Job) *bench {
	t.Helper()
	o := Options{Options: lint.Options{Rules: rules.All()}}
	d, err := lint.Load(t.Context(), bytes.NewReader(data), j, o.Options)
	if err != nil {
		t.Fatal(err)
	}
	m := &mender{ctx: t.Context(), path: "kit", j: j, o: o, touched: make([]bool, len(d.Entities)), guard: newGuard(d, j, o), banned: newSpots(again), made: newSpots(again)}
	repair.Layer(d, lint.LayerEtch)
	b := &bench{t: t, m: m}
	b.judge(d)
	if b.res, err = m.rounds(b.res); err != nil {
		t.Fatal(err)
	}
	return b
}

func (b *bench) judge(d *drawing.Drawing) {
	b.t.Helper()
	res, err := lint.Judge(context.Background(), "kit", d, b.m.j, b.m.o.Options)
	if err != nil {
		b.t.Fatal(err)
	}
	b.res = res
}

// finish numbers and tabs the parts.
func (b *bench) finish() {
	b.t.Helper()
	res, err := b.m.finish(b.res)
	if err != nil {
		b.t.Fatal(err)
	}
	b.res = res
}

// edit makes an edit, and tells it as one of the given kind, or not at all.
func (b *bench) edit(kind string, e fix.Edit) {
	b.t.Helper()
	e.Kind = kind
	d, done, _ := fix.Apply(b.res.Drawing, []fix.Fix{{Edits: []fix.Edit{e}}})
	if kind != "" {
		b.m.guard.Edited(b.res.Drawing, guardRoles(b.res.Drawing, b.m.j), done)
	}
	b.judge(d)
}

// stroke returns the index of the stroke nearest to a place.
func (b *bench) stroke(x, y float64) int32 {
	best, at := math.Inf(1), int32(-1)
	for i := range b.res.Drawing.Strokes {
		if d := b.res.Drawing.Strokes[i].Dist(geom.Pt(x, y)); d < best {
			best, at = d, int32(i)
		}
	}
	return at
}

func (b *bench) instead(s int32, with ...geom.Piece) []fix.Op {
	op := fix.Op{Kind: fix.Replace, Stroke: s}
	for _, p := range with {
		st := b.res.Drawing.Strokes[s]
		st.Piece = p
		op.With = append(op.With, st)
	}
	return []fix.Op{op}
}

func (b *bench) drop(x, y float64) []fix.Op {
	return []fix.Op{{Kind: fix.Drop, Stroke: b.stroke(x, y)}}
}

func (b *bench) add(from *drawing.Stroke, p geom.Piece) []fix.Op {
	st := *from
	st.Piece = p
	return []fix.Op{{Kind: fix.Add, With: []drawing.Stroke{st}}}
}

// itemAt returns the item on a layer nearest to a place, and its piece there.
func itemAt(items []dxf.Item, layer string, x, y float64) (it *dxf.Item, piece *geom.Piece) {
	best := math.Inf(1)
	for i := range items {
		for k := range items[i].Path {
			if d := items[i].Path[k].Dist(geom.Pt(x, y)); items[i].Layer == layer && d < best {
				best, it, piece = d, &items[i], &items[i].Path[k]
			}
		}
	}
	return it, piece
}

// moveVertex moves the joint of a path nearest to a place.
func moveVertex(it *dxf.Item, x, y, by float64) {
	n := len(it.Path)
	best, at := math.Inf(1), 0
	for i := range it.Path {
		if d := it.Path[i].B.Dist(geom.Pt(x, y)); d < best {
			best, at = d, i
		}
	}
	p, q := &it.Path[at], &it.Path[(at+1)%n]
	to := p.B.Add(geom.Pt(by, by))
	*p, *q = p.WithEnds(p.A, to), q.WithEnds(to, q.B)
}

const (
	in  = dxf.LayerInside
	out = dxf.LayerOutside
)

// TestSabotage breaks what lies between reading and writing in many ways, and
// looks whether each is caught.
func TestSabotage(t *testing.T) {
	etch, note, tabs := dxf.LayerEtch, dxf.LayerNote, dxf.LayerTab
	type items = []dxf.Item
	for _, tt := range []struct {
		name  string
		want  guard.What
		edit  func(b *bench)                         // repairs gone wrong
		sheet func(s *outline.Sheet)                 // outlines gone wrong
		items func(all items) items                  // writing gone wrong
		bytes func(all items, u drawing.Unit) []byte // the same, of the file
	}{
		{name: "an item left out", want: guard.Lost, items: func(all items) items {
			it, _ := itemAt(all, in, 62, 60)
			return slices.DeleteFunc(all, func(x dxf.Item) bool { return len(x.Path) > 0 && x.Path[0] == it.Path[0] })
		}},
		{name: "a piece dropped", want: guard.Lost, items: func(all items) items {
			it, _ := itemAt(all, out, 100, 120)
			it.Path, it.Closed = it.Path[:len(it.Path)-1], false
			return all
		}},
		{name: "a diagonal", want: guard.Invented, items: func(all items) items {
			return append(all, dxf.Item{Layer: in, Path: geom.Path{geom.Line(geom.Pt(0, 0), geom.Pt(200, 120))}})
		}},
		{name: "a chord instead of two pieces", want: guard.Invented, items: func(all items) items {
			it, _ := itemAt(all, out, 100, 120)
			it.Path = append(it.Path[:1:1], it.Path[2:]...)
			it.Path[0] = geom.Line(it.Path[0].A, it.Path[1].A)
			return all
		}},
		{name: "a vertex 0.05 mm off", want: guard.Invented, items: func(all items) items {
			it, _ := itemAt(all, out, 200, 60)
			moveVertex(it, 200, 0, 0.05)
			return all
		}},
		{name: "a bulge reversed", want: guard.Invented, items: func(all items) items {
			_, p := itemAt(all, out, 197.07, 117.07)
			*p = geom.Bulge(p.A, p.B, -p.BulgeValue())
			return all
		}},
		{name: "an arc the long way round", want: guard.Invented, items: func(all items) items {
			_, p := itemAt(all, in, 125, 60)
			*p = geom.Bulge(p.A, p.B, -1/p.BulgeValue()*1.0001)
			return all
		}},
		{name: "a line for an arc", want: guard.Invented, items: func(all items) items {
			_, p := itemAt(all, out, 197.07, 117.07)
			*p = geom.Line(p.A, p.B)
			return all
		}},
		{name: "a radius 0.05 mm too large", want: guard.Invented, items: func(all items) items {
			it, p := itemAt(all, in, 158, 60)
			it.Path = geom.Path{geom.Circle(p.C, p.R+0.05)}
			return all
		}},
		{name: "a hole on ETCH", want: guard.Lost, items: func(all items) items {
			it, _ := itemAt(all, in, 62, 60)
			it.Layer = etch
			return all
		}},
		{name: "a slot on NOTE", want: guard.Lost, items: func(all items) items {
			it, _ := itemAt(all, in, 100, 55)
			it.Layer = note
			return all
		}},
		{name: "a mark cut", want: guard.MarkCut, items: func(all items) items {
			it, _ := itemAt(all, etch, 60, 100)
			it.Layer = in
			return all
		}},
		{name: "a number cut", want: guard.Invented, items: func(all items) items {
			it, _ := itemAt(all, etch, 246, 12)
			it.Layer = in
			return all
		}},
		{name: "a mark lost", want: guard.MarkLost, items: func(all items) items {
			it, _ := itemAt(all, etch, 60, 100)
			it.Path = geom.Path{geom.Line(geom.Pt(30, 100), geom.Pt(60, 100))}
			return all
		}},
		{name: "a mark invented", want: guard.MarkInvented, items: func(all items) items {
			return append(all, dxf.Item{Layer: etch, Path: geom.Path{geom.Line(geom.Pt(20, 20), geom.Pt(40, 20))}})
		}},
		{name: "all of 1.001 times the size", want: guard.Invented, items: func(all items) items {
			for i := range all {
				all[i].Path = all[i].Path.Transform(geom.Scaling(1.001))
			}
			return all
		}},
		{name: "a part mirrored", want: guard.Invented, items: func(all items) items {
			for i := range all {
				if b := all[i].Path.Box(); len(all[i].Path) > 0 && b.Min.X >= 279 && b.Max.X <= 313 {
					all[i].Path = all[i].Path.Transform(geom.MirrorX(296))
				}
			}
			return all
		}},
		{name: "a part twice", want: guard.Invented, items: func(all items) items {
			it, _ := itemAt(all, in, 62, 60)
			return append(all, dxf.Item{Layer: in, Path: it.Path.Transform(geom.Shift(geom.Pt(0, 35))), Closed: true})
		}},
		{name: "a tab twice as wide", want: guard.TabWrong, items: func(all items) items {
			it, p := itemAt(all, tabs, 296, 24)
			it.Path = geom.Path{geom.Line(p.A, p.A.Lerp(p.B, 2))}
			return all
		}},
		{name: "a tab cut", want: guard.TabWrong, items: func(all items) items {
			it, _ := itemAt(all, tabs, 296, 24)
			it.Layer = out
			return all
		}},
		{name: "a tab both left and cut", want: guard.TabWrong, items: func(all items) items {
			it, _ := itemAt(all, tabs, 296, 24)
			return append(all, dxf.Item{Layer: out, Path: it.Path})
		}},
		{name: "a tab that nobody told", want: guard.TabWrong, items: func(all items) items {
			it, _ := itemAt(all, out, 100, 120)
			it.Layer = tabs
			return all
		}},
		{name: "the unit's factor wrong", want: guard.Invented, bytes: func(all items, u drawing.Unit) []byte {
			var b bytes.Buffer
			_ = dxf.Write(&b, &dxf.Output{Items: all, Factor: 10, InsUnits: u.InsUnits()})
			return b.Bytes()
		}},
		{name: "the unit's name wrong", want: guard.Invented, bytes: func(all items, u drawing.Unit) []byte {
			var b bytes.Buffer
			_ = dxf.Write(&b, &dxf.Output{Items: all, Factor: u.Factor, InsUnits: 1})
			return b.Bytes()
		}},
		{name: "a number of the file wrong by 0.03", want: guard.Invented, bytes: func(all items, u drawing.Unit) []byte {
			data, _ := write(all, u)
			return bytes.Replace(data, []byte("\n55.0\n"), []byte("\n55.03\n"), 1)
		}},

		{name: "a hole forgotten", want: guard.Lost, sheet: func(s *outline.Sheet) {
			i := slices.IndexFunc(s.Outlines, func(o outline.Outline) bool { return o.Hole() })
			for k := range s.Outlines[i].Flags {
				s.Outlines[i].Flags[k] |= outline.IsBridge
			}
		}},
		{name: "an outline cut short", want: guard.Lost, sheet: func(s *outline.Sheet) {
			o := largest(s)
			o.Flags[0] |= outline.IsBridge
		}},
		{name: "an outline with a piece too many", want: guard.Invented, sheet: func(s *outline.Sheet) {
			o := largest(s)
			last := o.Pieces[len(o.Pieces)-1]
			o.Pieces = append(o.Pieces, geom.Line(last.B, last.B.Add(geom.Pt(3, 3))))
			o.Src, o.Flags = append(o.Src, 0), append(o.Flags, 0)
		}},
		{name: "a piece out of turn", want: guard.Lost, sheet: func(s *outline.Sheet) {
			o := largest(s)
			o.Pieces[1] = o.Pieces[0]
		}},
		{name: "a stretch taken for a tab", want: guard.TabWrong, sheet: func(s *outline.Sheet) {
			largest(s).Flags[0] |= outline.IsTab
		}},
		{name: "marks taken for outlines", want: guard.MarkCut, sheet: func(s *outline.Sheet) {
			s.Open, s.Etch = append(s.Open, s.Etch[0]), s.Etch[1:] // the line engraved; numbers come after it
		}},
		{name: "marks forgotten", want: guard.MarkLost, sheet: func(s *outline.Sheet) { s.Etch = nil }},

		{name: "both copies of an edge dropped", want: guard.Lost, edit: func(b *bench) {
			b.edit("drop-duplicate", fix.Edit{At: geom.Pt(0, 65), Ops: b.drop(0, 65)})
		}},
		{name: "a repeat put as a diagonal", want: guard.Invented, edit: func(b *bench) {
			s := b.stroke(100, 120)
			b.edit("drop-duplicate", fix.Edit{At: geom.Pt(100, 120), Ops: b.instead(s, b.res.Drawing.Strokes[s].Piece, geom.Line(geom.Pt(0, 120), geom.Pt(200, 60)))})
		}},
		{name: "a gap closed by 30 mm", want: guard.Invented, edit: func(b *bench) {
			st := &b.res.Drawing.Strokes[b.stroke(100, 120)]
			b.edit("close-gap", fix.Edit{At: geom.Pt(0, 60), Ops: b.add(st, geom.Line(geom.Pt(0, 60), geom.Pt(-30, 60)))})
		}},
		{name: "an end moved by 2 mm", want: guard.Invented, edit: func(b *bench) {
			b.edit("close-gap", fix.Edit{At: geom.Pt(80, 55), Ops: []fix.Op{{Kind: fix.MoveA, Stroke: b.stroke(100, 55), To: geom.Pt(78, 53)}}})
		}},
		{name: "an end cut back by 2 mm", want: guard.Lost, edit: func(b *bench) {
			b.edit("close-gap", fix.Edit{At: geom.Pt(80, 55), Ops: []fix.Op{{Kind: fix.MoveA, Stroke: b.stroke(100, 55), To: geom.Pt(82, 55)}}})
		}},
		{name: "a hole dropped as a speck", want: guard.Lost, edit: func(b *bench) {
			b.edit("drop-stray", fix.Edit{At: geom.Pt(62, 60), Ops: b.drop(62, 60)})
		}},
		{name: "a curve refitted 0.1 mm off", want: guard.Invented, edit: func(b *bench) {
			s := b.stroke(158, 60)
			b.edit("refit-arc", fix.Edit{At: geom.Pt(158, 60), Moved: 0.01, Ops: b.instead(s, geom.Circle(geom.Pt(150, 60), 8.1))})
		}},
		{name: "a number that cuts", want: guard.Invented, edit: func(b *bench) {
			st := &b.res.Drawing.Strokes[b.stroke(100, 120)]
			b.edit("label", fix.Edit{At: geom.Pt(210, 100), Ops: b.add(st, geom.Line(geom.Pt(210, 100), geom.Pt(220, 105)))})
		}},
		{name: "an edit not told", want: guard.Lost, edit: func(b *bench) {
			b.edit("", fix.Edit{Ops: b.drop(62, 60)})
		}},
		{name: "a shift not told", want: guard.Invented, edit: func(b *bench) {
			s := b.stroke(158, 60)
			b.edit("", fix.Edit{Ops: b.instead(s, b.res.Drawing.Strokes[s].Transform(geom.Shift(geom.Pt(0.1, 0))))})
		}},
		{name: "a mark made of a cut, not told", want: guard.Lost, edit: func(b *bench) {
			s := b.stroke(62, 60)
			st := b.res.Drawing.Strokes[s]
			st.As = drawing.AsEtch
			b.edit("", fix.Edit{Ops: []fix.Op{{Kind: fix.Replace, Stroke: s, With: []drawing.Stroke{st}}}})
		}},
		{name: "a slot widened by more than told", want: guard.Invented, edit: func(b *bench) {
			s := b.stroke(100, 55)
			b.edit("widen-slot", fix.Edit{At: geom.Pt(100, 60), Moved: 0.1, Ops: b.instead(s, geom.Line(geom.Pt(80, 54), geom.Pt(120, 54)))})
		}},
		{name: "an edit of an unknown kind", want: guard.Invented, edit: func(b *bench) {
			st := &b.res.Drawing.Strokes[b.stroke(100, 120)]
			b.edit("tidy-up", fix.Edit{At: geom.Pt(0, 60), Ops: b.add(st, geom.Line(geom.Pt(0, 60), geom.Pt(-30, 60)))})
		}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			b := newBench(t, sabotagedKit(), job.Default())
			if tt.edit != nil {
				tt.edit(b)
			}
			b.finish()
			if tt.sheet != nil {
				tt.sheet(b.res.Sheet)
			}
			items := b.m.compose(b.res)
			if tt.items != nil {
				items = tt.items(items)
			}
			var data []byte
			if tt.bytes != nil {
				data = tt.bytes(items, b.res.Drawing.Unit)
			} else {
				data = written(t, items, b.res.Drawing.Unit)
			}
			caught(t, b.m.guard.Written(t.Context(), data), tt.want)
		})
	}
}

// written is write without the refusal of paths that jump: each piece by itself.
func written(t *testing.T, items []dxf.Item, u drawing.Unit) []byte {
	t.Helper()
	var all []dxf.Item
	for _, it := range items {
		if len(it.Path) == 0 {
			all = append(all, it)
		}
		for _, p := range it.Path {
			all = append(all, dxf.Item{Layer: it.Layer, Path: geom.Path{p}})
		}
	}
	data, err := write(all, u)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func largest(s *outline.Sheet) *outline.Outline {
	best := &s.Outlines[0]
	for i := range s.Outlines {
		if s.Outlines[i].Area > best.Area {
			best = &s.Outlines[i]
		}
	}
	return best
}

// caught checks that an error is a fault of the kind wanted.
func caught(t *testing.T, err error, want guard.What) {
	t.Helper()
	var f *guard.Fault
	if !errors.As(err, &f) {
		t.Fatalf("not caught: %v", err)
	}
	if f.What != want {
		t.Errorf("caught as: %v", err)
	}
}

// TestUnspoiled repairs the same kit with nothing broken.
func TestUnspoiled(t *testing.T) {
	b := newBench(t, sabotagedKit(), job.Default())
	b.finish()
	items := b.m.compose(b.res)
	if len(b.m.edits) < 8 {
		t.Errorf("only %d edits: %+v", len(b.m.edits), b.m.edits)
	}
	if err := b.m.guard.Written(t.Context(), written(t, items, b.res.Drawing.Unit)); err != nil {
		t.Error(err)
	}
}
