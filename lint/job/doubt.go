package job

import (
	"fmt"
	"math"
	"slices"
	"strconv"
)

// What a stream and a plate can be, mm: beyond that a figure was likely meant in
// another unit. An abrasive stream cuts from about 0.5 to 2 mm wide, sheet is sold
// from about 0.3 mm, plates of up to 300 mm are parted (common practice, no source).
const (
	leastKerf, mostKerf   = 0.2, 3
	leastSheet, mostSheet = 0.3, 300
	smallestSheet         = 145 // both ways, mm: the number of inches of the longest stock
)

// stockSides are the sides of sheets that are sold by the inch.
var stockSides = []float64{12, 24, 36, 48, 60, 72, 96, 120, 144}

// Doubts asks about settings that make no sense in the unit in which they stand,
// and offers what may have been meant, a line each.
func (j *Job) Doubts() []string {
	var out []string
	ask := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	inches := func(mm float64) string { return strconv.FormatFloat(mm, 'g', 4, 64) + "in" }
	switch k := j.Jet.Kerf; {
	case k > mostKerf && k >= 10 && k/1000*25.4 >= leastKerf && k/1000*25.4 <= mostKerf:
		ask("kerf %s: no abrasive stream is that wide; did you mean %s?", FormatLength(k), inches(k/1000))
	case k > mostKerf:
		ask("kerf %s: no abrasive stream is that wide; did you mean %s?", FormatLength(k), FormatLength(k/10))
	case k < leastKerf && k*25.4 >= leastKerf && k*25.4 <= mostKerf:
		ask("kerf %s: no abrasive stream is that narrow; did you mean %s?", FormatLength(k), inches(k))
	case k < leastKerf:
		ask("kerf %s: no abrasive stream is that narrow; write it with its unit, such as 0.9mm or 0.035in", FormatLength(k))
	}
	type named struct {
		name string
		mm   float64
	}
	sheets := j.Sheets()
	thick := []named{{"measured thickness", j.Fit.Measured}}
	for i := range sheets {
		if t := (named{"thickness", sheets[i].Thickness}); !slices.Contains(thick, t) {
			thick = slices.Insert(thick, len(thick)-1, t)
		}
	}
	for _, t := range thick {
		switch {
		case t.mm > 0 && t.mm < leastSheet:
			ask("%s %s: no sheet is that thin; did you mean %s?", t.name, FormatLength(t.mm), inches(stockInches(t.mm)))
		case t.mm > mostSheet:
			ask("%s %s: no sheet is that thick; did you mean %s?", t.name, FormatLength(t.mm), FormatLength(t.mm/100))
		}
	}
	for i := range sheets {
		s := sheets[i].Size
		if len(s) != 2 || s[0] > smallestSheet || s[1] > smallestSheet || !isStock(s[0]) && !isStock(s[1]) {
			continue
		}
		ask("sheet size %s x %s: no plate is that small; did you mean %s x %s?", FormatLength(s[0]), FormatLength(s[1]), inches(s[0]), inches(s[1]))
	}
	return out
}

// stockInches returns the thickness in inches that a number written without its unit
// stands for: the nearest 64th of an inch where it was rounded to two digits.
func stockInches(in float64) float64 {
	if near := math.Round(in*64) / 64; near > 0 && math.Abs(near-in) < 0.005 {
		return near
	}
	return in
}

func isStock(in float64) bool {
	for _, s := range stockSides {
		if s == in {
			return true
		}
	}
	return false
}
