package layout

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/fix/tab/sheettest"
	"sluice/geom"
	"sluice/geom/geomtest"
	"sluice/geom/outline"
)

// spread runs Spread and measures its result by chords.
func spread(t *testing.T, s *outline.Sheet, o SpreadOptions) *Moves {
	t.Helper()
	m, err := Spread(t.Context(), s, o)
	if err != nil {
		t.Fatal(err)
	}
	var parts [][][]geom.Point
	for k, p := range s.Parts {
		var rings [][]geom.Point
		for _, i := range append([]int32{p.Outer}, p.Holes...) {
			pts := s.Outlines[i].Pieces.Flatten(0.01)
			for n := range pts {
				pts[n] = pts[n].Add(m.Shift[k])
			}
			rings = append(rings, pts)
		}
		for j, other := range parts {
			if d := between(rings, other); d < o.Gap-0.02 {
				t.Errorf("parts %d and %d are %g mm apart", j, k, d)
			}
		}
		parts = append(parts, rings)
	}
	return m
}

func near(a, b, tol float64) bool { return math.Abs(a-b) <= tol }

// Two squares with a common edge part by half the gap each, straight across it.
func TestSpreadPair(t *testing.T) {
	for turn := range 4 {
		turned := geom.Turn(geom.Pt(7, 3), float64(turn)*math.Pi/2)
		a, b := rect(0, 0, 20, 20).Transform(turned), rect(20, 0, 20, 20).Transform(turned)
		m := spread(t, sheettest.Of(a, b), SpreadOptions{Gap: 3})
		want := geom.Pt(1.5, 0).Rotate(float64(turn) * math.Pi / 2)
		if m.Shift[1].Dist(want) > 0.01 || m.Shift[0].Dist(want.Mul(-1)) > 0.01 || m.Close != 1 {
			t.Errorf("turn %d: shifts %v, want %v", turn, m.Shift, want)
		}
	}
}

// In a row of n tiles the outer ones move most, the middle stays, and the order
// is kept; a sheet of rows and columns grows by a gap for each line between.
func TestSpreadGrid(t *testing.T) {
	const nx, ny, gap = 8, 5, 3
	var tiles []geom.Path
	for j := range ny {
		for i := range nx {
			tiles = append(tiles, rect(float64(i)*20, float64(j)*15, 20, 15))
		}
	}
	s := sheettest.Of(tiles...)
	m := spread(t, s, SpreadOptions{Gap: gap})
	if m.Blown {
		t.Error("the grid had to be enlarged")
	}
	if w, h := m.Box.W(), m.Box.H(); !near(w, nx*20+(nx-1)*gap, 0.1) || !near(h, ny*15+(ny-1)*gap, 0.1) {
		t.Errorf("grown to %g x %g", w, h)
	}
	if c := m.Box.Center(); c.Dist(geom.Pt(nx*10, ny*7.5)) > 0.1 {
		t.Errorf("the middle has moved to %v", c)
	}
	again := sheettest.Of(moved(s, m)...)
	if n := spread(t, again, SpreadOptions{Gap: gap}); n.Most != 0 || n.Close != 0 {
		t.Errorf("a spread sheet is spread again by up to %g", n.Most)
	}
}

// moved returns the outlines of a sheet after its shifts.
func moved(s *outline.Sheet, m *Moves) []geom.Path {
	var out []geom.Path
	for i := range s.Outlines {
		out = append(out, s.Outlines[i].Pieces.Transform(geom.Shift(m.Shift[s.Outlines[i].Part])))
	}
	return out
}

// Parts that are apart stay exactly where they are.
func TestSpreadLeavesOthers(t *testing.T) {
	s := sheettest.Of(rect(0, 0, 20, 20), rect(20.2, 0, 20, 20), rect(200, 0, 20, 20), disc(300, 10, 10))
	m := spread(t, s, SpreadOptions{Gap: 3})
	zero := geom.Point{}
	if m.Shift[2] != zero || m.Shift[3] != zero || m.Shift[0] == zero {
		t.Errorf("shifts %v", m.Shift)
	}
}

// A part in a hole moves within it where there is room, and out of it where
// there is none.
func TestSpreadHole(t *testing.T) {
	host := func(inner float64) []geom.Path {
		at := (100 - inner) / 2
		return []geom.Path{rect(0, 0, 100, 100), rect(at, at, inner, inner).Reverse()}
	}
	roomy := sheettest.Of(append(host(80), rect(11, 11, 20, 20))...)
	m := spread(t, roomy, SpreadOptions{Gap: 3})
	if m.Most > 3 {
		t.Errorf("moved by %g in a roomy hole", m.Most)
	}
	tight := sheettest.Of(append(host(21), rect(40, 40, 20, 20))...)
	if m = spread(t, tight, SpreadOptions{Gap: 3}); m.Most < 30 {
		t.Errorf("moved by %g only, out of a hole too tight", m.Most)
	}
}

