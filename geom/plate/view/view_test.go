package view

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom"
	"sluice/geom/plate"
)

func poly2(pts ...float64) geom.Path {
	var p geom.Path
	n := len(pts) / 2
	for i := range n {
		k := (i + 1) % n
		p = append(p, geom.Line(geom.Pt(pts[2*i], pts[2*i+1]), geom.Pt(pts[2*k], pts[2*k+1])))
	}
	return p
}

func rect(x0, y0, x1, y1 float64) geom.Path { return poly2(x0, y0, x1, y0, x1, y1, x0, y1) }

// upright is a pose that stands a plate on its edge along x, its lower left at a place.
func upright(x, y, z float64) plate.Pose {
	return plate.Pose{R: [3]plate.Vec{{1, 0, 0}, {0, 0, 1}, {0, -1, 0}}, T: plate.Vec{x, y, z}}
}

// lengthways is the same along y.
func lengthways(x, y, z float64) plate.Pose {
	return plate.Pose{R: [3]plate.Vec{{0, 1, 0}, {0, 0, 1}, {1, 0, 0}}, T: plate.Vec{x, y, z}}
}

var camera = From(33, 29)

func every(int) bool { return true }

// top returns the plate painted last at a place of the picture, -1 for none.
func (s *Scene) top(q geom.Point, stands func(int) bool) int {
	at := -1
	for i := range s.Patches {
		if p := &s.Patches[i]; stands(p.Solid) && inside(p.Rings, q) {
			at = p.Solid
		}
	}
	return at
}

func inside(rings [][]geom.Point, q geom.Point) bool {
	in := false
	for _, r := range rings {
		for i, a := range r {
			b := r[(i+1)%len(r)]
			if (a.X <= q.X) != (b.X <= q.X) && q.Y < a.Y+(b.Y-a.Y)*(q.X-a.X)/(b.X-a.X) {
				in = !in
			}
		}
	}
	return in
}

// nearest returns the plate that a line of sight meets first: of all places where the line
// crosses a plane of a face, the first one right behind which there is a plate.
func nearest(solids []Solid, stands func(int) bool, q geom.Point) int {
	const past = 1e-4
	from := camera.Right.Mul(q.X).Add(camera.Up.Mul(q.Y))
	best, first := math.Inf(-1), -1
	for i, s := range solids {
		if !stands(i) {
			continue
		}
		back := s.Pose.Back()
		o, d := back.Apply(from), back.Turn(camera.Near)
		meet := func(at float64) {
			v := o.Add(d.Mul(at - past))
			if at > best && v[2] > 0 && v[2] < s.Plate.Thickness && inside(s.Plate.Rings, geom.Pt(v[0], v[1])) {
				best, first = at, i
			}
		}
		meet(-o[2] / d[2])
		meet((s.Plate.Thickness - o[2]) / d[2])
		for _, r := range s.Plate.Rings {
			for k, a := range r {
				e := r[(k+1)%len(r)].Sub(a)
				if c := e.Cross(geom.Pt(d[0], d[1])); c != 0 {
					meet(e.Cross(a.Sub(geom.Pt(o[0], o[1]))) / c)
				}
			}
		}
	}
	return first
}

// agrees compares a picture with what lines of sight meet, at places thrown at random that
// are not close to an edge.
func agrees(t *testing.T, solids []Solid, stands func(int) bool, seed uint64) {
	t.Helper()
	s := New(camera, solids, 0.1)
	rng := rand.New(rand.NewPCG(seed, 7))
	wrong, tried := 0, 0
	for range 3000 {
		q := geom.Pt(s.Box.Min.X+rng.Float64()*s.Box.W(), s.Box.Min.Y+rng.Float64()*s.Box.H())
		got, clear := s.top(q, stands), true
		for _, d := range [4]geom.Point{{X: 0.4}, {X: -0.4}, {Y: 0.4}, {Y: -0.4}} {
			clear = clear && s.top(q.Add(d), stands) == got
		}
		if !clear {
			continue
		}
		tried++
		if want := nearest(solids, stands, q); want != got {
			if wrong++; wrong < 4 {
				t.Errorf("seed %d, at %.2f: plate %d is in front, want %d", seed, q, got, want)
			}
		}
	}
	if tried < 800 {
		t.Errorf("seed %d: only %d places tried", seed, tried)
	}
}

