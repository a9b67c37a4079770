package figures

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom"
	"sluice/lint"
)

// told makes n findings of a rule on a part that say the same.
func told(n int, rule, part string, s lint.Severity, r lint.Repair, measures ...float64) []lint.Finding {
	var out []lint.Finding
	for i := range n {
		f := lint.Finding{Rule: rule, Part: part, Severity: s, Repair: r, ID: fmt.Sprintf("%s-%s-%d", rule, part, i), Fact: lint.Fact{One: rule, Many: rule + "s"}}
		if i < len(measures) {
			f.Measure = &lint.Measure{Value: measures[i], Unit: "mm"}
		}
		out = append(out, f)
	}
	return out
}

// brief writes a fact in a few words.
func brief(facts []Fact) (out []string) {
	for i := range facts {
		f := &facts[i]
		var parts []string
		for _, p := range f.Parts {
			parts = append(parts, fmt.Sprintf("%s x%d: %d", p.Name, p.Copies, p.Count))
		}
		s := fmt.Sprintf("%s %d %s [%s]", f.Severity, f.Count, f.Rule, strings.Join(parts, ", "))
		if f.Unit != "" {
			s += fmt.Sprintf(" %g-%g", f.Low, f.High)
		}
		out = append(out, s)
	}
	return out
}

func TestFacts(t *testing.T) {
	stand := &lint.Stand{Copies: map[string]int{"2": 3}}
	join := func(lists ...[]lint.Finding) (all []lint.Finding) {
		for _, l := range lists {
			all = append(all, l...)
		}
		return all
	}
	whole := told(1, "unit", "", lint.Warning, lint.Choice)
	whole[0].Fact.Whole = true
	all := join(
		told(2, "web", "10", lint.Warning, lint.None, 1.5, 1.25),
		told(3, "web", "2", lint.Warning, lint.None, 2, 1.75),
		told(1, "cross", "1", lint.Error, lint.None),
		told(4, "tab", "2", lint.Warning, lint.Auto),
		told(1, "tab", "3", lint.Warning, lint.Auto),
		whole,
	)
	for _, c := range []struct {
		name          string
		asked         bool
		most          int
		mine, fixedBy []string
	}{
		{"by part", false, 9, []string{"error 1 cross [1 x1: 1]", "warning 1 unit []", "warning 3 web [2 x3: 3] 1.75-2", "warning 2 web [10 x1: 2] 1.25-1.5"},
			[]string{"warning 5 tab [2 x3: 4, 3 x1: 1]"}},
		{"across parts", false, 3, []string{"error 1 cross [1 x1: 1]", "warning 1 unit []", "warning 5 web [2 x3: 3, 10 x1: 2] 1.25-2"},
			[]string{"warning 5 tab [2 x3: 4, 3 x1: 1]"}},
		{"none is mended", true, 3, []string{"error 1 cross [1 x1: 1]", "warning 1 unit []", "warning 5 web [2 x3: 3, 10 x1: 2] 1.25-2", "warning 5 tab [2 x3: 4, 3 x1: 1]"}, nil},
	} {
		f := factsOf(all, stand, c.asked, c.most)
		if d := cmp.Diff(c.mine, brief(f.Asked)); d != "" {
			t.Errorf("%s: asked (-want +got):\n%s", c.name, d)
		}
		if d := cmp.Diff(c.fixedBy, brief(f.Mended)); d != "" {
			t.Errorf("%s: mended (-want +got):\n%s", c.name, d)
		}
		if n := Count(f.Asked) + Count(f.Mended); n != len(all) {
			t.Errorf("%s: %d findings told of %d", c.name, n, len(all))
		}
	}
}

// A slot too narrow for the sheet and too small to pierce in is told once, by the
// graver; another small hole is told by itself.
func TestFactsOfOneHole(t *testing.T) {
	slot := told(2, causeRule, "1", lint.Error, lint.Choice)
	slot[0].At, slot[1].At = geom.Pt(5, 1), geom.Pt(25, 1)
	hole := told(3, effectRule, "1", lint.Warning, lint.Choice)
	for i := range hole {
		x := 20 * float64(i)
		hole[i].Box = geom.Box{Min: geom.Pt(x, 0), Max: geom.Pt(x+10, 2)}
	}
	other := told(1, effectRule, "2", lint.Warning, lint.Choice)
	other[0].Box = hole[0].Box
	all := append(append(append([]lint.Finding{}, slot...), hole...), other...)
	f := factsOf(all, &lint.Stand{}, false, 9)
	if d := cmp.Diff([]string{"error 2 slot-thickness [1 x1: 2]", "warning 1 small-hole [1 x1: 1]", "warning 1 small-hole [2 x1: 1]"}, brief(f.Asked)); d != "" {
		t.Errorf("(-want +got):\n%s", d)
	}
	if f.Asked[0].Also != (lint.Tally{Warning: 2}) || Count(f.Asked) != len(all) || Tally(f.Asked) != (lint.Tally{Error: 2, Warning: 4}) {
		t.Errorf("%d told with the slots, %d in all, %+v", f.Asked[0].Also.Sum(), Count(f.Asked), Tally(f.Asked))
	}
	slot[0].Severity, slot[1].Severity = lint.Note, lint.Note
	if f := factsOf(append(slot, hole...), &lint.Stand{}, false, 9); len(f.Asked) != 2 || f.Asked[0].Also.Sum() != 0 {
		t.Errorf("a note swallows warnings: %q", brief(f.Asked))
	}
}

// A page lists the worst first: by severity, then what concerns the drawing, then by
// number, each rule together and in its own order.
func TestWorstFirst(t *testing.T) {
	all := told(2, "web", "1", lint.Warning, lint.None)
	all = append(all, told(1, "b-note", "1", lint.Note, lint.None)...)
	all = append(all, told(3, "hole", "1", lint.Warning, lint.None)...)
	all = append(all, told(1, "unit", "", lint.Warning, lint.None)...)
	all[len(all)-1].Fact.Whole = true
	all = append(all, told(1, "cross", "1", lint.Error, lint.None)...)
	all = append(all, told(1, "web", "2", lint.Warning, lint.None)...)
	var got []string
	for _, f := range worstFirst(all) {
		got = append(got, f.ID)
	}
	want := []string{"cross-1-0", "unit--0", "hole-1-0", "hole-1-1", "hole-1-2", "web-1-0", "web-1-1", "web-2-0", "b-note-1-0"}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("(-want +got):\n%s", d)
	}
}
