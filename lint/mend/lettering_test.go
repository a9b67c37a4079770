package mend_test

import (
	"bytes"
	"math"
	"slices"
	"strings"
	"testing"

	"sluice/fix"
	"sluice/geom"
	"sluice/geom/dxf"
	"sluice/geom/geomtest"
	"sluice/lint"
	"sluice/lint/job"
)

// namedPlate draws a plate with a word of five letters with four counters, and
// two screw holes.
func namedPlate(m geom.Transform) []byte {
	var d geomtest.Drafter
	paths := []geom.Path{box(0, 0, 160, 120), {geom.Circle(geom.Pt(10, 10), 3)}, {geom.Circle(geom.Pt(150, 10), 3)}}
	for _, p := range geomtest.Letters("BARES", 14) {
		paths = append(paths, p.Transform(geom.Shift(geom.Pt(40, 50))))
	}
	for _, p := range paths {
		for _, q := range p.Transform(m) {
			d.Piece(q, 0)
		}
	}
	return d.Bytes()
}

// layers counts the outlines and paths of a corrected drawing by layer.
func layers(r *lint.Result) map[string]int {
	n := map[string]int{}
	for i := range r.Drawing.Entities {
		if t := r.Drawing.Entities[i].Type; t != "TEXT" && t != "POINT" {
			n[r.Drawing.LayerName(r.Drawing.Entities[i].Layer)]++
		}
	}
	return n
}

// TestLettering fixes a plate with lettering, undecided and with each answer, and
// fixes the result again without one.
func TestLettering(t *testing.T) {
	for _, turn := range []float64{0, 90, 14} {
		data := namedPlate(geom.Turn(geom.Point{}, turn*math.Pi/180))
		for answer, want := range map[string]struct {
			layers map[string]int // besides ETCH, which holds the number too
			told   int
			words  string
		}{
			"ask":   {map[string]int{dxf.LayerOutside: 1, dxf.LayerInside: 2, dxf.LayerNote: 9}, 1, "cut, etch or leave?"},
			"leave": {map[string]int{dxf.LayerOutside: 1, dxf.LayerInside: 2, dxf.LayerNote: 9}, 0, ""},
			"etch":  {map[string]int{dxf.LayerOutside: 1, dxf.LayerInside: 2}, 0, ""},
			"cut":   {map[string]int{dxf.LayerOutside: 1, dxf.LayerInside: 2 + 9}, 1, "fall out"},
		} {
			j := job.Default()
			j.Repair.Lettering = answer
			rep, out := repair(t, answer, data, j)
			if n := len(rep.After.Sheet.Parts); n != 1 || len(rep.Labels) != 1 || len(rep.Tabs) != 0 {
				t.Errorf("%s, turned by %g: %d parts, %d numbers, %d tabs; want 1, 1, 0", answer, turn, n, len(rep.Labels), len(rep.Tabs))
			}
			got := layers(rep.After)
			if got[dxf.LayerEtch] < 1 || answer == "etch" && got[dxf.LayerEtch] < 9 {
				t.Errorf("%s, turned by %g: ETCH holds %d paths", answer, turn, got[dxf.LayerEtch])
			}
			delete(got, dxf.LayerEtch)
			for l, n := range want.layers {
				if got[l] != n {
					t.Errorf("%s, turned by %g: %s holds %d paths, want %d", answer, turn, l, got[l], n)
				}
			}
			if len(got) != len(want.layers) {
				t.Errorf("%s, turned by %g: layers %v", answer, turn, got)
			}
			if n := count(rep.Left, "lettering"); n != want.told {
				t.Errorf("%s, turned by %g: told %d times", answer, turn, n)
			}
			for _, f := range rep.Left {
				if f.Rule == "lettering" && !strings.Contains(f.Message, want.words) {
					t.Errorf("%s: %s", answer, f.Message)
				}
			}
			again, next := repair(t, answer, out, job.Default())
			if !bytes.Equal(out, next) {
				t.Errorf("%s, turned by %g, fixed again: %s", answer, turn, firstDifference(out, next))
			}
			if n := count(again.Left, "lettering"); n != want.told {
				t.Errorf("%s, turned by %g, fixed again: told %d times", answer, turn, n)
			}
			if a := rep.Account; !a.Balanced() || a.LeftOut != 0 {
				t.Errorf("%s: account %+v", answer, a)
			}
		}
	}
}

// TestLetteringNumbered checks that a part's number keeps off lettering that may be
// etched yet.
func TestLetteringNumbered(t *testing.T) {
	rep, _ := repair(t, "plate", namedPlate(geom.Shift(geom.Point{})), job.Default())
	letters := geom.NoBox()
	for i := range rep.After.Sheet.Aside {
		letters = letters.Union(rep.After.Sheet.Aside[i].Box)
	}
	for _, l := range rep.Labels {
		if letters.Inflate(1).Contains(l.At) {
			t.Errorf("number at %v, lettering in %v", l.At, letters)
		}
	}
	if !slices.ContainsFunc(rep.Edits, func(e fix.Edit) bool { return e.Kind == "set-aside" && e.Rule == "lettering" }) {
		t.Error("no edit tells that lettering was set aside")
	}
}
