package report

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"sluice/geom"
	"sluice/geom/plate"
	"sluice/lint"
	"sluice/lint/assembly"
)

// Assembly is what the formats of assemble write: a kit in space.
type Assembly struct {
	About
	*lint.Result
	Kit *assembly.Kit

	copy []int
}

// copies counts, by part, which of those with its number it is, from 1.
func (a *Assembly) copies() []int {
	if a.copy == nil && a.Sheet != nil {
		n := map[string]int{}
		a.copy = make([]int, len(a.Sheet.Parts))
		for k := range a.copy {
			n[a.Name(k)]++
			a.copy[k] = n[a.Name(k)]
		}
	}
	return a.copy
}

// othersText says that a part fits in other ways too.
func othersText(n int) string {
	if n == 1 {
		return "it fits the other way as well; this one is taken"
	}
	return fmt.Sprintf("it fits %d other ways as well; this one is taken", n)
}

// names lists parts of a group.
func (a *Assembly) names(g *assembly.Group, parts []int) string {
	var out []string
	for _, i := range parts {
		out = append(out, clean(a.Name(g.Parts[i].Part)))
	}
	return strings.Join(out, ", ")
}

// stepText says what a step brings together with what stands.
func (a *Assembly) stepText(g *assembly.Group, s *assembly.Step, stands []int) string {
	if len(stands) == 0 {
		return "it lies on the table"
	}
	var meets []int
	for i := range g.Joints {
		x := &g.Joints[i]
		for _, p := range [2][2]int{{x.A, x.B}, {x.B, x.A}} {
			if slices.Contains(s.Parts, p[0]) && slices.Contains(stands, p[1]) && !slices.Contains(meets, p[1]) {
				meets = append(meets, p[1])
			}
		}
	}
	slices.Sort(meets)
	if len(meets) == 0 {
		return wayText(s.Along)
	}
	return fmt.Sprintf("it meets part %s%s, %s", a.names(g, meets), slantText(g, s.Parts, meets), wayText(s.Along))
}

// slantText says at which angles parts of a group meet others of it, where that is not
// square: " at 60 and 75 degrees".
func slantText(g *assembly.Group, parts, others []int) string {
	var slants []string
	for i := range g.Joints {
		x := &g.Joints[i]
		between := slices.Contains(parts, x.A) && slices.Contains(others, x.B) || slices.Contains(parts, x.B) && slices.Contains(others, x.A)
		if text := fixed(x.Slant, 0); x.Slant > 0 && between && !slices.Contains(slants, text) {
			slants = append(slants, text)
		}
	}
	if len(slants) == 0 {
		return ""
	}
	slices.Sort(slants)
	return " at " + strings.Join(slants, " and ") + " degrees"
}

// trappedText says what cannot be put together.
func (a *Assembly) trappedText(g *assembly.Group, t *assembly.Trapped) string {
	late := t.Late()
	others := slices.DeleteFunc(slices.Clone(t.Parts), func(i int) bool { return i == late })
	return fmt.Sprintf("part %s must be in before parts %s are joined; as drawn it cannot without springing or cutting: each is in the way of another in every direction",
		clean(a.Name(g.Parts[late].Part)), a.names(g, others))
}

// missingText says where a plate is wanted.
func (a *Assembly) missingText(m *assembly.Missing) string {
	box := geom.BoxOf(m.Outline...)
	return fmt.Sprintf("open joints of part %s call for a plate there, %s x %s mm at least", a.names(&a.Kit.Groups[m.Group], m.Meets), fixed(box.W(), 1), fixed(box.H(), 1))
}

// wayText says in which direction something moves: roughly, where that is none of the box
// around the kit.
func wayText(v plate.Vec) string {
	most := 0
	for i := range v {
		if math.Abs(v[i]) > math.Abs(v[most])+1e-6 {
			most = i
		}
	}
	words := [3][2]string{{"to the right", "to the left"}, {"away from you", "towards you"}, {"from below", "from above"}}[most]
	way := words[0]
	if v[most] < 0 {
		way = words[1]
	}
	if math.Abs(v[most]) < 0.999 {
		way += ", aslant"
	}
	return way
}

// assembleText writes how a kit goes together.
func assembleText(out io.Writer, a *Assembly) error {
	w := &bytes.Buffer{}
	fmt.Fprintf(w, "%s: %s in %s", clean(a.Path), plural(len(a.copies()), "part"), plural(len(a.Kit.Groups), "group"))
	if t := a.thicknesses(); t != "" {
		fmt.Fprintf(w, ", plates of %s mm", t)
	}
	fmt.Fprintln(w)
	for i := range a.Kit.Groups {
		g := &a.Kit.Groups[i]
		fmt.Fprintf(w, "\ngroup %d: %s, %s; %s %% of their joints close\n", i+1, plural(len(g.Parts), "part"), plural(len(g.Joints), "joint"), fixed(100*g.Share, 0))
		fmt.Fprintf(w, "  %s\n", a.sizeText(g))
		a.stepsText(w, g, g.Steps, "  ")
		for k := range g.Trapped {
			fmt.Fprintf(w, "  trapped: %s\n", a.trappedText(g, &g.Trapped[k]))
		}
		for k := range g.Clashes {
			c := &g.Clashes[k]
			fmt.Fprintf(w, "  clash: parts %s are in each other by %s mm3\n", a.names(g, []int{c.A, c.B}), fixed(c.Volume, 1))
		}
		for _, line := range a.boltTexts(g, g.Bolts) {
			fmt.Fprintf(w, "  %s\n", line)
		}
		var open []string
		for k := range g.Parts {
			if n := clean(a.Name(g.Parts[k].Part)); g.Parts[k].Others > 0 && !slices.Contains(open, n) {
				open = append(open, n)
			}
		}
		if len(open) > 0 {
			fmt.Fprintf(w, "  open: part %s: fits in another way as well; one is taken\n", strings.Join(open, ", "))
		}
	}
	if len(a.Kit.Missing) > 0 {
		fmt.Fprintln(w, "\nmissing")
		for i := range a.Kit.Missing {
			m := &a.Kit.Missing[i]
			fmt.Fprintf(w, "  group %d: %s\n", m.Group+1, a.missingText(m))
		}
	}
	if len(a.Kit.Unplaced) > 0 {
		fmt.Fprintln(w, "\nnot placed")
		for _, u := range a.Kit.Unplaced {
			fmt.Fprintf(w, "  part %s: %s\n", clean(a.Name(u.Part)), u.Why)
		}
	}
	if len(a.Kit.Stacks) > 0 {
		fmt.Fprintln(w, "\nmay lie on each other")
		for i := range a.Kit.Stacks {
			fmt.Fprintf(w, "  %s\n", a.stackText(&a.Kit.Stacks[i]))
		}
	}
	_, err := out.Write(w.Bytes())
	return err
}

func (a *Assembly) stepsText(w io.Writer, g *assembly.Group, steps []assembly.Step, in string) {
	var stands []int
	for i := range steps {
		s := &steps[i]
		what := "part "
		if len(s.Parts) > 1 {
			what = "parts "
		}
		text := what + a.names(g, s.Parts)
		if len(s.With) > 0 {
			text += ", joined before"
		}
		fmt.Fprintf(w, "%s%d. %s: %s\n", in, i+1, text, a.stepText(g, s, stands))
		stands = append(stands, s.Parts...)
		if len(s.With) > 0 {
			a.stepsText(w, g, s.With, in+"    ")
		}
	}
}
