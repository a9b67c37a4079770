package mend_test

import (
	"bytes"
	"context"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"sluice/geom"
	"sluice/geom/dxf"
	"sluice/geom/geomtest"
	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/mend"
	"sluice/lint/rules"
)

// hardDrawings returns how many hard random drawings to repair: SLUICE_HARD, or
// a few of each kind.
func hardDrawings(t *testing.T) (from, n uint64) {
	s := os.Getenv("SLUICE_HARD") // "N" or "FROM+N"
	if s == "" && testing.Short() {
		return 0, uint64(geomtest.HardKinds())
	}
	if s == "" {
		return 0, uint64(6 * geomtest.HardKinds())
	}
	first, count, more := strings.Cut(s, "+")
	if !more {
		first, count = "0", s
	}
	f, err1 := strconv.ParseUint(first, 10, 64)
	c, err2 := strconv.ParseUint(count, 10, 64)
	if err1 != nil || err2 != nil {
		t.Fatalf("SLUICE_HARD=%s: a number, or FROM+NUMBER", s)
	}
	return f, c
}

// TestHardDrawings repairs drawings that are made to go wrong: none is refused,
// nothing is lost and nothing invented, by sampling of its own and not by the
// guard; a second repair leaves the same bytes.
func TestHardDrawings(t *testing.T) {
	from, n := hardDrawings(t)
	refused, lost, invented, wavering, held := 0, 0, 0, 0, map[string]int{}
	for seed := from; seed < from+n; seed++ {
		h := geomtest.HardDrawing(seed)
		data := []byte(h.DXF())
		j := job.Default()
		if seed%2 == 0 {
			j.Tabs.Parts, j.Labels.Parts = "none", "none"
		}
		o := mend.Options{Options: lint.Options{Rules: rules.All()}}
		rep, out, err := mend.Fix(t.Context(), h.Name, bytes.NewReader(data), j, o)
		if err != nil {
			refused++
			t.Errorf("seed %d, %s: %v", seed, h.Name, err)
			continue
		}
		if rep.Held != "" {
			held[rep.Held]++
		}
		l, i := uncovered(t, data, out)
		if allowed := allowance(rep); l > allowed {
			lost++
			t.Errorf("seed %d, %s: %.3g mm lost, %.3g told", seed, h.Name, l, allowed)
		} else if i > allowed {
			invented++
			t.Errorf("seed %d, %s: %.3g mm invented, %.3g told", seed, h.Name, i, allowed)
		}
		_, again, err := mend.Fix(t.Context(), h.Name, bytes.NewReader(out), j, o)
		if err != nil || !bytes.Equal(out, again) {
			wavering++
			t.Errorf("seed %d, %s: a second repair changes it (%v): %s", seed, h.Name, err, firstDifference(out, again))
		}
	}
	t.Logf("%d drawings: %d refused, %d lost something, %d invented something, %d changed by a second repair; held back: %v", n, refused, lost, invented, wavering, held)
}

// allowance is how much may be new or gone, mm, by what was told: what ends were
// moved by, the gaps closed, the specks dropped.
func allowance(rep *lint.Repaired) float64 {
	sum := 0.1 // corners rounded by the tolerance
	for i := range rep.Edits {
		switch e := &rep.Edits[i]; e.Kind {
		case "close-gap":
			sum += 2*e.Moved + rep.Before.Job.Limits.Gap
		case "drop-stray":
			sum += rep.Before.Job.Jet.Kerf
		}
	}
	return sum
}

// uncovered samples what was drawn and what was written every 0.3 mm: how much of
// the one is further than 0.025 mm from the other. Marks carried count as there.
func uncovered(t *testing.T, in, out []byte) (lost, invented float64) {
	t.Helper()
	drawn, written := pieces(t, in), pieces(t, out)
	var cuts, all []geom.Piece
	for layer, ps := range written {
		if layer == dxf.LayerOutside || layer == dxf.LayerInside {
			cuts = append(cuts, ps...)
		}
		if layer != dxf.LayerEtch { // numbers
			all = append(all, ps...)
		}
	}
	var was []geom.Piece
	for _, ps := range drawn {
		was = append(was, ps...)
	}
	return away(was, all), away(cuts, was)
}

// away returns how many mm of ps lie away from all of qs.
func away(ps, qs []geom.Piece) (sum float64) {
	const step, tol = 0.3, 0.025
	boxes := make([]geom.Box, len(qs))
	for i := range qs {
		boxes[i] = qs[i].Box().Inflate(tol)
	}
	for _, p := range ps {
		n := math.Ceil(p.Length()/step) + 1
		for k := range int(n) {
			x := p.At((float64(k) + 0.5) / n)
			there := false
			for i := range qs {
				if boxes[i].Contains(x) && qs[i].Dist(x) <= tol {
					there = true
					break
				}
			}
			if !there {
				sum += p.Length() / n
			}
		}
	}
	return sum
}

// pieces reads the lines and arcs of a drawing by layer.
func pieces(t *testing.T, data []byte) map[string][]geom.Piece {
	t.Helper()
	d, err := dxf.Read(context.Background(), bytes.NewReader(data), dxf.Options{})
	if err != nil {
		t.Fatal(err)
	}
	by := map[string][]geom.Piece{}
	for i := range d.Strokes {
		l := d.LayerName(d.Strokes[i].Layer)
		by[l] = append(by[l], d.Strokes[i].Piece)
	}
	return by
}
