package coupon

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"sluice/lint/job"
)

// Measured is what was measured on a trial; NaN is not measured.
type Measured struct {
	Square, SquareBottom float64 // side, at the upper face and at the lower
	Hole, HoleBottom     float64 // diameter, the same
	Slot                 float64 // drawn width of the slot that suits
	Tab                  float64 // width of the tabs that suit
	Thickness            float64 // of the sheet
}

// fields names the values of Measured as they are written.
func (m *Measured) fields() ([]string, map[string]*float64) {
	return []string{"square", "square_bottom", "hole", "hole_bottom", "slot", "tab", "thickness"}, map[string]*float64{
		"square": &m.Square, "square_bottom": &m.SquareBottom, "hole": &m.Hole, "hole_bottom": &m.HoleBottom,
		"slot": &m.Slot, "tab": &m.Tab, "thickness": &m.Thickness,
	}
}

// ParseMeasured reads "square=39.92mm, hole=16.07mm": names with lengths, bare
// numbers in mm.
func ParseMeasured(s string) (Measured, error) {
	var m Measured
	names, of := m.fields()
	for _, v := range of {
		*v = math.NaN()
	}
	for part := range strings.SplitSeq(s, ",") {
		part = strings.TrimSpace(part)
		if part == "" {
			continue
		}
		name, value, ok := strings.Cut(part, "=")
		name = strings.TrimSpace(name)
		v := of[name]
		switch {
		case !ok:
			return m, fmt.Errorf("%q is no name=length; write square=39.92mm", part)
		case v == nil:
			return m, fmt.Errorf("%q is not known; did you mean %q? (%s)", name, job.Nearest(name, names), strings.Join(names, ", "))
		case !math.IsNaN(*v):
			return m, fmt.Errorf("%s is given twice", name)
		}
		mm, err := job.ParseLength(strings.TrimSpace(value))
		if err != nil {
			return m, fmt.Errorf("%s: %w", name, err)
		}
		if !(mm > 0) {
			return m, fmt.Errorf("%s: %s is no measured length; it must be above 0", name, strings.TrimSpace(value))
		}
		*v = mm
	}
	if !slices.ContainsFunc(names, func(n string) bool { return !math.IsNaN(*of[n]) }) {
		return m, errors.New(`nothing is measured; write square=39.92mm, hole=16.07mm, slot=4.95mm`)
	}
	return m, nil
}

// Found is what a trial tells. NaN is what it does not tell.
type Found struct {
	Kerf      float64
	Apart     float64 // by how much square and hole disagree on the kerf
	Clearance float64
	Taper     float64 // by which a cut is narrower at the lower face; below 0 it is wider there
	Tab       float64
	Thickness float64 // of the sheet, to which Clearance is added
	Nominal   bool    // Thickness is as named, not as measured
}

// most is how far, mm, square and hole may disagree on the kerf, and how far from
// the set one a kerf may be, before something other than the kerf is the likelier
// cause (judged: a worn tube is 0.2 mm wider).
const (
	mostApart = 0.15
	mostOff   = 0.6
)

// Find reckons settings from what was measured on the trial that Draw makes of o.
//
// The stream runs half the set kerf outside the square and inside the hole. If it
// is wider by d, the square comes out smaller by d and the hole larger by d; if it
// parts only at the lower face later, the hole is smaller there by the taper.
func Find(o Options, m Measured) (Found, error) {
	known := func(v float64) bool { return !math.IsNaN(v) }
	f := Found{Kerf: math.NaN(), Apart: math.NaN(), Clearance: math.NaN(), Taper: math.NaN(), Tab: m.Tab, Thickness: m.Thickness}
	bySquare, byHole := o.Kerf+o.Square()-m.Square, o.Kerf+m.Hole-o.Hole()
	switch {
	case known(bySquare) && known(byHole):
		f.Kerf, f.Apart = (bySquare+byHole)/2, math.Abs(bySquare-byHole)
		if f.Apart > mostApart {
			return f, fmt.Errorf("the square says that the kerf is %.3g mm, the hole %.3g mm: measure both again, and look whether the table moves as far as it is told", bySquare, byHole)
		}
	case known(bySquare):
		f.Kerf = bySquare
	case known(byHole):
		f.Kerf = byHole
	}
	if known(f.Kerf) && (!(f.Kerf > 0) || math.Abs(f.Kerf-o.Kerf) > mostOff) {
		return f, fmt.Errorf("the kerf comes out at %.3g mm, with %.3g mm set: was the trial cut with that kerf, on its outlines? (square %g, hole %g mm as drawn)", f.Kerf, o.Kerf, o.Square(), o.Hole())
	}
	switch {
	case known(m.Hole) && known(m.HoleBottom):
		f.Taper = m.Hole - m.HoleBottom
	case known(m.Square) && known(m.SquareBottom):
		f.Taper = m.SquareBottom - m.Square
	}
	if known(m.Slot) {
		if w := o.Widths(); m.Slot < w[0]-o.Step()/2 || m.Slot > w[Slots-1]+o.Step()/2 {
			return f, fmt.Errorf("slot: the comb has slots of %.4g to %.4g mm, none of %.4g mm; give the size etched at the slot", w[0], w[Slots-1], m.Slot)
		}
		if !known(f.Thickness) {
			if f.Thickness, f.Nominal = o.Thickness, true; !(o.Thickness > 0) {
				return f, ErrThickness
			}
		}
		f.Clearance = m.Slot - f.Thickness
		if known(f.Kerf) {
			f.Clearance += f.Kerf - o.Kerf // it came out that much wider than it was drawn
		}
		if known(f.Taper) {
			f.Clearance -= max(f.Taper, 0) // which is added to slots besides
		}
		if f.Clearance < 0 {
			return f, fmt.Errorf("slot: one of %.4g mm is narrower than the sheet of %.4g mm once kerf and taper are counted; measure the sheet, and try again which slot the tongue goes into", m.Slot, f.Thickness)
		}
	}
	return f, nil
}

// Lines returns what was found as lines of a job file.
func (f *Found) Lines() string {
	var b strings.Builder
	table := func(name string, lines ...string) {
		lines = slices.DeleteFunc(lines, func(l string) bool { return l == "" })
		if len(lines) > 0 {
			fmt.Fprintf(&b, "[%s]\n%s\n", name, strings.Join(lines, "\n"))
		}
	}
	length := func(name string, mm float64, about string) string {
		if math.IsNaN(mm) {
			return ""
		}
		return fmt.Sprintf("%s = %q # %s", name, job.FormatLength(math.Round(mm*1e3)/1e3), about)
	}
	kerf := "measured on a trial"
	if !math.IsNaN(f.Apart) {
		kerf = fmt.Sprintf("measured on a trial; square and hole agree within %.3f mm", f.Apart)
	}
	table("jet", length("kerf", f.Kerf, kerf))
	table("tabs", length("width", f.Tab, "broke off best"))
	class := ""
	if !math.IsNaN(f.Clearance) {
		class = `class = "own"`
	}
	sheet := "the sheet as measured"
	if f.Nominal {
		sheet = "the sheet as named: better measure it"
	}
	taper := f.Taper
	if taper < 0 {
		taper = 0 // wider below: nothing to add to a slot
	}
	table("fit", class, length("clearance", f.Clearance, "of the slot that suited, less the sheet"),
		length("measured", f.Thickness, sheet), length("taper", taper, "narrower at the lower face"))
	return b.String()
}
