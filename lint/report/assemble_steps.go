package report

import (
	"fmt"
	"slices"
	"strings"

	"sluice/geom/plate"
	"sluice/lint/assembly"
)

// turn is what one picture of a leaflet shows: a step, or equal ones together.
type turn struct {
	Parts  []int // indices in the group's Parts
	Steps  [][]int
	Along  plate.Vec
	First  bool   // nothing stands yet
	Letter string // of the subassembly that goes in
	Stands []bool // by part: it stands before
}

// chapter is turns that follow each other.
type chapter struct {
	Letter string // of a subassembly, "" for a group
	Parts  []int
	Turns  []turn
}

// chapters returns the turns of a group: first those of parts that are joined before
// they go in. letter names them one after the other.
func (v *groupView) chapters(letter func() string) []chapter {
	all := make([]int, len(v.g.Parts))
	for i := range all {
		all[i] = i
	}
	return v.chapter(nil, all, v.g.Steps, "", letter)
}

func (v *groupView) chapter(before []chapter, parts []int, steps []assembly.Step, name string, letter func() string) []chapter {
	c := chapter{Letter: name, Parts: parts}
	stands := make([]bool, len(v.g.Parts))
	for _, i := range parts {
		stands[i] = true
	}
	for i := range steps { // what is in no step stands from the start: it is trapped
		for _, k := range steps[i].Parts {
			stands[k] = false
		}
	}
	for i := range steps {
		s := &steps[i]
		t := turn{Parts: s.Parts, Steps: [][]int{s.Parts}, Along: s.Along, First: !slices.Contains(stands, true)}
		if len(s.With) > 0 {
			t.Letter = letter()
			before = v.chapter(before, s.Parts, s.With, t.Letter, letter)
		}
		if n := len(c.Turns); n > 0 && v.alike(&c.Turns[n-1], &t) {
			last := &c.Turns[n-1]
			last.Parts = slices.Concat(last.Parts, t.Parts)
			last.Steps = append(last.Steps, t.Parts)
		} else {
			t.Stands = slices.Clone(stands)
			c.Turns = append(c.Turns, t)
		}
		for _, k := range s.Parts {
			stands[k] = true
		}
	}
	return append(before, c)
}

// alike reports whether a step may be told together with those before it: it puts in a
// part of the same number in the same direction, and it matters to none which comes first.
func (v *groupView) alike(last, t *turn) bool {
	if last.First || last.Letter != "" || t.Letter != "" || len(t.Parts) != 1 || last.Along.Dot(t.Along) < 0.9999 {
		return false
	}
	name := func(i int) string { return v.a.Name(v.g.Parts[i].Part) }
	for _, i := range last.Parts {
		if name(i) != name(t.Parts[0]) || v.joined(i, t.Parts[0]) || v.meetsOnWay(i, t.Parts[0], t.Along) || v.meetsOnWay(t.Parts[0], i, t.Along) {
			return false
		}
	}
	return true
}

// joined reports whether two parts of a group have a joint with each other.
func (v *groupView) joined(a, b int) bool {
	return slices.ContainsFunc(v.g.Joints, func(j assembly.Joint) bool { return j.A == a && j.B == b || j.A == b && j.B == a })
}

// meetsOnWay reports whether the box of a part, on its way in, meets that of another.
func (v *groupView) meetsOnWay(moves, stays int, along plate.Vec) bool {
	const slack = 0.2 // mm
	m, s := v.boxes[moves], v.boxes[stays]
	from, to := 0.0, v.hi.Sub(v.lo).Norm()*2 // how far back it is
	for k := range 3 {
		// m less d times the distance has to overlap s along each axis.
		lo, hi := m[0][k]-s[1][k]+slack, m[1][k]-s[0][k]-slack // the distance lies between these, over the direction
		switch d := along[k]; {
		case d > 1e-9:
			from, to = max(from, lo/d), min(to, hi/d)
		case d < -1e-9:
			from, to = max(from, hi/d), min(to, lo/d)
		case lo >= 0 || hi <= 0:
			return false
		}
	}
	return from < to
}

