package guard

import (
	"math"
	"math/rand/v2"
	"os/exec"
	"strings"
	"testing"

	"sluice/geom"
)

// randomPieces returns lines, arcs and circles in a square, some of them nearly on
// each other.
func randomPieces(rng *rand.Rand, n int) []geom.Piece {
	at := func() geom.Point { return geom.Pt(40*rng.Float64(), 40*rng.Float64()) }
	var out []geom.Piece
	for len(out) < n {
		switch k := rng.IntN(6); {
		case k == 0 && len(out) > 0:
			p := out[rng.IntN(len(out))]
			t := rng.Float64() / 2
			out = append(out, p.Sub(t, t+0.5).Transform(geom.Shift(geom.Pt(0.04*rng.Float64(), 0))))
		case k < 3:
			out = append(out, geom.Line(at(), at()))
		case k == 3:
			out = append(out, geom.Circle(at(), 1+10*rng.Float64()))
		default:
			out = append(out, geom.Arc(at(), 1+15*rng.Float64(), 6*rng.Float64(), 12*rng.Float64()-6))
		}
	}
	return out
}

// TestUncovered compares the stretches that are told as uncovered with the
// distances of many places from all pieces.
func TestUncovered(t *testing.T) {
	const tol, places = 0.02, 400
	covered := 0
	for seed := range 60 {
		rng := rand.New(rand.NewPCG(uint64(seed), 9))
		pieces := randomPieces(rng, 40)
		s := newSet(len(pieces), func(i int) geom.Piece { return pieces[i] }).search()
		for i, p := range pieces {
			others := func(id int32) bool { return int(id) != i }
			list := s.uncovered(p, tol, others)
			for k := range places {
				at := (float64(k) + 0.5) / places
				d := math.Inf(1)
				for j := range pieces {
					if j != i {
						d = min(d, pieces[j].Dist(p.At(at)))
					}
				}
				told, edge := false, false
				for _, u := range list {
					told = told || u.t0 <= at && at <= u.t1
					edge = edge || math.Min(math.Abs(u.t0-at), math.Abs(u.t1-at))*p.Length() < 2*least
				}
				if !told {
					covered++
				}
				if !edge && math.Abs(d-tol) > 1e-9 && told != (d > tol) && !shortHole(p, at, tol, pieces, i) {
					t.Fatalf("seed %d: piece %d %+v at %g: %g mm off, told as uncovered: %v", seed, i, p, at, d, told)
				}
			}
		}
	}
	if covered < 1000 {
		t.Errorf("only %d places are covered", covered)
	}
}

// shortHole reports whether places within least on both sides are covered: such
// short stretches are not told.
func shortHole(p geom.Piece, at, tol float64, pieces []geom.Piece, skip int) bool {
	near := func(t float64) bool {
		for j := range pieces {
			if j != skip && pieces[j].Dist(p.At(math.Max(0, math.Min(1, t)))) <= tol {
				return true
			}
		}
		return false
	}
	before, after := false, false
	for k := 1; k <= 20; k++ {
		step := least * float64(k) / 20 / p.Length()
		before, after = before || near(at-step), after || near(at+step)
	}
	return before && after
}

// TestWhole checks that a quick yes is never wrong.
func TestWhole(t *testing.T) {
	yes := 0
	for seed := range 400 {
		rng := rand.New(rand.NewPCG(uint64(seed), 10))
		pieces := randomPieces(rng, 20)
		for i := range pieces {
			for j := range pieces {
				p, q := &pieces[i], &pieces[j]
				if i == j || !whole(p, q, 0.02) {
					continue
				}
				yes++
				for k := range 101 {
					if d := q.Dist(p.At(float64(k) / 100)); d > 0.02+1e-8 {
						t.Fatalf("%+v is not whole on %+v: %g mm off", p, q, d)
					}
				}
			}
		}
	}
	if yes < 50 {
		t.Errorf("only %d of them are whole", yes)
	}
}

