package kit

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Captive is a part held on two opposite sides by tabs in closed slots of two
// other parts: it must go in before those two are joined, or the one of them
// that closes it in comes last.
type Captive struct {
	Part int32
	A, B int32 // the parts whose slots hold it, A < B
}

// Stage is one step of putting a kit together.
type Stage struct {
	Part  int32
	Meets []int32 // parts already in place that it joins, ascending
	Start bool    // the first part of a group that hangs together
	Why   string
	Force bool // nothing else was left: a held part has to be sprung in
}

// Captives returns the parts that are held captive, by part.
func (k *Kit) Captives() []Captive {
	type hold struct{ tab, slot int }
	of := map[int32][]hold{}
	for _, p := range k.Pairs {
		if p.JointA >= 0 && k.Joints[p.JointA].Kind == Tab && k.Joints[p.JointB].Kind == Slot {
			of[p.PartA] = append(of[p.PartA], hold{p.JointA, p.JointB})
		}
	}
	var out []Captive
	for part, hs := range of {
		seen := map[[2]int32]bool{}
		for i := range hs {
			for j := i + 1; j < len(hs) && j < i+manyTries; j++ {
				a, b := k.Joints[hs[i].slot].Part, k.Joints[hs[j].slot].Part
				if a == b || k.Joints[hs[i].tab].Out.Dot(k.Joints[hs[j].tab].Out) > -0.99 {
					continue
				}
				pair := [2]int32{min(a, b), max(a, b)}
				if !seen[pair] {
					seen[pair] = true
					out = append(out, Captive{Part: part, A: pair[0], B: pair[1]})
				}
			}
		}
	}
	slices.SortFunc(out, func(a, b Captive) int {
		return cmp.Or(cmp.Compare(a.Part, b.Part), cmp.Compare(a.A, b.A), cmp.Compare(a.B, b.B))
	})
	return out
}

// Order suggests an order in which the parts that have mates go together: an aid,
// no proof that it can be done. It starts each group with the part that meets
// most others and goes on with the part that joins most of what stands; a part
// that would shut a captive out waits until that is in. names are the labels of
// the parts, for the reasons; without them numbers are used.
func (k *Kit) Order(names []string) []Stage {
	label := func(p int32) string {
		if int(p) < len(names) {
			return names[p]
		}
		return fmt.Sprint(k.Number(p))
	}
	near := map[int32]map[int32]int{} // joints between two parts
	link := func(a, b int32) {
		if near[a] == nil {
			near[a] = map[int32]int{}
		}
		near[a][b]++
	}
	for _, p := range k.Pairs {
		link(p.PartA, p.PartB)
		link(p.PartB, p.PartA)
	}
	var parts []int32
	for p := range near {
		parts = append(parts, p)
	}
	slices.SortFunc(parts, func(a, b int32) int { return cmp.Or(cmp.Compare(len(near[b]), len(near[a])), cmp.Compare(a, b)) })
	caught := map[int32][]Captive{} // by holder
	held := map[int32][]Captive{}   // by the part held
	for _, c := range k.Captives() {
		caught[c.A], caught[c.B] = append(caught[c.A], c), append(caught[c.B], c)
		held[c.Part] = append(held[c.Part], c)
	}
	placed := map[int32]bool{}
	var steps []Stage
	for _, start := range parts {
		if placed[start] {
			continue
		}
		place := func(p int32, s Stage) {
			s.Part = p
			for q := range near[p] {
				if placed[q] {
					s.Meets = append(s.Meets, q)
				}
			}
			slices.Sort(s.Meets)
			placed[p] = true
			steps = append(steps, s)
		}
		place(start, Stage{Start: true, Why: fmt.Sprintf("meets %s", count(len(near[start]), "other part"))})
		front := map[int32]bool{}
		for q := range near[start] {
			front[q] = true
		}
		for len(front) > 0 {
			next, blocked, waits := k.choose(front, near, placed, caught)
			s := Stage{Force: blocked, Why: k.why(next, near, placed, caught, held, label)}
			if blocked {
				s.Why = "part " + label(waits) + " must be sprung in: it is held between parts that are joined otherwise too"
			}
			place(next, s)
			delete(front, next)
			for q := range near[next] {
				if !placed[q] {
					front[q] = true
				}
			}
		}
	}
	return steps
}

// choose returns the part to place next: one that shuts nothing out, with most
// joints to what stands, fewest others still to come, first on the sheet. If all
// shut something out, blocked is set and waits is what the chosen part shuts out.
func (k *Kit) choose(front map[int32]bool, near map[int32]map[int32]int, placed map[int32]bool, caught map[int32][]Captive) (next int32, blocked bool, waits int32) {
	next = -1
	bestShut, bestJoints := 0, 0
	for p := range front {
		shut, who := 0, int32(-1)
		for _, c := range caught[p] {
			other := c.A + c.B - p
			if !placed[c.Part] && placed[other] {
				shut++
				if who < 0 || c.Part < who {
					who = c.Part
				}
			}
		}
		joints := 0
		for q, n := range near[p] {
			if placed[q] {
				joints += n
			}
		}
		if next < 0 || shut < bestShut || shut == bestShut && (joints > bestJoints || joints == bestJoints && p < next) {
			next, bestShut, bestJoints, waits = p, shut, joints, who
		}
	}
	return next, bestShut > 0, waits
}

// why says in words why a part comes now.
func (k *Kit) why(p int32, near map[int32]map[int32]int, placed map[int32]bool, caught, held map[int32][]Captive, label func(int32) string) string {
	joints := 0
	for q, n := range near[p] {
		if placed[q] {
			joints += n
		}
	}
	why := count(joints, "joint") + " to what stands"
	var closes []string
	for _, c := range caught[p] {
		if placed[c.Part] && placed[c.A+c.B-p] {
			if n := label(c.Part); !slices.Contains(closes, n) {
				closes = append(closes, n)
			}
		}
	}
	if len(closes) > 0 {
		return why + "; closes in part " + strings.Join(closes, ", ") + ", which had to be in place before"
	}
	for _, c := range held[p] {
		if placed[c.A] != placed[c.B] {
			later := c.A
			if placed[c.A] {
				later = c.B
			}
			return why + "; held captive, so before part " + label(later)
		}
	}
	return why
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
