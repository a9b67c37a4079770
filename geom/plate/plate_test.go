package plate

import (
	"math"
	"math/rand/v2"
	"testing"

	"sluice/geom"
)

func poly(pts ...float64) geom.Path {
	var p geom.Path
	n := len(pts) / 2
	for i := range n {
		k := (i + 1) % n
		p = append(p, geom.Line(geom.Pt(pts[2*i], pts[2*i+1]), geom.Pt(pts[2*k], pts[2*k+1])))
	}
	return p
}

func rect(x0, y0, x1, y1 float64) geom.Path { return poly(x0, y0, x1, y0, x1, y1, x0, y1) }

// TestOverlap compares volumes with those known by hand.
func TestOverlap(t *testing.T) {
	base := New([]geom.Path{rect(0, 0, 100, 50), rect(40, 20, 60, 23)}, 3, 0.01)
	wall := New([]geom.Path{rect(0, 0, 20, 10)}, 3, 0.01)
	up := func(x, y, z float64) Pose { // its x along x, its y upwards, its z towards -y
		return Pose{R: [3]Vec{{1, 0, 0}, {0, 0, 1}, {0, -1, 0}}, T: Vec{x, y, z}}
	}
	for _, tt := range []struct {
		name string
		at   Pose
		want float64
	}{
		{"through the slot", up(40, 23, -3), 0},
		{"beside the slot", up(40, 30, -3), 20 * 3 * 3},
		{"half in the slot", up(40, 24.5, -3), 20 * 3 * 1.5},
		{"shifted along the slot", up(45, 23, -3), 5 * 3 * 3},
		{"over it", up(40, 30, 3), 0},
		{"dipping in by one", up(40, 30, 2), 20 * 3 * 1},
		{"flat upon it", Pose{R: Still().R, T: Vec{5, 5, 3}}, 0},
		{"flat within it", Pose{R: Still().R, T: Vec{5, 5, 2}}, 200},
		{"flat over the slot", Pose{R: Still().R, T: Vec{35, 15, 1}}, 2 * (200 - 15*3)},
	} {
		if got := Overlap(base, Still(), wall, tt.at); math.Abs(got-tt.want) > 1e-3 {
			t.Errorf("%s: %.5f mm3, want %.5f", tt.name, got, tt.want)
		}
		if got := Overlap(wall, tt.at, base, Still()); math.Abs(got-tt.want) > 1e-3 {
			t.Errorf("%s, seen from the other: %.5f mm3, want %.5f", tt.name, got, tt.want)
		}
	}
}

// TestOverlapSampled compares volumes with points thrown at random, as the plates turn.
func TestOverlapSampled(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	a := New([]geom.Path{poly(0, 0, 60, 0, 60, 20, 40, 40, 0, 40), rect(10, 10, 30, 30)}, 4, 0.01)
	b := New([]geom.Path{poly(-20, -15, 25, -15, 15, 20, -20, 20)}, 5, 0.01)
	inside := func(p *Plate, at Pose, v Vec) bool {
		q := at.Back().Apply(v)
		in := false
		p.each(func(a, b geom.Point) {
			if (a.X <= q[0]) != (b.X <= q[0]) && q[1] < a.Y+(b.Y-a.Y)*(q[0]-a.X)/(b.X-a.X) {
				in = !in
			}
		})
		return in && q[2] > 0 && q[2] < p.Thickness
	}
	for n := range 12 {
		turn := float64(n) * 0.5
		x := Vec{math.Cos(turn), math.Sin(turn), 0}
		pose := Pose{R: [3]Vec{x, {0, 0, 1}, x.Cross(Vec{0, 0, 1})}, T: Vec{5 + 40*rng.Float64(), 5 + 30*rng.Float64(), 0}}
		hits := 0
		const tries = 400_000
		for range tries {
			v := Vec{60 * rng.Float64(), 40 * rng.Float64(), 4 * rng.Float64()}
			if inside(a, Still(), v) && inside(b, pose, v) {
				hits++
			}
		}
		want := float64(hits) / tries * 60 * 40 * 4
		if got := Overlap(a, Still(), b, pose); math.Abs(got-want) > 10+0.05*want {
			t.Errorf("turned by %.1f: %.1f mm3, want about %.1f", turn, got, want)
		}
	}
}

