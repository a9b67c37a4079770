package diff

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/geomtest"
)

// wholes are motions of a drawing with what is to be found of them.
var wholes = map[string]struct {
	lay   geom.Transform
	scale float64
	angle float64 // degrees
	flip  bool
}{
	"moved":                   {geom.Shift(geom.Pt(123.4, -56.7)), 1, 0, false},
	"moved a little":          {geom.Shift(geom.Pt(0.1, 0)), 1, 0, false},
	"turned by a right angle": {geom.Turn(geom.Pt(200, 100), math.Pi/2), 1, 90, false},
	"turned by 30.5 degrees":  {geom.Turn(geom.Pt(-50, 10), 30.5*math.Pi/180), 1, 30.5, false},
	"turned over":             {geom.MirrorX(300), 1, 0, true},
	"turned over and moved":   {geom.MirrorX(300).Then(geom.Shift(geom.Pt(0, 40))), 1, 0, true},
	"mirrored at an angle":    {geom.MirrorX(0).Then(geom.Turn(geom.Pt(7, 7), 1)), 1, 180 / math.Pi, true},
	"ten times larger":        {geom.Scaling(10), 10, 0, false},
	"ten times smaller":       {geom.Scaling(0.1), 0.1, 0, false},
	"inches taken for mm":     {geom.Scaling(1 / 25.4), 1 / 25.4, 0, false},
	"mm taken for inches":     {geom.Scaling(25.4), 25.4, 0, false},
	"2.54":                    {geom.Scaling(2.54), 2.54, 0, false},
	"half a per cent":         {geom.Scaling(1.005), 1.005, 0, false},
	"larger and moved":        {geom.Scaling(3).Then(geom.Shift(geom.Pt(50, 60))), 3, 0, false},
	"larger and turned":       {geom.Scaling(1.5).Then(geom.Turn(geom.Pt(0, 30), math.Pi/2)), 1.5, 90, false},
}

// planted makes changes in a kit, one a part from the first part on, and counts
// them.
func planted(rng *rand.Rand, kit []item, changes int) ([]item, Count) {
	out := make([]item, 0, len(kit)+1)
	want := Count{Same: len(kit)}
	for i, m := range kit {
		if i >= changes {
			out = append(out, m)
			continue
		}
		want.Same--
		switch i % 5 {
		case 0: // taken out
			want.Removed++
			continue
		case 1:
			m = m.shift(7.5+rng.Float64(), -3)
			want.Moved++
		case 2:
			m = m.transform(geom.Turn(massCentre(m), 0.4))
			want.Turned++
		case 3: // without one of its holes, or with one
			if len(m.rings) > 1 {
				m.rings = m.rings[:len(m.rings)-1]
			} else {
				m.rings = append(m.rings[:1:1], circle(massCentre(m).X, massCentre(m).Y, 1))
			}
			want.Reshaped++
		case 4:
			out = append(out, bracket().shift(-400, 77))
			want.Added++
			want.Same++
		}
		out = append(out, m)
	}
	return out, want
}

// resplit cuts strokes in two, turns some round and shuffles them.
func resplit(rng *rand.Rand, s []drawing.Stroke) []drawing.Stroke {
	var out []drawing.Stroke
	for _, st := range s {
		a, b := st, st
		at := 0.3 + 0.4*rng.Float64()
		a.Piece, b.Piece = st.Piece.Sub(0, at), st.Piece.Sub(at, 1)
		if rng.IntN(2) == 0 {
			a.Piece = a.Piece.Reverse()
		}
		out = append(out, a, b)
	}
	return shuffled(rng, out)
}

