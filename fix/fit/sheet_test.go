package fit_test

import (
	"context"
	"math"
	"testing"

	"sluice/fix"
	"sluice/fix/fit"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/outline"
)

// Values of the published tables as reproduced in two or more places: EN 485-4
// (5052 of 3 mm, 1250 wide: 0.15; 3.2 mm: 0.17; 2 mm, 1000 wide: 0.09), ISO
// 7823-1 (3 mm: 0.70; 12 mm: 1.60), ISO 9445 (3 mm, 1250: 0.14), EN 10051 (4.5
// mm, 1500: 0.26). EN 315 from memory (4 mm: +0.32/-0.52).
func TestStock(t *testing.T) {
	for _, c := range []struct {
		material         string
		thickness, width float64
		minus, plus      float64
	}{
		{"aluminium 5052", 3, 1250, 0.15, 0.15},
		{"Aluminum 6061-T6", 3.2, 1250, 0.17, 0.17},
		{"aluminium 5052", 2, 1000, 0.09, 0.09},
		{"aluminium 1050", 2, 1000, 0.06, 0.06},
		{"aluminium 5005", 4.76, 0, 0.18, 0.18},
		{"cast acrylic", 3, 0, 0.7, 0.7},
		{"acrylic", 12, 0, 1.6, 1.6},
		{"extruded acrylic", 4, 0, 0.2, 0.2},
		{"stainless 304", 3, 1250, 0.14, 0.14},
		{"mild steel", 4.5, 1500, 0.26, 0.26},
		{"birch plywood", 4, 0, 0.52, 0.32},
	} {
		b, ok := fit.Stock(c.material, c.thickness, c.width)
		if !ok || math.Abs(b.Minus-c.minus) > 1e-9 || math.Abs(b.Plus-c.plus) > 1e-9 || b.Source == "" {
			t.Errorf("%s %g: %+v %v, want -%g +%g", c.material, c.thickness, b, ok, c.minus, c.plus)
		}
	}
	for _, m := range []string{"", "granite", "brass"} {
		if _, ok := fit.Stock(m, 3, 1000); ok {
			t.Errorf("%q: a table for a material that has none", m)
		}
	}
	if _, ok := fit.Stock("aluminium", 80, 1000); ok {
		t.Error("a tolerance beyond the table")
	}
}

func TestJudge(t *testing.T) {
	tg := fit.Target{Thickness: 4.76, Clearance: 0.15}
	for _, c := range []struct {
		w    float64
		want fit.Verdict
	}{{3, fit.Tight}, {4.76, fit.Tight}, {4.83, fit.Tight}, {4.84, fit.Fits}, {4.9, fit.Fits}, {5.3, fit.Fits}, {5.5, fit.Loose}} {
		if got := tg.Judge(c.w); got != c.want {
			t.Errorf("%g: %d, want %d", c.w, got, c.want)
		}
	}
	tg.Plus, tg.Taper = 0.18, 0.1
	if math.Abs(tg.Width()-5.19) > 1e-12 || tg.Judge(4.9) != fit.Tight || tg.Judge(tg.Width()) != fit.Fits {
		t.Errorf("width %g", tg.Width())
	}
}

// plate is a plate 60 by 40 with a slot 20 by 3 and two round holes.
func plate(t *testing.T) (*drawing.Drawing, *outline.Sheet) {
	t.Helper()
	d := &drawing.Drawing{}
	add := func(ps ...geom.Piece) {
		for _, p := range ps {
			d.Strokes = append(d.Strokes, drawing.Stroke{Piece: p})
		}
	}
	rect := func(x, y, w, h float64) {
		a, b, c, e := geom.Pt(x, y), geom.Pt(x+w, y), geom.Pt(x+w, y+h), geom.Pt(x, y+h)
		add(geom.Line(a, b), geom.Line(b, c), geom.Line(c, e), geom.Line(e, a))
	}
	rect(0, 0, 60, 40)
	rect(10, 10, 20, 3)
	add(geom.Circle(geom.Pt(45, 20), 2), geom.Circle(geom.Pt(45, 31), 8))
	s, err := outline.Build(context.Background(), d.Strokes, func(*drawing.Stroke) outline.Role { return outline.Cut },
		outline.Options{Join: 0.001, Gap: 0.5, Same: 0.01, Search: 10, Kerf: 1, Workers: 1})
	if err != nil {
		t.Fatal(err)
	}
	return d, s
}

// Scaled for another sheet, slots suit it, bolt holes keep their size and large
// holes scale.
func TestScale(t *testing.T) {
	d, s := plate(t)
	tg := fit.Target{Thickness: 4.76, Clearance: 0.15}
	slot := func(out int32) bool { return math.Abs(s.Outlines[out].Box.H()-3) < 1e-9 }
	sc := fit.ScaleFor(s, 3, &tg, slot)
	if sc.Cutouts != 1 || math.Abs(sc.Largest.W()-16) > 1e-9 {
		t.Errorf("%d cut-outs besides slots and bolts, the largest %v", sc.Cutouts, sc.Largest)
	}
	if math.Abs(sc.Factor-4.91/3) > 1e-12 || len(sc.Bolts) != 1 || sc.Bolts[0].Diameter != 4 {
		t.Fatalf("%+v", sc)
	}
	if math.Abs(sc.After.W()-60*sc.Factor) > 1e-9 {
		t.Errorf("size %v", sc.After)
	}
	e := sc.Edit(d, s)
	out, _, skipped := fix.Apply(d, []fix.Fix{{Safety: fix.Choice, Edits: []fix.Edit{e}}})
	if len(skipped) > 0 || len(out.Strokes) != len(d.Strokes) {
		t.Fatal("skipped")
	}
	for i := range out.Strokes {
		p, q := d.Strokes[i].Piece, out.Strokes[i].Piece
		switch {
		case p.R == 2:
			if q.R != 2 || q.C.Dist(p.C.Mul(sc.Factor)) > 1e-9 {
				t.Errorf("bolt hole %+v", q)
			}
		case math.Abs(q.Length()-p.Length()*sc.Factor) > 1e-9:
			t.Errorf("piece %d: %g, want %g", i, q.Length(), p.Length()*sc.Factor)
		}
	}
}

// An outline is redrawn whole; one whose stroke another outline uses is refused.
func TestRedraw(t *testing.T) {
	d, s := plate(t)
	u := fit.UsesOf(s)
	for i := range s.Outlines {
		o := &s.Outlines[i]
		src := make([]int, len(o.Pieces))
		for k := range src {
			src[k] = k
		}
		ops, err := fit.Redraw(d, o, o.Pieces, src, u)
		if err != nil || len(ops) != len(o.Pieces) {
			t.Errorf("outline %d: %v, %d changes", i, err, len(ops))
		}
	}
	o := s.Outlines[0]
	o.Src = append([]int32(nil), o.Src...)
	o.Src[0] = -1
	if _, err := fit.Redraw(d, &o, o.Pieces, make([]int, len(o.Pieces)), u); err != fit.ErrGap {
		t.Errorf("error %v, want %v", err, fit.ErrGap)
	}
	twice := *s
	twice.Outlines = append(append([]outline.Outline(nil), s.Outlines...), s.Outlines[0])
	if _, err := fit.Redraw(d, &s.Outlines[0], s.Outlines[0].Pieces, make([]int, len(s.Outlines[0].Pieces)), fit.UsesOf(&twice)); err != fit.ErrShared {
		t.Errorf("error %v, want %v", err, fit.ErrShared)
	}
}