// lap is two plates that lap each other crosswise, half and half.
func lap() []Solid {
	up := plate.New([]geom.Path{poly2(0, 0, 60, 0, 60, 30, 31.5, 30, 31.5, 15, 28.5, 15, 28.5, 30, 0, 30)}, 3, 0.01)
	down := plate.New([]geom.Path{poly2(0, 0, 28.5, 0, 28.5, 15, 31.5, 15, 31.5, 0, 60, 0, 60, 30, 0, 30)}, 3, 0.01)
	return []Solid{{up, upright(0, 31.5, 0)}, {down, lengthways(28.5, 0, 0)}}
}

// slotted is a wall whose tab goes through the slot of a floor.
func slotted() []Solid {
	floor := plate.New([]geom.Path{rect(0, 0, 80, 60), rect(30, 28.4, 50, 31.6).Reverse(), {geom.Circle(geom.Pt(15, 15), 8)}}, 3, 0.01)
	wall := plate.New([]geom.Path{poly2(10, 0, 30, 0, 30, -3, 50, -3, 50, 0, 70, 0, 70, 40, 10, 40)}, 3, 0.01)
	return []Solid{{floor, plate.Still()}, {wall, upright(0, 31.5, 3)}}
}

// Known scenes are painted in the right order, whichever of their plates stand.
func TestOrder(t *testing.T) {
	grid := lap()[:0]
	for i := range 4 { // four one way and four the other, without notches: they go through each other
		at := 12 + 12*float64(i)
		grid = append(grid, Solid{plate.New([]geom.Path{rect(0, 0, 60, 20)}, 3, 0.01), upright(0, at, 0)},
			Solid{plate.New([]geom.Path{rect(0, 0, 60, 20), {geom.Circle(geom.Pt(30, 10), 5)}}, 3, 0.01), lengthways(at, 0, 5)})
	}
	for name, solids := range map[string][]Solid{"lap": lap(), "slot": slotted(), "grid": grid} {
		t.Run(name, func(t *testing.T) {
			agrees(t, solids, every, 1)
			agrees(t, solids, func(i int) bool { return i%2 == 1 }, 2)
			agrees(t, solids, func(i int) bool { return i%3 != 1 }, 3)
		})
	}
}

// Three plates that lie over each other in turn have no order unless one is cut.
func TestOrderOfLoop(t *testing.T) {
	bar := plate.New([]geom.Path{rect(-40, -6, 40, 6)}, 2, 0.01)
	var solids []Solid
	for i := range 3 {
		a := 2 * math.Pi / 3 * float64(i)
		x := plate.Vec{math.Cos(a), math.Sin(a), 0.25}.Unit() // each rises along itself
		y := plate.Vec{0, 0, 1}.Cross(x).Unit()
		n := x.Cross(y)
		solids = append(solids, Solid{bar, plate.Pose{R: [3]plate.Vec{x, y, n}, T: y.Mul(-16)}})
	}
	agrees(t, solids, every, 4)
}

// Plates thrown at random, through each other as they may, are painted in the right order.
func TestOrderAtRandom(t *testing.T) {
	for seed := range uint64(30) {
		rng := rand.New(rand.NewPCG(seed, 1))
		var solids []Solid
		for range 8 {
			p := plate.New([]geom.Path{rect(-20, -12, 20, 12), rect(-8, -4, 10, 5).Reverse()}, 3, 0.01)
			x := plate.Vec{rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()}.Unit()
			y := x.Cross(plate.Vec{rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()}).Unit()
			solids = append(solids, Solid{p, plate.Pose{R: [3]plate.Vec{x, y, x.Cross(y)}, T: plate.Vec{30 * rng.Float64(), 30 * rng.Float64(), 30 * rng.Float64()}}})
		}
		agrees(t, solids, every, seed)
		agrees(t, solids, func(i int) bool { return i != 2 }, seed)
	}
}