// TestRights shows what each kind of edit may put down and take away.
func TestRights(t *testing.T) {
	l := &Limits{Join: 0.001, Same: 0.01, Gap: 0.5, Curve: 0.02, Kerf: 1, Hole: 2, DrawnGap: 1.8}
	line := func(x0, y0, x1, y1 float64) Stroke { return Stroke{Piece: geom.Line(geom.Pt(x0, y0), geom.Pt(x1, y1))} }
	edge := line(0, 0, 20, 0)
	for _, tt := range []struct {
		name    string
		c       change
		live    bool
		excused float64 // mm
	}{
		{"a gap of 0.4 bridged", change{kind: "close-gap", new: []Stroke{line(20, 0, 20.3, 0.2)}, places: []geom.Point{geom.Pt(20.15, 0.1)}}, true, 0},
		{"the same 2 mm from its place", change{kind: "close-gap", new: []Stroke{line(20, 0, 20.3, 0.2)}, places: []geom.Point{geom.Pt(22, 0)}}, false, 0},
		{"a gap of 1.2", change{kind: "close-gap", new: []Stroke{line(20, 0, 21.2, 0)}, places: []geom.Point{geom.Pt(20.6, 0)}}, false, 0},
		{"an end run on", change{kind: "close-gap", gone: []Stroke{edge}, new: []Stroke{line(0, 0, 20.4, 0)}, places: []geom.Point{geom.Pt(20.4, 0)}}, true, 0},
		{"an end cut back", change{kind: "close-gap", gone: []Stroke{edge}, new: []Stroke{line(0, 0, 19.6, 0)}, places: []geom.Point{geom.Pt(19.6, 0)}}, true, 0.38},
		{"an end cut back too far", change{kind: "close-gap", gone: []Stroke{edge}, new: []Stroke{line(0, 0, 19.3, 0)}, places: []geom.Point{geom.Pt(19.3, 0)}}, true, 0},
		{"a repeat taken out", change{kind: "drop-duplicate", gone: []Stroke{edge}, new: []Stroke{line(0, 0, 5, 0)}}, true, 0},
		{"a repeat that grows", change{kind: "drop-duplicate", gone: []Stroke{edge}, new: []Stroke{line(0, 0, 21, 0)}}, false, 0},
		{"an overhang taken off", change{kind: "drop-stray", gone: []Stroke{edge}, new: []Stroke{line(0, 0, 19.2, 0)}}, true, 0.78},
		{"an overhang longer than the kerf", change{kind: "drop-stray", gone: []Stroke{edge}, new: []Stroke{line(0, 0, 18.8, 0)}}, true, 0},
		{"what was never there", change{kind: "drop-mark", gone: []Stroke{line(0, 5, 20, 5)}}, false, 0},
		{"a mark left out", change{kind: "drop-mark", gone: []Stroke{edge}}, false, 20},
	} {
		t.Run(tt.name, func(t *testing.T) {
			tt.c.round = 1
			g := newLedger([]Stroke{edge}, []change{tt.c}, l)
			for i := range tt.c.new {
				if g.known[1+i].live != tt.live {
					t.Errorf("may be put: %v", g.known[1+i].live)
				}
			}
			sum := 0.0
			for _, e := range g.excuses {
				sum += e.piece.Length()
			}
			if math.Abs(sum-tt.excused) > 0.001 {
				t.Errorf("%.4f mm may go, want %.4f", sum, tt.excused)
			}
		})
	}
}

// TestShared checks that nothing here comes from what is guarded.
func TestShared(t *testing.T) {
	list, err := exec.Command("go", "list", "-deps", ".").Output()
	if err != nil {
		t.Skip("go list: ", err)
	}
	for _, name := range strings.Fields(string(list)) {
		switch name {
		case "sluice/geom/outline", "sluice/fix/repair", "sluice/fix/tab", "sluice/fix/layout", "sluice/lint/cutting/paths", "sluice/geom/clear":
			t.Errorf("guard imports %s", name)
		}
	}
}