// The sheet's own room holds the parts where they fit, and is told where not.
func TestSpreadRoom(t *testing.T) {
	s := sheettest.Of(rect(10, 10, 20, 20), rect(30, 10, 20, 20), rect(50, 10, 20, 20))
	room := geom.Box{Min: geom.Pt(10, 10), Max: geom.Pt(100, 90)}
	m := spread(t, s, SpreadOptions{Gap: 3, Room: room})
	if !room.Inflate(rounding).ContainsBox(m.Box) {
		t.Errorf("%v is not in the room", m.Box)
	}
	room.Max.X = 73
	m, err := Spread(t.Context(), s, SpreadOptions{Gap: 3, Room: room})
	if !errors.Is(err, ErrRoom) || m == nil || len(CheckSpread(s, m.Shift, 3)) > 0 {
		t.Errorf("got %v, %v", m, err)
	}
}

// Crowded random parts are parted, whatever their place on the drawing, and the
// same for the same sheet.
func TestSpreadRandom(t *testing.T) {
	for seed := range uint64(10) {
		rng := rand.New(rand.NewPCG(seed, 3))
		var paths []geom.Path
		for k := range 16 {
			outer, holes := geomtest.RandomPart(rng)
			b := outer.Box()
			// Boxes a hair apart, as on a sheet filled for a laser.
			to := geom.Shift(geom.Pt(float64(k%4)*118, float64(k/4)*118).Sub(b.Center()).Add(geom.Pt(5000, -300)))
			paths = append(paths, outer.Transform(to))
			for _, h := range holes {
				paths = append(paths, h.Transform(to))
			}
		}
		s := sheettest.Of(paths...)
		m := spread(t, s, SpreadOptions{Gap: 6})
		if len(CheckSpread(s, m.Shift, 6)) > 0 {
			t.Errorf("seed %d: does not pass the check", seed)
		}
		n, err := Spread(t.Context(), s, SpreadOptions{Gap: 6})
		if diff := cmp.Diff(m, n); diff != "" || err != nil {
			t.Errorf("seed %d: %v %s", seed, err, diff)
		}
	}
}

// The even enlargement alone also parts a grid and keeps its order.
func TestEnlarge(t *testing.T) {
	s := sheettest.Of(rect(0, 0, 20, 20), rect(20, 0, 20, 20), rect(0, 20, 20, 20), rect(20, 20, 20, 20), rect(90, 0, 20, 20))
	p := newParting(s, SpreadOptions{Gap: 3, Outward: 0.02})
	if err := p.all(); err != nil {
		t.Fatal(err)
	}
	ok, err := p.enlarge(t.Context())
	if !ok || err != nil {
		t.Fatal(ok, err)
	}
	if f := CheckSpread(s, p.shift, 3); len(f) > 0 {
		t.Error(f)
	}
	if p.shift[4].Norm() > 0.1 {
		t.Errorf("a part that stands alone stays %v off its place", p.shift[4])
	}
}

// The check tells parts that have changed sides.
func TestCheckSpreadOrder(t *testing.T) {
	s := sheettest.Of(rect(0, 0, 20, 20), rect(30, 0, 20, 20))
	if f := CheckSpread(s, []geom.Point{{X: 60}, {}}, 3); len(f) != 1 || f[0].Kind != Turned {
		t.Errorf("swapped: %v", f)
	}
	if f := CheckSpread(s, []geom.Point{{X: 8}, {}}, 3); len(f) != 1 || f[0].Kind != TooNear {
		t.Errorf("too near: %v", f)
	}
	if f := CheckSpread(s, make([]geom.Point, 1), 3); len(f) != 1 || f[0].Kind != Lost {
		t.Errorf("one shift for two parts: %v", f)
	}
}

func TestSpreadBad(t *testing.T) {
	s := sheettest.Of(rect(0, 0, 20, 20))
	for _, gap := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if _, err := Spread(t.Context(), s, SpreadOptions{Gap: gap}); err == nil {
			t.Errorf("gap %g: no error", gap)
		}
	}
	if m, err := Spread(t.Context(), sheettest.Of(), SpreadOptions{Gap: 3}); err != nil || len(m.Shift) != 0 {
		t.Errorf("an empty sheet gives %v, %v", m, err)
	}
}

func BenchmarkSpreadGrid(b *testing.B) {
	var tiles []geom.Path
	for k := range 400 {
		tiles = append(tiles, rect(float64(k%20)*20, float64(k/20)*20, 20, 20))
	}
	s := sheettest.Of(tiles...)
	for b.Loop() {
		if _, err := Spread(b.Context(), s, SpreadOptions{Gap: 3}); err != nil {
			b.Fatal(err)
		}
	}
}
