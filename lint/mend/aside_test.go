package mend_test

import (
	"bytes"
	"math/rand/v2"
	"testing"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/geomtest"
	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/rules"
)

// lines draws straight lines through the places, closed.
func lines(d *geomtest.Drafter, xy ...float64) {
	for i := 0; i < len(xy); i += 2 {
		j := (i + 2) % len(xy)
		d.Piece(geom.Line(geom.Pt(xy[i], xy[i+1]), geom.Pt(xy[j], xy[j+1])), 0)
	}
}

func rectangle(d *geomtest.Drafter, x0, y0, x1, y1 float64) { lines(d, x0, y0, x1, y0, x1, y1, x0, y1) }

// bordered is four plates with a hole each within a border.
func bordered() []byte {
	var d geomtest.Drafter
	plates(&d)
	rectangle(&d, 0, 0, 360, 340)
	return d.Bytes()
}

func plates(d *geomtest.Drafter) {
	for i := range 2 {
		for k := range 2 {
			x, y := 20+160*float64(i), 60+140*float64(k)
			rectangle(d, x, y, x+140, y+120)
			d.Piece(geom.Circle(geom.Pt(x+30, y+30), 8), 0)
		}
	}
}

// framed is the same in a double frame with centre lines and a title block.
func framed() []byte {
	var d geomtest.Drafter
	plates(&d)
	rectangle(&d, 0, 0, 360, 340)
	rectangle(&d, -6, -6, 366, 346)
	for _, l := range [][4]float64{{180, -12, 180, 4}, {180, 352, 180, 336}, {250, 0, 250, 40}, {250, 40, 360, 40}, {250, 20, 360, 20}} {
		d.Piece(geom.Line(geom.Pt(l[0], l[1]), geom.Pt(l[2], l[3])), 0)
	}
	d.Text(geom.Pt(256, 6), 6, "crane")
	d.Text(geom.Pt(256, 26), 6, "sheet 1")
	return d.Bytes()
}

// sunk is a plate with a countersink, a hole of three steps and a plain hole.
func sunk() []byte {
	var d geomtest.Drafter
	rectangle(&d, 0, 0, 140, 120)
	for _, r := range []float64{5, 2.5} {
		d.Piece(geom.Circle(geom.Pt(30, 30), r), 0)
	}
	for _, r := range []float64{10, 6, 3} {
		d.Piece(geom.Circle(geom.Pt(100, 80), r), 0)
	}
	d.Piece(geom.Circle(geom.Pt(100, 30), 4), 0)
	return d.Bytes()
}

func count(fs []lint.Finding, rules ...string) (n int) {
	for i := range fs {
		for _, r := range rules {
			if fs[i].Rule == r {
				n++
			}
		}
	}
	return n
}

// TestAside carries borders and stepped holes through fix under every choice:
// what is not cut lies on NOTE, is told, and stays so.
func TestAside(t *testing.T) {
	for _, tt := range []struct {
		name         string
		data         []byte
		border, step string
		parts, holes int
		told         int // findings of the two rules, in the drawing and in the corrected one
		edits        int // what is set aside, by group
	}{
		{"border asked", framed(), "ask", "ask", 4, 4, 1, 1},
		{"border ignored", framed(), "ignore", "ask", 4, 4, 0, 1},
		{"border as part", bordered(), "part", "ask", 5, 4, 0, 0},
		{"steps asked", sunk(), "ask", "ask", 1, 3, 2, 2},
		{"smaller cut", sunk(), "ask", "smaller", 1, 3, 0, 2},
		{"both cut", sunk(), "ask", "both", 3, 4, 0, 0},
	} {
		t.Run(tt.name, func(t *testing.T) {
			j := job.Default()
			j.Repair.Border, j.Repair.Steps = tt.border, tt.step
			rep, out := repair(t, tt.name, tt.data, j)
			holes := 0
			for i := range rep.After.Sheet.Outlines {
				if rep.After.Sheet.Outlines[i].Hole() {
					holes++
				}
			}
			if n := len(rep.After.Sheet.Parts); n != tt.parts || holes != tt.holes {
				t.Errorf("%d parts, %d holes, want %d and %d", n, holes, tt.parts, tt.holes)
			}
			if n := count(rep.Left, "sheet-border", "stepped-hole"); n != tt.told {
				t.Errorf("%d left to decide, want %d", n, tt.told)
			}
			if n := count(rep.Left, "loose-mark", "open-outline", "crossing-outlines"); n > 0 {
				t.Errorf("%d told of what is set aside under other rules: %+v", n, rep.Left)
			}
			edits := 0
			for _, e := range rep.Edits {
				if e.Kind == "set-aside" {
					edits++
				}
			}
			if edits != tt.edits {
				t.Errorf("%d edits, want %d", edits, tt.edits)
			}
			if a := rep.Account; !a.Balanced() || tt.edits > 0 && a.Carried == 0 {
				t.Errorf("account %+v", a)
			}
			// Whoever looks at the corrected drawing without the job is told the same.
			plain := lint.Check(t.Context(), "out", bytes.NewReader(out), job.Default(), lint.Options{Rules: rules.All()})
			if n := count(plain.Findings, "sheet-border", "stepped-hole", "loose-mark"); tt.edits > 0 && n != tt.told {
				t.Errorf("%d told of the corrected drawing, want %d: %+v", n, tt.told, plain.Findings)
			}
			again, out2 := repair(t, tt.name, out, j)
			if !bytes.Equal(out, out2) || len(again.Edits) > 0 {
				t.Errorf("a second fix makes %d edits: %s, %+v", len(again.Edits), firstDifference(out, out2), again.Edits)
			}
		})
	}
}