// A drawing that has gone through something as a whole is told by that, and the
// changes made besides are the only ones told.
func TestWhole(t *testing.T) {
	for name, w := range wholes {
		t.Run(name, func(t *testing.T) {
			for seed := range uint64(3) {
				for _, changes := range []int{0, 1, 4} {
					rng := rand.New(rand.NewPCG(seed, 77))
					kit := randomKit(40+seed, 14)
					if w.scale < 1 { // features are to be no smaller than elsewhere
						for i := range kit {
							kit[i] = kit[i].transform(geom.Scaling(1 / w.scale))
						}
					}
					after, want := planted(rng, kit, changes)
					for i := range after {
						after[i] = after[i].transform(w.lay)
					}
					d := Compare(sideOf(t, kit), &Side{Sheet: sheetOf(t, resplit(rng, strokesOf(after)))}, tol)
					if d.Whole == nil || d.Same {
						t.Fatalf("seed %d, %d changes: whole %v, same %v, %+v", seed, changes, d.Whole, d.Same, d.Count)
					}
					if diff := cmp.Diff(want, d.Count); diff != "" {
						t.Errorf("seed %d, %d changes: %+v (-want +got):\n%s", seed, changes, d.Whole, diff)
					}
					m := d.Whole
					off := 0.0
					for _, p := range []geom.Point{{X: 0, Y: -400}, {X: 1200, Y: 100}} {
						off = max(off, m.Lay.Apply(p).Dist(w.lay.Apply(p)))
					}
					if math.Abs(m.Scale/w.scale-1) > 1e-6 || m.Mirrored != w.flip || math.Abs(m.Angle*180/math.Pi-w.angle) > 0.01 || off > 0.02*max(1, w.scale) {
						t.Errorf("seed %d, %d changes: %+v, off by %g", seed, changes, *m, off)
					}
				}
			}
		})
	}
}

// Kits of parts that are all alike move as a whole too, with some taken out or put
// elsewhere.
func TestWholeOfAlike(t *testing.T) {
	kinds := map[string]func(k int) item{
		"brackets": func(k int) item { return bracket().shift(float64(k%10)*50, float64(k/10)*30) },
		"discs":    func(k int) item { return item{[]geom.Path{circle(float64(k%10)*50, float64(k/10)*30, 8)}} },
		"squares": func(k int) item {
			x, y := float64(k%10)*50, float64(k/10)*30
			return item{[]geom.Path{rect(x, y, x+20, y+20)}}
		},
		"gears": func(k int) item { return gear(24).shift(float64(k%10)*60, float64(k/10)*60) },
	}
	for name, kind := range kinds {
		for _, w := range []geom.Transform{geom.Shift(geom.Pt(17.3, 8)), geom.Turn(geom.Pt(5, 5), math.Pi/2), geom.Scaling(10)} {
			var kit, after []item
			for k := range 48 {
				kit = append(kit, kind(k))
				if k%16 != 3 {
					after = append(after, kind(k).transform(w))
				}
			}
			after = append(after, kind(73).transform(w), kind(57).transform(w))
			d := Compare(sideOf(t, kit), sideOf(t, after), tol)
			if want := (Count{Same: 45, Moved: 2, Removed: 1}); d.Whole == nil || d.Count != want {
				t.Errorf("%s by %+v: whole %+v, %+v", name, w, d.Whole, d.Count)
			}
		}
	}
}

// A part of a drawing that has moved together is told as one group.
func TestGroups(t *testing.T) {
	kit := randomKit(90, 12)
	var after []item
	for i, m := range kit {
		if i >= 6 {
			m = m.shift(80, 500)
		}
		after = append(after, m)
	}
	d := Compare(sideOf(t, kit), sideOf(t, after), tol)
	if d.Whole != nil || d.Count != (Count{Same: 6, Moved: 6}) || len(d.Groups) != 1 || d.Groups[0].Lay.T.Dist(geom.Pt(80, 500)) > 1e-6 {
		t.Errorf("whole %v, groups %+v, %+v", d.Whole, d.Groups, d.Count)
	}
	// Two groups, neither of which stays.
	for i := range after {
		if i < 6 {
			after[i] = after[i].shift(-100, 0)
		}
	}
	d = Compare(sideOf(t, kit), sideOf(t, after), tol)
	if d.Count != (Count{Moved: 12}) || len(d.Groups) != 2 {
		t.Errorf("whole %+v, groups %+v, %+v", d.Whole, d.Groups, d.Count)
	}
}

