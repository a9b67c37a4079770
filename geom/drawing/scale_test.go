package drawing_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/geomtest"
)

// A design is drawn in mm as it is to be cut.
type design struct {
	name string
	make func(*rand.Rand) []geom.Piece
}

func rect(x, y, w, h float64) []geom.Piece {
	p := []geom.Point{{X: x, Y: y}, {X: x + w, Y: y}, {X: x + w, Y: y + h}, {X: x, Y: y + h}}
	var out []geom.Piece
	for i := range p {
		out = append(out, geom.Line(p[i], p[(i+1)%4]))
	}
	return out
}

func round(v, to float64) float64 { return math.Round(v/to) * to }

func pick[T any](rng *rand.Rand, of ...T) T { return of[rng.IntN(len(of))] }

// Screw holes, mm: clearance for M2 to M8 (ISO 273, from memory) and for #4 to
// 1/4 inch.
var metricHoles, inchHoles = []float64{2.2, 2.4, 3.2, 3.4, 4.3, 4.5, 5.3, 5.5, 6.4, 8.4}, []float64{0.125 * 25.4, 0.15 * 25.4, 0.1875 * 25.4, 0.2 * 25.4, 0.25 * 25.4}

// plateOf has screw holes near its corners and some openings.
func plateOf(rng *rand.Rand, unit float64, holes []float64) []geom.Piece {
	w, h := round(80+300*rng.Float64(), unit), round(60+200*rng.Float64(), unit)
	out := rect(0, 0, w, h)
	d := pick(rng, holes...)
	for _, c := range []geom.Point{{X: 10, Y: 10}, {X: w - 10, Y: 10}, {X: w - 10, Y: h - 10}, {X: 10, Y: h - 10}} {
		out = append(out, geom.Circle(c, d/2))
	}
	for i := range rng.IntN(3) {
		out = append(out, rect(25+30*float64(i), 25, round(10+12*rng.Float64(), unit), round(8+20*rng.Float64(), unit))...)
	}
	if rng.IntN(2) == 0 {
		out = append(out, geom.Circle(geom.Pt(w-30, h/2), round(5+8*rng.Float64(), unit)))
	}
	return out
}

func metricPlate(rng *rand.Rand) []geom.Piece { return plateOf(rng, 0.5, metricHoles) }
func inchPlate(rng *rand.Rand) []geom.Piece   { return plateOf(rng, 25.4/8, inchHoles) }

func kit(rng *rand.Rand) []geom.Piece {
	var out []geom.Piece
	for _, p := range geomtest.RandomKit(rng).Parts {
		out = append(out, p.Outer...)
		for _, h := range p.Holes {
			out = append(out, h...)
		}
	}
	return out
}

// keys is a plate of openings for keys, with or without screw holes.
func keys(rng *rand.Rand) []geom.Piece {
	across, down := 5+rng.IntN(10), 3+rng.IntN(3)
	const pitch = 19.05
	out := rect(0, 0, pitch*float64(across)+12, pitch*float64(down)+12)
	for y := range down {
		stagger := pick(rng, 0, 0, pitch/4, pitch/2)
		for x := range across {
			if px := 8.5 + pitch*float64(x) + stagger; px < pitch*float64(across)-6 {
				out = append(out, rect(px, 8.5+pitch*float64(y), 14, 14)...)
			}
		}
	}
	for i := range rng.IntN(6) {
		out = append(out, geom.Circle(geom.Pt(pitch*float64(i+1)+6, 3.5), 1.1))
	}
	return out
}

// door is a large leaf with a light, a lock and screw holes.
func door(rng *rand.Rand) []geom.Piece {
	w, h := round(700+300*rng.Float64(), 5), round(1900+620*rng.Float64(), 5)
	out := append(rect(0, 0, w, h), rect(150, h-900, w-300, 700)...)
	out = append(out, geom.Circle(geom.Pt(60, h/2), 27), geom.Circle(geom.Pt(60, h/2-90), 10))
	if rng.IntN(2) == 0 {
		out = append(out, rect(45, h/2+100, 22, 160)...)
	}
	for i := range 3 * rng.IntN(4) {
		out = append(out, geom.Circle(geom.Pt(w-20, 200+30*float64(i)), 2.25))
	}
	return out
}