// TestPose undoes and joins poses.
func TestPose(t *testing.T) {
	p := Frames(Vec{1, 2, 3}, Vec{1, 0, 0}, Vec{0, 1, 0}, Vec{-4, 5, 6}, Vec{0, 0, 1}, Vec{0, -1, 0})
	if got := p.Apply(Vec{1, 2, 3}); got.Sub(Vec{-4, 5, 6}).Norm() > 1e-12 {
		t.Error(got)
	}
	if got := p.Then(p.Back()).Apply(Vec{7, -8, 9}); got.Sub(Vec{7, -8, 9}).Norm() > 1e-12 {
		t.Error(got)
	}
	if d := p.R[0].Cross(p.R[1]).Dot(p.R[2]); math.Abs(d-1) > 1e-12 {
		t.Errorf("a mirror image: %g", d)
	}
	m := p.Matrix()
	if m[3] != p.T[0] || m[7] != p.T[1] || m[15] != 1 || m[4] != p.R[0][1] {
		t.Error(m)
	}
}

// TestMesh measures surfaces: both faces and the edge, closed, all turned outwards.
func TestMesh(t *testing.T) {
	p := New([]geom.Path{rect(0, 0, 100, 50), rect(40, 20, 60, 30).Reverse()}, 3, 0.01)
	var area, volume float64
	for _, x := range p.Mesh() {
		n := x[1].Sub(x[0]).Cross(x[2].Sub(x[0]))
		area += n.Norm() / 2
		volume += x[0].Dot(x[1].Cross(x[2])) / 6
	}
	face, edge := 100.0*50-20*10, 2*(100.0+50)+2*(20+10)
	if math.Abs(area-(2*face+3*edge)) > 1e-3 || math.Abs(volume-3*face) > 1e-3 {
		t.Errorf("%.3f mm2 and %.3f mm3, want %.3f and %.3f", area, volume, 2*face+3*edge, 3*face)
	}
}

// TestBlocks moves a wall with a tab off a floor with a slot, and a plate off others.
func TestBlocks(t *testing.T) {
	floor := New([]geom.Path{rect(0, 0, 100, 60), rect(40, 30, 60, 33)}, 3, 0.01)
	wall := New([]geom.Path{poly(0, 0, 25, 0, 25, -3, 45, -3, 45, 0, 70, 0, 70, 30, 0, 30)}, 3, 0.01)
	up := func(x, y, z float64) Pose {
		return Pose{R: [3]Vec{{1, 0, 0}, {0, 0, 1}, {0, -1, 0}}, T: Vec{x, y, z}}
	}
	at := up(15, 33, 3)
	lying := Pose{R: Still().R, T: Vec{10, 10, 3}}
	for _, tt := range []struct {
		name  string
		of    *Plate
		at    Pose
		along Vec
		want  bool
	}{
		{"the wall upwards", wall, at, Vec{0, 0, 1}, false},
		{"the wall down through the floor", wall, at, Vec{0, 0, -1}, true},
		{"the wall along itself", wall, at, Vec{1, 0, 0}, true},
		{"the wall across itself", wall, at, Vec{0, 1, 0}, true},
		{"the wall aslant, up and along", wall, at, Vec{1, 0, 1}.Unit(), true},
		{"a plate that lies on the floor, upwards", wall, lying, Vec{0, 0, 1}, false},
		{"a plate that lies on the floor, down", wall, lying, Vec{0, 0, -1}, true},
		{"a plate that lies on the floor, along", wall, lying, Vec{1, 0, 0}, false},
		{"a plate beside the floor, away from it", wall, Pose{R: Still().R, T: Vec{110, 10, 0}}, Vec{1, 0, 0}, false},
		{"a plate beside the floor, towards it", wall, Pose{R: Still().R, T: Vec{110, 10, 0}}, Vec{-1, 0, 0}, true},
		{"a wall a hair too deep, upwards", wall, up(15.04, 33, 3), Vec{0, 0, 1}, false},
		{"the wall up, a little aslant", wall, at, Vec{0, 0.3, 1}.Unit(), true},
		{"a wall half a millimetre off, upwards", wall, up(15.5, 33, 3), Vec{0, 0, 1}, true},
	} {
		if got := Blocks(tt.of, tt.at, floor, Still(), tt.along, 0.05); got != tt.want {
			t.Errorf("%s: %v", tt.name, got)
		}
		// The other moves the other way.
		if got := Blocks(floor, Still(), tt.of, tt.at, tt.along.Mul(-1), 0.05); got != tt.want {
			t.Errorf("%s, as the floor moves: %v", tt.name, got)
		}
	}
}
