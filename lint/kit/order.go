package kit

import (
	"cmp"
	"fmt"
	"maps"
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

// order is an order of assembly being made.
type order struct {
	links  map[int32]map[int32]int // joints between two parts
	caught map[int32][]Captive     // by holder
	held   map[int32][]Captive     // by the part held
	placed map[int32]bool
	label  func(int32) string
	stages []Stage
}

// Order suggests an order in which the parts that have mates go together: an aid,
// no proof that it can be done. It starts each group with the part that meets
// most others and goes on with the part that joins most of what stands; a part
// that would shut a captive out waits until that is in. names are the labels of
// the parts, for the reasons; without them numbers are used.
func (k *Kit) Order(names []string) []Stage {
	o := &order{links: map[int32]map[int32]int{}, caught: map[int32][]Captive{}, held: map[int32][]Captive{}, placed: map[int32]bool{}}
	o.label = func(p int32) string {
		if int(p) < len(names) {
			return names[p]
		}
		return fmt.Sprint(k.Number(p))
	}
	for _, p := range k.Pairs {
		o.link(p.PartA, p.PartB)
		o.link(p.PartB, p.PartA)
	}
	for _, c := range k.Captives() {
		o.caught[c.A], o.caught[c.B] = append(o.caught[c.A], c), append(o.caught[c.B], c)
		o.held[c.Part] = append(o.held[c.Part], c)
	}
	parts := slices.Collect(maps.Keys(o.links))
	slices.SortFunc(parts, func(a, b int32) int { return cmp.Or(cmp.Compare(len(o.links[b]), len(o.links[a])), cmp.Compare(a, b)) })
	for _, start := range parts {
		if !o.placed[start] {
			o.group(start)
		}
	}
	return o.stages
}

func (o *order) link(a, b int32) {
	if o.links[a] == nil {
		o.links[a] = map[int32]int{}
	}
	o.links[a][b]++
}

// group places all that hangs together with a part, that first.
func (o *order) group(start int32) {
	front := map[int32]bool{} // parts that meet what stands
	place := func(s Stage) {
		for q := range o.links[s.Part] {
			if o.placed[q] {
				s.Meets = append(s.Meets, q)
			} else {
				front[q] = true
			}
		}
		slices.Sort(s.Meets)
		o.placed[s.Part] = true
		delete(front, s.Part)
		o.stages = append(o.stages, s)
	}
	place(Stage{Part: start, Start: true, Why: "meets " + counted(len(o.links[start]), "other part")})
	for len(front) > 0 {
		next, blocked, waits := o.choose(front)
		s := Stage{Part: next, Force: blocked, Why: o.why(next)}
		if blocked {
			s.Why = "part " + o.label(waits) + " must be sprung in: it is held between parts that are joined otherwise too"
		}
		place(s)
	}
}

// joints counts the joints between a part and what stands.
func (o *order) joints(p int32) (n int) {
	for q, joints := range o.links[p] {
		if o.placed[q] {
			n += joints
		}
	}
	return n
}

// choose returns the part to place next: one that shuts nothing out, with most
// joints to what stands, first on the sheet. If all shut something out, blocked is
// set and waits is what the chosen part shuts out.
func (o *order) choose(front map[int32]bool) (next int32, blocked bool, waits int32) {
	next = -1
	fewest, most := 0, 0
	for p := range front {
		shut, who := 0, int32(-1)
		for _, c := range o.caught[p] {
			if !o.placed[c.Part] && o.placed[c.A+c.B-p] {
				shut++
				if who < 0 || c.Part < who {
					who = c.Part
				}
			}
		}
		joints := o.joints(p)
		if next < 0 || shut < fewest || shut == fewest && (joints > most || joints == most && p < next) {
			next, fewest, most, waits = p, shut, joints, who
		}
	}
	return next, fewest > 0, waits
}

// why says in words why a part comes now.
func (o *order) why(p int32) string {
	why := counted(o.joints(p), "joint") + " to what stands"
	var closes []string
	for _, c := range o.caught[p] {
		if o.placed[c.Part] && o.placed[c.A+c.B-p] {
			if n := o.label(c.Part); !slices.Contains(closes, n) {
				closes = append(closes, n)
			}
		}
	}
	if len(closes) > 0 {
		return why + "; closes in part " + strings.Join(closes, ", ") + ", which had to be in place before"
	}
	for _, c := range o.held[p] {
		if o.placed[c.A] != o.placed[c.B] {
			later := c.A
			if o.placed[c.A] {
				later = c.B
			}
			return why + "; held captive, so before part " + o.label(later)
		}
	}
	return why
}

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