// TestAsideDecidedLater decides of a corrected drawing what was asked of it.
func TestAsideDecidedLater(t *testing.T) {
	_, out := repair(t, "framed", framed(), job.Default())
	j := job.Default()
	j.Repair.Border = "ignore"
	rep, settled := repair(t, "framed", out, j)
	if n := count(rep.Left, "sheet-border", "loose-mark"); n > 0 {
		t.Errorf("%d still asked", n)
	}
	rep, again := repair(t, "framed", settled, job.Default())
	if n := count(rep.Left, "sheet-border", "loose-mark"); n > 0 || !bytes.Equal(settled, again) {
		t.Errorf("%d asked again", n)
	}
	_, out = repair(t, "sunk", sunk(), job.Default())
	j.Repair.Steps = "both"
	rep, _ = repair(t, "sunk", out, j)
	if n := len(rep.After.Sheet.Outlines); n != 7 {
		t.Errorf("%d outlines once all are cut, want 7", n)
	}
	for i := range rep.After.Drawing.Strokes {
		s := &rep.After.Drawing.Strokes[i]
		if s.As != drawing.AsLayer || rep.After.Drawing.LayerName(s.Layer) == lint.LayerNote && s.IsCircle() {
			t.Errorf("a circle still lies on NOTE")
		}
	}
}

// TestBorderedKits repairs random kits with a border, and plates in them sunk here
// and there: as many parts as without, and a second fix changes nothing.
func TestBorderedKits(t *testing.T) {
	for seed := range 8 {
		rng := rand.New(rand.NewPCG(uint64(seed), 21))
		k := geomtest.RandomKit(rng)
		var d geomtest.Drafter
		box := geom.NoBox()
		steps := 0
		for i := range k.Parts {
			box = box.Union(k.Parts[i].Outer.Box())
			for _, p := range append([]geom.Path{k.Parts[i].Outer}, k.Parts[i].Holes...) {
				for _, q := range p {
					d.Piece(q, 0)
				}
			}
		}
		box = box.Inflate(15)
		plate := geom.Box{Min: geom.Pt(box.Min.X, box.Max.Y), Max: geom.Pt(box.Max.X, box.Max.Y+60)}
		rectangle(&d, plate.Min.X, plate.Min.Y, plate.Max.X, plate.Max.Y)
		for x := plate.Min.X + 20; x < plate.Max.X-20; x += 40 {
			bore := 1.5 + 3*rng.Float64()
			d.Piece(geom.Circle(geom.Pt(x, plate.Center().Y), bore), 0)
			d.Piece(geom.Circle(geom.Pt(x, plate.Center().Y), bore*(1.6+0.6*rng.Float64())), 0)
			steps++
		}
		sheet := box.Union(plate).Inflate(12)
		rectangle(&d, sheet.Min.X, sheet.Min.Y, sheet.Max.X, sheet.Max.Y)
		rep, out := repair(t, k.Name, d.Bytes(), job.Default())
		if n := len(rep.After.Sheet.Parts); n != len(k.Parts)+1 {
			t.Errorf("seed %d, %s: %d parts, want %d", seed, k.Name, n, len(k.Parts)+1)
		}
		if b, s := count(rep.Left, "sheet-border"), count(rep.Left, "stepped-hole"); b != 1 || s != steps {
			t.Errorf("seed %d, %s: %d borders and %d stepped holes told, want 1 and %d", seed, k.Name, b, s, steps)
		}
		again, out2 := repair(t, k.Name, out, job.Default())
		if !bytes.Equal(out, out2) || len(again.Edits) > 0 {
			t.Errorf("seed %d, %s: a second fix makes %d edits", seed, k.Name, len(again.Edits))
		}
	}
}
