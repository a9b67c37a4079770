package report

import (
	"fmt"
	"slices"
	"strings"

	"sluice/lint/assembly"
)

// boltTexts tells bolts of a group: those through one part into another in one line, and
// slots for a bolt before which there is no hole.
func (a *Assembly) boltTexts(g *assembly.Group, bolts []assembly.Bolt) (lines []string) {
	type pair struct {
		through, into string
		hole          bool
	}
	var order []pair
	count := map[pair]int{}
	for i := range bolts {
		b := &bolts[i]
		p := pair{clean(a.Name(g.Parts[b.Through].Part)), clean(a.Name(g.Parts[b.Into].Part)), b.Hole > 0}
		if count[p]++; count[p] == 1 {
			order = append(order, p)
		}
	}
	for _, p := range order {
		if p.hole {
			lines = append(lines, fmt.Sprintf("%s through part %s into the nut in part %s", plural(count[p], "bolt"), p.through, p.into))
			continue
		}
		lines = append(lines, fmt.Sprintf("no hole in part %s for %s of part %s", p.through, plural(count[p], "bolt slot"), p.into))
	}
	return lines
}

// boltsOf returns the bolts that can go in once a turn is done: one of their parts comes with
// it, the other then stands. What is joined before has its own bolts by then.
func (v *groupView) boltsOf(t *turn) (bolts []assembly.Bolt) {
	for _, b := range v.g.Bolts {
		into, through := slices.Contains(t.Parts, b.Into), slices.Contains(t.Parts, b.Through)
		together := into && through && t.Letter == ""
		if b.Hole > 0 && (together || into && t.Stands[b.Through] || through && t.Stands[b.Into]) {
			bolts = append(bolts, b)
		}
	}
	return bolts
}

// boltWords tells those bolts in a sentence each, after a space.
func (v *groupView) boltWords(t *turn) (s string) {
	for _, line := range v.a.boltTexts(v.g, v.boltsOf(t)) {
		s += " Then " + line + "."
	}
	return s
}

// stackText names the parts of a stack from the bottom up.
func (a *Assembly) stackText(s *assembly.Stack) string {
	var names []string
	for i := range s.Parts {
		names = append(names, clean(a.Name(s.Parts[i].Part)))
	}
	return fmt.Sprintf("parts %s from the bottom up; %s", strings.Join(names, ", "), stackWhy(s))
}
