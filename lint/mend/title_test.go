package mend_test

import (
	"bytes"
	"math"
	"math/rand/v2"
	"testing"

	"sluice/geom"
	"sluice/geom/geomtest"
	"sluice/lint/job"
)

// titled is plates in a border, or a double one, with a title block of rows and
// columns of lines in its corner. The cells share edges. It is turned, and its
// coordinates have three decimals, in every other seed.
func titled(seed uint64) []byte {
	rng := rand.New(rand.NewPCG(seed, 420))
	lay, decimals := geom.Identity(), 1e9
	if seed%2 == 1 {
		lay, decimals = geom.Turn(geom.Pt(30, 70), 2*math.Pi*rng.Float64()), 1e3
	}
	round := func(p geom.Point) geom.Point {
		p = lay.Apply(p)
		return geom.Pt(math.Round(p.X*decimals)/decimals, math.Round(p.Y*decimals)/decimals)
	}
	var list []geom.Piece
	line := func(x0, y0, x1, y1 float64) {
		list = append(list, geom.Line(round(geom.Pt(x0, y0)), round(geom.Pt(x1, y1))))
	}
	rect := func(x, y, w, h float64) {
		line(x, y, x+w, y)
		line(x+w, y, x+w, y+h)
		line(x+w, y+h, x, y+h)
		line(x, y+h, x, y)
	}
	rect(0, 0, 420, 297)
	if rng.IntN(3) > 0 {
		rect(10, 10, 400, 277)
	}
	for i := range 4 {
		line(280, 10+8*float64(i), 410, 10+8*float64(i))
	}
	line(280, 10, 280, 34)
	line(340, 10, 340, 34)
	for k := range 1 + rng.IntN(4) {
		x := 30 + 90*float64(k)
		rect(x, 80, 60, 50)
		for _, c := range []geom.Point{geom.Pt(x+15, 95), geom.Pt(x+45, 115)} {
			list = append(list, geom.Circle(round(c), 4))
		}
	}
	rng.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
	var d geomtest.Drafter
	for i := range list {
		d.Piece(list[i], 0)
	}
	return d.Bytes()
}

// TestTitleBlocks repairs drawings with a border and a title block: nothing is held
// back or lost, whichever of its cells are taken to belong to the border, and a
// second repair changes nothing.
func TestTitleBlocks(t *testing.T) {
	for seed := range uint64(20) {
		data := titled(seed)
		rep, out := repair(t, "titled", data, job.Default())
		if rep.Held != "" {
			t.Errorf("seed %d: held back: %s", seed, rep.Held)
		}
		l, i := uncovered(t, data, out)
		if allowed := allowance(rep); l > allowed || i > allowed {
			t.Errorf("seed %d: %.3g mm lost, %.3g invented, %.3g told", seed, l, i, allowed)
		}
		if _, again := repair(t, "titled", out, job.Default()); !bytes.Equal(out, again) {
			t.Errorf("seed %d: a second repair changes it: %s", seed, firstDifference(out, again))
		}
	}
}