// jewel is a pendant of a few cm with a ring hole and fine slits.
func jewel(rng *rand.Rand) []geom.Piece {
	r := 6 + 12*rng.Float64()
	out := []geom.Piece{geom.Circle(geom.Pt(0, 0), r), geom.Circle(geom.Pt(0, r-1.6), pick(rng, 0.5, 0.6, 0.75))}
	n := rng.IntN(9)
	for i := range n {
		a := 2 * math.Pi * float64(i) / float64(n)
		for _, p := range rect(0.3*r, -0.25, 0.35*r, pick(rng, 0.4, 0.5, 0.6)) {
			out = append(out, p.Transform(geom.Turn(geom.Point{}, a)))
		}
	}
	return out
}

// decor is a panel of polygons of odd sizes without any slot.
func decor(rng *rand.Rand) []geom.Piece {
	w, h := 150+900*rng.Float64(), 150+500*rng.Float64()
	out := rect(0, 0, w, h)
	step := 20 + 70*rng.Float64()
	for x := step; x < w-step; x += step {
		for y := step; y < h-step; y += step {
			n := 3 + rng.IntN(5)
			var p []geom.Point
			for k := range n {
				p = append(p, geom.Polar(geom.Pt(x, y), step*(0.2+0.2*rng.Float64()), 2*math.Pi*(float64(k)+0.7*rng.Float64())/float64(n)))
			}
			for k := range p {
				out = append(out, geom.Line(p[k], p[(k+1)%n]))
			}
		}
	}
	return out
}

// shop is a long drawing of several sheets side by side.
func shop(rng *rand.Rand) []geom.Piece {
	var out []geom.Piece
	for i := range 6 + rng.IntN(6) {
		for _, p := range plateOf(rng, 0.5, metricHoles) {
			out = append(out, p.Transform(geom.Shift(geom.Pt(1400*float64(i), 0))))
		}
	}
	return out
}

var designs = []design{{"kit", kit}, {"metric plate", metricPlate}, {"inch plate", inchPlate}, {"keys", keys}, {"door", door}, {"jewel", jewel}, {"decor", decor}, {"sheets", shop}}

type header struct {
	name             string
	units, measuring int
}

var headers = []header{{"none", -1, -1}, {"metric", 0, 1}, {"imperial", 0, 0}, {"mm", 4, -1}, {"mm, metric", 4, 1}, {"mm, imperial", 4, 0}, {"in", 1, -1}, {"in, imperial", 1, 0}, {"in, metric", 1, 1}}

// commonSheets, mm.
var scaleHints = drawing.UnitHints{Thicknesses: []float64{0.8, 1, 1.2, 1.5, 1.6, 2, 2.5, 3, 3.175, 4, 5, 6, 6.35, 8, 10, 12, 12.7, 15, 18, 19.05}}

// drawnIn returns a drawing of the pieces whose unit is factor mm.
func drawnIn(pieces []geom.Piece, factor float64, h header) *drawing.Drawing {
	d := &drawing.Drawing{InsUnits: h.units, Measurement: h.measuring, Layers: []drawing.Layer{{Name: "0"}}}
	for i, p := range pieces {
		d.Entities = append(d.Entities, drawing.Entity{Type: "LINE", Kept: true, Place: int32(i + 1)})
		d.Strokes = append(d.Strokes, drawing.Stroke{Piece: p.Transform(geom.Scaling(1 / factor)), Entity: int32(i)})
	}
	return d
}

func verdict(t *testing.T, d *drawing.Drawing) drawing.Unit {
	t.Helper()
	if err := d.Resolve("", "", scaleHints, 0.02); err != nil {
		t.Fatal(err)
	}
	return d.Unit
}

// Grades of doubt, by what the person is told at most and at least.
const (
	never    = "none"      // nothing told
	lightly  = "none,note" // nothing, or a note
	told     = "note,warning,error"
	warned   = "warning,error"
	stopped  = "error"
	anything = "none,note,warning,error"
)

