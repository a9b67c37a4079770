package figures

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"sluice/geom"
	"sluice/geom/geomtest"
	"sluice/lint"
	"sluice/lint/job"
)

// slotted draws a plate with slots of the widths, 30 mm long, and for each a plate
// with a tab that goes into it.
func slotted(t *testing.T, j *job.Job, widths ...float64) *lint.Result {
	t.Helper()
	var d geomtest.Drafter
	ring := func(xy ...float64) {
		n := len(xy) / 2
		for i := range n {
			k := (i + 1) % n
			d.Piece(geom.Line(geom.Pt(xy[2*i], xy[2*i+1]), geom.Pt(xy[2*k], xy[2*k+1])), 0)
		}
	}
	ring(0, 0, 200, 0, 200, 200, 0, 200)
	for i, w := range widths {
		y, x := 20+30*float64(i), 250+120*float64(i)
		ring(50, y, 80, y, 80, y+w, 50, y+w)
		ring(x, 0, x+100, 0, x+100, 60, x+65, 60, x+65, 64.76, x+35, 64.76, x+35, 60, x, 60)
	}
	r := lint.Check(t.Context(), "kit.dxf", bytes.NewReader(d.Bytes()), j, lint.Options{})
	if r.Err != nil {
		t.Fatal(r.Err)
	}
	return r
}

// Slots lose the taper at the bottom; what is left over the sheet follows.
func TestSlots(t *testing.T) {
	j := job.Default()
	j.Sheet.Thickness, j.Fit.Measured, j.Fit.Taper = 4.76, 4.80, 0.12
	p := PartsOf(slotted(t, j, 4.91, 4.95, 4.91))
	if p.Slots == nil || len(p.Slots.Widths) != 2 {
		t.Fatalf("slots %+v", p.Slots)
	}
	for i, want := range []SlotWidth{{4.91, 4.79, -0.01, 2}, {4.95, 4.83, 0.03, 1}} {
		got := p.Slots.Widths[i]
		if math.Abs(got.Width-want.Width)+math.Abs(got.Bottom-want.Bottom)+math.Abs(got.Play-want.Play) > 1e-9 || got.Count != want.Count {
			t.Errorf("%+v, want %+v", got, want)
		}
	}
	if p := PartsOf(slotted(t, job.Default(), 4.91)); p.Slots != nil {
		t.Errorf("without a thickness: %+v", p.Slots)
	}
}

// What is told of how parts are held follows from the sheet and the slats: a strip of
// 60 stands across the slats alone, and at 46.5 N the stream outweighs it.
func TestHolding(t *testing.T) {
	plate := func(x, y, w, h float64, d *geomtest.Drafter) {
		c := [4]geom.Point{geom.Pt(x, y), geom.Pt(x+w, y), geom.Pt(x+w, y+h), geom.Pt(x, y+h)}
		for i := range c {
			d.Piece(geom.Line(c[i], c[(i+1)%4]), 0)
		}
	}
	var d geomtest.Drafter
	plate(0, 0, 60, 300, &d)
	plate(100, 0, 900, 900, &d)
	j := job.Default()
	j.Sheet.Material, j.Sheet.Thickness = "aluminium 5052", 25
	r := lint.Check(t.Context(), "x.dxf", bytes.NewReader(d.Bytes()), j, lint.Options{})
	h := holdingOf(r, nil)
	strip := r.Names[0]
	if r.Sheet.Parts[0].Box.W() > 100 {
		strip = r.Names[1]
	}
	if strings.Join(h.Turned, " ") != strip || strings.Join(h.Pushed, " ") != strip || h.Slats == "" || math.Abs(h.Push-46.5) > 0.05 {
		t.Errorf("%+v, want part %s", h, strip)
	}
	if h.Force != 0 || h.Width != 0 || h.TooStrong() || h.TooWide() {
		t.Errorf("without tabs: %+v", h)
	}
	h = holdingOf(r, []lint.Tab{{Part: strip, Width: 0.8, Gap: 1.8}, {Part: strip, Width: 0.5, Gap: 1.5}})
	if math.Abs(h.Force-2760) > 1e-6 || !h.TooStrong() || h.TooWide() || h.Auto != 0.3 {
		t.Errorf("%+v, want 2760 N, too strong", h)
	}
	j.Table.SlatsAlong = "both"
	if h := holdingOf(r, nil); len(h.Turned) > 0 {
		t.Errorf("slats either way: %+v", h)
	}
	j.Tabs.Parts = "none"
	j.Table.SlatsAlong = "x"
	if h := holdingOf(r, nil); len(h.Turned) > 0 || h.Slats != "" {
		t.Errorf("no tabs wanted: %+v", h)
	}
}