// A plate behind another yields nothing, and where it shows it has a spot in what shows.
func TestHidden(t *testing.T) {
	front := plate.New([]geom.Path{rect(0, 0, 100, 100)}, 3, 0.01)
	small := plate.New([]geom.Path{rect(40, 30, 60, 50)}, 3, 0.01)
	s := New(camera, []Solid{{front, upright(0, 0, 0)}, {small, upright(0, 10, 0)}}, 0.1)
	l := s.Look(every, every)
	for _, k := range l.Patches {
		if s.Patches[k].Solid == 1 {
			t.Errorf("patch %d of the plate behind is drawn", k)
		}
	}
	if l.Share[1] != 0 || l.Room[1] != 0 || l.Share[0] != 1 || l.Room[0] < 20 {
		t.Errorf("shares %v, rooms %v", l.Share, l.Room)
	}
	alone := s.Look(func(i int) bool { return i == 1 }, every)
	if got := s.top(alone.Spot[1], func(i int) bool { return i == 1 }); len(alone.Patches) == 0 || got != 1 {
		t.Errorf("alone it is not seen: %d patches, plate %d at its spot", len(alone.Patches), got)
	}
}

// Where a tab goes through a slot, the wall has a line along the floor, which belongs to
// the two.
func TestCrease(t *testing.T) {
	s := New(camera, slotted(), 0.1)
	length := 0.0
	for i := range s.Patches {
		for _, x := range s.Patches[i].Seams {
			if s.Patches[i].Solid == 1 && x.With == 0 {
				for _, l := range x.Lines {
					d := l[1].Sub(l[0])
					length += math.Hypot(d.X, d.Y)
				}
			}
		}
	}
	want := 20 * math.Hypot(camera.Right[0], camera.Up[0]) // the width of the tab, as it is seen
	if math.Abs(length-want) > 0.5 {
		t.Errorf("lines of %.2f mm, want about %.2f", length, want)
	}
}

// A scene has only finite numbers, few places, and comes out the same each time.
func TestScene(t *testing.T) {
	gear := plate.New([]geom.Path{{geom.Circle(geom.Pt(0, 0), 30)}, {geom.Circle(geom.Pt(0, 0), 4)}}, 3, 0.01)
	solids := append(slotted(), Solid{gear, upright(40, 60, 30)})
	s := New(camera, solids, 0.2)
	n := 0
	for i := range s.Patches {
		for _, r := range s.Patches[i].Rings {
			n += len(r)
			for _, p := range r {
				if !p.Finite() {
					t.Fatalf("patch %d: %v", i, p)
				}
			}
		}
	}
	if n > 400 {
		t.Errorf("%d places", n)
	}
	if d := cmp.Diff(s.Patches, New(camera, solids, 0.2).Patches); d != "" {
		t.Error(d)
	}
}

// Curves lose places, corners do not.
func TestFlat(t *testing.T) {
	p := plate.New([]geom.Path{rect(0, 0, 100, 50), {geom.Circle(geom.Pt(30, 25), 15)}, {geom.Circle(geom.Pt(70, 25), 0.5)}}, 3, 0.01)
	rings := Flat(p, 0.3)
	if len(rings) != 3 || len(rings[0]) != 4 || len(rings[1]) < 10 || len(rings[1]) > 30 || len(rings[2]) < 6 {
		t.Errorf("%d places of %d", len(rings[1]), len(p.Rings[1]))
	}
	if a := math.Abs(area(rings[1])); math.Abs(a-math.Pi*225) > 0.03*math.Pi*225 {
		t.Errorf("the hole has %.1f mm2", a)
	}
	if bad := plate.New([]geom.Path{rect(math.NaN(), 0, 100, 50)}, 3, 0.01); len(Flat(bad, 0.1)) != 0 {
		t.Error("a ring without places is drawn")
	}
}
