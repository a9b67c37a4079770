package settle_test

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"sluice/geom"
	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/mend"
	"sluice/lint/rules"
	"sluice/lint/settle"
)

// plates is a drawing of plates of several forms, in one of which a mark asks what it is.
func plates() []byte {
	var b strings.Builder
	b.WriteString("0\nSECTION\n2\nENTITIES\n")
	ring := func(at ...float64) {
		fmt.Fprintf(&b, "0\nLWPOLYLINE\n8\n0\n90\n%d\n70\n1\n", len(at)/2)
		for i := 0; i < len(at); i += 2 {
			fmt.Fprintf(&b, "10\n%g\n20\n%g\n", at[i], at[i+1])
		}
	}
	for i := range 6 {
		x := float64(i) * 200
		w, h := 90+8*float64(i), 60+5*float64(i)
		ring(x, 0, x+w, 0, x+w, h, x, h)
		ring(x, 200, x+w, 200, x+w, 220, x+20, 220, x+20, 200+h, x, 200+h)
		ring(x, 400, x+w/2, 400, x+w/4, 400+h)
		ring(x, 600, x+50, 600, x+50, 640, x, 640)
	}
	b.WriteString("0\nLINE\n8\n0\n10\n30\n20\n30\n11\n60\n21\n30\n0\nENDSEC\n0\nEOF\n")
	return []byte(b.String())
}

// openLaid sets out plates at a desk that lays out, on sheets that it takes several of.
func openLaid(t *testing.T) (*desk, *job.Job, []byte) {
	t.Helper()
	data, j := plates(), job.Default()
	j.Units = "mm"
	j.Sheet.Size, j.Layout.Sheets, j.Layout.Seconds = []float64{300, 250}, 6, 0.05
	d := &desk{t: t}
	o := mend.Options{Options: lint.Options{Rules: rules.All()}}
	d.Desk = settle.Open(data, nil, settle.Options{
		Path: "kit.dxf", Answers: "kit.answers.toml", Job: j, Mend: o,
		Save: func(text []byte) error { d.kept = text; return nil }, Laying: &settle.LayingOptions{Mend: o},
	})
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan struct{})
	go func() { defer close(ended); d.Run(ctx) }()
	t.Cleanup(func() { stop(); <-ended })
	return d, j, data
}

// laid waits until a layout is found, and looks on the way at how it grows.
func (d *desk) laid() *settle.Layout {
	d.t.Helper()
	end := time.After(2 * time.Minute)
	share := 0.0
	for {
		_, changed := d.LayoutChanged()
		l := d.Layout()
		if l.Running && l.Share < share {
			d.t.Errorf("progress runs back from %g to %g", share, l.Share)
		}
		share = l.Share
		if !l.Running {
			if l.Err != nil {
				d.t.Fatal(l.Err)
			}
			return l
		}
		select {
		case <-changed:
		case <-end:
			d.t.Fatal("no layout is found")
		}
	}
}

// try fails on an error.
func (d *desk) try(err error) {
	d.t.Helper()
	if err != nil {
		d.t.Fatal(err)
	}
}

// lies returns where a part lies in a layout.
func lies(l *settle.Layout, p settle.LaidPart) (sheet, n int) {
	for i := range l.Laid.Sheets {
		for n, x := range l.Laid.Sheets[i].Parts {
			if x.Name == p.Name && x.Which == p.Which {
				return i, n
			}
		}
	}
	return -1, -1
}

// poses lists where all parts lie, as text.
func poses(l *settle.Layout) (all []string) {
	for i := range l.Laid.Sheets {
		s := &l.Laid.Sheets[i]
		for n, x := range s.Parts {
			q := s.Placed[n]
			all = append(all, strings.Join([]string{x.Name, string(rune('a' + x.Which)), string(rune('0' + s.Number)), job.FormatLength(q.Shift.X), job.FormatLength(q.Shift.Y), job.FormatLength(q.Turn)}, " "))
		}
	}
	slices.Sort(all)
	return all
}

