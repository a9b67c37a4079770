package report

import (
	"fmt"

	"sluice/lint/assembly"
	"sluice/lint/cutting"
	"sluice/lint/units"
)

// mass returns the mass of a group, kg; 0 where the job names no material of known density.
// Its plates are as thick as the job's sheet, or as the kit was drawn for.
func (a *Assembly) mass(g *assembly.Group) float64 {
	if a.Job == nil {
		return 0
	}
	m, ok := cutting.FindMaterial(a.Job.Sheet.Material, a.Job.Material)
	if !ok {
		return 0
	}
	if t := a.Job.Sheet.Thickness; t > 0 {
		return m.Mass(g.Area, t)
	}
	kg := 0.0
	for i := range g.Parts {
		part := g.Parts[i].Part
		kg += m.Mass(a.Sheet.Parts[part].Area, a.Kit.PlateOf(part))
	}
	return kg
}

// thicknesses lists how thick the plates of a kit are, mm.
func (a *Assembly) thicknesses() string {
	var words []string
	for _, t := range a.Kit.Plates {
		words = append(words, figure(t, 2))
	}
	return listed(words)
}

// sizeText tells the box that a group needs, its mass where it is known, and where it
// balances, from the lower left corner at the front.
func (a *Assembly) sizeText(g *assembly.Group) string {
	u := units.Of(a.Inches())
	at := g.Centre.Sub(g.Lo)
	text := a.boxText(g)
	if kg := a.mass(g); kg > 0 {
		text += ", " + u.Mass(kg, 2)
	}
	return text + ", balances at " + u.Words(fmt.Sprintf("%s, %s, %s mm", figure(at[0], 0), figure(at[1], 0), figure(at[2], 0)))
}

// boxText tells how large a group is: to the right, away and up.
func (a *Assembly) boxText(g *assembly.Group) string {
	size := g.Hi.Sub(g.Lo)
	return units.Of(a.Inches()).Words(fmt.Sprintf("%s × %s × %s mm", figure(size[0], 1), figure(size[1], 1), figure(size[2], 1)))
}
