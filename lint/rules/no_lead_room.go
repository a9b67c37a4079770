package rules

import (
	"fmt"

	"sluice/geom"
	"sluice/geom/clear"
	"sluice/lint"
	"sluice/lint/cutting"
	"sluice/lint/cutting/paths"
)

var noLeadRoom = &lint.Rule{
	ID:       "no-lead-room",
	Brought:  lint.BroughtWorse,
	Severity: lint.Warning,
	Repair:   lint.None,
	Doc: lint.Doc{
		Title:      "No room to pierce and lead in",
		What:       "An outline beside which no place in the waste is free for the pierce and the lead-in: everywhere another cut or the part's own material is too near.",
		Why:        "The pierce blows a hole half as wide again as the kerf and blasts grit sideways before it is through. Where it cannot be set off into the waste it scars the edge of the part or of its neighbour.",
		Bad:        "A part of 20 mm nested in a hole of 24 mm: the ring of waste is too narrow for two kerfs and a lead.",
		Good:       "Parts 3 mm apart with an open place at one side or corner.",
		Exceptions: "Holes that are small holes or narrow slots are told as such. Open outlines have no waste side and are told as open.",
		Limit:      "[jet] kerf, lead and lead_margin: the pierce three quarters of a kerf from the outline, the lead a kerf, half a kerf and lead_margin from every other cut.",
		Fix:        "A person must move the parts apart, or accept a start on the outline; fix --spread moves parts where they are close.",
		Reason:     "Never made by itself: which part may move is for a person to say.",
		Since:      "0.1",
	},
	Check: func(p *lint.Pass) {
		params := cutting.PathParams(p.Job, geom.NoBox())
		params.Sheet, params.Clamps = geom.Box{}, nil // what lies off the sheet or in a clamp zone is told as that
		var f *paths.Finder
		quick := newRoomy(p.Sheet, params)
		for i := range p.Sheet.Outlines {
			o := &p.Sheet.Outlines[i]
			if !o.Closed {
				continue
			}
			if p.Ctx.Err() != nil {
				return
			}
			if quick.has(i) {
				continue
			}
			if f == nil {
				f = paths.NewFinder(p.Sheet, params)
			}
			at, ok := f.Room(i)
			if ok {
				continue
			}
			if o.Hole() {
				if _, r := clear.LargestCircle(o.Pieces, 1e-3); 2*r < p.Job.HoleLimit() {
					continue // told as a small hole or a narrow slot
				}
			}
			what := "part"
			if o.Hole() {
				what = "hole"
			}
			p.Report(lint.Finding{
				At: at, Box: o.Box,
				Message: fmt.Sprintf("no free place to pierce and lead in beside this %s: the pierce needs %s mm from its edge, the lead %s mm from other cuts",
					what, mm(0.75*params.Kerf), mm(1.5*params.Kerf+params.Margin)),
				Fact:     lint.Fact{One: "no room to pierce and lead in beside a " + what, Many: "places without room to pierce and lead in"},
				Layer:    p.LayerOf(o.Src[0]),
				Entities: p.EntityIDs(o.Src...),
				Part:     p.PartName(o.Part),
				Subject:  lint.AboutOutline(int32(i)),
			})
		}
	},
}