// TestLayOut lays plates out: what is shown is what fix --layout writes, byte for
// byte.
func TestLayOut(t *testing.T) {
	d, j, data := openLaid(t)
	if _, _, err := d.Sheets(t.Context()); err == nil {
		t.Error("sheets are drawn before there is a layout")
	}
	d.settled()
	d.try(d.LayOut(settle.LayWish{}))
	l := d.laid()
	if !l.Exact || len(l.Laid.Sheets) < 2 || l.Share != 1 || l.Stale {
		t.Fatalf("%d sheets, exact %v, share %g", len(l.Laid.Sheets), l.Exact, l.Share)
	}
	_, sheets, err := d.Sheets(t.Context())
	d.try(err)
	whole, err := mend.LayOut(t.Context(), "kit.dxf", bytes.NewReader(data), j, mend.Options{Options: lint.Options{Rules: rules.All()}}, mend.LayoutOptions{Seconds: 0.05, Seed: 1})
	d.try(err)
	if !slices.EqualFunc(sheets, whole, func(a, b mend.SheetOut) bool { return bytes.Equal(a.Drawing, b.Drawing) }) {
		t.Error("the sheets are others than those of a layout made at once")
	}
	// Going on makes it no worse.
	d.try(d.LayOut(settle.LayWish{Seconds: 0.1, On: true}))
	on := d.laid()
	if len(on.Laid.Sheets) > len(l.Laid.Sheets) || on.Exact {
		t.Errorf("%d sheets after %d, exact %v", len(on.Laid.Sheets), len(l.Laid.Sheets), on.Exact)
	}
	// By the clock it ends, and what was found until then stands.
	d.try(d.LayOut(settle.LayWish{Seconds: 86400, Until: 300 * time.Millisecond}))
	if l = d.laid(); !l.Laid.Cut || l.Exact {
		t.Errorf("cut %v, exact %v", l.Laid.Cut, l.Exact)
	}
	for _, w := range []settle.LayWish{{Seconds: -1}, {Seconds: 1e9}, {Until: -1}} {
		if d.LayOut(w) == nil {
			t.Errorf("%+v is taken", w)
		}
	}
}

// TestPinPart puts parts by hand: the others make room, all steps can be
// taken back, and each shows the layout that was shown then.
func TestPinPart(t *testing.T) {
	d, _, _ := openLaid(t)
	round := d.settled().Round.Number
	d.try(d.LayOut(settle.LayWish{}))
	first := d.laid()
	on := &first.Laid.Sheets[0]
	who := settle.LaidPart{Name: first.Laid.Sheets[1].Parts[0].Name, Which: first.Laid.Sheets[1].Parts[0].Which}
	put := settle.Put{LaidPart: who, Sheet: 0, At: on.Placed[0].Transform().Apply(first.Result.Sheet.Parts[on.Parts[0].Part].Box.Center())}
	spot, err := d.SpotPart(put)
	d.try(err)
	if spot.Refused != "" || len(spot.Way) == 0 {
		t.Fatalf("%+v", spot)
	}
	d.try(d.PinPart(put))
	second := d.laid()
	s, n := lies(second, who)
	if s < 0 || second.Laid.Sheets[s].Number != on.Number || !second.Laid.Sheets[s].Parts[n].Pinned || len(second.Laid.Left) > 0 {
		t.Fatalf("part %v lies on %d", who, s)
	}
	stay := 0
	was, is := poses(first), poses(second)
	for _, p := range was {
		if slices.Contains(is, p) {
			stay++
		}
	}
	if stay < len(was)*2/3 || stay == len(was) {
		t.Errorf("%d of %d stay", stay, len(was))
	}
	v, err := d.View()
	d.try(err)
	if v.Busy || v.Round.Number != round || v.Answers.OfPart(who.Name) == nil || !bytes.Contains(d.kept, []byte("\nat ")) {
		t.Errorf("busy %v, round %d after %d; kept: %s", v.Busy, v.Round.Number, round, d.kept)
	}
	// Back and forth.
	d.try(d.Undo())
	if got := d.laid(); !slices.Equal(poses(got), was) || got.Exact != first.Exact || d.kept != nil {
		t.Error("taken back, the layout is another")
	}
	d.try(d.Redo())
	if got := d.laid(); !slices.Equal(poses(got), is) {
		t.Error("made again, the layout is another")
	}
	// Pinned all, any run comes to it.
	d.try(d.PinAll())
	all := d.laid()
	if !all.Exact || !slices.Equal(poses(all), is) {
		t.Error("with all pinned something moves")
	}
	d.try(d.LayOut(settle.LayWish{Seconds: 0.1}))
	if got := d.laid(); !slices.Equal(poses(got), is) {
		t.Error("with all pinned, laid out anew something moves")
	}
	// Nothing is put upon what is pinned.
	other := put
	if other.LaidPart = (settle.LaidPart{Name: second.Laid.Sheets[0].Parts[0].Name, Which: second.Laid.Sheets[0].Parts[0].Which}); other.LaidPart == who {
		other.LaidPart = settle.LaidPart{Name: second.Laid.Sheets[0].Parts[1].Name, Which: second.Laid.Sheets[0].Parts[1].Which}
	}
	if err := d.PinPart(other); err == nil || !strings.Contains(err.Error(), "pinned") {
		t.Errorf("put on pinned parts: %v", err)
	}
	d.try(d.UnpinPart(who))
	if got := d.laid(); got.Exact || !slices.Equal(poses(got), is) {
		t.Error("let go, it moves by itself")
	}
	d.try(d.UnpinAll())
	if d.UnpinAll() == nil || d.UnpinPart(who) == nil || d.PinPart(settle.Put{LaidPart: settle.LaidPart{Name: "none"}}) == nil {
		t.Error("what is not there is let go or put")
	}
	s, n = lies(second, who)
	turn, mid := second.Laid.Sheets[s].Placed[n].Turn, second.Laid.Sheets[s].Stock
	for step, want := range map[int]float64{1: turn + 90, -1: turn + 270, 4: turn, 0: turn} {
		got, err := d.SpotPart(settle.Put{LaidPart: who, Sheet: s, At: geom.Pt(mid.Width/2, mid.Height/2), Turn: turn, Step: step})
		if err != nil || math.Mod(got.Turn, 360) != math.Mod(want, 360) {
			t.Errorf("%d turns further than %g: %+v %v", step, turn, got, err)
		}
	}
	if err := d.PinPart(settle.Put{LaidPart: who, Sheet: 99, At: geom.Pt(9, 9)}); err == nil {
		t.Error("there is a sheet 99")
	}
}

