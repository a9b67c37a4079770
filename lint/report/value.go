package report

import (
	"math"
	"strconv"
	"strings"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/lint"
	"sluice/lint/units"
)

// num is a number as written to JSON: rounded to six decimals, without exponent
// where it is of sensible size, null where it is infinite or not a number.
type num float64

func (n num) MarshalJSON() ([]byte, error) {
	v := lint.Written(float64(n))
	switch {
	case math.IsNaN(v) || math.IsInf(v, 0):
		return []byte("null"), nil
	case math.Abs(v) >= 1e15:
		return strconv.AppendFloat(nil, v, 'e', -1, 64), nil
	}
	return strconv.AppendFloat(nil, v, 'f', -1, 64), nil
}

// boxAround returns the box of a finding or, where it has none, its place. The
// zero box counts as none unless the finding is at the origin.
func boxAround(b geom.Box, at geom.Point) geom.Box {
	if !b.Finite() || b == (geom.Box{}) {
		return geom.Box{Min: at, Max: at}
	}
	return b
}

// TallyText returns, say, "1 error, 4 warnings, 0 notes".
func TallyText(t lint.Tally) string {
	return plural(t.Error, "error") + ", " + plural(t.Warning, "warning") + ", " + plural(t.Note, "note")
}

var basisText = map[string]string{
	"header": "stated in the drawing",
	"job":    "set in the job file",
	"flag":   "set on the command line",
	"guess":  "guessed",
}

// unitText says the unit, its factor and where it comes from.
func unitText(u *drawing.Unit) string {
	basis := basisText[u.Basis]
	if basis == "" {
		basis = clean(u.Basis)
	}
	s := clean(u.Name) + " (" + basis
	if u.Factor != 1 {
		mm := figure(u.Factor, 6)
		if u.Factor < 1e-3 || u.Factor > 1e9 { // an angstrom, a light year
			mm = strconv.FormatFloat(u.Factor, 'g', 6, 64)
		}
		s += ", 1 " + clean(u.Name) + " = " + mm + " mm"
	}
	return s + ")"
}

// figure formats v with at most the given number of decimals, fixed with exactly
// so many.
func figure(v float64, decimals int) string { return units.Figure(v, decimals) }
func fixed(v float64, decimals int) string  { return units.Fixed(v, decimals) }

// xy formats a place to a hundredth of a millimetre.
func xy(p geom.Point) string { return units.Metric.Place(p.X, p.Y) }

// placeText writes a place on a drawing in the units to tell it in.
func placeText(u units.System, p geom.Point) string { return u.Place(seen(p).X, seen(p).Y) }

// plural returns "1 part", "2 parts", "0 parts", "2 entities", "2 notches".
func plural(n int, word string) string {
	s := strconv.Itoa(n) + " " + word
	switch {
	case n == 1:
		return s
	case strings.HasSuffix(word, "entity"):
		return strings.TrimSuffix(s, "y") + "ies"
	case strings.HasSuffix(word, "ch"):
		return s + "es"
	}
	return s + "s"
}

// What comes from a drawing is written clean, at a place that can be gone to, and
// as a number that is one.
func clean(s string) string        { return lint.Clean(s) }
func seen(p geom.Point) geom.Point { return lint.Seen(p) }
func finite(v float64) float64     { return lint.Finite(v) }
