package fit

import (
	"slices"
	"strings"
)

// Band is how far a sheet may be off its nominal thickness, mm.
type Band struct {
	Minus, Plus float64
	Source      string // the standard
}

// row is a range of thicknesses up to and including To, with the tolerance by
// width of sheet.
type row struct {
	to  float64
	tol []float64
}

// EN 485-4:1994 Table 1, ± mm by sheet width up to 1000, 1250, 1600, 2000 and
// 2500 mm, for alloys of group II (2024, 5052, 5083, 5754, 6061, 6082, 7075 …).
// Seen in two independent reproductions.
var aluminium2 = []row{
	{0.4, []float64{.03, .05, .06}}, {0.5, []float64{.03, .05, .06, .07, .10}}, {0.6, []float64{.04, .06, .07, .08, .11}},
	{0.8, []float64{.04, .07, .08, .09, .12}}, {1, []float64{.05, .08, .09, .10, .13}}, {1.2, []float64{.05, .09, .10, .12, .14}},
	{1.5, []float64{.07, .11, .12, .14, .16}}, {1.8, []float64{.08, .12, .13, .15, .17}}, {2, []float64{.09, .13, .14, .16, .19}},
	{2.5, []float64{.10, .14, .15, .17, .20}}, {3, []float64{.11, .15, .17, .19, .23}}, {3.5, []float64{.12, .17, .19, .20, .24}},
	{4, []float64{.15, .20, .22, .23, .25}}, {5, []float64{.18, .22, .24, .25, .29}}, {6, []float64{.20, .24, .25, .26, .32}},
	{8, []float64{.24, .30, .31, .32, .38}}, {10, []float64{.27, .33, .36, .38, .44}}, {12, []float64{.32, .38, .40, .41, .47}},
	{15, []float64{.36, .42, .43, .45, .51}}, {20, []float64{.38, .44, .46, .48, .54}}, {25, []float64{.40, .46, .48, .50, .56}},
	{30, []float64{.45, .50, .53, .55, .60}},
}

// The same for group I (1xxx, 3003, 3103, 3105, 5005, 5050) up to 3.5 mm; above
// the groups share their values.
var aluminium1 = []row{
	{0.4, []float64{.02, .04, .05}}, {0.5, []float64{.03, .04, .05, .06, .10}}, {0.6, []float64{.03, .05, .06, .07, .11}},
	{0.8, []float64{.03, .06, .07, .08, .12}}, {1, []float64{.04, .06, .08, .09, .13}}, {1.2, []float64{.04, .07, .09, .10, .14}},
	{1.5, []float64{.05, .09, .10, .11, .16}}, {1.8, []float64{.06, .10, .11, .12, .17}}, {2, []float64{.06, .11, .12, .14, .19}},
	{2.5, []float64{.07, .12, .13, .15, .20}}, {3, []float64{.08, .13, .15, .17, .23}}, {3.5, []float64{.10, .15, .17, .18, .24}},
}

var aluminiumWidths = []float64{1000, 1250, 1600, 2000, 2500}

// ISO 9445 (EN 10259), cold-rolled stainless, ± mm by width up to 1000, 1250 and
// 1500 mm. Seen in a merchant's reproduction.
var stainless = []row{
	{0.59, []float64{.045, .05}}, {0.79, []float64{.05, .05}}, {0.99, []float64{.055, .06, .06}}, {1.19, []float64{.06, .07, .07}},
	{1.49, []float64{.07, .08, .08}}, {1.99, []float64{.08, .09, .10}}, {2.49, []float64{.09, .10, .11}},
	{2.99, []float64{.11, .12, .12}}, {3.99, []float64{.13, .14, .14}},
}

var stainlessWidths = []float64{1000, 1250, 1500}

// EN 10051 category A, hot-rolled steel, ± mm by width up to 1200, 1500, 1800 and
// above. Seen in a merchant's reproduction.
var steel = []row{
	{2, []float64{.17, .19, .21}}, {2.5, []float64{.18, .21, .23, .25}}, {3, []float64{.20, .22, .24, .26}}, {4, []float64{.22, .24, .26, .27}},
	{5, []float64{.24, .26, .28, .29}}, {6, []float64{.26, .28, .29, .31}}, {8, []float64{.29, .30, .31, .35}}, {10, []float64{.32, .33, .34, .40}},
	{12.5, []float64{.35, .36, .37, .43}}, {15, []float64{.37, .38, .40, .46}},
}

var steelWidths = []float64{1200, 1500, 1800, 2500}

// Stock returns how far a sheet may be off its nominal thickness by the
// published table for its material, told by its name. width is the sheet's
// shorter side, 0 if unknown (then the narrowest column holds). ok is false
// where no table is known.
func Stock(material string, thickness, width float64) (b Band, ok bool) {
	m := strings.ToLower(material)
	has := func(words ...string) bool {
		return slices.ContainsFunc(words, func(w string) bool { return strings.Contains(m, w) })
	}
	even := func(rows []row, widths []float64, source string) (Band, bool) {
		t, ok := look(rows, widths, thickness, width)
		return Band{t, t, source}, ok
	}
	switch {
	case has("alumin"):
		if thickness <= 3.5 && has("1050", "1100", "1200", "3003", "3103", "3105", "5005", "5050") {
			return even(aluminium1, aluminiumWidths, "EN 485-4, group I")
		}
		return even(aluminium2, aluminiumWidths, "EN 485-4, group II")
	case has("stainless", "304", "316"):
		return even(stainless, stainlessWidths, "ISO 9445")
	case has("steel", "a36", "s235"):
		return even(steel, steelWidths, "EN 10051, category A")
	case has("extruded acrylic"):
		if thickness < 3 {
			return Band{0.1 * thickness, 0.1 * thickness, "ISO 7823-2"}, true
		}
		return Band{0.05 * thickness, 0.05 * thickness, "ISO 7823-2"}, true
	case has("acrylic", "pmma"):
		t := 0.4 + 0.1*thickness
		return Band{t, t, "ISO 7823-1"}, true
	case has("plywood", "ply"):
		// From memory; agrees with a mill's table at 4 and 18 mm.
		return Band{0.4 + 0.03*thickness, 0.2 + 0.03*thickness, "EN 315, sanded"}, true
	}
	return Band{}, false
}

func look(rows []row, widths []float64, thickness, width float64) (float64, bool) {
	for _, r := range rows {
		if thickness > r.to {
			continue
		}
		for i, w := range widths {
			if width <= w && i < len(r.tol) {
				return r.tol[i], true
			}
		}
		return r.tol[len(r.tol)-1], true
	}
	return 0, false
}
