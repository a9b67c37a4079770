package drawing

import (
	"fmt"
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/survey"
)

// reading is a unit that the drawing may be in, with what speaks for it. Figures
// are rough logarithms of how likely it is: 0 is usual, -1 seldom, -3 hardly
// ever. They are experience, no published source.
type reading struct {
	unitRow
	scale    float64 // above 0: no unit of its own, but one exported at the wrong size; what to scale by
	header   float64
	size     float64
	holes    float64
	joints   float64
	windows  float64
	texts    float64
	round    float64
	evidence []string // what suits it: "slots 3 mm"
}

// drawn is what the drawing shows of itself, besides its headers.
func (r *reading) drawn() float64 { return r.holes + r.joints + r.windows + r.texts + r.round }

func (r *reading) total() float64 { return r.header + r.size + r.drawn() }

// Sizes of sheets, mm. The usual ones are what kits are drawn for: 10 ft boards
// and 3 m steel. The largest are those of big mills. Common practice, no
// published source.
const (
	usualLong, usualWide         = 3060, 2060
	longestSheet                 = 6000
	widestSheet                  = 3000
	leastDrawing         float64 = 3 // mm; below that there is nothing that a jet can cut
)

// likelihood is a run of limits with what holds below each.
type likelihood []struct{ below, is float64 }

func (l likelihood) of(v float64) float64 {
	for _, s := range l {
		if v < s.below {
			return s.is
		}
	}
	return l[len(l)-1].is
}

var (
	// Longer side of a drawing, mm.
	sizeLikely = likelihood{{leastDrawing, -6}, {6, -5}, {10, -4}, {25, -1}, {50, -0.3}, {1300, 0}, {2600, -0.5}, {usualLong, -1}, {longestSheet, -2.5}, {math.Inf(1), -5}}
	// Diameter of a hole, mm: screws from M1.6 (1.5 drill) to M12 (13.5 clearance)
	// and from #0 to 1/2 inch in the middle.
	holeLikely = likelihood{{0.3, -4.5}, {0.5, -3}, {1, -1.2}, {1.5, -0.4}, {14, 0.2}, {40, -0.7}, {100, -1.5}, {300, -2.5}, {math.Inf(1), -4}}
	// Thickness that joints are drawn for, mm.
	jointLikely = likelihood{{0.25, -5}, {0.45, -2}, {thinnestJoint, -1.2}, {13.5, 0.3}, {20, 0}, {thickestJoint, -1}, {45, -7}, {math.Inf(1), -9}}
	// Height of a text, mm.
	textLikely = likelihood{{0.3, -1.5}, {1, -0.5}, {40, 0}, {150, -0.5}, {math.Inf(1), -1.5}}
)

// Thicknesses between which sheets are that kits are joined of, mm.
const (
	thinnestJoint = 0.7
	thickestJoint = 26.0
)

// Square openings for key switches, mm: 14.0, or a little less where they are to
// clamp. Switch makers' data sheets, from memory. Of all openings drawn in fields
// they alone are of one size everywhere.
const (
	keyLeast, keyMost = 13.75, 14.15
	wingsMost         = 15.9 // with room for the switch's clips
)

// keyPitches are the distances between keys, mm: 3/4 in (and 19 mm), and 18 by 17
// for flat ones; from to.
var keyPitches = [][2]float64{{18.9, 19.2}, {17.9, 18.1}, {16.9, 17.1}}

// keyOpenings reports whether the windows are key openings at factor mm.
func keyOpenings(w survey.Windows, factor float64) bool {
	short, long, pitch := w.Short*factor, w.Long*factor, w.Pitch*factor
	return short > keyLeast && short < keyMost && long < wingsMost &&
		slices.ContainsFunc(keyPitches, func(p [2]float64) bool { return pitch > p[0] && pitch < p[1] })
}

// Weights of kinds of evidence.
const (
	holesWeigh    = 1.2
	someWeigh     = 0.6  // slots without tabs
	severalSheets = -1.5 // size of a drawing of several sheets side by side
	commonWeigh   = 0.4  // as wide as a common sheet is thick
	windowWeigh   = 8.0
	roundWeigh    = 1.5
	fewHoles      = 4 // fewer weigh less
	fewLengths    = 4
)