func grade(u drawing.Unit) string {
	switch {
	case u.Doubt == "":
		return "none"
	case u.Weight == drawing.Light:
		return "note"
	case u.Weight == drawing.Grave:
		return "error"
	}
	return "warning"
}

// Designs of each kind, drawn in a unit under each header: the unit used, and
// how it is doubted. Of drawings whose sizes fit two units nothing is wanted.
func TestUnitByWhatIsDrawn(t *testing.T) {
	const seeds = 10
	sound := map[string]string{"mm": never, "mm, metric": never, "mm, imperial": "note,warning", "none": warned, "metric": warned, "imperial": warned}
	soundInch := map[string]string{"in": never, "in, imperial": never, "in, metric": "note,warning", "none": warned, "imperial": warned}
	habit := map[string]string{"in": stopped, "in, imperial": stopped, "in, metric": stopped} // drawn in mm
	for _, c := range []struct {
		factor  float64
		designs string
		right   string // headers under which the unit is known, "*" all named in want
		want    map[string]string
	}{
		{1, "kit,metric plate,inch plate,keys,door,decor", "*", sound},
		{1, "jewel", "mm;mm, metric;mm, imperial", map[string]string{"mm": never, "mm, metric": never, "mm, imperial": told}},
		{1, "sheets", "*", map[string]string{"mm": lightly, "mm, metric": lightly, "none": told}},
		{1, "kit,keys,door,decor,sheets", "", habit},
		{1, "metric plate,inch plate", "", map[string]string{"in": warned, "in, imperial": warned, "in, metric": warned}},
		{25.4, "kit,metric plate,inch plate,keys,door", "in;in, imperial;in, metric", soundInch},
		{25.4, "kit,metric plate,inch plate,keys", "none;imperial", soundInch},
		{25.4, "jewel,decor", "in;in, imperial;in, metric", map[string]string{"in": never, "in, imperial": never, "in, metric": told}},
		{25.4, "metric plate,inch plate,keys", "", map[string]string{"mm": warned, "mm, metric": warned, "mm, imperial": warned}},
		{0.1, "keys", "", map[string]string{"mm": warned, "mm, metric": warned, "mm, imperial": warned, "none": warned}},
		{0.1, "door,sheets", "", map[string]string{"mm": stopped, "mm, metric": stopped, "none": stopped}},
		{10, "keys", "none;metric;imperial", map[string]string{"mm": warned, "none": warned, "metric": warned, "imperial": warned}},
		{10, "metric plate,inch plate,decor,door", "", map[string]string{"none": warned, "metric": warned}},
	} {
		for _, g := range designs {
			if !strings.Contains(","+c.designs+",", ","+g.name+",") {
				continue
			}
			for _, h := range headers {
				want, ok := c.want[h.name]
				if !ok {
					continue
				}
				right := c.right == "*" || strings.Contains(";"+c.right+";", ";"+h.name+";")
				for seed := range seeds {
					rng := rand.New(rand.NewPCG(uint64(seed), 7))
					u := verdict(t, drawnIn(g.make(rng), c.factor, h))
					if right && math.Abs(u.Factor-c.factor) > 1e-9*c.factor || !strings.Contains(","+want+",", ","+grade(u)+",") {
						t.Errorf("%s %d drawn in %g mm, header %q: read as %s, %s (want %s): %s", g.name, seed, c.factor, h.name, u.Name, grade(u), want, u.Doubt)
					}
				}
			}
		}
	}
}

// jointed says for what thickness a kit of this seed is drawn, mm.
func jointed(seed uint64) float64 {
	return geomtest.RandomKit(rand.New(rand.NewPCG(seed, 7))).Thickness
}

// Kits whose joints fit no sheet in the unit stated, but one in another, are
// errors; of the few whose joints are not found, nothing is wanted.
func TestJointsFitNoSheet(t *testing.T) {
	for _, c := range []struct {
		factor     float64
		units      int
		thin, wide float64 // kits of thicknesses between these cannot be missed
	}{{25.4, 4, 0, 7}, {10, 4, 0, 6}, {0.1, 4, 2.7, 7}, {1, 1, 0, 7}} {
		found, all := 0, 0
		for seed := range uint64(40) {
			if th := jointed(seed); th < c.thin || th > c.wide {
				continue
			}
			all++
			u := verdict(t, drawnIn(kit(rand.New(rand.NewPCG(seed, 7))), c.factor, header{"", c.units, -1}))
			if grade(u) == "error" {
				found++
			}
		}
		if float64(found) < 0.8*float64(all) {
			t.Errorf("factor %g, $INSUNITS %d: %d of %d told", c.factor, c.units, found, all)
		}
	}
}