// Where some parts have grown each is told with its factor.
func TestGrownParts(t *testing.T) {
	kit := randomKit(91, 12)
	var after []item
	for i, m := range kit {
		if i%2 == 1 {
			m = m.transform(geom.Scaling(10))
		}
		after = append(after, m.shift(0, float64(i%2)*5000))
	}
	d := Compare(sideOf(t, kit), sideOf(t, after), tol)
	if d.Whole != nil || d.Count != (Count{Same: 6, Scaled: 6}) {
		t.Fatalf("whole %+v, %+v", d.Whole, d.Count)
	}
	for _, p := range d.Parts {
		if p.Verdict == Scaled && p.Scale != 10 {
			t.Errorf("scale %g", p.Scale)
		}
	}
}

// A square of another size is no scaled square, nor is a disc; ten times the size
// is.
func TestPlainShapes(t *testing.T) {
	sq := func(r float64) []item { return []item{{[]geom.Path{rect(-r, -r, r, r)}}} }
	disc := func(r float64) []item { return []item{{[]geom.Path{circle(0, 0, r)}}} }
	tests := map[string]struct {
		before, after []item
		want          string
	}{
		"a square":           {sq(10), sq(10.88), "offset 0.88"},
		"a smaller square":   {sq(10), sq(9.5), "offset -0.50"},
		"a disc":             {disc(10), disc(10.4), "diameter 20.00 20.80"},
		"a square ten times": {sq(10), sq(100), "scale 10"},
		"a disc ten times":   {disc(10), disc(100), "scale 10"},
	}
	for name, tt := range tests {
		t.Run(name, func(t *testing.T) {
			d := Compare(sideOf(t, tt.before), sideOf(t, tt.after), tol)
			got := fmt.Sprintf("%s %.2f", d.Parts[0].Measure.Kind, d.Parts[0].Measure.By)
			switch {
			case d.Whole != nil:
				got = fmt.Sprintf("scale %.5g", d.Whole.Scale)
			case d.Parts[0].Measure.Kind == Diameter:
				got = fmt.Sprintf("diameter %.2f %.2f", d.Parts[0].Measure.Was, d.Parts[0].Measure.Is)
			}
			if got != tt.want {
				t.Errorf("%s, want %s", got, tt.want)
			}
		})
	}
}

// A drawing of open paths alone is scaled and moved too.
func TestWholeOfLines(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	var lines []drawing.Stroke
	for range 12 {
		a := geom.Pt(rng.Float64()*100, rng.Float64()*100)
		lines = append(lines, drawing.Stroke{Piece: geom.Line(a, a.Add(geom.Pt(20, rng.Float64()*30)))})
	}
	laid := make([]drawing.Stroke, len(lines))
	for i, s := range lines {
		s.Piece = s.Piece.Transform(geom.Scaling(25.4))
		laid[i] = s
	}
	d := Compare(&Side{Sheet: sheetOf(t, lines)}, &Side{Sheet: sheetOf(t, laid)}, tol)
	if d.Whole == nil || d.Whole.Scale != 25.4 || len(d.Lines) > 0 {
		t.Errorf("%+v, %+v", d.Whole, d.Lines)
	}
}

