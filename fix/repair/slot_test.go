package repair_test

import (
	"math"
	"slices"
	"testing"

	"sluice/fix"
	"sluice/fix/fit"
	"sluice/fix/repair"
	"sluice/geom"
	"sluice/geom/clear"
	"sluice/geom/drawing"
	"sluice/geom/outline"
)

// areaAfter makes an edit and returns the net area of the one part, mm2, and how many
// holes it has.
func areaAfter(t *testing.T, d *drawing.Drawing, e fix.Edit) (area float64, holes int) {
	t.Helper()
	next, done, skipped := fix.Apply(d, []fix.Fix{{Safety: fix.Choice, Edits: []fix.Edit{e}}})
	if len(done) != 1 {
		t.Fatalf("not made: %v", skipped)
	}
	s := sheetOf(t, next)
	if len(s.Parts) != 1 || len(s.Gaps) > 0 {
		t.Fatalf("%d parts, %d gaps", len(s.Parts), len(s.Gaps))
	}
	return s.Parts[0].Area, len(s.Parts[0].Holes)
}

// keyhole is a plate of 60 by 40 with a notch w wide from its top down to a round hole
// of radius r about 30, 20.
func keyhole(w, r float64) geom.Path {
	h := math.Sqrt(r*r - w*w/4)
	a, b := geom.Pt(30-w/2, 20+h), geom.Pt(30+w/2, 20+h)
	return geom.Path{
		geom.Line(a, geom.Pt(a.X, 40)), line(a.X, 40, 0, 40), line(0, 40, 0, 0), line(0, 0, 60, 0), line(60, 0, 60, 40),
		line(60, 40, b.X, 40), geom.Line(geom.Pt(b.X, 40), b), geom.ThroughPoint(a, geom.Pt(30, 20-r), b).Reverse(),
	}
}

// TestOneSlot takes one slot of a plate of 60 by 40, and looks at the area left: what is
// changed is the slot's own strokes and those next to it.
func TestOneSlot(t *testing.T) {
	const plate = 60 * 40
	notch := poly(0, 0, 60, 0, 60, 40, 30.6, 40, 30.6, 30, 30, 30, 30, 40, 0, 40)
	askew := poly(0, 0, 60, 0, 60, 40, 31, 40, 34, 30, 33.4, 30, 30.3, 40, 0, 40)
	hole := slices.Concat(poly(0, 0, 60, 0, 60, 40, 0, 40), poly(20, 20, 40, 20, 40, 20.6, 20, 20.6))
	segment := func(r, w float64) float64 { // of a circle, beyond a chord w long
		return r*r*math.Asin(w/2/r) - w/2*math.Sqrt(r*r-w*w/4)
	}
	widen := func(to float64) func(*drawing.Drawing, *oneSlot) (fix.Edit, bool) {
		return func(d *drawing.Drawing, s *oneSlot) (fix.Edit, bool) {
			return repair.WidenSlot(d, s.outline, s.narrow, to, s.uses)
		}
	}
	etch := func(d *drawing.Drawing, s *oneSlot) (fix.Edit, bool) {
		return repair.EtchSlot(d, s.outline, s.narrow, s.uses)
	}
	drop := func(d *drawing.Drawing, s *oneSlot) (fix.Edit, bool) {
		return repair.DropNotch(d, s.outline, s.narrow, s.uses)
	}
	for _, tt := range []struct {
		name string
		path geom.Path
		how  func(*drawing.Drawing, *oneSlot) (fix.Edit, bool)
		want float64 // mm2; 0: it cannot be done
		most int     // changes
	}{
		{"notch widened", notch, widen(1.2), plate - 1.2*10, 5},
		{"notch etched", notch, etch, plate, 4},
		{"notch left out", notch, drop, plate, 3},
		{"hole widened", hole, widen(2), plate - 20*2, 4},
		{"hole etched", hole, etch, plate, 5},
		{"notch askew left out", askew, drop, plate, 3},
		{"into a wide hole", keyhole(0.6, 5), widen(1.2), plate - 25*math.Pi - 1.2*(20-math.Sqrt(25-0.36)) + segment(5, 1.2), 5},
		{"into a hole that it swallows", keyhole(0.6, 0.5), widen(1.2), plate - 1.2*20.5, 6},
		{"into a hole a little too wide to be swallowed", keyhole(0.6, 0.601), widen(1.2), plate - 1.2*20 - 0.5*math.Pi*0.601*0.601, 6},
		{"a hole is no notch", keyhole(0.6, 5), drop, 0, 0},
		{"a hole has no middle line", keyhole(0.6, 5), etch, 0, 0},
	} {
		d := drawn(tt.path...)
		s := slotIn(t, d)
		e, ok := tt.how(d, s)
		if ok != (tt.want > 0) {
			t.Errorf("%s: done %v", tt.name, ok)
		}
		if !ok || tt.want == 0 {
			continue
		}
		if got, _ := areaAfter(t, d, e); math.Abs(got-tt.want) > 0.02 || len(e.Ops) > tt.most || e.Note == "" {
			t.Errorf("%s: %.3f mm2, want %.3f; %d changes, %q", tt.name, got, tt.want, len(e.Ops), e.Note)
		}
	}
}

