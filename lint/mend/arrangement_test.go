package mend_test

import (
	"bytes"
	"context"
	"os"
	"slices"
	"testing"

	"sluice/fix/layout"
	"sluice/geom"
	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/mend"
	"sluice/lint/rules"
)

// laidCrane reads the demo kit and its job, for two of it, with answers.
func laidCrane(t *testing.T, answers *job.Answers) ([]byte, *job.Job) {
	t.Helper()
	data, err := os.ReadFile("../../fixtures/harbour-crane-clean.dxf")
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile("../../fixtures/crane.toml")
	if err != nil {
		t.Fatal(err)
	}
	j, err := job.Parse(text, "crane.toml", nil)
	if err != nil {
		t.Fatal(err)
	}
	j.Sheet.Size, j.Layout.Sheets, j.Answers = []float64{320, 300}, 6, answers
	return data, j
}

var planned = mend.LayoutOptions{Seconds: 0.02, Seed: 1}

// laying repairs the crane to be laid out.
func laying(t *testing.T) *mend.Laying {
	t.Helper()
	data, j := laidCrane(t, nil)
	l, err := mend.NewLaying(t.Context(), "kit", bytes.NewReader(data), j, mend.Options{Options: lint.Options{Rules: rules.All()}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// pin puts where a part lies into answers.
func pin(a *job.Answers, laid *mend.Arrangement, s, n int, at geom.Point, turn float64, on int) {
	who := &laid.Sheets[s].Parts[n]
	p := job.PartAnswer{Part: who.Name, Count: job.AsDrawn}
	if had := a.OfPart(who.Name); had != nil {
		p = *had
	}
	for len(p.Pins) <= who.Which {
		p.Pins = append(p.Pins, nil)
	}
	p.Pins[who.Which] = &job.Pin{At: at, Turn: turn, Sheet: laid.Sheets[on].Number}
	a.SetPart(p)
}

func drawings(sheets []mend.SheetOut) (out [][]byte) {
	for i := range sheets {
		out = append(out, sheets[i].Drawing)
	}
	return out
}

func sameBytes(a, b [][]byte) bool { return slices.EqualFunc(a, b, bytes.Equal) }

// TestLaying: what is planned and drawn in two steps is what one step writes, its picture
// grows, and nothing is lost in it.
func TestLaying(t *testing.T) {
	l := laying(t)
	o := planned
	share, pictures := 0.0, 0
	o.Picture = func(s float64, now func() *mend.Arrangement) {
		if s < share {
			t.Errorf("progress runs back from %g to %g", share, s)
		}
		share = s
		if pictures++; pictures%5 == 1 {
			if a := now(); len(a.Sheets) == 0 || len(a.Sheets[0].Parts) != len(a.Sheets[0].Placed) {
				t.Errorf("a picture of %d sheets", len(a.Sheets))
			}
		}
	}
	none := job.NewAnswers("kit.answers.toml")
	laid, err := l.Plan(t.Context(), none, o)
	if err != nil {
		t.Fatal(err)
	}
	if pictures == 0 {
		t.Error("no picture is shown")
	}
	parts := 0
	for _, s := range laid.Sheets {
		parts += len(s.Parts)
	}
	if want := len(l.Result().Sheet.Parts); parts != want || len(laid.Left) > 0 {
		t.Errorf("%d parts laid out of %d, left over %v", parts, want, laid.Left)
	}
	drawn, err := l.Draw(t.Context(), none, laid, planned)
	if err != nil {
		t.Fatal(err)
	}
	data, j := laidCrane(t, nil)
	whole, err := mend.LayOut(t.Context(), "kit", bytes.NewReader(data), j, mend.Options{Options: lint.Options{Rules: rules.All()}}, planned)
	if err != nil {
		t.Fatal(err)
	}
	if !sameBytes(drawings(drawn), drawings(whole)) {
		t.Error("planned and drawn, the sheets are others than laid out at once")
	}
	if again, err := l.Draw(t.Context(), none, laid, planned); err != nil || !sameBytes(drawings(again), drawings(drawn)) {
		t.Errorf("drawn again they are others: %v", err)
	}
}

// TestLayingPinned puts a part by hand: the rest stays or makes room, and a layout of
// which all parts are pinned is written the same from nothing.
func TestLayingPinned(t *testing.T) {
	l := laying(t)
	none := job.NewAnswers("kit.answers.toml")
	first, err := l.Plan(t.Context(), none, planned)
	if err != nil {
		t.Fatal(err)
	}
	s, n, on := 0, 1, len(first.Sheets)-1
	if on == 0 {
		t.Fatal("the kit goes on one sheet")
	}
	target := first.Sheets[on].Placed[0]
	over := l.Result().Sheet.Parts[first.Sheets[on].Parts[0].Part].Box
	mid := target.Transform().Apply(over.Center())
	spot := first.Spot(s, n, on, mid, 0)
	if spot.Refused != "" || len(spot.Way) == 0 {
		t.Fatalf("%+v", spot)
	}
	a := job.NewAnswers("kit.answers.toml")
	pin(a, first, s, n, spot.At, spot.Turn, on)
	if !bytes.Equal(a.WithoutPins(), none.Text()) {
		t.Errorf("without pins: %s", a.WithoutPins())
	}
	o := planned
	o.Begin, o.Still = first.Without(s, n), true
	around, err := l.Plan(t.Context(), a, o)
	if err != nil {
		t.Fatal(err)
	}
	found, stay, all := 0, 0, 0
	for i, x := range around.Sheets {
		for k, p := range x.Parts {
			all++
			if p.Pinned {
				found++
				if p.Name != first.Sheets[s].Parts[n].Name || p.Which != first.Sheets[s].Parts[n].Which {
					t.Errorf("pinned is %+v", p)
				}
			}
			if i < len(first.Sheets) && slices.ContainsFunc(first.Sheets[i].Placed, func(q layout.Placed) bool {
				return q.Item == x.Placed[k].Item && q.Shift.Dist(x.Placed[k].Shift) < 1e-9
			}) {
				stay++
			}
		}
	}
	if found != 1 || stay < all-1-2*len(spot.Way) {
		t.Errorf("%d pinned, %d of %d stay, %d had to make room", found, stay, all, len(spot.Way))
	}
	if again := around.Spot(0, 0, 0, geom.Pt(-100, -100), 45); again.Refused == "" {
		t.Errorf("turned by 45 degrees: %+v", again)
	}
	drawn, err := l.Draw(t.Context(), a, around, planned)
	if err != nil {
		t.Fatal(err)
	}
	every := job.NewAnswers("kit.answers.toml")
	for i, x := range around.Sheets {
		for k, q := range x.Placed {
			box := l.Result().Sheet.Outlines[l.Result().Sheet.Parts[x.Parts[k].Part].Outer].Pieces.Transform(q.Transform()).Box()
			pin(every, around, i, k, box.Min, q.Turn, i)
		}
	}
	kept, err := job.ParseAnswers(every.Text(), "kit.answers.toml")
	if err != nil {
		t.Fatal(err)
	}
	data, j := laidCrane(t, kept)
	whole, err := mend.LayOut(context.Background(), "kit", bytes.NewReader(data), j, mend.Options{Options: lint.Options{Rules: rules.All()}}, planned)
	if err != nil {
		t.Fatal(err)
	}
	if !sameBytes(drawings(whole), drawings(drawn)) {
		t.Error("with all parts pinned the sheets are written otherwise than they were shown")
	}
}
