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
		What:       "A drawing that states no unit, whose headers contradict each other, or whose size is implausible for the unit it states.",
		Why:        "Read in the wrong unit every length is off by 25.4 or 10: the kit is cut for a doll's house, or a part does not fit any sheet. A quarter of downloaded drawings state no unit, and some state inches by habit.",
		Bad:        "A kit that states inches and would be 22 metres wide.",
		Good:       "The same kit stating millimetres.",
		Exceptions: "--units, or units in the job file, settles it, unless the size is implausible for that unit.",
		Limit:      "Larger than any common sheet, smaller than a part can be, slots of no common thickness.",
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
