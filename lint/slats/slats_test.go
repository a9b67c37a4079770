package slats

import (
	"testing"

	"sluice/fix/tab"
	"sluice/fix/tab/sheettest"
	"sluice/geom"
	"sluice/lint/job"
)

// under returns the table of a job with 3 mm aluminium, on slats 50 mm apart.
func under(set func(*job.Job)) *Table {
	j := job.Default()
	j.Sheet.Material, j.Sheet.Thickness = "aluminium 5052", 3
	set(j)
	return Of(j)
}

func TestPiece(t *testing.T) {
	for _, c := range []struct {
		name string
		w, h float64
		set  func(*job.Job)
		want Why
	}{
		{"stands", 300, 200, func(*job.Job) {}, Held},
		{"tips", 300, 60, func(*job.Job) {}, Tips},
		{"slats turned", 300, 60, func(j *job.Job) { j.Table.SlatsAlong = "y" }, Held},
		{"slats either way", 300, 60, func(j *job.Job) { j.Table.SlatsAlong = "both" }, Tips},
		{"nearly", 300, 102, func(*job.Job) {}, Nearly},
		{"nearly, no margin asked for", 300, 102, func(j *job.Job) { j.Table.StandMargin = 0 }, Held},
		{"tips at few positions, let pass", 300, 95, func(j *job.Job) { j.Table.TipShare, j.Table.StandMargin = 0.2, 0 }, Held},
		// 300 x 200 x 3 mm weigh 4.7 N. On an end that hangs out by up to 50 mm, 50 mm
		// and more of it on the other side of the slat, a tenth of 46.5 N is no match;
		// all of it is.
		{"pushed by a tenth", 300, 200, func(j *job.Job) { j.Table.PushShare = 0.1 }, Held},
		{"pushed by all", 300, 200, func(j *job.Job) { j.Table.PushShare = 1 }, Pushed},
		{"weight not known", 300, 200, func(j *job.Job) { j.Table.PushShare, j.Sheet.Material = 1, "" }, Held},
		{"thickness not known", 300, 200, func(j *job.Job) { j.Table.PushShare, j.Sheet.Thickness = 1, 0 }, Held},
		{"closed bed", 30, 20, func(j *job.Job) { j.Table.SlatPitch = 0 }, Held},
	} {
		table := under(c.set)
		if got := table.Piece(sheettest.Rect(7, 9, c.w, c.h), nil, c.w*c.h); got.Why != c.want || (got.Why == Held) != (got.Share == 0) {
			t.Errorf("%s: %+v, want %d", c.name, got, c.want)
		}
	}
	if got := under(func(*job.Job) {}).Pushed().Piece(sheettest.Rect(0, 0, 300, 200), nil, 60000); got.Why != Pushed {
		t.Errorf("the whole push: %+v", got)
	}
	if got := under(func(*job.Job) {}).Turned().Piece(sheettest.Rect(0, 0, 60, 300), nil, 18000); got.Why != Tips {
		t.Errorf("turned: %+v", got)
	}
}

// A slug that hangs in a part by tabs comes off the table with it, and moves its
// middle: 120 x 120 with a window on one side tips, and with the slug in it does not.
func TestWhatHangsCounts(t *testing.T) {
	s := sheettest.Of(sheettest.Rect(0, 0, 120, 120), sheettest.Rect(5, 5, 110, 60))
	table := under(func(*job.Job) {})
	if got := table.Part(s, 0); got.Why != Tips {
		t.Errorf("slug out: %+v", got)
	}
	hole := s.Parts[0].Holes[0]
	if got := table.Slug(s, hole, nil); got.Why != Tips {
		t.Errorf("slug of 110 x 60: %+v", got)
	}
	s.Outlines[hole].Tabs = 2
	if got := table.Part(s, 0); got.Why != Held {
		t.Errorf("slug in: %+v", got)
	}
}

func TestSupport(t *testing.T) {
	for along, want := range map[string]tab.Way{"x": tab.AlongX, "y": tab.AlongY, "both": tab.EitherWay} {
		j := job.Default()
		j.Table.SlatsAlong = along
		if got := Support(j); got.Along != want || got.Pitch != 50 {
			t.Errorf("%s: %+v", along, got)
		}
	}
	b := geom.Box{Max: geom.Pt(30, 20)}
	for way, want := range map[tab.Way]float64{tab.AlongX: 20, tab.AlongY: 30, tab.EitherWay: 30} {
		if got := (tab.Support{Along: way}).Across(b); got != want {
			t.Errorf("way %d: %g mm across, want %g", way, got, want)
		}
	}
}