// weigh says how well what is drawn suits a reading.
func (h *UnitHints) weigh(s *survey.Survey, texts []float64, r *reading) {
	f := r.factor
	long := s.Long * f
	r.size = sizeLikely.of(long)
	if part := s.Largest * f; long > usualLong && part > 0 && part < usualLong && s.Outlines > 3 {
		r.size = max(r.size, severalSheets)
	}
	if n := count(s.Holes); n > 0 {
		least, mid := quantile(s.Holes, 0.1)*f, quantile(s.Holes, 0.5)*f
		v := (holeLikely.of(least) + holeLikely.of(mid)) / 2
		r.holes = v * holesWeigh * min(1, float64(n)/fewHoles)
		if v > 0 && n >= 2 {
			r.evidence = append(r.evidence, fmt.Sprintf("holes %s mm", figure(mid)))
		}
	}
	if j := s.Joint; j.Count > 0 {
		w := j.Width * f
		r.joints = jointLikely.of(w)
		switch {
		case h.stocked(w):
			r.joints = max(r.joints, 0.3)
		case h.common(w):
			r.joints += commonWeigh
		}
		if !j.Sure {
			r.joints *= someWeigh
		}
		if r.joints > 0 {
			r.evidence = append(r.evidence, fmt.Sprintf("slots %s mm", figure(w)))
		}
	}
	if s.Windows.Count > 0 && keyOpenings(s.Windows, f) {
		r.windows = windowWeigh
		r.evidence = append(r.evidence, fmt.Sprintf("%s mm openings %s mm apart, as for keys", figure(s.Windows.Short*f), figure(s.Windows.Pitch*f)))
	}
	if len(texts) > 0 {
		r.texts = textLikely.of(texts[len(texts)/2] * f)
	}
	share, n := roundShare(s.Lengths, f)
	r.round = roundWeigh * share * min(1, float64(n)/fewLengths)
}

// stocked reports whether the job's own sheets are about that thick.
func (h *UnitHints) stocked(w float64) bool {
	return h.Thickness > 0 && w > 0.9*h.Thickness && w < 1.2*h.Thickness
}

// common reports whether a sheet that is sold everywhere is about that thick.
func (h *UnitHints) common(w float64) bool {
	return slices.ContainsFunc(h.Thicknesses, func(t float64) bool { return w > 0.97*t && w < 1.07*t })
}

// jointFits reports whether a sheet can be as thick as the joints are wide.
func (h *UnitHints) jointFits(w float64) bool {
	return w >= thinnestJoint && w <= thickestJoint || h.stocked(w)
}

func count(sizes []survey.Size) (n int) {
	for _, s := range sizes {
		n += s.Count
	}
	return n
}

// quantile returns the size below which a share of all lie; sizes are in order.
func quantile(sizes []survey.Size, share float64) float64 {
	left := int(share * float64(count(sizes)))
	for _, s := range sizes {
		if left -= s.Count; left < 0 {
			return s.Value
		}
	}
	return sizes[len(sizes)-1].Value
}

// Lengths that tell by their figures: at most so many of those met most often.
const (
	tellingMost  = 24
	tellingLow   = 0.45 // mm; below that all are taken for odd
	tenths       = 0.03 // of a tenth of a mm, by which a round length may be out
	sixtyFourths = 0.02 // of 1/64 in
	twentieths   = 0.006
)

// roundShare returns the share of the lengths that are round in mm (tenths) or
// in inches (64ths, twentieths) at factor mm, and how many there were. By chance
// it is about a tenth.
func roundShare(lengths []survey.Size, factor float64) (share float64, n int) {
	common := slices.Clone(lengths)
	slices.SortStableFunc(common, func(a, b survey.Size) int { return b.Count - a.Count })
	common = common[:min(len(common), tellingMost)]
	near := func(v, tol float64) bool { return math.Abs(v-math.Round(v)) <= tol }
	for _, l := range common {
		v := l.Value * factor
		if v >= tellingLow && (near(10*v, tenths) || near(64*v/25.4, sixtyFourths) || near(20*v/25.4, twentieths)) {
			share++
		}
	}
	return share / float64(max(len(common), 1)), len(common)
}

// figure writes a size in mm as short as it can be read.
func figure(v float64) string {
	switch {
	case v >= 100:
		return fmt.Sprintf("%.0f", v)
	case v >= 1:
		return fmt.Sprintf("%g", math.Round(v*100)/100)
	}
	return fmt.Sprintf("%.2g", v)
}

// mostCurvePoints bounds the points of curves that are looked at: the unit of an
// honest drawing shows in fewer.
const mostCurvePoints = 60_000

// taken returns what the survey looks at: what the job does not leave out.
func (d *Drawing) taken(skip func(*Stroke) bool) *survey.Taken {
	pieces := func(yield func(geom.Piece) bool) {
		for i := range d.Strokes {
			if s := &d.Strokes[i]; (skip == nil || !skip(s)) && !yield(s.Piece) {
				return
			}
		}
	}
	curves := func(yield func([]geom.Point) bool) {
		left := mostCurvePoints
		for i := range d.Curves {
			var pts []geom.Point
			_, n := arcsFor(&d.Curves[i], 1)
			if left -= n; left < 0 {
				return
			}
			switch c := &d.Curves[i]; {
			case skip != nil && skip(&Stroke{Entity: c.Entity, Layer: c.Layer, Color: c.Color}):
			case c.Spline != nil:
				pts = c.Spline.Rough()
			case c.Ellipse != nil:
				pts = c.Ellipse.Rough()
			}
			if len(pts) > 0 && !yield(pts) {
				return
			}
		}
	}
	return survey.Take(pieces, curves)
}

// textHeights returns the heights of texts in drawing units, in order.
func (d *Drawing) textHeights() []float64 {
	var h []float64
	for i := range d.Texts {
		if d.Texts[i].Height > 0 {
			h = append(h, d.Texts[i].Height)
		}
	}
	slices.Sort(h)
	return h
}
