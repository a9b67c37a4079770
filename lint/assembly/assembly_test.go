package assembly_test

import (
	"bytes"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"sluice/geom/drawing"
	"sluice/geom/geomtest"
	"sluice/geom/outline"
	"sluice/lint"
	"sluice/lint/assembly"
	"sluice/lint/job"
	"sluice/lint/kit"
	"sluice/lint/rules"
)

func sheetOf(t *testing.T, k *geomtest.Kit) *outline.Sheet {
	t.Helper()
	var ss []drawing.Stroke
	for _, p := range k.Parts {
		for _, q := range p.Outer {
			ss = append(ss, drawing.Stroke{Piece: q, Entity: -1})
		}
		for _, h := range p.Holes {
			for _, q := range h {
				ss = append(ss, drawing.Stroke{Piece: q, Entity: -1})
			}
		}
	}
	cut := func(*drawing.Stroke) outline.Role { return outline.Cut }
	s, err := outline.Build(t.Context(), ss, cut, outline.Options{Join: 0.001, Gap: 0.5, Same: 0.01, Search: 10, Kerf: 1})
	if err != nil {
		t.Fatal(err)
	}
	s.Number(0.02)
	return s
}

// TestRandomKits rebuilds boxes, ladders, ribs, egg crates and carcasses: all parts in
// one group, every joint closed, nothing inside anything else, every part put in once.
func TestRandomKits(t *testing.T) {
	kits := 120
	if testing.Short() {
		kits = 20
	}
	whole := 0
	for seed := range kits {
		k := geomtest.RandomKit(rand.New(rand.NewPCG(uint64(seed), 5)))
		a := assembly.Of(kit.Find(sheetOf(t, k), kit.DefaultOptions()))
		for i := range a.Groups {
			put := map[int]int{}
			count(a.Groups[i].Steps, put)
			trapped := 0
			for _, x := range a.Groups[i].Trapped {
				trapped += len(x.Parts)
			}
			for p, n := range put {
				if n != 1 {
					t.Errorf("kit %d: part %d is put in %d times", seed, p, n)
				}
			}
			if len(put)+trapped < len(a.Groups[i].Parts) {
				t.Errorf("kit %d: %d of %d parts are put in", seed, len(put), len(a.Groups[i].Parts))
			}
			for _, j := range a.Groups[i].Joints {
				if j.Off > 0.5 || j.Angle > 0.5 || math.IsNaN(j.Off) {
					t.Errorf("kit %d: a joint closes by %g mm and %g degrees", seed, j.Off, j.Angle)
				}
			}
		}
		if len(a.Groups) == 1 && len(a.Unplaced) == 0 && a.Whole() {
			whole++
		}
	}
	if whole < kits*95/100 {
		t.Errorf("%d of %d kits are wholly rebuilt", whole, kits)
	}
	t.Logf("%d of %d kits are wholly rebuilt", whole, kits)
}

// TestMissing takes a part out of random kits: where its joints were, a plate is wanted
// that meets the parts it met.
func TestMissing(t *testing.T) {
	kits := 60
	if testing.Short() {
		kits = 12
	}
	found, asked := 0, 0
	for seed := range kits {
		rng := rand.New(rand.NewPCG(uint64(seed), 6))
		k := geomtest.RandomKit(rng)
		p := rng.IntN(len(k.Parts))
		rest, lost := k.Without(p)
		met := map[int]bool{} // parts of the rest that it met
		for _, j := range lost {
			q := k.Joints[j].Part
			if q > p {
				q--
			}
			met[q] = true
		}
		for _, m := range k.EdgeMates {
			if m.PartA == p || m.PartB == p {
				q := m.PartA + m.PartB - p
				if q > p {
					q--
				}
				met[q] = true
			}
		}
		s := sheetOf(t, rest)
		a := assembly.Of(kit.Find(s, kit.DefaultOptions()))
		if len(met) < 2 || len(a.Groups) != 1 || len(a.Unplaced) > 0 {
			continue // it falls to pieces without that part
		}
		asked++
		at := map[int]bool{} // parts of the sheet
		for q := range met {
			c := rest.Parts[q].Outer.Box().Center()
			for i := range s.Parts {
				if s.Parts[i].Box.Center().Dist(c) < 1e-6 {
					at[i] = true
				}
			}
		}
		was := found
		for _, m := range a.Missing {
			n := 0
			for _, i := range m.Meets {
				if at[a.Groups[0].Parts[i].Part] {
					n++
				}
			}
			if n == len(at) && n == len(m.Meets) {
				found++
				break
			}
		}
		if found == was {
			t.Logf("kit %d (%s): a part that meets %d is not found; %d are told, %.2f of the joints close", seed, k.Name, len(at), len(a.Missing), a.Groups[0].Share)
		}
	}
	t.Logf("%d of %d missing parts are found", found, asked)
	if asked < kits/2 || found*10 < asked*9 {
		t.Errorf("%d of %d missing parts are found", found, asked)
	}
}

// count counts how often each part is put in on its own.
func count(steps []assembly.Step, put map[int]int) {
	for _, s := range steps {
		if len(s.With) > 0 {
			count(s.With, put)
			continue
		}
		for _, p := range s.Parts {
			put[p]++
		}
	}
}

// TestSamples rebuilds what real drawings hold: a case of six panels, and two chutes of
// four parts each.
func TestSamples(t *testing.T) {
	for _, tt := range []struct {
		file   string
		groups []int
	}{{"case-sheet-old-polyline.dxf", []int{6}}, {"slot-chute-eight-parts.dxf", []int{4, 4}}} {
		data, err := os.ReadFile(filepath.Join("..", "..", "..", "shared", "samples", tt.file))
		if err != nil {
			t.Skip("no samples")
		}
		r := lint.Check(t.Context(), tt.file, bytes.NewReader(data), job.Default(), lint.Options{Rules: rules.All(), Plain: true})
		if r.Err != nil {
			t.Fatal(r.Err)
		}
		a := assembly.Of(r.Kit())
		if len(a.Groups) != len(tt.groups) || !a.Whole() {
			t.Errorf("%s: %d groups, whole %v", tt.file, len(a.Groups), a.Whole())
			continue
		}
		for i, n := range tt.groups {
			if len(a.Groups[i].Parts) != n || a.Groups[i].Share < 1 {
				t.Errorf("%s: group %d has %d parts, %.2f of their joints close", tt.file, i+1, len(a.Groups[i].Parts), a.Groups[i].Share)
			}
		}
	}
}
