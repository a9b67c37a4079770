package drawing

import (
	"fmt"
	"strings"

	"sluice/geom"
	"sluice/geom/survey"
)

// weighing is a drawing's sizes against all units that it may be in.
type weighing struct {
	d     *Drawing // asked for its headers only
	hints *UnitHints
	size  geom.Box // of what is cut, drawing units
	taken *survey.Taken
	seen  *survey.Survey
	texts []float64
	all   []*reading // units by name, then the scaled ones
	used  *reading
	words string // unit named in texts
}

// How likely units are before anything of a drawing is known, and how much a
// header says. Experience with downloaded drawings, no published source: of
// those that state inches, many mean mm.
var usualUnit = map[string]float64{"mm": 0, "in": -0.7, "cm": -2.5, "m": -3.2}

const (
	seldomUnit   = -6.0
	wrongScale   = -3.0 // exported ten times too large
	statedUnit   = 2.5
	statedInch   = 2.0
	statedSeldom = 3.0
	askedUnit    = 6.0
	wordedUnit   = 4.0
	settledBy    = 2.0  // the used reading is that much likelier than another where nothing is left to ask
	noHoles      = -3.0 // holes are too small or too large to be meant so
	plainly      = 2.0  // joints speak that much louder for another unit where the header counts for nothing
)

// measured is how much $MEASUREMENT speaks for a unit. Much that is drawn in mm
// says imperial, since a template does.
func (d *Drawing) measured(r unitRow) float64 {
	switch {
	case d.Measurement == 1 && r.imperial():
		return -1.3
	case d.Measurement == 1 && r.name == "mm", d.Measurement == 0 && r.imperial():
		return 1
	case d.Measurement == 1:
		return 0.5
	case d.Measurement == 0 && r.name != "mm":
		return -1
	}
	return 0
}

// look takes from the drawing what its unit is weighed by: from then on the drawing may
// be changed.
func (d *Drawing) look(hints *UnitHints) *weighing {
	w := &weighing{d: d, hints: hints, size: d.cutBox(hints.Skip), texts: d.textHeights(), words: d.wordedUnit()}
	skip := hints.Skip
	if w.size.Empty() {
		w.size, skip = d.Extents(), nil
	}
	w.taken = d.taken(skip)
	return w
}

// weigh weighs every unit; asked and stated may be none.
func (w *weighing) weigh(asked, stated unitRow) {
	w.seen = w.taken.Survey()
	d, hints := w.d, w.hints
	names := []string{"mm", "in", "cm", "m", "ft"}
	for _, r := range []unitRow{stated, asked} {
		if r.factor > 0 && !strings.Contains(" mm in cm m ft ", " "+r.name+" ") {
			names = append(names, r.name)
		}
	}
	for _, name := range names {
		row, _ := unitByName(name)
		r := &reading{unitRow: row}
		usual, ok := usualUnit[name]
		if !ok {
			usual = seldomUnit
		}
		r.header = usual + d.measured(row)
		switch {
		case row.factor != stated.factor:
		case name == "in":
			r.header = statedInch + max(0, 0.3*d.measured(row))
		case name == "mm":
			r.header = statedUnit + d.measured(row)
		default:
			r.header = statedSeldom
		}
		if row.factor == asked.factor {
			r.header = askedUnit
		}
		if w.words == name {
			r.header += wordedUnit
		}
		hints.weigh(w.seen, w.texts, r)
		w.all = append(w.all, r)
	}
}

// cutBox returns the box of what the job does not leave out.
func (d *Drawing) cutBox(skip func(*Stroke) bool) geom.Box {
	if skip == nil {
		return d.Extents()
	}
	b := geom.NoBox()
	for i := range d.Strokes {
		if s := &d.Strokes[i]; !skip(s) {
			b = b.Union(s.Box())
		}
	}
	for i := range d.Curves {
		if c := &d.Curves[i]; c.Count == 0 && !skip(&Stroke{Entity: c.Entity, Layer: c.Layer, Color: c.Color}) {
			b = b.Union(c.Box())
		}
	}
	return b
}

// use takes a unit as the one meant, and weighs the same exported ten times too
// large.
func (w *weighing) use(row unitRow) {
	for _, r := range w.all {
		if r.factor == row.factor {
			w.used = r
		}
	}
	tenth := &reading{unitRow: w.used.unitRow, scale: 0.1}
	tenth.factor /= 10
	tenth.header = wrongScale
	w.hints.weigh(w.seen, w.texts, tenth)
	w.all = append(w.all, tenth)
}

// guess uses the likeliest unit, mm where nothing is drawn.
func (w *weighing) guess() {
	best := w.all[0]
	for _, r := range w.all[1:] {
		if r.total() > best.total() && w.earned(r, w.all[0]) {
			best = r
		}
	}
	w.use(best.unitRow)
}

