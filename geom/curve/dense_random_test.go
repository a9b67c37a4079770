package curve

import (
	"math"
	"math/rand/v2"
	"testing"

	"sluice/geom"
)

// fillet is one exploded corner of a random outline.
type fillet struct {
	first, lines int
	r            float64
}

// filleted is a random star-shaped polygon whose corners are rounded by
// exploded arcs, with coordinates rounded to the given step as in a file.
func filleted(r *rand.Rand, step float64) (geom.Path, []fillet) {
	n := 3 + r.IntN(6)
	var corner []geom.Point
	for i := range n {
		a := 2 * math.Pi * (float64(i) + 0.3*r.Float64()) / float64(n)
		corner = append(corner, geom.Polar(geom.Pt(200, 100), 60+60*r.Float64(), a))
	}
	var o *outline
	var fs []fillet
	for i := range n {
		p, c, q := corner[(i+n-1)%n], corner[i], corner[(i+1)%n]
		u, v := c.Sub(p).Unit(), q.Sub(c).Unit()
		turn := geom.TurnTo(u, v)
		rad := 1 + 9*r.Float64()
		cut := rad * math.Tan(math.Abs(turn)/2)
		if cut > 20 {
			rad, cut = rad*20/cut, 20
		}
		a := c.Sub(u.Mul(cut))
		centre := a.Add(u.Left().Mul(math.Copysign(rad, turn)))
		lines := 1 + r.IntN(40)
		if o == nil {
			o = from(a.X, a.Y)
		} else {
			o.line(a.X, a.Y)
		}
		fs = append(fs, fillet{len(o.p), lines, rad})
		o.arc(centre.X, centre.Y, turn, lines)
	}
	p := o.close()
	snap := func(q geom.Point) geom.Point {
		return geom.Pt(math.Round(q.X/step)*step, math.Round(q.Y/step)*step)
	}
	for i := range p {
		p[i].A, p[i].B = snap(p[i].A), snap(p[i].B)
	}
	return p, fs
}

// Every exploded fillet of a random outline is found, whole and alone, where
// the contract asks for it.
func TestRandomFillets(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	wanted := 0
	for i := range 200 {
		p, fs := filleted(r, 1e-5)
		want := map[int]fillet{}
		for _, f := range fs {
			var sum, most float64
			for k := 1; k < f.lines; k++ {
				d := geom.TurnTo(p[f.first+k-1].B.Sub(p[f.first+k-1].A), p[f.first+k].B.Sub(p[f.first+k].A))
				sum, most = sum+d, max(most, math.Abs(d))
			}
			sum = math.Abs(sum) + most // the half chords at both ends
			rise := f.r * (1 - math.Cos(sum/2))
			if f.lines >= denseLines && most <= denseTurn && rise > 0.021 && sum > 1.1*leastTurn {
				want[f.first] = f
			} else if f.lines >= denseLines && rise > 0.019 && most < denseTurn*1.01 {
				want[-1] = f // too near a limit to tell
			}
		}
		if _, unsure := want[-1]; unsure {
			continue
		}
		wanted += len(want)
		got := DenseRuns(p, true, 0.01, 0.02)
		for _, g := range got {
			f, ok := want[g.First]
			if !ok || f.lines != g.Count || math.Abs(g.Arc.R-f.r) > 0.01*f.r {
				t.Errorf("outline %d: run of %d lines from %d, radius %g; drawn were %v", i, g.Count, g.First, g.Arc.R, fs)
			}
		}
		if len(got) != len(want) {
			t.Errorf("outline %d: %d runs, want %d: %v of %v", i, len(got), len(want), summary(got), want)
		}
	}
	if wanted < 300 {
		t.Errorf("only %d fillets tried", wanted)
	}
}
