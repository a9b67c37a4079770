package kit_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/geomtest"
	"sluice/geom/outline"
	"sluice/lint/kit"
)

const kits = 200

// sheetOf draws a kit as loose pieces in an order that tells nothing, and finds
// its parts.
func sheetOf(t *testing.T, k *geomtest.Kit, rng *rand.Rand) *outline.Sheet {
	t.Helper()
	var strokes []drawing.Stroke
	add := func(p geom.Path) {
		for _, q := range p {
			if rng.IntN(2) == 0 {
				q = q.Reverse()
			}
			strokes = append(strokes, drawing.Stroke{Piece: q})
		}
	}
	for i := range k.Parts {
		add(k.Parts[i].Outer)
		for _, h := range k.Parts[i].Holes {
			add(h)
		}
	}
	rng.Shuffle(len(strokes), func(i, j int) { strokes[i], strokes[j] = strokes[j], strokes[i] })
	s := built(t, &drawing.Drawing{Strokes: strokes})
	if len(s.Parts) != len(k.Parts) {
		t.Fatalf("%s: %d parts, want %d", k.Name, len(s.Parts), len(k.Parts))
	}
	return s
}

// built returns the parts of a drawing, numbered.
func built(t *testing.T, d *drawing.Drawing) *outline.Sheet {
	t.Helper()
	s, err := outline.Build(context.Background(), d.Strokes, func(*drawing.Stroke) outline.Role { return outline.Cut },
		outline.Options{Join: 0.001, Gap: 0.5, Same: 0.01, Search: 10, Kerf: 1, Workers: 1})
	if err != nil {
		t.Fatal(err)
	}
	s.Number(0.02)
	return s
}

func random(seed int) *geomtest.Kit {
	return geomtest.RandomKit(rand.New(rand.NewPCG(uint64(seed), 7)))
}

func kindOf(j *kit.Joint) string { return j.Kind.String() }

// matchJoints counts the joints of the truth that were found, and those found
// that are not in the truth.
func matchJoints(truth []geomtest.KitJoint, got []kit.Joint) (hit int, missed, extra []string) {
	used := make([]bool, len(got))
	for _, w := range truth {
		ok := false
		for i := range got {
			g := &got[i]
			if used[i] || kindOf(g) != w.Kind || g.At.Dist(w.At) > 0.1 || math.Abs(g.Length-w.Length) > 0.05 ||
				math.Abs(g.Depth-w.Depth) > 0.05 || math.Abs(g.Dir.Cross(w.Dir)) > 1e-3 {
				continue
			}
			used[i], ok = true, true
			break
		}
		if ok {
			hit++
		} else {
			missed = append(missed, fmt.Sprintf("%+v", w))
		}
	}
	for i := range got {
		if !used[i] {
			extra = append(extra, fmt.Sprintf("%+v", got[i]))
		}
	}
	return hit, missed, extra
}

func some(list []string) []string { return list[:min(3, len(list))] }

