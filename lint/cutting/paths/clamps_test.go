package paths

import (
	"math"
	"strings"
	"testing"

	"sluice/fix/tab/sheettest"
	"sluice/geom"
)

// deepIn samples a path and tells how deep a stream of the half width d reaches into
// a box, below 0 where it stays clear: by the definition, place by place.
func deepIn(b geom.Box, p geom.Path, d float64) float64 {
	deepest := math.Inf(-1)
	for i := range p {
		for n := range 401 {
			q := p[i].At(float64(n) / 400)
			dx, dy := max(b.Min.X-q.X, q.X-b.Max.X), max(b.Min.Y-q.Y, q.Y-b.Max.Y)
			depth := -max(dx, dy)
			if dx > 0 && dy > 0 {
				depth = -math.Hypot(dx, dy)
			}
			deepest = max(deepest, d+depth)
		}
	}
	return deepest
}

// Runs that reach into a clamp zone are told, each with its depth; leads and pierces
// lie in none, and moves go around them or are told.
func TestClamps(t *testing.T) {
	p := Params{Kerf: 1, Lead: 3, Margin: 0.5}
	box := func(x, y, w, h float64) geom.Box { return geom.Box{Min: geom.Pt(x, y), Max: geom.Pt(x+w, y+h)} }
	s := sheettest.Of(
		sheettest.Rect(0, 0, 60, 40), sheettest.Disc(30, 20, 8),
		sheettest.Rect(100, 0, 60, 40), sheettest.Disc(130, 20, 8),
		sheettest.Rect(0, 80, 60, 40), sheettest.Rect(100, 80, 60, 40),
	)
	for name, tt := range map[string]struct {
		clamps []geom.Box
		hits   int
		over   bool
	}{
		"none":                       {nil, 0, false},
		"between the parts":          {[]geom.Box{box(70, -20, 20, 200), box(-40, 50, 60, 20)}, 0, false},
		"touched by a perimeter":     {[]geom.Box{box(61, 10, 8, 8)}, 0, false},
		"in a perimeter, by 0.5 mm":  {[]geom.Box{box(60.5, 10, 8, 8)}, 1, false},
		"over a corner and one side": {[]geom.Box{box(-20, -20, 30, 30), box(120, 37, 10, 30)}, 2, false},
		"around a hole":              {[]geom.Box{box(15, 5, 30, 30)}, 1, true},
	} {
		t.Run(name, func(t *testing.T) {
			p := p
			p.Clamps = tt.clamps
			pl := New(s, p)
			told := map[[2]int32]float64{}
			for _, h := range pl.InClamp {
				told[[2]int32{h.Cut, h.Clamp}] = h.Depth
			}
			over := 0
			for i := range pl.Cuts {
				c := &pl.Cuts[i]
				passes := false
				for z, b := range tt.clamps {
					want := deepIn(b, c.Path(), p.Kerf/2)
					if got := told[[2]int32{int32(i), int32(z)}]; math.Abs(got-max(want, 0)) > 0.02 {
						t.Errorf("cut %d reaches %.3f mm into zone %d, told %.3f", i, want, z, got)
					}
					if !c.NoRoom {
						if d := deepIn(b, append(c.In.Reverse().Reverse(), c.Out...), p.Kerf/2); d > 1e-6 {
							t.Errorf("a lead of cut %d reaches %.3f mm into zone %d", i, d, z)
						}
						if d := deepIn(b, geom.Path{geom.Line(c.Start(), c.Start())}, pierceShare*p.Kerf); d > 1e-6 {
							t.Errorf("the pierce of cut %d reaches %.3f mm into zone %d", i, d, z)
						}
					}
					way := pl.Moves[i].Way
					for k := 1; k < len(way); k++ {
						passes = passes || deepIn(b, geom.Path{geom.Line(way[k-1], way[k])}, 0) > 1e-6
					}
				}
				if passes != (pl.Moves[i].Clamp > 0) {
					t.Errorf("move %d: in a zone %v, told %v", i, passes, pl.Moves[i].Clamp > 0)
				}
				if passes {
					over++
				}
			}
			if len(pl.InClamp) != tt.hits || pl.OverClamp != over || (over > 0) != tt.over {
				t.Errorf("%d hits, %d moves told, %d found; want %d hits, moves %v", len(pl.InClamp), pl.OverClamp, over, tt.hits, tt.over)
			}
			text := pl.Told() + strings.Join(pl.about(p.Kerf), "\n")
			if n := strings.Count(text, "into a clamp zone"); n != 2*min(tt.hits, 1) {
				t.Errorf("told %d times:\n%s", n, text)
			}
			if n := strings.Count(text, "over a clamp zone"); (n == 2) != tt.over {
				t.Errorf("told %d times:\n%s", n, text)
			}
		})
	}
}
