package report

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/lint"
)

// num is a number as written to JSON: rounded to six decimals, without exponent
// where it is of sensible size, null where it is infinite or not a number.
type num float64

func (n num) MarshalJSON() ([]byte, error) {
	v := round6(float64(n))
	switch {
	case math.IsNaN(v) || math.IsInf(v, 0):
		return []byte("null"), nil
	case math.Abs(v) >= 1e15:
		return strconv.AppendFloat(nil, v, 'e', -1, 64), nil
	}
	return strconv.AppendFloat(nil, v, 'f', -1, 64), nil
}

// round6 rounds to six decimals and never returns a negative zero.
func round6(v float64) float64 {
	if math.Abs(v) < 1e9 {
		v = math.Round(v*1e6) / 1e6
	}
	if v == 0 {
		return 0
	}
	return v
}

// place returns the point with coordinates that are not finite set to 0, since
// no reader can go to them.
func place(p geom.Point) geom.Point {
	return geom.Pt(finite(p.X), finite(p.Y))
}

func finite(v float64) float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return 0
	}
	return v
}

// boxAround returns the box of a finding or, where it has none, its place. The
// zero box counts as none unless the finding is at the origin.
func boxAround(b geom.Box, at geom.Point) geom.Box {
	if !usable(b) || b == (geom.Box{}) {
		return geom.Box{Min: at, Max: at}
	}
	return b
}

// usable reports whether the box holds a point and all its sides are finite.
func usable(b geom.Box) bool {
	return !b.Empty() && b.Min.Finite() && b.Max.Finite()
}

// sorted returns the findings by rule, then from top to bottom, then from left
// to right; places are compared as they are written, to six decimals, and ties
// keep their order.
func sorted(fs []lint.Finding) []lint.Finding {
	fs = slices.Clone(fs)
	slices.SortStableFunc(fs, func(a, b lint.Finding) int {
		p, q := place(a.At), place(b.At)
		return cmp.Or(cmp.Compare(a.Rule, b.Rule),
			cmp.Compare(round6(q.Y), round6(p.Y)), cmp.Compare(round6(p.X), round6(q.X)))
	})
	return fs
}

// Tally counts findings by severity.
type Tally struct {
	Error   int `json:"error"`
	Warning int `json:"warning"`
	Note    int `json:"note"`
}

// TallyOf counts the findings.
func TallyOf(fs []lint.Finding) Tally {
	var t Tally
	for i := range fs {
		switch fs[i].Severity {
		case lint.Error:
			t.Error++
		case lint.Warning:
			t.Warning++
		case lint.Note:
			t.Note++
		}
	}
	return t
}

func (t Tally) plus(u Tally) Tally {
	return Tally{t.Error + u.Error, t.Warning + u.Warning, t.Note + u.Note}
}

// Sum returns the number of findings of any severity.
func (t Tally) Sum() int { return t.Error + t.Warning + t.Note }

// String returns, say, "1 error, 4 warnings, 0 notes".
func (t Tally) String() string {
	return plural(t.Error, "error") + ", " + plural(t.Warning, "warning") + ", " + plural(t.Note, "note")
}

// findingsOf returns the findings of a result, none for nil.
func findingsOf(r *lint.Result) []lint.Finding {
	if r == nil {
		return nil
	}
	return r.Findings
}

// countsOf counts what a drawing holds. Unread are the entities of which no
// outline is known or whose layer is hidden, each once.
func countsOf(r *lint.Result) lint.Counts {
	var c lint.Counts
	if r == nil {
		return c
	}
	if r.Brief != nil {
		return r.Brief.Counts
	}
	if d := r.Drawing; d != nil {
		c.Entities = len(d.Entities)
		seen := map[int32]bool{}
		for _, n := range d.Notices {
			if n.Kind == drawing.Unread || n.Kind == drawing.Hidden {
				seen[n.Entity] = true
			}
		}
		c.Unread = len(seen)
	}
	if s := r.Sheet; s != nil {
		c.Outlines, c.Parts = len(s.Outlines), len(s.Parts)
		for i := range s.Outlines {
			if s.Outlines[i].Hole() {
				c.Holes++
			}
		}
	}
	return c
}

// unitOf returns the settled unit of a result, false if there is none.
func unitOf(r *lint.Result) (drawing.Unit, bool) {
	switch {
	case r == nil || r.Err != nil:
		return drawing.Unit{}, false
	case r.Brief != nil:
		return r.Brief.Unit, r.Brief.Unit.Name != ""
	case r.Drawing == nil || r.Drawing.Unit.Name == "":
		return drawing.Unit{}, false
	}
	return r.Drawing.Unit, true
}

var basisText = map[string]string{
	"header": "stated in the drawing",
	"job":    "set in the job file",
	"flag":   "set on the command line",
	"guess":  "guessed",
}

// unitText says the unit, its factor and where it comes from.
func unitText(u drawing.Unit) string {
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

// figure formats v with at most the given number of decimals, trailing zeros
// dropped, and "?" where it is no number.
func figure(v float64, decimals int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "?"
	}
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return s
}

// xy formats a place to a hundredth of a millimetre.
func xy(p geom.Point) string {
	return fixed(p.X, 2) + ", " + fixed(p.Y, 2)
}

// fixed formats v with exactly the given number of decimals.
func fixed(v float64, decimals int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "?"
	}
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		return strings.TrimPrefix(s, "-")
	}
	return s
}

// plural returns "1 part", "2 parts", "0 parts".
func plural(n int, word string) string {
	s := strconv.Itoa(n) + " " + word
	switch {
	case n == 1:
		return s
	case strings.HasSuffix(word, "entity"):
		return strings.TrimSuffix(s, "y") + "ies"
	}
	return s + "s"
}

// clean makes a string from a drawing safe for a terminal and for one line:
// control and direction-changing characters become visible question marks,
// runs of white space one blank.
func clean(s string) string {
	s = strings.ToValidUTF8(s, "\uFFFD")
	s = strings.Map(func(r rune) rune {
		switch {
		case r == '\t' || r == '\n' || r == '\r':
			return ' '
		case unicode.IsControl(r) || unicode.Is(unicode.Cf, r) || r == '\u2028' || r == '\u2029':
			return '\uFFFD'
		}
		return r
	}, s)
	return strings.Join(strings.Fields(s), " ")
}

// compareNatural orders part numbers as people do: 2 before 10, A2 before A10.
func compareNatural(a, b string) int {
	for a != "" && b != "" {
		if digit(a[0]) && digit(b[0]) {
			x, restA := number(a)
			y, restB := number(b)
			if c := cmp.Or(cmp.Compare(len(x), len(y)), cmp.Compare(x, y)); c != 0 {
				return c
			}
			a, b = restA, restB
			continue
		}
		if a[0] != b[0] {
			return cmp.Compare(a[0], b[0])
		}
		a, b = a[1:], b[1:]
	}
	return cmp.Compare(len(a), len(b))
}

func digit(c byte) bool { return '0' <= c && c <= '9' }

// number splits the leading digits, without leading zeros, from the rest.
func number(s string) (digits, rest string) {
	i := 0
	for i < len(s) && digit(s[i]) {
		i++
	}
	return strings.TrimLeft(s[:i], "0"), s[i:]
}
