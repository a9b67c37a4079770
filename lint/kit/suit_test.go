package kit_test

import (
	"math"
	"slices"
	"testing"

	"sluice/fix/fit"
	"sluice/lint/kit"
)

// kitOf makes a kit of slots of these widths, each with a tab in it.
func kitOf(widths ...float64) *kit.Kit {
	k := &kit.Kit{Whole: true}
	for _, w := range widths {
		n := len(k.Joints)
		k.Joints = append(k.Joints, kit.Joint{Kind: kit.Slot, Width: w}, kit.Joint{Kind: kit.Tab, Depth: 3})
		k.Pairs = append(k.Pairs, kit.Pair{JointA: n + 1, JointB: n, EdgeA: -1, EdgeB: -1})
	}
	return k
}

func TestSuit(t *testing.T) {
	sheet := fit.Target{Thickness: 4.76, Clearance: 0.15}
	for _, c := range []struct {
		name               string
		k                  *kit.Kit
		tight, loose, suit int
		tabs               int
		none               bool
	}{
		{"four too narrow", kitOf(3, 3, 3, 3), 4, 0, 0, 4, true},
		{"three are few", kitOf(3, 3, 3), 3, 0, 0, 3, false},
		{"one suits", kitOf(3, 3, 3, 3, 4.9), 4, 0, 1, 4, false},
		{"too wide and too narrow", kitOf(3, 3, 7, 7), 2, 2, 0, 4, true},
		{"narrower than the kerf: not judged", kitOf(0.5, 3, 3, 3), 3, 0, 0, 3, false},
		{"all suit", kitOf(4.9, 4.9, 4.9, 4.9), 0, 0, 4, 0, false},
		{"as wide as the sheet is thick: by force", kitOf(4.76, 4.76, 4.76, 4.76), 4, 0, 0, 4, false},
		{"one is near", kitOf(3, 3, 3, 3, 4.7), 5, 0, 0, 5, false},
		{"nothing", &kit.Kit{Whole: true}, 0, 0, 0, 0, false},
	} {
		s := c.k.SuitOf(kit.OneSheet(sheet, ""), 1)
		if len(s.Tight) != c.tight || len(s.Loose) != c.loose || s.Fit != c.suit || s.Tabs != c.tabs {
			t.Errorf("%s: %+v", c.name, s)
		}
		if got := c.k.NoneFits(s); got != c.none {
			t.Errorf("%s: no joint fits: %v", c.name, got)
		}
	}
	for name, doubt := range map[string]func(*kit.Kit){"guessed": func(k *kit.Kit) { k.Guessed = true }, "hardly any mates": func(k *kit.Kit) { k.Whole = false }} {
		k := kitOf(3, 3, 3, 3)
		doubt(k)
		if k.NoneFits(k.SuitOf(kit.OneSheet(sheet, ""), 1)) {
			t.Errorf("%s: taken for evidence", name)
		}
	}
}

// A kit is drawn for the sheet that its tabs are as deep as, where that is about
// the width of its slots.
func TestDrawnFor(t *testing.T) {
	k := &kit.Kit{Thicknesses: []kit.Thickness{{Width: 3.1, Depth: 3}, {Width: 6.2, Depth: 9}, {Width: 2, Depth: 2}, {Width: 5, Depth: 3}}}
	got, want := k.DrawnFor(), []float64{3, 6.2, 2, 5}
	if !slices.EqualFunc(got, want, func(a, b float64) bool { return math.Abs(a-b) < 1e-12 }) {
		t.Errorf("%v, want %v", got, want)
	}
}
