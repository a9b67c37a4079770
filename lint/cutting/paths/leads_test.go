package paths

import (
	"math"
	"testing"

	"sluice/fix/tab/sheettest"
	"sluice/geom"
	"sluice/geom/outline"
)

// A closed cut runs on past its start on what it has cut, half of itself at most; a
// run between tabs does not.
func TestOverlap(t *testing.T) {
	for name, s := range testSheets(t) {
		for _, overlap := range []float64{0, 2, 1000} {
			pl := New(s, Params{Kerf: 1, Margin: 0.5, Overlap: overlap})
			for i := range pl.Cuts {
				c := &pl.Cuts[i]
				want := min(overlap, c.Run.Length()/2)
				if !c.Closed {
					want = 0
				}
				if got := c.Over.Length(); math.Abs(got-want) > 1e-6 {
					t.Fatalf("%s: cut %d runs on for %g mm, want %g", name, i+1, got, want)
				}
				checkJoined(t, name, c)
				for _, q := range c.Over.Flatten(0.001) {
					if d, _ := c.Run.Dist(q); d > 0.002 {
						t.Fatalf("%s: the overlap of cut %d strays by %g mm", name, i+1, d)
					}
				}
				if n := len(c.Over); n > 0 && len(c.Out) > 0 && c.Out[0].A != c.Over[n-1].B {
					t.Fatalf("%s: cut %d leads out from %v, its overlap ends at %v", name, i+1, c.Out[0].A, c.Over[n-1].B)
				}
			}
		}
	}
}

// A perimeter is begun at a corner between long sides, in line with the side that
// follows; one without corners, or whose corners have no room, on an arc along it.
func TestLeadShapes(t *testing.T) {
	p := Params{Kerf: 1, Lead: 3, Margin: 0.5, Overlap: 2}
	round := geom.Path{
		geom.Line(geom.Pt(10, 0), geom.Pt(50, 0)), geom.Arc(geom.Pt(50, 10), 10, -math.Pi/2, math.Pi/2),
		geom.Line(geom.Pt(60, 10), geom.Pt(60, 50)), geom.Arc(geom.Pt(50, 50), 10, 0, math.Pi/2),
		geom.Line(geom.Pt(50, 60), geom.Pt(10, 60)), geom.Arc(geom.Pt(10, 50), 10, math.Pi/2, math.Pi/2),
		geom.Line(geom.Pt(0, 50), geom.Pt(0, 10)), geom.Arc(geom.Pt(10, 10), 10, math.Pi, math.Pi/2),
	}
	tabbed := sheettest.Poly(0, 0, 100, 0, 100, 40, 60, 40, 60, 43, 50, 43, 50, 40, 0, 40) // a tab of a joint on top
	for name, tt := range map[string]struct {
		sheet *outline.Sheet
		shape string
		at    geom.Point // the corner, within a kerf
	}{
		"a triangle":    {sheettest.Of(sheettest.Poly(0, 0, 80, 0, 20, 50)), "line", geom.Pt(80, 0)},
		"a rectangle":   {sheettest.Of(sheettest.Rect(0, 0, 60, 40)), "line", geom.Pt(0, 0)},
		"a joint's tab": {sheettest.Of(tabbed), "line", geom.Pt(0, 40)},
		"rounded":       {sheettest.Of(round), "arc", geom.Point{}},
		"a disc":        {sheettest.Of(sheettest.Disc(0, 0, 20)), "arc", geom.Point{}},
	} {
		t.Run(name, func(t *testing.T) {
			c := &New(tt.sheet, p).Cuts[0]
			if len(c.In) != 1 || (c.In[0].R > 0) != (tt.shape == "arc") {
				t.Fatalf("lead-in %+v, want a %s", c.In, tt.shape)
			}
			if turn := geom.TurnTo(c.In[0].TangentAt(1), c.Run[0].TangentAt(0)); math.Abs(turn) > 1e-6 {
				t.Errorf("it meets the run at %g degrees", turn*180/math.Pi)
			}
			corner := false
			o := tt.sheet.Outlines[0].Pieces
			for i := range o {
				if q := o[i].A; q.Dist(c.Run[0].A) < p.Kerf && tt.shape == "line" {
					corner = true
					if name == "a joint's tab" && q.Y > 40 {
						t.Errorf("it begins at the tab of the joint")
					}
				}
			}
			if corner != (tt.shape == "line") {
				t.Errorf("it begins at %v", c.Run[0].A)
			}
		})
	}
	// With a neighbour at every corner there is no room for a line there.
	s := sheettest.Of(sheettest.Rect(0, 0, 60, 40), sheettest.Rect(-22, -22, 20, 20), sheettest.Rect(62, -22, 20, 20), sheettest.Rect(62, 42, 20, 20), sheettest.Rect(-22, 42, 20, 20))
	for _, c := range New(s, p).Cuts {
		if c.Outline == 0 && (c.NoRoom || c.In[0].R == 0) {
			t.Errorf("crowded corners: %+v", c.In)
		}
	}
}

