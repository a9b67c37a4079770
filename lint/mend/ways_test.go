package mend

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"sluice/fix/guard"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/lint"
	"sluice/lint/job"
)

// TestInWays: where a repair does not come to rest, or the guard refuses it, less
// is done, and told.
func TestInWays(t *testing.T) {
	other := errors.New("other")
	lost := &guard.Fault{What: guard.Lost}
	tab := &guard.Fault{What: guard.TabWrong, At: geom.Pt(1, 2)}
	for _, tt := range []struct {
		name string
		errs []error // of the tries, in order
		want []string
		told string
		err  error
	}{
		{"at once", []error{nil}, []string{"all"}, "", nil},
		{"no rest", []error{errUnsettled, nil}, []string{"all", "once"}, "written once", nil},
		{"no rest at all", []error{errUnsettled, errUnsettled, nil}, []string{"all", "once", "bare"}, "did not come to rest", nil},
		{"not even as drawn", []error{errUnsettled, errUnsettled, errUnsettled}, []string{"all", "once", "bare"}, "", errUnsettled},
		{"refused", []error{lost, nil}, []string{"all", "bare"}, "could not be shown", nil},
		{"refused as drawn too", []error{lost, lost}, []string{"all", "bare"}, "", lost},
		{"a tab that does not hold", []error{tab, nil}, []string{"all", "all without 1 tabs"}, "", nil},
		{"tabs that do not hold", []error{tab, tab, nil}, []string{"all", "all without 1 tabs", "all without 2 tabs"}, "", nil},
		{"refused without the tab", []error{tab, lost, nil}, []string{"all", "all without 1 tabs", "bare"}, "could not be shown", nil},
		{"another error", []error{other}, []string{"all"}, "", other},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var tried []string
			var last way
			err := inWays(func(w way) error {
				last = w
				name := map[[2]bool]string{{}: "all", {true, false}: "once", {true, true}: "bare"}[[2]bool{w.once, w.bare}]
				if n := len(w.noTabs); n > 0 {
					name += " without " + string(rune('0'+n)) + " tabs"
				}
				tried = append(tried, name)
				return tt.errs[len(tried)-1]
			})
			if !slices.Equal(tried, tt.want) || !errors.Is(err, tt.err) || tt.err == nil && (err != nil || !strings.Contains(last.told, tt.told) || (tt.told == "") != (last.told == "")) {
				t.Errorf("tried %q, told %q, %v", tried, last.told, err)
			}
		})
	}
	n := 0
	if err := inWays(func(w way) error { n++; return tab }); !errors.Is(err, tab) || n != 1+maxNoTabs+1 {
		t.Errorf("%d tries of tabs that never hold: %v", n, err)
	}
}

// TestAsDrawn: what is written as drawn are the strokes; specks that rounding left
// beside a stretch put aside are none, those that somebody drew or put back are.
func TestAsDrawn(t *testing.T) {
	long, speck := geom.Line(geom.Pt(0, 0), geom.Pt(9, 0)), geom.Line(geom.Pt(9, 0), geom.Pt(9, 1e-6))
	put := func(p geom.Piece, entity int32, made drawing.Made, as drawing.As) drawing.Stroke {
		return drawing.Stroke{Piece: p, Entity: entity, Made: made, As: as}
	}
	drawn := put(long, 0, 0, 0)
	for name, c := range map[string]struct {
		add  []drawing.Stroke
		want int
	}{
		"drawn":                  {[]drawing.Stroke{put(speck, 1, 0, 0)}, 2},
		"put back":               {[]drawing.Stroke{put(speck, 1, drawing.Edited, 0)}, 2},
		"beside a stretch":       {[]drawing.Stroke{put(long, 1, drawing.Edited, drawing.AsNote), put(speck, 1, drawing.Edited, 0)}, 1},
		"before a stretch":       {[]drawing.Stroke{put(speck.Reverse(), 1, drawing.Edited, 0), put(long.Reverse(), 1, drawing.Edited, drawing.AsNote)}, 1},
		"elsewhere":              {[]drawing.Stroke{put(long.Transform(geom.Shift(geom.Pt(5, 5))), 1, drawing.Edited, drawing.AsNote), put(speck, 1, drawing.Edited, 0)}, 2},
		"of another entity":      {[]drawing.Stroke{put(long, 1, drawing.Edited, drawing.AsNote), put(speck, 2, drawing.Edited, 0)}, 2},
		"beside one that is cut": {[]drawing.Stroke{put(long, 1, drawing.Edited, drawing.AsCut), put(speck, 1, drawing.Edited, drawing.AsCut)}, 2},
	} {
		d := &drawing.Drawing{Layers: []drawing.Layer{{Name: "0"}}, Entities: make([]drawing.Entity, 3), Strokes: append([]drawing.Stroke{drawn}, c.add...)}
		m := &mender{j: job.Default()}
		if got := len(m.asDrawn(&lint.Result{Drawing: d})); got != c.want {
			t.Errorf("%s: %d strokes written, want %d", name, got, c.want)
		}
	}
}
