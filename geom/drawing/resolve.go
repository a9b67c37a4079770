package drawing

import (
	"context"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"

	"sluice/geom"
)

// UnitHints say what sizes are to be expected, to guess or doubt a unit by.
type UnitHints struct {
	Sheets      []geom.Point // sizes of sheets in use, mm; the largest common ones always count
	Thicknesses []float64    // common sheet thicknesses, mm: slots are about as wide
}

// Largest sheet in common use, mm (common practice, no published source).
const (
	longestSheet = 6000
	widestSheet  = 3000
)

// Resolve settles the unit, turns all lengths into mm, and turns splines and
// ellipses into arcs that stay within curveTol mm of them. It is called once.
//
// forced is "" or "auto" (the drawing decides) or the name of a unit; forcedBasis
// then says who asked: "flag" or "job". Without it the header's $INSUNITS
// decides; where it is silent the unit is guessed from $MEASUREMENT, words in
// the texts, and which unit gives parts and slots of a common size. Unit.Doubt
// gives both readings where no unit is stated, where $INSUNITS and $MEASUREMENT
// contradict, and where the size is implausible.
//
// It fails if forced is no unit or curveTol is not positive.
func (d *Drawing) Resolve(forced, forcedBasis string, hints UnitHints, curveTol float64) error {
	return d.ResolveContext(context.Background(), forced, forcedBasis, hints, curveTol)
}

// ResolveContext is Resolve that gives up with ctx's error when ctx is done; the
// drawing is of no use then.
func (d *Drawing) ResolveContext(ctx context.Context, forced, forcedBasis string, hints UnitHints, curveTol float64) error {
	if !(curveTol > 0) {
		return fmt.Errorf("curve tolerance %g mm: it must be above 0", curveTol)
	}
	u, err := d.chooseUnit(forced, forcedBasis, hints)
	if err != nil {
		return err
	}
	d.Unit = u
	d.Scale(u.Factor)
	if err := d.fitCurves(ctx, curveTol); err != nil {
		return err
	}
	d.settleTurns()
	d.Regroup()
	return nil
}

// chooseUnit settles the unit without touching the drawing.
func (d *Drawing) chooseUnit(forced, forcedBasis string, hints UnitHints) (Unit, error) {
	size := d.Extents()
	forced = strings.TrimSpace(forced)
	if forced != "" && !strings.EqualFold(forced, "auto") {
		r, ok := unitByName(forced)
		if !ok {
			return Unit{}, fmt.Errorf("unit %q: it must be one of auto, %s", forced, strings.Join(UnitNames, ", "))
		}
		u := Unit{Name: r.name, Factor: r.factor, Basis: forcedBasis}
		if why := hints.implausible(size, r); why != "" {
			u.Doubt = fmt.Sprintf("%s was asked for, but %s: %s", r.said, why, readings(size, r))
		}
		return u, nil
	}
	if r, ok := unitByCode(d.InsUnits); ok {
		u := Unit{Name: r.name, Factor: r.factor, Basis: "header"}
		says := [2]string{"imperial", "metric"}
		why := hints.implausible(size, r)
		if why == "" {
			why = d.strangeSlots(r, hints)
		}
		switch {
		case why != "":
			u.Doubt = fmt.Sprintf("the header says %s, but %s: %s", r.said, why, readings(size, r))
		case d.Measurement >= 0 && r.imperial() == (d.Measurement == 1) && !size.Empty():
			u.Doubt = fmt.Sprintf("$INSUNITS says %s but $MEASUREMENT says %s: %s", r.said, says[d.Measurement], readings(size, r))
		}
		return u, nil
	}
	r := d.guessUnit(size, hints)
	u := Unit{Name: r.name, Factor: r.factor, Basis: "guess"}
	if !size.Empty() {
		what := "no unit is stated"
		if d.InsUnits > 0 {
			what = fmt.Sprintf("$INSUNITS is %d, which is no unit", d.InsUnits)
		}
		u.Doubt = fmt.Sprintf("%s: %s", what, readings(size, r))
	}
	return u, nil
}

// readings asks in which of two units the size is meant, the one chosen and the
// one it is likeliest confused with, and says which was taken.
func readings(size geom.Box, r unitRow) string {
	other := "mm"
	if r.name == "mm" {
		other = "in"
	}
	o, _ := unitByName(other)
	show := func(u unitRow) string { return fmt.Sprintf("%.1f x %.1f %s", size.W(), size.H(), u.name) }
	s := show(r) + " or " + show(o) + "? Read as " + r.name
	if r.name != "mm" {
		s += fmt.Sprintf(", %.1f x %.1f mm", size.W()*r.factor, size.H()*r.factor)
	}
	return s
}

// implausible says why a drawing of that size is not likely to be in the unit,
// "" if it may be.
func (h UnitHints) implausible(size geom.Box, r unitRow) string {
	if size.Empty() {
		return ""
	}
	w, l := size.W()*r.factor, size.H()*r.factor
	if w > l {
		w, l = l, w
	}
	maxL, maxW := h.largest()
	switch {
	case l > maxL || w > maxW:
		return "the drawing is larger than any sheet"
	case l < 3:
		return "the drawing is smaller than a jet can cut"
	}
	return ""
}

func (h UnitHints) largest() (long, wide float64) {
	long, wide = longestSheet, widestSheet
	for _, s := range h.Sheets {
		long, wide = max(long, s.X, s.Y), max(wide, min(s.X, s.Y))
	}
	return long, wide
}