// A part drawn again a little aside, of which a repair drops one: no rounding of a
// shift is told as a scale.
func TestNoScaleByRounding(t *testing.T) {
	for seed := range uint64(40) {
		rng := rand.New(rand.NewPCG(seed, 3))
		outer, holes := geomtest.RandomPart(rng)
		m := item{append([]geom.Path{outer}, holes...)}
		aside := m.transform(geom.Shift(geom.Polar(geom.Point{}, 0.03, rng.Float64()*6)))
		after := item{append([]geom.Path{outer}, aside.rings[1:]...)}
		d := Compare(sideOf(t, []item{m}), sideOf(t, []item{after}), tol)
		if w := d.Whole; w != nil && math.Abs(w.Scale-1) < 1e-6 {
			t.Errorf("seed %d: %+v", seed, *w)
		}
	}
}

// inverse undoes any similarity.
func TestInverse(t *testing.T) {
	for name, w := range wholes {
		p := geom.Pt(31, -7)
		if q := inverse(w.lay).Apply(w.lay.Apply(p)); q.Dist(p) > 1e-9 {
			t.Errorf("%s: %v comes back as %v", name, p, q)
		}
		if m := MotionOf(w.lay, 0); similarity(m.Scale, m.Mirrored, m.Angle, w.lay.T).Apply(p).Dist(w.lay.Apply(p)) > 1e-9 {
			t.Errorf("%s is not put together again", name)
		}
		if m := MotionOf(w.lay, 0); !m.Mirrored {
			if q, ok := m.Fixed(); ok && m.Lay.Apply(q).Dist(q) > 1e-6 {
				t.Errorf("%s: %v does not stay", name, q)
			}
		}
	}
}

// Kits that have nothing in common as a whole: parts laid out anew, and discs of
// all sizes.
func BenchmarkNoWhole(b *testing.B) {
	for _, n := range []int{1000, 4000} {
		rng := rand.New(rand.NewPCG(9, 9))
		kit := randomKit(5, n)
		var anew, discs, others []item
		for k, i := range rng.Perm(n) {
			anew = append(anew, kit[i].transform(geom.Turn(massCentre(kit[i]), rng.Float64())).transform(geom.Shift(geom.Pt(float64(k%6-i%6)*200, float64(k/6-i/6)*-200))))
			discs = append(discs, item{[]geom.Path{circle(float64(k%100)*50, float64(k/100)*50, 5+10*rng.Float64())}})
			others = append(others, item{[]geom.Path{circle(float64(k%90)*50, float64(k/90)*50, 5+10*rng.Float64())}})
		}
		for name, s := range map[string][2]*Side{"anew": {sideOf(b, kit), sideOf(b, anew)}, "discs": {sideOf(b, discs), sideOf(b, others)}} {
			b.Run(fmt.Sprintf("%s/%d", name, n), func(b *testing.B) {
				for b.Loop() {
					Compare(s[0], s[1], tol)
				}
			})
		}
	}
}

// Comparing stays near-linear in the number of parts: the work for ten thousand
// is shown by the benchmark.
func BenchmarkWhole(b *testing.B) {
	for _, n := range []int{1000, 10_000} {
		rng := rand.New(rand.NewPCG(9, 9))
		var mixed, alike []item
		for k := range n {
			outer, holes := geomtest.RandomPart(rng)
			mixed = append(mixed, item{append([]geom.Path{outer}, holes...)}.shift(float64(k%100)*200, float64(k/100)*-200))
			alike = append(alike, bracket().shift(float64(k%100)*50, float64(k/100)*30))
		}
		for name, kit := range map[string][]item{"mixed": mixed, "alike": alike} {
			x := sideOf(b, kit)
			for how, w := range map[string]geom.Transform{"moved": geom.Shift(geom.Pt(3, 4)), "turned": geom.Turn(geom.Pt(3, 5), 1), "scaled": geom.Scaling(10)} {
				y := x.laid(w)
				b.Run(fmt.Sprintf("%s/%s/%d", name, how, n), func(b *testing.B) {
					for b.Loop() {
						if d := Compare(x, y, tol); d.Whole == nil || d.Count.Changed() > 0 {
							b.Fatalf("%+v %+v", d.Whole, d.Count)
						}
					}
				})
			}
		}
	}
}
