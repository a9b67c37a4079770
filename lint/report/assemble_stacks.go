package report

import (
	"bytes"
	"html/template"
	"slices"

	"sluice/lint/assembly"
)

// leafletStack is parts that may lie on each other.
type leafletStack struct {
	Told, Parts string
	Picture     template.HTML
}

// apartShare is how far parts of a stack are drawn from each other, over the longest side of
// the longest: so that each shows most of its upper face.
const apartShare = 0.42

// leafletStacks draws what may lie on each other, pulled apart, and writes the patches that
// the pictures point to.
func (a *Assembly) leafletStacks(defs *bytes.Buffer) (out []leafletStack) {
	all := 0
	for i := range a.Kit.Stacks {
		all += len(a.Kit.Stacks[i].Parts)
	}
	for i := range a.Kit.Stacks {
		s := &a.Kit.Stacks[i]
		g, parts := a.pulledApart(s), make([]int, len(s.Parts))
		for k := range parts {
			parts[k] = k
		}
		v := viewOf(a, &g, len(a.Kit.Groups)+i) // numbers of groups are below
		v.bound(1, all)
		told := leafletStack{Told: plural(len(parts), "part") + ", the same " + plural(s.Holes, "round hole")}
		for k := range parts {
			if k > 0 {
				told.Parts += ", "
			}
			told.Parts += dash(clean(a.Name(s.Parts[k].Part)))
		}
		told.Picture = v.wholePicture(parts, "parts that may lie on each other, pulled apart")
		v.defs(defs)
		out = append(out, told)
	}
	return out
}

// pulledApart returns the parts of a stack as a group, lifted off each other.
func (a *Assembly) pulledApart(s *assembly.Stack) assembly.Group {
	g := assembly.Group{Parts: slices.Clone(s.Parts), Share: 1}
	side := 0.0
	for i := range s.Parts {
		box := a.Sheet.Parts[s.Parts[i].Part].Box
		side = max(side, box.W(), box.H())
	}
	for i := range g.Parts {
		g.Parts[i].Pose.T[2] += float64(i) * apartShare * side
	}
	return g
}
