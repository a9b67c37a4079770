package rules

import (
	"fmt"
	"math"
	"strconv"
	"strings"

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
	Asks: lint.UnitDoubt,
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
		offerUnits(p, &f, b)
		p.Report(f)
	},
}

// screenUnits are how many units to the inch drawings are exported at by programs that
// count in points or pixels: 72 points (PostScript), 96 pixels (CSS), and 90 pixels, as
// some counted before CSS settled it (common practice).
var screenUnits = []float64{72, 90, 96}

// offerUnits offers the units that the drawing may be in, the likeliest first,
// each with the size it would have.
func offerUnits(p *lint.Pass, f *lint.Finding, b geom.Box) {
	u := &p.Drawing.Unit
	offered := map[string]bool{}
	offer := func(name, what string, factor float64) {
		if offered[name] {
			return
		}
		offered[name] = true
		w := lint.Way{Name: name, Words: what, Default: math.Abs(factor-u.Factor) <= 1e-9*u.Factor}
		if !b.Empty() {
			size := factor / u.Factor
			w.Words += fmt.Sprintf(": %s x %s mm over all", mm(b.W()*size), mm(b.H()*size))
			if !w.Default {
				w.Brings = unitBrings(p, b.W()*size, b.H()*size, size)
			}
		}
		f.Choices = append(f.Choices, w)
	}
	units := []string{"mm", "in", "cm"}
	if u.Weight != drawing.Grave { // what is assumed is likelier right than not
		for _, name := range units {
			if drawing.FactorOf(name) == u.Factor {
				offer(name, "read it in "+unitWord(name), u.Factor)
			}
		}
	}
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

// unitBrings tells what does not go together with a size of w by h mm, which makes
// all size times as large.
func unitBrings(p *lint.Pass, w, h, size float64) string {
	var says []string
	if sheet := p.Job.Sheet.Size; len(sheet) == 2 && (min(w, h) > min(sheet[0], sheet[1]) || max(w, h) > max(sheet[0], sheet[1])) {
		says = append(says, "larger than the sheet")
	} else if len(sheet) != 2 && max(w, h) > largestSheet {
		says = append(says, "larger than any sheet")
	}
	if d := p.Kit().Design(); d > 0 {
		if slot := d * size; slot < p.Job.Jet.Kerf {
			says = append(says, "its slots of "+mm(slot)+" mm are narrower than the kerf")
		} else if t := p.Job.Sheet.Thickness; t > 0 && math.Abs(slot-t) > math.Abs(d-t) && slot < 0.98*t {
			says = append(says, "its slots of "+mm(slot)+" mm are narrower than the sheet is thick")
		}
	}
	if small := leastHole(p) * size; small > 0 && small < p.Job.HoleLimit() && small/size >= p.Job.HoleLimit() {
		says = append(says, "holes of "+mm(small)+" mm are too small to pierce")
	}
	if size < 1 {
		if gap := size * p.Job.PartSpacing(); gap < p.Job.Jet.Kerf {
			says = append(says, "parts may lie nearer than the kerf")
		}
	} else if size > 1 && p.Job.Limits.Gap > 0 && len(p.Sheet.Gaps) > 0 {
		says = append(says, "gaps that are closed unasked now may be too wide for that")
	}
	return strings.Join(says, "; ")
}

// largestSheet is the longest side of sheet that is common, mm (common practice, no
// source).
const largestSheet = 6000

// leastHole returns the smallest side of the box of a hole, mm, 0 where there is none.
func leastHole(p *lint.Pass) float64 {
	least := math.Inf(1)
	for i := range p.Sheet.Parts {
		for _, h := range p.Sheet.Parts[i].Holes {
			b := p.Sheet.Outlines[h].Box
			least = min(least, b.W(), b.H())
		}
	}
	if math.IsInf(least, 1) {
		return 0
	}
	return least
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
