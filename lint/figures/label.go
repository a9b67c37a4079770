package figures

import (
	"math"

	"sluice/geom"
	"sluice/geom/outline"
	"sluice/lint"
)

// Label is the number of a part as a picture writes it. It is for the eye only;
// places for numbers that are etched come from the repair.
type Label struct {
	Text   string
	At     geom.Point // its middle
	Height float64    // mm
}

// LabeledParts is the most parts of a drawing that get a label in its picture.
const LabeledParts = 3000

// labelsOf places the label of each part near its middle, as large as the part and
// a picture of the given diagonal (mm) allow. name gives the text, "" for none.
func labelsOf(s *outline.Sheet, diagonal float64, name func(i int) string) []Label {
	if s == nil || len(s.Parts) > LabeledParts {
		return nil
	}
	var out []Label
	for i := range s.Parts {
		if l, ok := LabelOf(s, i, diagonal, name(i)); ok {
			out = append(out, l)
		}
	}
	return out
}

// LabelOf places the label of one part; ok is false where there is none.
func LabelOf(s *outline.Sheet, i int, diagonal float64, text string) (l Label, ok bool) {
	p := &s.Parts[i]
	text = lint.Clean(text)
	if text == "" || !p.Box.Finite() || !p.Centroid.Finite() {
		return l, false
	}
	// reach is half the diagonal of the text for a height of 1, digits taken to
	// be half as wide as the letters are high.
	reach := math.Hypot(0.4, 0.28*float64(len([]rune(text))))
	height := min(0.33*min(p.Box.W(), p.Box.H()), diagonal/40)
	at, clearance := clearest(s, p, height*reach)
	height = max(min(height, clearance/reach), height/2)
	return Label{text, at, height}, height > 0
}

// Bounds on the search for a clear place: parts of more pieces are not searched,
// and of a square gridSide times gridSide places are tried.
const (
	mostSearched = 4000
	gridSide     = 11
)

// clearest returns a place in the material of a part and its distance from the
// nearest edge: the centroid where that is at least as far as asked, else the
// clearest of a coarse grid of places.
func clearest(s *outline.Sheet, p *outline.Part, enough float64) (at geom.Point, clearance float64) {
	outlines := outlinesOf(s, p)
	at, clearance = p.Centroid, clearanceAt(s, outlines, p.Centroid)
	pieces := 0
	for _, o := range outlines {
		pieces += len(s.Outlines[o].Pieces)
	}
	if clearance >= enough || pieces > mostSearched || !(p.Box.W() > 0 && p.Box.H() > 0) {
		return at, clearance
	}
	// Places spaced alike both ways.
	across := math.Sqrt(p.Box.W() / p.Box.H())
	nx, ny := min(max(int(gridSide*across), 3), 40), min(max(int(gridSide/across), 3), 40)
	for i := range nx {
		for j := range ny {
			q := geom.Pt(p.Box.Min.X+p.Box.W()*(float64(i)+0.5)/float64(nx), p.Box.Max.Y-p.Box.H()*(float64(j)+0.5)/float64(ny))
			if d := clearanceAt(s, outlines, q); d > clearance {
				at, clearance = q, d
			}
		}
	}
	return at, clearance
}

// clearanceAt returns the distance from q to the nearest of the outlines of a
// part, its outside first; negative where q is not in its material.
func clearanceAt(s *outline.Sheet, outlines []int32, q geom.Point) float64 {
	d, in := math.Inf(1), false
	for k, o := range outlines {
		path := s.Outlines[o].Pieces
		edge, _ := path.Dist(q)
		d = min(d, edge)
		in = path.Contains(q) == (k == 0) && (k == 0 || in)
	}
	if !in {
		return -d
	}
	return d
}
