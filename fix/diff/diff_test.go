package diff

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom"
	"sluice/geom/drawing"
)

const tol = 0.02

// The same kit drawn otherwise is the same.
func TestSameHoweverDrawn(t *testing.T) {
	kit := randomKit(1, 12)
	kit = append(kit, gear(60).shift(1300, 0), bracket().shift(1300, -100))
	before := sideOf(t, kit)
	rng := rand.New(rand.NewPCG(3, 3))
	ways := map[string]func(s []drawing.Stroke) []drawing.Stroke{
		"shuffled": func(s []drawing.Stroke) []drawing.Stroke { return shuffled(rng, s) },
		"reversed": func(s []drawing.Stroke) []drawing.Stroke {
			for i := range s {
				if rng.IntN(2) == 0 {
					s[i].Piece = s[i].Piece.Reverse()
				}
			}
			return shuffled(rng, s)
		},
		"split": func(s []drawing.Stroke) []drawing.Stroke {
			var out []drawing.Stroke
			for _, st := range s {
				at := 0.2 + 0.6*rng.Float64()
				a, b := st, st
				a.Piece, b.Piece = st.Piece.Sub(0, at), st.Piece.Sub(at, 1)
				out = append(out, a, b)
			}
			return shuffled(rng, out)
		},
		"another unit and back": func(s []drawing.Stroke) []drawing.Stroke {
			for i := range s {
				s[i].Piece = s[i].Piece.Transform(geom.Scaling(1 / 25.4))
				p := &s[i].Piece
				for _, v := range []*float64{&p.A.X, &p.A.Y, &p.B.X, &p.B.Y, &p.C.X, &p.C.Y, &p.R} {
					*v = math.Round(*v*1e8) / 1e8 // as written to a file
				}
				s[i].Piece = s[i].Piece.Transform(geom.Scaling(25.4))
			}
			return s
		},
		"arcs as chords within 0.015": func(s []drawing.Stroke) []drawing.Stroke {
			var out []drawing.Stroke
			for _, st := range s {
				from := st.A
				for _, q := range st.Piece.Flatten(nil, 0.015) {
					c := st
					c.Piece = geom.Line(from, q)
					from = q
					out = append(out, c)
				}
			}
			return out
		},
		"arcs as circles of many arcs": func(s []drawing.Stroke) []drawing.Stroke {
			var out []drawing.Stroke
			for _, st := range s {
				for k := range 7 {
					c := st
					c.Piece = st.Piece.Sub(float64(k)/7, float64(k+1)/7)
					out = append(out, c)
				}
			}
			return out
		},
	}
	for name, way := range ways {
		t.Run(name, func(t *testing.T) {
			after := &Side{Sheet: sheetOf(t, way(strokesOf(kit)))}
			for _, sides := range [][2]*Side{{before, after}, {after, before}} {
				d := Compare(sides[0], sides[1], tol)
				if !d.Same || d.Count != (Count{Same: len(kit)}) {
					t.Errorf("%+v, want %d parts the same", d.Count, len(kit))
				}
				if d.Deviation > tol {
					t.Errorf("deviation %g", d.Deviation)
				}
			}
		})
	}
}

// Parts moved and turned at random are found, with the shift and the turn made.
func TestMovedAndTurned(t *testing.T) {
	for seed := range uint64(4) {
		kit := randomKit(10+seed, 10)
		rng := rand.New(rand.NewPCG(seed, 9))
		var moved []item
		type move struct {
			shift geom.Point
			angle float64
		}
		want := make([]move, len(kit))
		for i, m := range kit {
			t := geom.Shift(geom.Pt(float64(i%3)*30, 2000))
			if i%2 == 1 {
				want[i].angle = (rng.Float64() - 0.5) * 6.2
				t = geom.Turn(massCentre(m), want[i].angle).Then(t)
			}
			want[i].shift = t.T
			moved = append(moved, m.transform(t))
			want[i].shift = massCentre(moved[i]).Sub(massCentre(m))
		}
		rng.Shuffle(len(moved), func(i, j int) { moved[i], moved[j] = moved[j], moved[i] })
		before, after := sideOf(t, kit), sideOf(t, moved)
		d := Compare(before, after, tol)
		if d.Count != (Count{Moved: 5, Turned: 5}) || d.Same {
			t.Fatalf("seed %d: %+v", seed, d.Count)
		}
		for _, p := range d.Parts {
			c := before.Sheet.Parts[p.Before].Centroid
			for i := range kit {
				if massCentre(kit[i]).Dist(c) > 1e-6 {
					continue
				}
				if p.Shift.Dist(want[i].shift) > 1e-6 || math.Abs(p.Angle-want[i].angle) > 1e-6 {
					t.Errorf("seed %d part %d: shift %v angle %v, want %v", seed, i, p.Shift, p.Angle, want[i])
				}
			}
		}
	}
}