// A run between tabs that must begin on the outline pierces where the hole, wider
// than the kerf, leaves the tabs whole, and is led back to its beginning first.
func TestBareStartSparesTabs(t *testing.T) {
	const kerf, width = 1.0, 0.8
	s := sheettest.Of(sheettest.Rect(0, 0, 60, 60), sheettest.Disc(30, 30, 12.2), sheettest.Disc(30, 30, 10))
	o := &s.Outlines[2]
	half := o.Length / 2
	var tabs [][2]float64
	for _, a := range []float64{0.3 * half, 1.3 * half} {
		tabs = append(tabs, [2]float64{a, a + width + kerf})
	}
	o.Path, o.Tabs = sheettest.Tabbed(o.Path, tabs...), 2
	pl := New(s, Params{Kerf: kerf, Margin: 0.5})
	var runs []*Cut
	for i := range pl.Cuts {
		if c := &pl.Cuts[i]; c.Outline == 2 {
			runs = append(runs, c)
		}
	}
	if len(runs) != 2 {
		t.Fatalf("%d runs", len(runs))
	}
	for i, c := range runs {
		if !c.NoRoom || len(c.In) == 0 {
			t.Fatalf("run %d: no room %v, begins with %+v", i, c.NoRoom, c.In)
		}
		checkJoined(t, "ring", c)
		// The tab before it, as the run behind the other end of the tab leaves it.
		a, b := runs[1-i].Run[len(runs[1-i].Run)-1].B, c.Run[0].A
		u := b.Sub(a).Unit()
		body := geom.Line(a.Add(u.Mul(kerf/2)), b.Sub(u.Mul(kerf/2)))
		if body.Length() < width-1e-6 {
			t.Errorf("a tab of %g mm", body.Length())
		}
		if d := body.Dist(c.Start()); d < pierceShare*kerf-0.01 {
			t.Errorf("the pierce of run %d is %.3f mm from the tab", i, d)
		}
		for _, q := range c.In.Flatten(0.001) {
			if d, _ := c.Run.Dist(q); d > 0.002 {
				t.Errorf("the way back strays from the run by %g mm", d)
			}
		}
	}
}

// A closed run that must begin on the outline pierces where its hole leaves the
// neighbour and its tabs whole, where there is such a place.
func TestBareStartSparesNeighbours(t *testing.T) {
	// A ring of waste 1.1 mm wide but for one side, where it is 1.9 mm.
	s := sheettest.Of(sheettest.Rect(0, 0, 60, 60), sheettest.Rect(10, 10, 40, 40), sheettest.Rect(11.1, 11.1, 37, 37.8))
	pl := New(s, Params{Kerf: 1, Margin: 0.5})
	for i := range pl.Cuts {
		c := &pl.Cuts[i]
		if c.Outline != 2 {
			continue
		}
		if d, _ := s.Outlines[1].Pieces.Dist(c.Start()); !c.NoRoom || d < pierceShare {
			t.Errorf("no room %v; the pierce is %.3f mm from the part around", c.NoRoom, d)
		}
	}
}