// earned reports whether a reading other than mm, inches and what is used has
// strong evidence: the unit is named in a text, the used one is impossible, joints
// fit a sheet in it and none in the used one, there are openings for keys, or
// holes that none could cut are usual ones.
func (w *weighing) earned(r, used *reading) bool {
	strong := r.windows > 0 || w.misfit(used, r)
	switch {
	case r.scale > 0:
		return strong
	case r.name == "mm", r.name == "in", r.name == w.words:
		return true
	}
	return strong || used.size <= sizeLikely.of(0) || used.holes <= noHoles && r.holes > 0
}

// misfit reports whether joints that are sure fit no sheet in the used unit, but
// one in the other.
func (w *weighing) misfit(used, other *reading) bool {
	j := w.seen.Joint
	return j.Sure && !w.hints.jointFits(j.Width*used.factor) && w.hints.jointFits(j.Width*other.factor)
}

// rival returns the likeliest reading besides the used one, nil if there is none
// that may be.
func (w *weighing) rival() *reading {
	var best *reading
	for _, r := range w.all {
		if r != w.used && w.earned(r, w.used) && (best == nil || r.total() > best.total()) {
			best = r
		}
	}
	return best
}

// beaten returns the reading that what is drawn speaks for against the used one,
// nil if there is none.
func (w *weighing) beaten() *reading {
	r := w.rival()
	if r == nil {
		return nil
	}
	if r.total() >= w.used.total() || w.misfit(w.used, r) && r.drawn()-w.used.drawn() >= plainly && r.size >= w.used.size-1 {
		return r
	}
	return nil
}

// sizeMM returns the used size, the longer side first.
func (w *weighing) sizeMM() (long, wide float64) {
	return w.seen.Long * w.used.factor, w.seen.Wide * w.used.factor
}

// exceeds reports whether the drawing is larger than a sheet of that size and
// than the job's.
func (w *weighing) exceeds(long, wide float64) bool {
	for _, s := range w.hints.Sheets {
		long, wide = max(long, s.X, s.Y), max(wide, min(s.X, s.Y))
	}
	l, b := w.sizeMM()
	return l > long || b > wide
}

// supported reports whether holes or joints have common sizes in the used unit,
// none speaks against it, and every part fits a sheet: then a large drawing is
// several sheets side by side.
func (w *weighing) supported() bool {
	r := w.used
	return len(r.evidence) > 0 && r.holes >= 0 && r.joints >= 0 && w.seen.Largest*r.factor <= usualLong
}

// settled reports whether what is drawn leaves no doubt between the used reading
// and another.
func (w *weighing) settled(other *reading) bool {
	if w.used.total()-other.total() < settledBy {
		return false
	}
	return w.supported() || w.used.size >= -0.5 && other.size <= -2.5
}

// grave is the weight of a doubt; other is the likelier reading, nil if none is.
func (w *weighing) grave(other *reading) Weight {
	j := w.seen.Joint
	used := j.Width * w.used.factor
	// Narrow slots may be for air or show; wide ones that are equal are for sheets.
	noSheet := j.Count > 0 && !w.hints.jointFits(used) && (j.Sure || used > thickestJoint)
	if w.exceeds(usualLong, usualWide) && !w.supported() || noSheet && other != nil && w.hints.jointFits(j.Width*other.factor) {
		return Grave
	}
	return Plain
}

// against says what speaks against the used reading and for the other, "" if
// nothing does.
func (w *weighing) against(other *reading) string {
	u, f := w.used, w.used.factor
	switch {
	case w.exceeds(usualLong, usualWide) && !w.supported():
		return "the drawing is larger than any sheet"
	case u.joints < 0 && other.joints > u.joints:
		return fmt.Sprintf("its slots would be %s mm wide, which no common sheet is thick", figure(w.seen.Joint.Width*f))
	case other.windows > u.windows:
		return fmt.Sprintf("its openings would be %s mm wide, %s mm apart", figure(w.seen.Windows.Short*f), figure(w.seen.Windows.Pitch*f))
	case u.holes < 0 && other.holes > u.holes:
		return fmt.Sprintf("its holes would be %s mm", figure(quantile(w.seen.Holes, 0.5)*f))
	case u.size < other.size:
		return "its size is unusual"
	}
	return "its sizes suit another unit better"
}

// doubtAsked doubts a unit that a person asked for only where its size cannot be.
func (w *weighing) doubtAsked() (string, Weight) {
	other := w.beaten()
	why, weight := w.impossible()
	if why == "" && other != nil && w.misfit(w.used, other) {
		why, weight = w.against(other), Grave
	}
	if why == "" {
		return "", Plain
	}
	return fmt.Sprintf("%s was asked for, but %s: %s", w.used.said, why, w.readings(other)), weight
}

// impossible says why a drawing of that size is not likely to be in the used
// unit, "" if it may be.
func (w *weighing) impossible() (string, Weight) {
	long, _ := w.sizeMM()
	switch {
	case w.exceeds(longestSheet, widestSheet) && w.supported():
		return "the drawing is larger than any sheet, though its parts are not", Light
	case w.exceeds(longestSheet, widestSheet):
		return "the drawing is larger than any sheet", Grave
	case long < leastDrawing:
		return "the drawing is smaller than a jet can cut", Plain
	}
	return "", Plain
}

