package assembly_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom"
	"sluice/geom/geomtest"
	"sluice/geom/outline"
	"sluice/geom/plate"
	"sluice/lint/assembly"
	"sluice/lint/kit"
)

// score is how much of a kit whose truth is known was rebuilt.
type score struct {
	joints, right int  // that close in truth, and of those, as many between parts of the same shape
	whole         bool // all groups have their parts, and every joint closes
	same          bool // they stand as in truth, or mirrored
}

// judge compares a rebuilt kit with the truth. Parts alike are interchangeable: a group
// stands where its distances, by the numbers of the parts, are those of the truth.
func judge(k *geomtest.Stand, s *outline.Sheet, a *assembly.Kit) score {
	return judgeBy(k, s, a, func(p int) int { return s.Parts[p].Number })
}

// judgeBy compares a rebuilt kit with the truth by numbers of its own for the parts alike.
func judgeBy(k *geomtest.Stand, s *outline.Sheet, a *assembly.Kit, number func(p int) int) score {
	var out score
	of := make([]int, len(k.Parts)) // by part in truth: the sheet's
	for i := range k.Parts {
		c := k.Parts[i].Outer.Box().Center()
		of[i] = slices.IndexFunc(s.Parts, func(p outline.Part) bool { return p.Box.Center().Dist(c) < 1e-6 })
	}
	want, got := map[string]int{}, map[string]int{}
	pair := func(kind string, p, q int) string { return fmt.Sprint(kind, min(p, q), max(p, q)) }
	truth := map[int][]stands{}
	for _, j := range k.Joints {
		want[pair(j.Kind, number(of[j.A]), number(of[j.B]))]++
	}
	for i, g := range k.Groups {
		if g >= 0 {
			truth[g] = append(truth[g], stands{number(of[i]), middle(s, of[i], k.Poses[i], k.Thick[i])})
		}
	}
	var found []string
	for i := range a.Groups {
		g := &a.Groups[i]
		var all []stands
		for _, p := range g.Parts {
			all = append(all, stands{number(p.Part), middle(s, p.Part, p.Pose, a.PlateOf(p.Part))})
		}
		found = append(found, shape(all))
		for _, j := range g.Joints {
			got[pair(j.Kind, number(g.Parts[j.A].Part), number(g.Parts[j.B].Part))]++
		}
	}
	for p, n := range want {
		out.joints += n
		out.right += min(n, got[p])
	}
	out.whole = len(found) == len(truth)
	for i := range a.Groups {
		out.whole = out.whole && a.Groups[i].Share == 1 && len(a.Groups[i].Clashes) == 0
	}
	out.same = true
	for _, all := range truth {
		i := slices.Index(found, shape(all))
		if i < 0 {
			out.same = false
			break
		}
		found = slices.Delete(found, i, i+1)
	}
	return out
}

type stands struct {
	number int
	at     plate.Vec
}

func middle(s *outline.Sheet, p int, pose plate.Pose, t float64) plate.Vec {
	return pose.Apply(plate.Flat(s.Parts[p].Box.Center(), t/2))
}

// shape writes a group down so that another that stands the same way, or mirrored, reads
// alike.
func shape(all []stands) string {
	sum := map[[2]int]float64{}
	for i, a := range all {
		for _, b := range all[:i] {
			d := a.at.Sub(b.at).Norm()
			sum[[2]int{min(a.number, b.number), max(a.number, b.number)}] += d * math.Sqrt(d)
		}
	}
	keys := make([][2]int, 0, len(sum))
	for k := range sum {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, func(a, b [2]int) int { return slices.Compare(a[:], b[:]) })
	text := fmt.Sprint(len(all))
	for _, k := range keys {
		text += fmt.Sprintf(" %d-%d:%.2g", k[0], k[1], sum[k])
	}
	return text
}

// TestStands rebuilds kits of all families: every joint closes, every step can be made, as a
// simulation of its own says, and what cannot be put together is told.
func TestStands(t *testing.T) {
	sizes, seeds := []int{5, 12, 30}, uint64(8)
	if testing.Short() {
		sizes, seeds = []int{8}, 3
	}
	kits, whole, same, joints, right := 0, 0, 0, 0, 0
	for _, family := range geomtest.Families() {
		for _, size := range sizes {
			for seed := range seeds {
				k := geomtest.RandomStand(rand.New(rand.NewPCG(seed, 21)), family, size)
				s := sheetOf(t, &geomtest.Kit{Parts: k.Parts})
				a := assembly.Of(kit.Find(s, kit.DefaultOptions()))
				name := fmt.Sprintf("%s of %d, %d", family, size, seed)
				trapped := 0
				for i := range a.Groups {
					trapped += len(a.Groups[i].Trapped)
					if w := stepsHold(a, s, &a.Groups[i]); w != "" {
						t.Errorf("%s:%s", name, w)
					}
				}
				if (trapped > 0) != k.Trapped {
					t.Errorf("%s: %d loops are told, trapped is %v", name, trapped, k.Trapped)
				}
				sc := judge(k, s, a)
				kits, joints, right = kits+1, joints+sc.joints, right+sc.right
				if sc.same {
					same++
				}
				if sc.whole {
					whole++
				} else {
					t.Logf("%s is not whole: %d of %d joints", name, sc.right, sc.joints)
				}
			}
		}
	}
	t.Logf("%d of %d kits whole, %d just as they were made, %d of %d joints between the same parts", whole, kits, same, right, joints)
	if whole < kits*95/100 || right < joints*98/100 {
		t.Errorf("%d of %d kits whole, %d of %d joints", whole, kits, right, joints)
	}
}

