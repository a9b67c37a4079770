package settle_test

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"sluice/geom"
	"sluice/lint/job"
	"sluice/lint/settle"
)

func ptr[T any](v T) *T { return &v }

// TestWishPart gives parts of the demo a count, tabs, a name and a face, and takes it
// all back.
func TestWishPart(t *testing.T) {
	data, j := crane(t)
	d := open(t, data, nil, j)
	first := d.settled().Round
	for _, w := range []settle.PartWish{{Count: ptr(2)}, {Tabs: ptr("4")}, {Name: ptr(" hoist\n")}, {Face: ptr("back")}} {
		if err := d.WishPart("9", w); err != nil {
			t.Fatal(err)
		}
	}
	v := d.settled()
	p := v.Answers.OfPart("9")
	if p == nil || p.Count != 2 || !p.Tabs.Set || p.Tabs.Number != 4 || p.Name != "hoist" || p.Face != "back" {
		t.Fatalf("%+v", p)
	}
	n := 0
	for _, name := range v.Round.Done.After.Names {
		if name == "9" {
			n++
		}
	}
	tabs := 0
	for _, x := range v.Round.Done.Tabs {
		if x.Part == "9" {
			tabs++
		}
	}
	if n != 2 || tabs != 8 {
		t.Errorf("%d of part 9 with %d tabs", n, tabs)
	}
	for _, w := range []settle.PartWish{{Count: ptr(-2)}, {Count: ptr(1001)}, {Tabs: ptr("many")}, {Face: ptr("top")}, {Name: ptr(strings.Repeat("x", 81))}} {
		if err := d.WishPart("9", w); err == nil {
			t.Errorf("%+v is taken", w)
		}
	}
	if err := d.WishPart("none", settle.PartWish{Count: ptr(1)}); err == nil {
		t.Error("a part that there is not is given a count")
	}
	if err := d.Forget([]string{settle.PartID + "9"}); err != nil {
		t.Fatal(err)
	}
	if v = d.settled(); len(v.Answers.Parts) != 0 || !bytes.Equal(v.Round.Drawing, first.Drawing) || d.kept != nil {
		t.Errorf("taken back, %d parts are decided of", len(v.Answers.Parts))
	}
	for range 5 {
		if err := d.Undo(); err != nil {
			t.Fatal(err)
		}
	}
	if v = d.settled(); v.Undo != "" || !bytes.Equal(v.Round.Drawing, first.Drawing) {
		t.Error("undone, the drawing is another")
	}
}

// TestPut puts tabs and numbers elsewhere, and is told why not.
func TestPut(t *testing.T) {
	data, j := crane(t)
	d := open(t, data, nil, j)
	grips := d.settled().Round.Grips()
	moved, refused := 0, map[string]int{}
	for _, g := range grips {
		for _, by := range []geom.Point{geom.Pt(4, 0), geom.Pt(0, 4), geom.Pt(-30, 11)} {
			at, why, err := d.Spot(g, g.At.Add(by))
			if err != nil {
				t.Fatal(err)
			}
			refused[g.Kind+why]++
			if why != "" || moved > 5 && g.Kind == settle.TabGrip || moved > 8 || at.Dist(g.At) < 1 {
				continue
			}
			if err := d.Put(g, g.At.Add(by)); err != nil {
				t.Fatal(err)
			}
			r := d.settled().Round
			there := slices.ContainsFunc(r.Grips(), func(o settle.Grip) bool { return o.Kind == g.Kind && o.Part == g.Part && o.At.Dist(at) < 0.1 })
			gone := !slices.ContainsFunc(r.Grips(), func(o settle.Grip) bool { return o.Kind == g.Kind && o.Part == g.Part && o.At.Dist(g.At) < 0.1 })
			if !there || !gone {
				t.Errorf("%s of part %s from %v to %v: there %v, gone from where it was %v; %v", g.Kind, g.Part, g.At, at, there, gone, r.Refused)
			}
			moved++
			break
		}
	}
	if moved < 6 || len(refused) < 6 {
		t.Errorf("%d moved, refused %v", moved, refused)
	}
	a, err := job.ParseAnswers(d.kept, "a")
	if err != nil || len(a.Parts) == 0 || a.Parts[0].Corner == nil {
		t.Errorf("%v: kept %s", err, d.kept)
	}
	g := settle.Grip{Kind: settle.TabGrip, Part: "none"}
	if _, _, err := d.Spot(g, geom.Pt(0, 0)); err == nil {
		t.Error("a tab of no part has a place")
	}
}