func massCentre(m item) geom.Point {
	a, c := m.rings[0].Moments()
	for _, h := range m.rings[1:] {
		ha, hm := h.Moments()
		s := math.Copysign(1, a) * -math.Copysign(1, ha)
		a, c = a+s*ha, c.Add(hm.Mul(s))
	}
	return c.Mul(1 / a)
}

// summary tells each change in one line, for tables.
func summary(d *Diff) []string {
	var out []string
	for _, p := range d.Parts {
		if p.Verdict == Same {
			continue
		}
		s := string(p.Verdict)
		if p.Mirrored {
			s += " mirrored"
		}
		if p.Shift != (geom.Point{}) {
			s += fmt.Sprintf(" by %s,%s", hundredths(p.Shift.X), hundredths(p.Shift.Y))
		}
		if p.Angle != 0 {
			s += fmt.Sprintf(" turn %.2f", p.Angle*180/math.Pi)
		}
		if p.Deviation > 1e-6 {
			s += fmt.Sprintf(" off %.3f", p.Deviation)
		}
		for _, h := range p.Holes {
			s += fmt.Sprintf("; hole %s at %.2f,%.2f", h.Verdict, h.At.X, h.At.Y)
			if h.Shift != (geom.Point{}) {
				s += fmt.Sprintf(" by %.2f,%.2f", h.Shift.X, h.Shift.Y)
			}
		}
		out = append(out, s)
	}
	return out
}

func hundredths(v float64) string {
	return strings.TrimPrefix(fmt.Sprintf("%+.2f", math.Round(v*100)/100+0), "+")
}