// TestUnite: a round hole that is widened into a slot becomes one with it, with the area
// of both less what they have in common.
func TestUnite(t *testing.T) {
	slot, r := poly(20, 18, 30, 18, 30, 22, 20, 22), 0.6
	d := drawn(slices.Concat(poly(0, 0, 60, 0, 60, 40, 0, 40), slot, geom.Path{geom.Circle(geom.Pt(30.8, 20), r)})...)
	s := sheetOf(t, d)
	small, large := s.Parts[0].Holes[0], s.Parts[0].Holes[1]
	if s.Outlines[small].Area > s.Outlines[large].Area {
		small, large = large, small
	}
	const wide = 1.0
	e := repair.WidenHole(d, &s.Outlines[small].Path, wide-r, geom.Pt(30.8, 20))
	both, ok := repair.Unite(d, &s.Outlines[small].Path, &s.Outlines[large].Path, e)
	if !ok {
		t.Fatal("not united")
	}
	common := math.Acos(0.8) - 0.8*math.Sqrt(1-0.64) // of the circle of 1 mm, beyond a chord 0.8 from its middle
	want := 60*40 - 40 - math.Pi + common
	if got, holes := areaAfter(t, d, both); math.Abs(got-want) > 1e-4 || holes != 1 {
		t.Errorf("%.4f mm2, want %.4f; %d holes", got, want, holes)
	}
	// What lies apart is not united.
	far := drawn(slices.Concat(poly(0, 0, 60, 0, 60, 40, 0, 40), slot, geom.Path{geom.Circle(geom.Pt(32, 20), r)})...)
	s = sheetOf(t, far)
	a, b := &s.Outlines[s.Parts[0].Holes[0]].Path, &s.Outlines[s.Parts[0].Holes[1]].Path
	if len(a.Pieces) > 1 {
		a, b = b, a
	}
	if _, ok := repair.Unite(far, a, b, repair.WidenHole(far, a, wide-r, geom.Pt(32, 20))); ok {
		t.Error("two holes apart are united")
	}
}

// TestSmooth takes details out of a plate of 60 by 40.
func TestSmooth(t *testing.T) {
	const plate = 60 * 40
	for _, tt := range []struct {
		name         string
		path         geom.Path
		first, count int
		corner       bool
		size, want   float64 // want: mm2
	}{
		{"bump", poly(0, 0, 60, 0, 60, 40, 30.5, 40, 30.5, 40.4, 30, 40.4, 30, 40, 0, 40), 3, 3, false, 0.5, plate},
		{"nick", poly(0, 0, 60, 0, 60, 40, 30.5, 40, 30.5, 39.6, 30, 39.6, 30, 40, 0, 40), 3, 3, false, 0.5, plate},
		{"step", poly(0, 0, 60, 0, 60, 40.4, 30, 40.4, 30, 40, 0, 40), 3, 1, false, 0.4, plate + 30*0.4},
		{"corner", append(poly(0, 0, 60, 0, 60, 40, 30, 40, 30, 20, 0, 20)[:3], line(30, 40, 30, 20.3), geom.Bulge(geom.Pt(30, 20.3), geom.Pt(29.7, 20), -math.Tan(math.Pi/8)), line(29.7, 20, 0, 20), line(0, 20, 0, 0)),
			4, 1, true, 0.3, plate - 30*20},
	} {
		d := drawn(tt.path...)
		s := sheetOf(t, d)
		o := &s.Outlines[s.Parts[0].Outer].Path
		first := slices.Index(o.Src, int32(tt.first)) // outlines begin where they like
		ops := repair.Smooth(d, o, first, tt.count, tt.corner, tt.size)
		if len(ops) == 0 {
			t.Errorf("%s: not taken out", tt.name)
			continue
		}
		if got, _ := areaAfter(t, d, fix.Edit{Kind: "smooth-detail", Ops: ops}); math.Abs(got-tt.want) > 1e-6 {
			t.Errorf("%s: %.6f mm2, want %.6f", tt.name, got, tt.want)
		}
	}
	short := drawn(poly(0, 0, 60, 0, 60, 40.4, 59.5, 40.4, 59.5, 40, 0, 40)...)
	s := sheetOf(t, short)
	o := &s.Outlines[s.Parts[0].Outer].Path
	if ops := repair.Smooth(short, o, slices.Index(o.Src, 3), 1, false, 0.4); len(ops) > 0 {
		t.Error("a ramp is longer than the edge it begins on")
	}
}

// oneSlot is the one narrow slot of a drawing.
type oneSlot struct {
	outline *outline.Outline
	narrow  *clear.Narrow
	uses    *fit.Uses
}

func slotIn(t *testing.T, d *drawing.Drawing) *oneSlot {
	t.Helper()
	runs := slotsOf(t, d, 1)
	if len(runs) != 1 {
		t.Fatalf("%d slots", len(runs))
	}
	s := sheetOf(t, d)
	k := s.Parts[0].Outer
	if r := runs[0].RingA; r > 0 {
		k = s.Parts[0].Holes[r-1]
	}
	return &oneSlot{&s.Outlines[k], &runs[0], fit.UsesOf(s)}
}