// TestLayoutStale: an answer that changes the drawing ends the search, and what is shown
// is written no more.
func TestLayoutStale(t *testing.T) {
	d, _, _ := openLaid(t)
	v := d.settled()
	d.try(d.LayOut(settle.LayWish{}))
	d.laid()
	d.try(d.LayOut(settle.LayWish{Seconds: 3600}))
	for !d.Layout().Running {
		t.Fatal("it is not looked for")
	}
	q := v.Round.Asked[0]
	d.try(d.Take(q.ID, false, q.Choices[0].Name, ""))
	if after, err := d.View(); err != nil || !after.Busy {
		t.Errorf("an answer is taken and nothing is busy, %v", err)
	}
	if l := d.laid(); !l.Stale {
		t.Error("the layout of another drawing passes for one of this")
	}
	if _, _, err := d.Sheets(t.Context()); err == nil {
		t.Error("it is written")
	}
	if d.PinAll() == nil || d.LayOut(settle.LayWish{On: true}) == nil {
		t.Error("it is pinned, or gone on from")
	}
	d.try(d.Undo())
	if l := d.laid(); l.Stale {
		t.Error("taken back, the layout is that of another drawing yet")
	}
	// Stopped, it stands as it is.
	d.try(d.LayOut(settle.LayWish{Seconds: 3600}))
	for n := d.Layout().Number; d.Layout().Number == n; {
		_, changed := d.LayoutChanged()
		select {
		case <-changed:
		case <-time.After(time.Second):
		}
	}
	d.StopLayout()
	if l := d.laid(); l.Exact || l.Stale || l.Laid == nil {
		t.Errorf("stopped: exact %v, stale %v", l.Exact, l.Stale)
	}
	if _, sheets, err := d.Sheets(t.Context()); err != nil || len(sheets) == 0 {
		t.Errorf("%d sheets, %v", len(sheets), err)
	}
}

// TestLayoutUnfit tells why nothing can be laid out, and goes on.
func TestLayoutUnfit(t *testing.T) {
	data, j := crane(t)
	d := open(t, data, nil, j)
	if d.Lays() || d.LayOut(settle.LayWish{}) == nil {
		t.Error("a desk that does not lay out does")
	}
	own := *j
	own.Sheet.Size = nil
	o := mend.Options{Options: lint.Options{Rules: rules.All()}}
	e := settle.Open(data, nil, settle.Options{Path: "kit.dxf", Job: &own, Mend: o, Save: func([]byte) error { return nil }, Laying: &settle.LayingOptions{Mend: o}})
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan struct{})
	go func() { defer close(ended); e.Run(ctx) }()
	defer func() { stop(); <-ended }()
	if err := e.LayOut(settle.LayWish{}); err != nil {
		t.Fatal(err)
	}
	for {
		_, changed := e.LayoutChanged()
		if l := e.Layout(); !l.Running {
			if l.Err == nil || !strings.Contains(l.Err.Error(), "size of the sheet") || strings.Contains(l.Err.Error(), "--") {
				t.Errorf("%v", l.Err)
			}
			break
		}
		<-changed
	}
}