func TestVerdicts(t *testing.T) {
	b := bracket()
	plate := func(h float64) item { return item{[]geom.Path{rect(100, 0, 160, h)}} }
	with := func(rings ...geom.Path) item { return item{append([]geom.Path{b.rings[0]}, rings...)} }
	tests := map[string]struct {
		before, after []item
		want          []string
	}{
		"nothing at all":         {nil, nil, nil},
		"added":                  {[]item{b}, []item{b, plate(20)}, []string{"added"}},
		"removed":                {[]item{b, plate(20)}, []item{b}, []string{"removed"}},
		"moved":                  {[]item{b}, []item{b.shift(3, -4)}, []string{"moved by 3.00,-4.00"}},
		"moved a little":         {[]item{b}, []item{b.shift(0.03, 0)}, []string{"moved by 0.03,0.00"}},
		"moved within tolerance": {[]item{b}, []item{b.shift(0.01, 0.01)}, nil},
		"turned on the spot": {[]item{b}, []item{b.transform(geom.Turn(massCentre(b), math.Pi/2))},
			[]string{"turned turn 90.00"}},
		"turned a little": {[]item{b}, []item{b.transform(geom.Turn(massCentre(b), 0.01))}, []string{"turned turn 0.57"}},
		"a square turned by a right angle is the same": {[]item{{[]geom.Path{rect(0, 0, 10, 10)}}},
			[]item{{[]geom.Path{rect(0, 0, 10, 10).Transform(geom.Turn(geom.Pt(5, 5), math.Pi/2))}}}, nil},
		"a square takes the least turn": {[]item{{[]geom.Path{rect(0, 0, 10, 10)}}},
			[]item{{[]geom.Path{rect(0, 0, 10, 10).Transform(geom.Turn(geom.Pt(5, 5), math.Pi/2+0.1))}}}, []string{"turned turn 5.73"}},
		"a disc only moves": {[]item{{[]geom.Path{circle(0, 0, 9), circle(0, 0, 2)}}},
			[]item{{[]geom.Path{circle(30, 0, 9).Transform(geom.Turn(geom.Pt(30, 0), 1)), circle(30, 0, 2)}}}, []string{"moved by 30.00,0.00"}},
		"a disc with a hole turns": {[]item{{[]geom.Path{circle(0, 0, 50), circle(40, 0, 1)}}},
			[]item{{[]geom.Path{circle(0, 0, 50), circle(0, 40, 1)}}}, []string{"turned by 0.02,-0.02 turn 90.00"}},
		"a wheel of 60 teeth turned by 2 degrees": {[]item{gear(60)}, []item{gear(60).transform(geom.Turn(geom.Point{}, 2*math.Pi/180))},
			[]string{"turned turn 2.00"}},
		"a wheel turned by one tooth is the same": {[]item{gear(60)}, []item{gear(60).transform(geom.Turn(geom.Point{}, 6*math.Pi/180))}, nil},
		"mirrored": {[]item{b}, []item{b.transform(geom.MirrorX(20).Then(geom.Shift(geom.Pt(100, 0))))},
			[]string{"reshaped mirrored by " + hundredths(140-2*massCentre(b).X) + ",0.00"}},
		"a symmetric part has no mirror image": {[]item{plate(20)}, []item{plate(20).transform(geom.MirrorX(130))}, nil},
		"one edge moved":                       {[]item{plate(20)}, []item{plate(21.5)}, []string{"reshaped off 1.500"}},
		"one edge moved within tolerance":      {[]item{plate(20)}, []item{plate(20.015)}, nil},
		"hole added":                           {[]item{b}, []item{with(b.rings[1], circle(30, 5, 2))}, []string{"reshaped; hole added at 30.00,5.00"}},
		"hole removed":                         {[]item{b}, []item{with()}, []string{"reshaped; hole removed at 8.00,8.00"}},
		"hole moved":                           {[]item{b}, []item{with(circle(9, 8.5, 3))}, []string{"reshaped off 1.118; hole moved at 9.00,8.50 by 1.00,0.50"}},
		"hole widened":                         {[]item{b}, []item{with(circle(8, 8, 3.2))}, []string{"reshaped off 0.200; hole reshaped at 8.00,8.00"}},
		"moved and a hole added": {[]item{b}, []item{with(b.rings[1], circle(30, 5, 2)).shift(0, 60)},
			[]string{"reshaped by 0.00,60.00; hole added at 30.00,65.00"}},
		"a part in a hole of another": {[]item{{[]geom.Path{rect(0, 0, 60, 60), rect(5, 5, 55, 55)}}, b.shift(7, 10)},
			[]item{{[]geom.Path{rect(0, 0, 60, 60), rect(5, 5, 55, 55)}}, b.shift(8, 10)}, []string{"moved by 1.00,0.00"}},
	}
	for name, tt := range tests {
		t.Run(name, func(t *testing.T) {
			d := Compare(sideOf(t, tt.before), sideOf(t, tt.after), tol)
			if diff := cmp.Diff(tt.want, summary(d)); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
			if d.Same != (tt.want == nil) {
				t.Errorf("Same is %v", d.Same)
			}
		})
	}
}