// guessUnit weighs what the drawing shows. The weights are experience, no
// published source: what people draw in most, which sizes kits have.
func (d *Drawing) guessUnit(size geom.Box, hints UnitHints) unitRow {
	prior := map[string]float64{"mm": 1, "in": 0.5, "cm": -1, "m": -1, "ft": -3}
	worded := d.wordedUnit()
	edge, edges := d.commonEdge()
	best, bestScore := unitRow{}, math.Inf(-1)
	for _, name := range []string{"mm", "in", "cm", "m", "ft"} {
		r, _ := unitByName(name)
		score := prior[name]
		switch {
		case d.Measurement == 1 && !r.imperial():
			score++
		case d.Measurement == 0 && r.imperial():
			score += 1.5
		}
		if worded == name {
			score += 4
		}
		if !size.Empty() {
			score += hints.sizeScore(max(size.W(), size.H()) * r.factor)
			if hints.implausible(size, r) != "" {
				score -= 5
			}
		}
		score += d.featureScore(r.factor)
		if edges >= 4 && hints.fits(edge*r.factor, 0.105, 0.405) {
			score++
		}
		if score > bestScore {
			best, bestScore = r, score
		}
	}
	return best
}

// sizeScore says how likely a drawing is that many mm long.
func (h UnitHints) sizeScore(l float64) float64 {
	switch {
	case l < 3:
		return -4
	case l < 10:
		return -1
	case l < 20:
		return 1
	case l < 3100:
		return 3
	}
	return 1
}

// featureScore says how likely holes have their diameters, and edges their
// lengths, in a unit of factor mm.
func (d *Drawing) featureScore(factor float64) float64 {
	var holes, edges []float64
	for i := range d.Strokes {
		p := &d.Strokes[i].Piece
		if p.IsCircle() {
			holes = append(holes, 2*p.R*factor)
		} else if l := p.Length() * factor; p.IsLine() && l > 0 {
			edges = append(edges, l)
		}
	}
	score := 0.0
	if len(holes) >= 3 {
		slices.Sort(holes)
		switch m := holes[len(holes)/2]; {
		case m < 0.8 || m > 300:
			score -= 2
		case m >= 1.5 && m <= 60:
			score++
		}
	}
	if len(edges) >= 8 {
		slices.Sort(edges)
		switch m := edges[len(edges)/10]; {
		case m < 0.2 || m > 500:
			score--
		case m >= 0.8 && m <= 200:
			score += 0.5
		}
	}
	return score
}

// commonEdge returns the length (drawing units) that most straight edges have,
// the shorter of equals, and how many do. In kits that go together it is mostly
// the depth of tabs and fingers or the width of slots, so the sheet's thickness.
func (d *Drawing) commonEdge() (length float64, n int) {
	size := d.Extents()
	if size.Empty() {
		return 0, 0
	}
	step := max(size.W(), size.H()) * 1e-5
	often := map[int64]int{} // by length in steps
	for i := range d.Strokes {
		if p := &d.Strokes[i].Piece; p.IsLine() {
			if k := math.Round(p.A.Dist(p.B) / step); k >= 10 {
				often[int64(k)]++
			}
		}
	}
	best := int64(0)
	for k, c := range often {
		if c > n || c == n && k < best {
			best, n = k, c
		}
	}
	return float64(best) * step, n
}

// fits reports whether an edge of l mm is as long as a common sheet is thick,
// from under mm below to over mm above.
func (h UnitHints) fits(l, under, over float64) bool {
	return slices.ContainsFunc(h.Thicknesses, func(t float64) bool { return l > t-under && l < t+over })
}

// strangeSlots says that the commonest edge is far from the thickness of any
// sheet in the stated unit, and exactly one in the other unit, in which the
// size is plausible too.
func (d *Drawing) strangeSlots(r unitRow, hints UnitHints) string {
	other := "mm"
	if r.name == "mm" {
		other = "in"
	}
	o, _ := unitByName(other)
	l, n := d.commonEdge()
	here, there := l*r.factor, l*o.factor
	if n >= 8 && (here < 0.4 || here > 30) && hints.fits(there, 0.05, 0.05) && hints.implausible(d.Extents(), o) == "" {
		return fmt.Sprintf("its slots would be %.3g mm wide, which no common sheet is thick", here)
	}
	return ""
}

var unitWords = []struct {
	name string
	re   *regexp.Regexp
}{
	{"mm", regexp.MustCompile(`(?i)(\ball dimensions (are )?in mm\b|\bunits?\s*[:=]?\s*(in )?mm\b|\bmillimet(re|er)s?\b|\bmaße in mm\b|\bdimensions en mm\b)`)},
	{"in", regexp.MustCompile(`(?i)(\ball dimensions (are )?in inch(es)?\b|\bunits?\s*[:=]?\s*(in )?(in|inch|inches)\b|\binches\b)`)},
	{"cm", regexp.MustCompile(`(?i)(\bunits?\s*[:=]?\s*(in )?cm\b|\bcentimet(re|er)s?\b)`)},
}

// wordedUnit returns the unit that texts of the drawing name, "" if none or
// several do.
func (d *Drawing) wordedUnit() string {
	found := ""
	for i := range d.Texts {
		if len(d.Texts[i].Value) > 2000 {
			continue
		}
		for _, w := range unitWords {
			if w.re.MatchString(d.Texts[i].Value) {
				if found != "" && found != w.name {
					return ""
				}
				found = w.name
			}
		}
	}
	return found
}
