package rules

import (
	"fmt"
	"math"
	"strconv"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/lint"
)

var unitDoubt = &lint.Rule{
	ID:       "unit-doubt",
	Severity: lint.Warning,
	Repair:   lint.Choice,
	Choices:  []string{"mm", "cm", "in", "scale:F"},
	Doc: lint.Doc{
		Title:      "Unit in doubt",
		What:       "A drawing that states no unit, whose headers contradict each other, whose size is implausible for the unit it states, or in which slots, holes and key openings have common sizes in another unit only.",
		Why:        "Read in the wrong unit every length is off by 25.4 or 10: the kit is cut for a doll's house, or a part does not fit any sheet. A quarter of downloaded drawings state no unit, and some state inches by habit.",
		Bad:        "A kit that states inches and would be 22 metres wide, with slots of 76 mm.",
		Good:       "The same kit stating millimetres; a kit in inches whose slots are 0.118 wide.",
		Exceptions: "--units, or units in the job file, settles it, unless the size is implausible for that unit.",
		Limit:      "An error where the drawing is larger than any sheet or its joints fit no sheet; a note where headers contradict but what is drawn leaves no doubt.",
		Fix:        "Compare the overall size with what the kit should measure, then say --units, or answer with the unit, or with scale:F, F mm in one drawing unit: drawings are exported at 72, 90 or 96 units to the inch too.",
		Reason:     "Asked for: only a person knows how large the thing should be.",
		Since:      "0.1",
	},
	Check: func(p *lint.Pass) {
		if p.Drawing.Unit.Doubt == "" {
			return
		}
		b := p.Drawing.Extents()
		f := lint.Finding{Message: p.Drawing.Unit.Doubt, Box: b, Key: lint.UnitKey}
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
		offerUnits(&f, &p.Drawing.Unit, b)
		p.Report(f)
	},
}

// screenUnits are how many units to the inch drawings are exported at by programs that
// count in points or pixels: 72 points (PostScript), 96 pixels (CSS), and 90 pixels, as
// some counted before CSS settled it (common practice).
var screenUnits = []float64{72, 90, 96}

// offerUnits offers the units that the drawing may be in, the likeliest other one first,
// each with the size it would have.
func offerUnits(f *lint.Finding, u *drawing.Unit, b geom.Box) {
	offered := map[string]bool{}
	offer := func(name, what string, factor float64) {
		if offered[name] {
			return
		}
		offered[name] = true
		w := lint.Way{Name: name, Words: what, Default: math.Abs(factor-u.Factor) <= 1e-9*u.Factor}
		if !b.Empty() {
			w.Words += fmt.Sprintf(": %s x %s mm over all", mm(b.W()*factor/u.Factor), mm(b.H()*factor/u.Factor))
		}
		f.Choices = append(f.Choices, w)
	}
	units := []string{"mm", "in", "cm"}
	if u.Rival > 0 {
		known := false
		for _, name := range units {
			if factor := drawing.FactorOf(name); factor == u.Rival {
				known = true
				offer(name, "read it in "+unitWord(name), factor)
			}
		}
		if !known {
			offer(scaleName(u.Rival), fmt.Sprintf("scale it: one drawing unit is %s mm", mm(u.Rival)), u.Rival)
		}
	}
	for _, name := range units {
		offer(name, "read it in "+unitWord(name), drawing.FactorOf(name))
	}
	for _, n := range screenUnits {
		offer(scaleName(25.4/n), fmt.Sprintf("scale it, as exported at %g units to the inch", n), 25.4/n)
	}
}

// scaleName returns the choice that scales a drawing by mm in one of its units.
func scaleName(factor float64) string { return "scale:" + strconv.FormatFloat(factor, 'g', 9, 64) }

// unitWord is what people call a unit.
func unitWord(name string) string {
	if name == "in" {
		return "inches"
	}
	return name
}