// Among congruent parts those that stay stay, and a common shift is found.
func TestCongruentParts(t *testing.T) {
	var kit []item
	for k := range 50 {
		kit = append(kit, bracket().shift(float64(k%10)*50, float64(k/10)*30))
	}
	shifted := make([]item, len(kit))
	for k := range kit {
		shifted[k] = kit[k].shift(50, 30) // onto each other's places, but for an edge
	}
	some := append([]item{kit[0].transform(geom.Turn(geom.Pt(20, 10), math.Pi)).shift(-80, 0)}, kit[1:]...)
	half := make([]item, len(kit))
	for k := range kit {
		half[k] = kit[k].shift(25.3, 0)
	}
	tests := []struct {
		name  string
		after []item
		want  Count
	}{
		{"one taken out", kit[:49], Count{Same: 49, Removed: 1}},
		{"one turned away", some, Count{Same: 49, Turned: 1}},
		{"a grid on itself", shifted, Count{Same: 50}},
		{"all by half a pitch", half, Count{Same: 50}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			d := Compare(sideOf(t, kit), sideOf(t, tt.after), tol)
			if diff := cmp.Diff(tt.want, d.Count); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
			if tt.name == "all by half a pitch" {
				if d.Same || d.Whole == nil || d.Whole.Parts != 50 || d.Whole.Lay.T.Dist(geom.Pt(25.3, 0)) > 1e-9 {
					t.Fatalf("same %v, whole %+v", d.Same, d.Whole)
				}
			}
		})
	}
}

// A number decides among congruent parts.
func TestNumberDecides(t *testing.T) {
	b := bracket()
	before, after := sideOf(t, []item{b, b.shift(60, 0)}), sideOf(t, []item{b.shift(0, 100), b.shift(60, 100)})
	before.Texts = []Text{{Value: "1", Part: 0, Number: true, At: geom.Pt(20, 4), Height: 4}, {Value: "2", Part: 1, Number: true, At: geom.Pt(80, 4), Height: 4}}
	after.Texts = []Text{{Value: "2", Part: 0, Number: true, At: geom.Pt(20, 104), Height: 4}, {Value: "1", Part: 1, Number: true, At: geom.Pt(80, 104), Height: 4}}
	d := Compare(before, after, tol)
	want := []string{"moved by 60.00,100.00", "moved by -60.00,100.00"}
	if diff := cmp.Diff(want, summary(d)); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	if len(d.Texts) != 0 {
		t.Errorf("numbers move with their parts, but %+v", d.Texts)
	}
}

// What differs one way differs the other way round.
func TestBothWays(t *testing.T) {
	kit := randomKit(5, 12)
	after := append([]item{}, kit[2:]...)
	after[0] = after[0].shift(0.5, 0)
	after[1] = after[1].transform(geom.Turn(massCentre(after[1]), 0.3))
	after[2].rings = after[2].rings[:len(after[2].rings)-1]
	after = append(after, bracket().shift(0, 500))
	x, y := Compare(sideOf(t, kit), sideOf(t, after), tol), Compare(sideOf(t, after), sideOf(t, kit), tol)
	want := Count{Same: 7, Moved: 1, Turned: 1, Reshaped: 1, Added: 1, Removed: 2}
	if diff := cmp.Diff(want, x.Count); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	want.Added, want.Removed = 2, 1
	if diff := cmp.Diff(want, y.Count); diff != "" {
		t.Errorf("the other way (-want +got):\n%s", diff)
	}
}

func BenchmarkCongruent2500(b *testing.B) {
	var kit, moved []item
	for k := range 2500 {
		kit = append(kit, bracket().shift(float64(k%50)*50, float64(k/50)*30))
		moved = append(moved, kit[k].transform(geom.Turn(geom.Pt(3, 5), 1)))
	}
	x, y := sideOf(b, kit), sideOf(b, moved)
	b.Run("same", func(b *testing.B) {
		for b.Loop() {
			Compare(x, x, tol)
		}
	})
	b.Run("turned", func(b *testing.B) {
		for b.Loop() {
			Compare(x, y, tol)
		}
	})
}

func BenchmarkDifferent(b *testing.B) {
	kit := randomKit(4, 300)
	var turned []item
	for _, m := range kit {
		turned = append(turned, m.transform(geom.Turn(geom.Pt(3, 5), 1)))
	}
	x, y := sideOf(b, kit), sideOf(b, turned)
	for b.Loop() {
		Compare(x, y, tol)
	}
}