// pull is how far, mm, parts are drawn back from where they go: until their boxes are
// free of those of the parts that they meet, and a little farther.
func (v *groupView) pull(t *turn) float64 {
	size := v.hi.Sub(v.lo).Norm()
	far, part := 0.0, 0.0
	for _, i := range t.Parts {
		part = max(part, v.boxes[i][1].Sub(v.boxes[i][0]).Norm())
		for k, stands := range t.Stands {
			if !stands || !v.joined(i, k) {
				continue
			}
			free := size
			for n := range 3 {
				m, s := v.boxes[i], v.boxes[k]
				switch d := t.Along[n]; {
				case d > 0.1:
					free = min(free, (m[1][n]-s[0][n])/d)
				case d < -0.1:
					free = min(free, (m[0][n]-s[1][n])/d)
				}
			}
			far = max(far, free)
		}
	}
	return min(max(far, 0)+min(0.1*size, 0.4*part), size)
}

// timesWord says how often.
func timesWord(n int) string {
	words := []string{"", "once", "twice", "three times", "four times", "five times", "six times", "seven times", "eight times", "nine times", "ten times", "eleven times", "twelve times"}
	if n < len(words) {
		return words[n]
	}
	return fmt.Sprintf("%d times", n)
}

// named lists parts of a group by their numbers: "parts 4, 7 (twice) and 9".
func (v *groupView) named(parts []int) string {
	n := map[string]int{}
	var order []string
	for _, i := range parts {
		name := dash(clean(v.a.Name(v.g.Parts[i].Part)))
		if n[name] == 0 {
			order = append(order, name)
		}
		n[name]++
	}
	word := "part "
	if len(order) > 1 {
		word = "parts "
	}
	for i, name := range order {
		if n[name] > 1 {
			order[i] = name + " (" + timesWord(n[name]) + ")"
		}
	}
	return word + listed(order)
}

// nameOf names what goes in: a part, or several joined before.
func (v *groupView) nameOf(t *turn) string {
	if t.Letter != "" {
		return "Subassembly " + t.Letter
	}
	return "Part " + dash(clean(v.a.Name(v.g.Parts[t.Parts[0]].Part)))
}

// title names what goes in, and how often.
func (v *groupView) title(t *turn) string {
	if len(t.Steps) > 1 && t.Letter == "" {
		return v.nameOf(t) + ", " + timesWord(len(t.Steps))
	}
	return v.nameOf(t)
}

// mostNamed is how many parts a step names at most.
const mostNamed = 6

// words says in one line what a turn brings together.
func (v *groupView) words(t *turn, sub bool) string {
	switch {
	case t.First && sub:
		return "Begin with it. It is drawn as it will stand."
	case t.First:
		return "It lies on the table."
	}
	var meets []int
	for k, stands := range t.Stands {
		if stands && slices.ContainsFunc(t.Parts, func(i int) bool { return v.joined(i, k) }) {
			meets = append(meets, k)
		}
	}
	many := len(t.Steps) > 1 && len(meets) > 1 // each may meet others
	verb := func(one string) string {
		if many {
			return one
		}
		return one + "s"
	}
	s := "It "
	switch {
	case many:
		s = "They "
	case len(t.Steps) > 1:
		s = "Each "
	}
	way := wayText(t.Along)
	if strings.HasPrefix(way, "from") {
		s += verb("come") + " " + way
	} else {
		s += verb("move") + " " + way
	}
	switch {
	case len(meets) > mostNamed:
		s += " and " + verb("meet") + " " + plural(len(meets), "part") + slantText(v.g, t.Parts, meets)
	case len(meets) > 0:
		s += " and " + verb("meet") + " " + v.named(meets) + slantText(v.g, t.Parts, meets)
	}
	return s + "."
}
