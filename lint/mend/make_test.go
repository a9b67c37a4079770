package mend_test

import (
	"bytes"
	"math/rand/v2"
	"testing"

	"sluice/geom/geomtest"
	"sluice/lint"
	"sluice/lint/job"
)

// wanting returns the findings of joints without a mate that have a choice.
func wanting(r *lint.Result, choice string) (n int) {
	for i := range r.Findings {
		for _, c := range r.Findings[i].Choices {
			if r.Findings[i].Rule == "unmatched-joint" && c.Name == choice {
				n++
			}
		}
	}
	return n
}

// wanted counts the plates that the choice make adds: one that meets several joints is
// offered with each of them, and added once.
func wanted(r *lint.Result) (n int) {
	seen := map[string]bool{}
	for i := range r.Findings {
		for _, c := range r.Findings[i].Choices {
			if c.Name != "make" || c.Act != "" && seen[c.Act] {
				continue
			}
			seen[c.Act] = true
			n++
		}
	}
	return n
}

// TestMake takes a part out of random kits, and has plates made for the joints that miss
// it, or those joints closed: then none is without a mate.
func TestMake(t *testing.T) {
	kits := 40
	if testing.Short() {
		kits = 8
	}
	asked, left := map[string]int{}, map[string]int{}
	one, lacking := 0, 0
	for seed := range kits {
		rng := rand.New(rand.NewPCG(uint64(seed), 5))
		whole := geomtest.RandomKit(rng)
		rest, lost := whole.Without(rng.IntN(len(whole.Parts)))
		if len(lost) == 0 {
			continue
		}
		var d geomtest.Drafter
		for _, p := range kitPaths(rest) {
			for _, q := range p {
				d.Piece(q, 0)
			}
		}
		data := d.Bytes()
		first := judged(t, data)
		lacking++
		for _, choice := range []string{"make", "fill"} {
			n := wanting(first, choice)
			if n == 0 {
				continue
			}
			j := job.Default()
			j.Tabs.Parts, j.Labels.Parts = "none", "none"
			j.Answers = answersTo(t, first, map[string]string{"unmatched-joint": choice})
			rep, out := repair(t, "kit", data, j)
			asked[choice] += n
			for i := range rep.Left {
				if f := &rep.Left[i]; f.Rule == "unmatched-joint" && (choice == "make" || len(f.Choices) > 2) {
					left[choice]++
					t.Logf("kit %d (%v), %s: left %s", seed, whole.Name, choice, f.Message)
				}
			}
			made, want := 0, wanted(first)
			for i := range rep.Edits {
				if rep.Edits[i].Kind == "make-part" {
					made++
				}
			}
			if choice == "make" && (made != want || len(rep.After.Sheet.Parts) != len(first.Sheet.Parts)+want) {
				t.Errorf("kit %d: %d plates made of %d, %d parts of %d", seed, made, want, len(rep.After.Sheet.Parts), len(first.Sheet.Parts))
			}
			if choice == "make" && want == 1 {
				one++
			} else if choice == "make" {
				t.Logf("kit %d (%v): %d plates for %d joints", seed, whole.Name, want, n)
			}
			if again, twice := repair(t, "kit", out, j); !bytes.Equal(out, twice) {
				t.Errorf("kit %d, %s: a second repair makes %d edits", seed, choice, len(again.Edits))
			}
			if choice == "make" {
				for i := range rep.Left {
					if f := &rep.Left[i]; f.Rule == "close-parts" || f.Rule == "crossing-outlines" || f.Rule == "shared-edge" {
						t.Errorf("kit %d: %s %s", seed, f.Rule, f.Message)
					}
				}
			}
		}
	}
	t.Logf("of %d kits %d are made whole by one plate", lacking, one)
	if one*10 < lacking*8 {
		t.Errorf("of %d kits %d are made whole by one plate", lacking, one)
	}
	if asked["make"] < kits/2 || asked["fill"] < kits/2 || left["make"]+left["fill"] > 0 {
		t.Errorf("asked %v, left %v", asked, left)
	}
}
