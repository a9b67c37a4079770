package report

import (
	"fmt"

	"sluice/lint/cutting"
	"sluice/lint/figures"
)

// mostNames is how many numbers of parts stand in one sentence.
const mostNames = 12

// holdingWords says in sentences how the parts are held and how hard the tabs are
// to break.
func holdingWords(h *figures.Holding) (said []string) {
	if h.Slats != "" {
		said = append(said, h.Slats+"; check that the sheet lies so")
	}
	if len(h.Turned) > 0 {
		said = append(said, "without tabs, and not held if the slats ran the other way: "+list(h.Turned))
	}
	if len(h.Pushed) > 0 {
		said = append(said, fmt.Sprintf("without tabs, and lighter than the push of the stream (%s N at most, for a moment, where a cut ends on an edge beyond the slats; "+
			"they fall back): %s. Watch them, or set [table] push_share", figure(h.Push, 0), list(h.Pushed)))
	}
	if s := strengthWords(h); s != "" {
		said = append(said, s)
	} else if h.Width > 0 {
		said = append(said, "what a tab takes to break is not reckoned: thickness or material is not set, or its shear strength is not known ([[material]] shear)")
	}
	return said
}

// holdingCaution warns of tabs that hands cannot break, or that bend first; "" where
// there are none.
func holdingCaution(h *figures.Holding) string {
	if !h.TooStrong() && !h.TooWide() {
		return ""
	}
	return strengthWords(h)
}

// strengthWords says what it takes to break a tab, "" where that is not known.
func strengthWords(h *figures.Holding) string {
	if h.Width == 0 {
		return ""
	}
	s := ""
	if h.Force > 0 {
		s = fmt.Sprintf("a tab takes about %s N to shear straight off (%s MPa x %s mm x %s mm, a rule of thumb; rocking the part breaks it with less)",
			fixed(h.Force, 0), figure(h.Shear, 0), figure(h.Width, 3), figure(h.Thickness, 4))
	}
	switch {
	case h.TooStrong() && h.Narrower():
		s += fmt.Sprintf(", more than the %s N of hands: [tabs] width = \"auto\" makes them %s mm, or saw them", figure(cutting.Hands, 0), figure(h.Auto, 3))
	case h.TooStrong():
		s += fmt.Sprintf(", more than the %s N of hands: saw them", figure(cutting.Hands, 0))
	case h.TooWide():
		if s != "" {
			s += "; "
		}
		s += fmt.Sprintf("tabs of %s mm are more than half as wide as the sheet is thick and bend before they break", figure(h.Width, 3))
		if h.Narrower() {
			s += fmt.Sprintf(": [tabs] width = \"auto\" makes them %s mm", figure(h.Auto, 3))
		}
	}
	return s
}

// list writes numbers of parts.
func list(names []string) string {
	word := "parts "
	if len(names) == 1 {
		word = "part "
	}
	s := ""
	for i, n := range cleanAll(names, mostNames) {
		if i > 0 {
			s += ", "
		}
		s += n
	}
	return word + s
}
