package lint

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"sync"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/index"
	"sluice/geom/outline"
)

// Named is a part as it was known before the drawing was changed, so that it
// keeps its name: moved and sized with the part.
type Named struct {
	Name string
	At   geom.Point // its centre of mass, mm
	Area float64    // mm2
}

// KnownParts returns the parts of a judged drawing by name.
func KnownParts(r *Result) []Named {
	out := make([]Named, len(r.Sheet.Parts))
	for k := range r.Sheet.Parts {
		p := &r.Sheet.Parts[k]
		out[k] = Named{r.Names[k], p.Centroid, p.Area}
	}
	return out
}

// How far a part may stray from what it is known as: repairs and other slots
// shift the middle and change the area of a part by less.
const (
	knownStray = 0.05 // of its size
	knownArea  = 1.5  // times larger or smaller
)

// namesOfKnown names the parts without a name by what is known at their place,
// the nearest first; every known part names one.
func namesOfKnown(s *outline.Sheet, known []Named, names []string) {
	if len(known) == 0 {
		return
	}
	boxes := make([]geom.Box, len(known))
	for i := range known {
		boxes[i] = geom.BoxOf(known[i].At)
	}
	tree := index.NewTree(boxes)
	taken := make([]bool, len(known))
	for k := range s.Parts {
		p := &s.Parts[k]
		if names[k] != "" {
			continue
		}
		reach := max(0.5, knownStray*math.Hypot(p.Box.W(), p.Box.H()))
		tree.ByDistance(p.Centroid, func(i int32, d float64) bool {
			if d > reach {
				return false
			}
			x := &known[i]
			if taken[i] || x.Area > knownArea*p.Area || p.Area > knownArea*x.Area {
				return true
			}
			taken[i], names[k] = true, x.Name
			return false
		})
	}
}

// numberText is how drawings write the number of a part: 7, A7, 7b, part 7, no. 7.
var numberText = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^(?i:part|piece|no\.?|nr\.?|#)?\s*([A-Za-z]{0,2}[-.]?[0-9]{1,3}[A-Za-z]?)$`)
})

// writtenShare is the share of a drawing's parts that must carry what looks like
// a number before any of it is taken for numbers.
const writtenShare = 2.0 / 3

// namesWritten names parts by the numbers that whoever drew them wrote on them, as
// text. Sizes and thicknesses stand on parts too: numbers are what stands once on
// nearly every part, and never the same on parts of different shape.
func namesWritten(d *drawing.Drawing, s *outline.Sheet, names []string) {
	if len(d.Texts) == 0 || len(s.Parts) < 2 {
		return
	}
	partAt := s.PartFinder()
	found := make([]string, len(s.Parts))
	several := make([]bool, len(s.Parts))
	for i := range d.Texts {
		t := &d.Texts[i]
		m := numberText().FindStringSubmatch(Clean(t.Value))
		if m == nil || !(t.Height > 0) {
			continue
		}
		if k := partAt(t.At); k >= 0 {
			several[k] = several[k] || found[k] != ""
			found[k] = m[1]
		}
	}
	n := 0
	shape := map[string]int{} // name -> class of its parts
	for k, name := range found {
		if name == "" || several[k] {
			found[k] = ""
			continue
		}
		n++
		if c, ok := shape[name]; ok && c != s.Parts[k].Number {
			return
		}
		shape[name] = s.Parts[k].Number
	}
	if n < 2 || float64(n) < writtenShare*float64(len(s.Parts)) {
		return
	}
	for k, name := range found {
		if names[k] == "" {
			names[k] = name
		}
	}
}

// nextNumber returns the first number above all that are in use or were.
func nextNumber(names []string, known []Named) int {
	most := 0
	see := func(name string) {
		digits := strings.TrimLeft(name, "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz-.")
		if n, err := strconv.Atoi(digits); err == nil {
			most = max(most, n)
		}
	}
	for _, name := range names {
		see(name)
	}
	for i := range known {
		see(known[i].Name)
	}
	return most + 1
}
