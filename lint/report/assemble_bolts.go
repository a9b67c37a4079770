package report

import (
	"fmt"
	"strings"

	"sluice/lint/assembly"
)

// boltTexts tells the bolts of a group: those through one part into another in one line, and
// slots for a bolt before which there is no hole.
func (a *Assembly) boltTexts(g *assembly.Group) (lines []string) {
	type pair struct {
		through, into string
		hole          bool
	}
	var order []pair
	count := map[pair]int{}
	for i := range g.Bolts {
		b := &g.Bolts[i]
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

// stackText names the parts of a stack from the bottom up.
func (a *Assembly) stackText(s *assembly.Stack) string {
	var names []string
	for i := range s.Parts {
		names = append(names, clean(a.Name(s.Parts[i].Part)))
	}
	return fmt.Sprintf("parts %s from the bottom up; %s", strings.Join(names, ", "), stackWhy(s))
}