// TestMixedStands rebuilds kits of plates of two thicknesses: each part is as thick as it was
// made, every joint closes and every step can be made.
func TestMixedStands(t *testing.T) {
	kits, whole := 0, 0
	for _, family := range geomtest.MixedFamilies() {
		for _, size := range []int{6, 14} {
			for seed := range uint64(8) {
				k := geomtest.MixedStand(rand.New(rand.NewPCG(seed, 71)), family, size)
				s := sheetOf(t, &geomtest.Kit{Parts: k.Parts})
				a := assembly.Of(kit.Find(s, mixedOptions()))
				name := fmt.Sprintf("%s of %d, %d", family, size, seed)
				if len(a.Plates) != 2 {
					t.Logf("%s: plates of %v, made of %v", name, a.Plates, k.Thick)
				}
				for i := range a.Groups {
					if w := stepsHold(a, s, &a.Groups[i]); w != "" {
						t.Errorf("%s:%s", name, w)
					}
				}
				kits++
				if sc := judge(k, s, a); sc.whole && sc.same {
					whole++
				} else {
					t.Logf("%s: %d of %d joints, %v", name, sc.right, sc.joints, summary(a))
				}
			}
		}
	}
	t.Logf("%d of %d kits stand as they were made", whole, kits)
	if whole < kits*95/100 {
		t.Errorf("%d of %d kits stand", whole, kits)
	}
}

func mixedOptions() kit.Options {
	o := kit.DefaultOptions()
	o.Mixed = true
	return o
}

// TestTwins rebuilds kits that are in a drawing twice, beside parts that only look as if
// they belonged there: both stand.
func TestTwins(t *testing.T) {
	seeds := uint64(4)
	if testing.Short() {
		seeds = 1
	}
	kits, whole := 0, 0
	for _, family := range geomtest.Families() {
		for seed := range seeds {
			k := geomtest.Twins(rand.New(rand.NewPCG(seed, 51)), family, 6+2*int(seed))
			s := sheetOf(t, &geomtest.Kit{Parts: k.Parts})
			a := assembly.Of(kit.Find(s, kit.DefaultOptions()))
			kits++
			if sc := judge(k, s, a); sc.whole {
				whole++
			} else {
				t.Logf("%s %d: %d of %d joints, %v", family, seed, sc.right, sc.joints, summary(a))
			}
		}
	}
	t.Logf("%d of %d twins stand", whole, kits)
	if whole < kits*9/10 {
		t.Errorf("%d of %d twins stand", whole, kits)
	}
}

// TestStandsMoved rebuilds kits whose parts are drawn in another order, turned and turned
// over: as much of them stands.
func TestStandsMoved(t *testing.T) {
	for _, family := range geomtest.Families() {
		for seed := range uint64(3) {
			k := geomtest.RandomStand(rand.New(rand.NewPCG(seed, 41)), family, 9)
			base := assembly.Of(kit.Find(sheetOf(t, &geomtest.Kit{Parts: k.Parts}), kit.DefaultOptions()))
			moved := k.Moved(rand.New(rand.NewPCG(seed, 42)))
			again := assembly.Of(kit.Find(sheetOf(t, &geomtest.Kit{Parts: moved.Parts}), kit.DefaultOptions()))
			if d := cmp.Diff(summary(base), summary(again)); d != "" {
				t.Errorf("%s %d (-as made +moved):\n%s", family, seed, d)
			}
		}
	}
}

// summary is what of a rebuilt kit does not depend on how it is drawn.
func summary(k *assembly.Kit) (out []string) {
	for i := range k.Groups {
		g := &k.Groups[i]
		out = append(out, fmt.Sprintf("%d parts, %d joints, %.3f close, %d trapped, %d clashes", len(g.Parts), len(g.Joints), g.Share, len(g.Trapped), len(g.Clashes)))
	}
	slices.Sort(out)
	return append(out, fmt.Sprintf("%d alone, %d missing", len(k.Unplaced), len(k.Missing)))
}

// stepsHold goes through the steps of a group and says what is wrong with them: each part
// once, each moving into place past what stands.
func stepsHold(k *assembly.Kit, s *outline.Sheet, g *assembly.Group) string {
	solid := make([]*geomtest.Solid, len(g.Parts))
	for i, p := range g.Parts {
		part := &s.Parts[p.Part]
		paths := []geom.Path{s.Outlines[part.Outer].Pieces}
		for _, h := range part.Holes {
			paths = append(paths, s.Outlines[h].Pieces)
		}
		solid[i] = geomtest.NewSolid(paths, k.PlateOf(p.Part), p.Pose, 0.05)
	}
	put := map[int]int{}
	wrong := ""
	var run func(steps []assembly.Step, depth int)
	run = func(steps []assembly.Step, depth int) {
		var standing []int
		for n, st := range steps {
			if len(st.With) > 0 {
				run(st.With, depth+1)
			} else {
				for _, i := range st.Parts {
					put[i]++
				}
			}
			if n == 0 && st.Along != (plate.Vec{0, 0, -1}) {
				wrong += " first step aslant"
			}
			for _, i := range st.Parts {
				for _, o := range standing {
					if !solid[i].Passes(solid[o], st.Along) {
						wrong += fmt.Sprintf(" step %d: %d meets %d along %v", n+1, i, o, st.Along)
					}
				}
			}
			standing = append(standing, st.Parts...)
		}
	}
	run(g.Steps, 0)
	for _, t := range g.Trapped {
		for _, i := range t.Parts {
			put[i]++
		}
	}
	for i := range g.Parts {
		if put[i] != 1 {
			wrong += fmt.Sprintf(" part %d put in %d times", i, put[i])
		}
	}
	return wrong
}