// doubtStated doubts the header's unit.
func (w *weighing) doubtStated() (string, Weight) {
	d := w.d
	other := w.beaten()
	if why, weight := w.impossible(); why != "" {
		return fmt.Sprintf("the header says %s, but %s: %s", w.used.said, why, w.readings(other)), weight
	}
	if other != nil {
		return fmt.Sprintf("the header says %s, but %s: %s", w.used.said, w.against(other), w.readings(other)), w.grave(other)
	}
	if dots := w.dots(); dots != nil {
		return fmt.Sprintf("the header says %s, but no length is round in it, as they are at %s: %s", w.used.said, dots.said, w.readings(dots)), Plain
	}
	if d.Measurement < 0 || w.used.imperial() != (d.Measurement == 1) {
		return "", Plain
	}
	says := [2]string{"imperial", "metric"}
	other = w.other()
	weight := w.grave(nil)
	if w.settled(other) {
		weight = Light
	}
	return fmt.Sprintf("$INSUNITS says %s but $MEASUREMENT says %s: %s", w.used.said, says[d.Measurement], w.readings(other)), weight
}

// doubtGuess asks about a unit that is stated nowhere.
func (w *weighing) doubtGuess() (string, Weight) {
	what := "no unit is stated"
	if w.d.InsUnits > 0 {
		what = fmt.Sprintf("$INSUNITS is %d, which is no unit", w.d.InsUnits)
	}
	other := w.beaten()
	if other != nil {
		what += ", and " + w.against(other)
	} else if why, _ := w.impossible(); why != "" {
		what += ", and " + why
	} else if other = w.dots(); other != nil {
		what += ", and lengths are round at " + other.said
	}
	return what + ": " + w.readings(other), w.grave(other)
}

// other returns the reading the used one is likeliest confused with.
func (w *weighing) other() *reading {
	name := "mm"
	if w.used.name == "mm" {
		name = "in"
	}
	for _, r := range w.all {
		if r.name == name && r.scale == 0 {
			return r
		}
	}
	return w.all[0]
}

// Lengths by which a drawing exported in dots is known: at least so many, most
// of them round at so many dots to the inch (where they are few, all), hardly any
// in any unit.
const (
	fewDotLengths = 4
	dotLengths    = 6
	dotsRound     = 0.8
	unitsRound    = 0.3
	leastSure     = 10.0 // mm; no smaller drawing is taken for one
)

// dots returns the reading as a drawing exported at 72, 90 or 96 units to the
// inch, as programs for pictures do, nil if lengths do not say so.
func (w *weighing) dots() *reading {
	for _, r := range w.all {
		// What is round at 72 to the inch is round in inches too, 72 times as large.
		may := r == w.used || r.scale == 0 && r.size > severalSheets && (r.name == "mm" || r.name == "in" || r.name == "cm")
		if share, _ := roundShare(w.seen.Lengths, r.factor); may && share > unitsRound {
			return nil
		}
	}
	var best *reading
	most := 0.0
	for _, n := range []float64{72, 90, 96} {
		share, count := roundShare(w.seen.Lengths, 25.4/n)
		if count < fewDotLengths || share <= most || share < 1 && (count < dotLengths || share < dotsRound) {
			continue
		}
		r := &reading{unitRow: unitRow{name: "mm", said: fmt.Sprintf("%g units to the inch", n), factor: 25.4 / n}, scale: 25.4 / n / w.used.factor}
		if w.hints.weigh(w.seen, w.texts, r); r.size >= sizeLikely.of(leastSure) {
			best, most = r, share
		}
	}
	return best
}

// readings asks in which of two units the size is meant, says which was taken,
// and what suits each.
func (w *weighing) readings(other *reading) string {
	switch {
	case other != nil:
	case w.used.name == "mm" && w.exceeds(usualLong, usualWide):
		other = w.all[len(w.all)-1] // ten times too large; inches would be larger still
	default:
		other = w.other()
	}
	u := w.used
	s := w.show(u) + " or " + w.show(other) + "? Read as " + u.name
	if u.name != "mm" {
		s += fmt.Sprintf(", %.1f x %.1f mm", w.size.W()*u.factor, w.size.H()*u.factor)
	}
	if len(u.evidence) > 0 {
		s += ": " + strings.Join(u.evidence, ", ")
	}
	if len(other.evidence) > 0 {
		what := other.name
		if other.scale > 0 {
			what = "scaled"
		}
		s += fmt.Sprintf("; as %s: %s", what, strings.Join(other.evidence, ", "))
	}
	return s
}

// show writes the size in a reading.
func (w *weighing) show(r *reading) string {
	if r.scale > 0 {
		return fmt.Sprintf("%.1f x %.1f mm (scaled by %.4g)", w.size.W()*r.factor, w.size.H()*r.factor, r.scale)
	}
	return fmt.Sprintf("%.1f x %.1f %s", w.size.W(), w.size.H(), r.name)
}