// The verdict is the same for a drawing turned, mirrored and moved, its entities
// shuffled, turned round and split, its circles drawn as arcs.
func TestUnitOfRelatives(t *testing.T) {
	for _, c := range []struct {
		design int
		factor float64
		header int
	}{{0, 1, 6}, {0, 1, 4}, {0, 25.4, 3}, {0, 0.1, 4}, {1, 1, 6}, {3, 0.1, 4}, {3, 1, 0}, {0, 25.4, 6}, {1, 1, 5}, {5, 1, 3}} {
		for seed := range uint64(6) {
			pieces := designs[c.design].make(rand.New(rand.NewPCG(seed, 7)))
			want := verdict(t, drawnIn(pieces, c.factor, headers[c.header]))
			rng := rand.New(rand.NewPCG(seed, 8))
			for k := range 4 {
				tr := geom.Turn(geom.Pt(3, 5), 2*math.Pi*rng.Float64()).Then(geom.Shift(geom.Pt(900*rng.Float64(), -400*rng.Float64())))
				if k%2 == 1 {
					tr = geom.MirrorX(40).Then(geom.Turn(geom.Point{}, math.Pi/2*float64(rng.IntN(4))))
				}
				var rel []geom.Piece
				for _, p := range pieces {
					p = p.Transform(tr)
					if rng.IntN(2) == 0 {
						p = p.Reverse()
					}
					if at := 0.2 + 0.6*rng.Float64(); p.IsCircle() || rng.IntN(3) == 0 {
						rel = append(rel, p.Sub(0, at), p.Sub(at, 1))
					} else {
						rel = append(rel, p)
					}
				}
				rng.Shuffle(len(rel), func(i, j int) { rel[i], rel[j] = rel[j], rel[i] })
				got := verdict(t, drawnIn(rel, c.factor, headers[c.header]))
				if got.Name != want.Name || grade(got) != grade(want) {
					t.Errorf("%s %d, relative %d: %s %s %q, want %s %s %q", designs[c.design].name, seed, k, got.Name, grade(got), got.Doubt, want.Name, grade(want), want.Doubt)
				}
			}
		}
	}
}

// A plate exported at 72, 90 or 96 units to the inch is told with what to scale
// it by, if its lengths are enough to say so.
func TestDotsToTheInch(t *testing.T) {
	plate := append(rect(0, 0, 211, 143), rect(30, 40, 17.5, 62)...)
	for i := range 4 {
		plate = append(plate, geom.Circle(geom.Pt(10+float64(50*i), 10), 1.6), geom.Circle(geom.Pt(90+float64(20*i), 60), 4.15))
	}
	for _, n := range []float64{72, 90, 96} {
		u := verdict(t, drawnIn(plate, 25.4/n, headers[3]))
		if want := fmt.Sprintf("scaled by %.4g", 25.4/n); grade(u) != "warning" || !strings.Contains(u.Doubt, want) {
			t.Errorf("%g: %s %q", n, grade(u), u.Doubt)
		}
	}
	if u := verdict(t, drawnIn(plate, 1, headers[3])); u.Doubt != "" {
		t.Error(u.Doubt)
	}
}

// What the job leaves out does not count.
func TestUnitSkipsWhatIsLeftOut(t *testing.T) {
	d := drawnIn(append(metricPlate(rand.New(rand.NewPCG(1, 7))), rect(0, 0, 9000, 7000)...), 1, headers[4])
	hints := scaleHints
	frame := int32(len(d.Strokes) - 4)
	hints.Skip = func(s *drawing.Stroke) bool { return s.Entity >= frame }
	if err := d.Resolve("", "", hints, 0.02); err != nil || d.Unit.Doubt != "" {
		t.Errorf("%v %q", err, d.Unit.Doubt)
	}
}
