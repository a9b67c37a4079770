package rules

import (
	"sluice/geom/drawing"
	"sluice/lint"
)

var unitDoubt = &lint.Rule{
	ID:       "unit-doubt",
	Severity: lint.Warning,
	Repair:   lint.Choice,
	Doc: lint.Doc{
		Title:      "Unit in doubt",
		What:       "A drawing that states no unit, whose headers contradict each other, whose size is implausible for the unit it states, or in which slots, holes and key openings have common sizes in another unit only.",
		Why:        "Read in the wrong unit every length is off by 25.4 or 10: the kit is cut for a doll's house, or a part does not fit any sheet. A quarter of downloaded drawings state no unit, and some state inches by habit.",
		Bad:        "A kit that states inches and would be 22 metres wide, with slots of 76 mm.",
		Good:       "The same kit stating millimetres; a kit in inches whose slots are 0.118 wide.",
		Exceptions: "--units, or units in the job file, settles it, unless the size is implausible for that unit.",
		Limit:      "An error where the drawing is larger than any sheet or its joints fit no sheet; a note where headers contradict but what is drawn leaves no doubt.",
		Fix:        "Compare the overall size with what the kit should measure, then say --units.",
		Reason:     "Asked for: only a person knows how large the thing should be.",
		Since:      "0.1",
	},
	Check: func(p *lint.Pass) {
		if p.Drawing.Unit.Doubt == "" {
			return
		}
		b := p.Drawing.Extents()
		f := lint.Finding{Message: p.Drawing.Unit.Doubt, Box: b}
		f.Fact = lint.Fact{One: f.Message, Many: "doubts about the unit", Whole: true}
		if !b.Empty() {
			f.At = b.Center()
		}
		if _, set := p.Job.Rules["unit-doubt"]; !set {
			switch p.Drawing.Unit.Weight {
			case drawing.Grave:
				f.Severity = lint.Error
			case drawing.Light:
				f.Severity = lint.Note
			}
		}
		p.Report(f)
	},
}
