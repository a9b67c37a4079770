package assembly_test

import (
	"math/rand/v2"
	"os"
	"sluice/geom/geomtest"
	"sluice/lint/assembly"
	"sluice/lint/kit"
	"sort"
	"strconv"
	"testing"
)

func TestDbg(t *testing.T) {
	seed, _ := strconv.Atoi(os.Getenv("SEED"))
	size, _ := strconv.Atoi(os.Getenv("SIZE"))
	k := geomtest.RandomStand(rand.New(rand.NewPCG(uint64(seed), 21)), os.Getenv("FAMILY"), size)
	k0 := k
	s := sheetOf(t, &geomtest.Kit{Parts: k.Parts})
	kk := kit.Find(s, kit.DefaultOptions())
	t.Logf("t %v play %v: %+v", k.Thickness, k.Play, kk.Thicknesses)
	n := map[string]int{}
	for i := range kk.Joints {
		j := &kk.Joints[i]
		n[strconv.Itoa(s.Parts[j.Part].Number)+" "+j.Kind.String()+" L "+strconv.FormatFloat(j.Length, 'f', 2, 64)+" W "+strconv.FormatFloat(j.Width, 'f', 2, 64)+" D "+strconv.FormatFloat(j.Depth, 'f', 2, 64)+" B "+strconv.FormatFloat(j.Behind, 'f', 2, 64)]++
	}
	var ks []string
	for x := range n {
		ks = append(ks, x)
	}
	sort.Strings(ks)
	for _, x := range ks {
		t.Log(x, "x", n[x])
	}
	for i := range kk.Edges {
		e := &kk.Edges[i]
		st := ""
		for _, x := range e.Steps {
			st += " " + strconv.FormatFloat(x.Pos-e.Steps[0].Pos, 'f', 1, 64)
			if x.Up {
				st += "u"
			} else {
				st += "d"
			}
		}
		t.Logf("edge of #%d part %d depth %.2f:%s", s.Parts[e.Part].Number, e.Part, e.Depth, st)
	}
	pr := map[string]int{}
	for _, p := range kk.Pairs {
		pr[strconv.Itoa(s.Parts[p.PartA].Number)+"-"+strconv.Itoa(s.Parts[p.PartB].Number)]++
	}
	t.Log(pr)
	a := assembly.Of(kk)
	for i := range a.Groups {
		g := &a.Groups[i]
		t.Logf("group %d share %.2f joints %d clashes %v trapped %v", i, g.Share, len(g.Joints), g.Clashes, g.Trapped)
		for _, j := range g.Joints {
			t.Logf("   %s %d-%d off %.2f", j.Kind, j.A, j.B, j.Off)
		}
		for k, p := range g.Parts {
			t.Logf("  %d part %d (#%d) z %.0f at %.1f others %d", k, p.Part, s.Parts[p.Part].Number, p.Pose.R[2], middle(s, p.Part, p.Pose, k0.Thickness), p.Others)
		}
	}
	if os.Getenv("DUMP") != "" {
		for i := range k.Parts {
			if k.Parts[i].Name == os.Getenv("DUMP") {
				tr := k.Parts[i].Outer
				for _, p := range tr {
					t.Logf("%.1f %.1f", p.A.X, p.A.Y)
				}
			}
		}
	}
	for i := range k.Parts {
		t.Log(k.Parts[i].Name, k.Parts[i].Outer.Box().W(), k.Parts[i].Outer.Box().H())
	}
}
func TestIdle(t *testing.T) {
	seed, _ := strconv.Atoi(os.Getenv("SEED"))
	size, _ := strconv.Atoi(os.Getenv("SIZE"))
	k := geomtest.RandomStand(rand.New(rand.NewPCG(uint64(seed), 21)), os.Getenv("FAMILY"), size)
	s := sheetOf(t, &geomtest.Kit{Parts: k.Parts})
	kk := kit.Find(s, kit.DefaultOptions())
	for i := range kk.Idle {
		j := &kk.Idle[i]
		if j.Kind == kit.Slot {
			t.Log(s.Parts[j.Part].Number, j.Kind, j.Length, j.Width)
		}
	}
	for i := range s.Parts {
		p := &s.Parts[i]
		t.Log(p.Number, p.Box.W(), p.Box.H(), len(p.Holes))
	}
}
