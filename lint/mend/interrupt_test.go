package mend_test

import (
	"bytes"
	"context"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"
	"testing"

	"sluice/geom"
	"sluice/geom/geomtest"
	"sluice/lint"
	"sluice/lint/cutting"
	"sluice/lint/job"
	"sluice/lint/mend"
	"sluice/lint/rules"
)

// ending is a context that ends when it has been asked so many times.
type ending struct {
	context.Context
	left *atomic.Int64
}

func (e ending) Err() error {
	if e.left.Add(-1) < 0 {
		return context.Canceled
	}
	return nil
}

// TestInterrupted: a repair that is interrupted, at whatever point, gives the error and
// no drawing; never half of one.
func TestInterrupted(t *testing.T) {
	for _, name := range []string{"open-outline", "shared-edge", "loose-mark"} {
		data := readFile(t, filepath.Join(fixtures, "..", "testdata", "rules", name, "flaw.dxf"))
		o := mend.Options{Options: lint.Options{Rules: rules.All(), Workers: 1}}
		_, want, err := mend.Fix(t.Context(), name, bytes.NewReader(data), job.Default(), o)
		if err != nil {
			t.Fatal(err)
		}
		ends := 0
		for n := int64(0); ; n += 1 + n/8 {
			ctx := ending{t.Context(), new(atomic.Int64)}
			ctx.left.Store(n)
			rep, out, err := mend.Fix(ctx, name, bytes.NewReader(data), job.Default(), o)
			if err == nil {
				if rep == nil || !bytes.Equal(out, want) {
					t.Errorf("%s: interrupted after %d looks: another drawing and no error", name, n)
				}
				if ctx.left.Load() >= 0 {
					break // it was never interrupted
				}
				continue
			}
			if ends++; rep != nil || out != nil {
				t.Errorf("%s: interrupted after %d looks: a drawing of %d bytes and %v", name, n, len(out), err)
			}
		}
		if ends == 0 {
			t.Errorf("%s: never interrupted", name)
		}
	}
}

// TestTabsWanted: the job says which parts get tabs, and each tab tells what it had to
// give up.
func TestTabsWanted(t *testing.T) {
	for _, tt := range []struct {
		wanted string
		want   []string // parts with tabs
	}{{"none", nil}, {"small", []string{"2"}}, {"all", []string{"1", "2"}}} {
		j := job.Default()
		j.Tabs.Parts = tt.wanted
		rep, _ := repair(t, "plates", ways(slices.Concat(box(0, 0, 300, 300), box(320, 0, 340, 30)))["as drawn"], j)
		tabs := map[string]int{}
		for _, x := range rep.Tabs {
			tabs[x.Part]++
		}
		if len(tabs) != len(tt.want) {
			t.Errorf("%s: tabs by part %v, want them on %v", tt.wanted, tabs, tt.want)
		}
		edits := 0
		for _, e := range rep.Edits {
			if e.Kind == "tab" {
				edits++
			}
		}
		total := 0
		for _, k := range tt.want {
			if tabs[k] < 2 {
				t.Errorf("%s: tabs by part %v, want them on %v", tt.wanted, tabs, tt.want)
			}
			total += tabs[k]
		}
		if edits != total || len(rep.Tabs) != total {
			t.Errorf("%s: %d edits for %d tabs, %d told", tt.wanted, edits, total, len(rep.Tabs))
		}
		for _, x := range rep.Tabs {
			if math.Abs(x.Gap-cutting.DrawnGap(j)) > 1e-6 {
				t.Errorf("%s: a tab of %g mm, want %g", tt.wanted, x.Gap, cutting.DrawnGap(j))
			}
		}
	}
	for _, tt := range []struct {
		radius float64
		given  bool
	}{{3, true}, {30, false}} {
		var d geomtest.Drafter
		d.Piece(geom.Circle(geom.Pt(0, 0), tt.radius), 0)
		j := job.Default()
		j.Tabs.Parts = "all"
		rep, _ := repair(t, "disc", d.Bytes(), j)
		n := 0
		for _, e := range rep.Edits {
			if e.Kind != "tab" {
				continue
			}
			if n++; strings.Contains(e.Note, "not to be had: on a straight or gentle edge") != tt.given || strings.HasSuffix(e.Note, "not to be had: ") {
				t.Errorf("disc of %g mm: %q", tt.radius, e.Note)
			}
		}
		if n < 2 {
			t.Errorf("disc of %g mm: %d tabs", tt.radius, n)
		}
	}
}