// Joints and thickness of 200 kits against what they were made of.
func TestJointsFound(t *testing.T) {
	truth, found, hits, parts, alarms := 0, 0, 0, 0, 0
	byName := map[string][3]int{}
	for seed := range kits {
		k := random(seed)
		o := kit.DefaultOptions()
		if seed%2 == 0 {
			o.Sheet = k.Thickness
		}
		got := kit.Find(sheetOf(t, k, rand.New(rand.NewPCG(uint64(seed), 1))), o)
		hit, missed, extra := matchJoints(k.Joints, got.Joints)
		if len(missed)+len(extra) > 0 {
			t.Logf("kit %d (%s, t %g): missed %d %v, extra %d %v", seed, k.Name, k.Thickness, len(missed), some(missed), len(extra), some(extra))
		}
		truth, found, hits = truth+len(k.Joints), found+len(got.Joints), hits+hit
		parts += len(k.Parts)
		alarms += len(got.Unmatched) + len(got.Odd)
		if len(got.Unmatched) > 0 {
			t.Logf("kit %d (%s): false alarm %+v", seed, k.Name, got.Unmatched[0])
		}
		b := byName[k.Name]
		byName[k.Name] = [3]int{b[0] + 1, b[1] + len(k.Parts), b[2] + len(got.Unmatched)}
		if math.Abs(got.Design()-k.Width) > 0.02 || len(got.Thicknesses) != 1 {
			t.Errorf("kit %d (%s): thickness %v, want %g", seed, k.Name, got.Thicknesses, k.Width)
		}
	}
	recall, precision := float64(hits)/float64(truth), float64(hits)/float64(found)
	t.Logf("%d kits, %d parts, %d joints: recall %.4f, precision %.4f, %d false alarms (%.2f per 50 parts)",
		kits, parts, truth, recall, precision, alarms, 50*float64(alarms)/float64(parts))
	t.Logf("kits, parts, false alarms by kind: %v", byName)
	if recall < 0.98 || precision < 0.98 {
		t.Error("want recall and precision of at least 0.98")
	}
	if 50*alarms > parts {
		t.Error("want at most one false alarm in 50 parts")
	}
}

// One piece is taken out of each kit: what is told must name it, either as one
// more of a part that is there, or by the parts it meets and its number of joints.
func TestRemovedPieceNamed(t *testing.T) {
	named := 0
	fails := map[string]int{}
	for seed := range kits {
		k := random(seed)
		rng := rand.New(rand.NewPCG(uint64(seed), 2))
		p := rng.IntN(len(k.Parts))
		rest, lost := k.Without(p)
		s := sheetOf(t, rest, rng)
		got := kit.Find(s, kit.DefaultOptions())
		// The removed part's number, had it stayed.
		whole := sheetOf(t, k, rng)
		twin := twinOf(k, whole, s, p)
		meets := map[int]bool{}
		n := len(lost)
		partAt := func(at int) int {
			in := insideOf(k.Parts[at])
			return s.Parts[s.PartAt(in)].Number
		}
		for _, j := range lost {
			meets[partAt(k.Joints[j].Part)] = true
		}
		for _, m := range k.EdgeMates {
			if m.PartA == p || m.PartB == p {
				n++
				meets[partAt(m.PartA+m.PartB-p)] = true
			}
		}
		ok := false
		for _, miss := range got.Missing {
			if twin > 0 && miss.Like == twin {
				ok = true
			}
			total := 0
			for _, w := range miss.Joints {
				total += w.Count
			}
			var want []int
			for m := range meets {
				want = append(want, m)
			}
			slices.Sort(want)
			if total == n && slices.Equal(want, miss.Meets) {
				ok = true
			}
		}
		if ok {
			named++
			continue
		}
		fails[k.Name]++
		t.Logf("kit %d (%s): %s not named (twin %d, %d joints, meets %v): %+v", seed, k.Name, k.Parts[p].Name, twin, n, meets, got.Missing)
	}
	t.Logf("named %d of %d; not: %v", named, kits, fails)
	if 100*named < 95*kits {
		t.Error("want 95 %")
	}
}

// insideOf returns a point in the material of a part, just within its outline.
func insideOf(p geomtest.KitPart) geom.Point {
	q := p.Outer[0]
	in := q.TangentAt(0.5).Left().Mul(1e-3)
	if p.Outer.Area() < 0 {
		in = in.Mul(-1)
	}
	return q.At(0.5).Add(in)
}

// twinOf returns the number in rest of a part that is congruent with part p of
// the whole kit, 0 if there is none.
func twinOf(k *geomtest.Kit, whole, rest *outline.Sheet, p int) int {
	n := whole.Parts[whole.PartAt(insideOf(k.Parts[p]))].Number
	for i := range k.Parts {
		if i != p && whole.Parts[whole.PartAt(insideOf(k.Parts[i]))].Number == n {
			return rest.Parts[rest.PartAt(insideOf(k.Parts[i]))].Number
		}
	}
	return 0
}
