package label

import (
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/index"
	"sluice/geom/near"
	"sluice/geom/outline"
)

// Request says what to letter a part with.
type Request struct {
	Text      string
	Height    float64  // of capitals, mm
	MinHeight float64  // least height to shrink to, mm; 0: Height
	Clear     float64  // least distance from every cut and other label, mm; 0: the placer's
	Mirror    bool     // for the back face: left and right change sides
	Within    geom.Box // labels beside a part stay in it (the sheet); without size: no limit
}

// Label is a text with its place.
type Label struct {
	Text    string
	At      geom.Point    // middle of the text box
	Height  float64       // of capitals, mm
	Angle   float64       // of the baseline, degrees in (-90, 90]
	Where   string        // "inside" or "beside"
	Paths   []geom.Path   // strokes in place, with the bar and, beside a part, the pointer
	Box     [4]geom.Point // text box with the bar: lower left, lower right, upper right, upper left of the text as read from the front
	Pointer geom.Path     // the line from the label towards its part, last in Paths; nil inside
}

// Where a label lies.
const (
	Inside = "inside"
	Beside = "beside"
)

// Placer places labels on one sheet. It serves one goroutine at a time.
type Placer struct {
	sheet *outline.Sheet
	index *near.Index
	clear float64
	taken shelf
	work  int // pieces and rectangles compared so far
	limit int // of work, 0 for none
}

// Limit ends the search for places once n pieces and rectangles have been
// compared: a count, not a time, so that the same sheet gives the same places.
func (pl *Placer) Limit(n int) { pl.limit = n }

// Spent reports whether the limit has been reached: then no more places are found.
func (pl *Placer) Spent() bool { return pl.limit > 0 && pl.work >= pl.limit }

// NewPlacer prepares a sheet. clear is the least distance of a label from cuts,
// marks and other labels, mm.
func NewPlacer(sheet *outline.Sheet, clear float64) *Placer {
	return PlacerOn(sheet, near.Sheet(sheet), clear)
}

// PlacerOn is NewPlacer where the sheet's index is there already.
func PlacerOn(sheet *outline.Sheet, x *near.Index, clear float64) *Placer {
	return &Placer{sheet: sheet, index: x, clear: clear}
}

// Take keeps later labels clear of a rectangle, given by its corners in order.
func (pl *Placer) Take(q [4]geom.Point) { pl.taken.add(near.Quad(q)) }

// TakeLabel keeps later labels clear of a label and its pointer.
func (pl *Placer) TakeLabel(l Label) {
	pl.Take(l.Box)
	for _, p := range l.Pointer {
		pl.taken.add(near.Span(p.A, p.B))
	}
}

// Place finds a place for a text on a part, or beside it, and reports false
// where there is none. It does not Take the place.
//
// Inside comes first: upright at full height, then at full height along the
// part's long edges, its narrowest box and across both, then the same at lower
// heights down to MinHeight. Of the places that a size and angle have, the one
// is taken that balances room around the text (up to half its height more than
// asked for) with nearness to the centre of mass. Beside the part comes second:
// in the waste just outside its outer outline, with a short pointer. The whole
// text box is at least Clear from every cut, mark and taken box, arcs taken as
// arcs.
func (pl *Placer) Place(part int, r Request) (Label, bool) {
	r = pl.settle(r)
	if r.Text == "" || !(r.Height > 0) || math.IsInf(r.Height, 0) || !(r.Clear >= 0) {
		return Label{}, false
	}
	box := pl.sheet.Parts[part].Box
	if box.Empty() || !box.Min.Finite() || !box.Max.Finite() {
		return Label{}, false
	}
	if pl.Spent() {
		return Label{}, false
	}
	if l, ok := pl.inside(part, r); ok {
		return l, true
	}
	return pl.beside(part, r)
}

func (pl *Placer) settle(r Request) Request {
	if r.Clear == 0 {
		r.Clear = pl.clear
	}
	if !(r.MinHeight > 0) || r.MinHeight > r.Height {
		r.MinHeight = r.Height
	}
	return r
}

// heights returns the heights to try, falling by a sixth each from the full one
// and rounded to tenths of a millimetre.
func (r Request) heights() []float64 {
	hs := []float64{r.Height}
	for h := r.Height; len(hs) < 40; {
		h *= 0.84
		if h <= r.MinHeight*1.02 {
			break
		}
		hs = append(hs, math.Round(h*10)/10)
	}
	if r.MinHeight < r.Height {
		hs = append(hs, r.MinHeight)
	}
	return hs
}

// free reports whether a rectangle is clear of everything drawn and taken.
func (pl *Placer) free(rect near.Rect, clear float64) bool {
	pl.work += freeWork
	return pl.index.Clear(rect, clear, nil) && pl.taken.clear(rect, clear)
}

// freeWork is about how many comparisons it takes to find a rectangle free.
const freeWork = 10

// put returns the lettering placed with its middle at mid.
func put(r Request, set lettering, height float64, mid geom.Point, angle float64, where string) Label {
	rad := angle * math.Pi / 180
	t := geom.Turn(geom.Point{}, rad).Then(geom.Shift(mid))
	if angle == 0 {
		t = geom.Shift(mid)
	}
	l := Label{Text: r.Text, At: mid, Height: height, Angle: angle, Where: where}
	for _, p := range set.paths {
		l.Paths = append(l.Paths, p.Transform(t))
	}
	l.Box = near.RectAt(mid, set.w, set.h, rad).Corners()
	return l
}

// shelf holds rectangles by place.
type shelf struct {
	rects []near.Rect
	boxes []geom.Box // of the rects
	cells *index.Cells[int]
}

// shelfCell is the side of a cell, mm: about the width of a short number.
const shelfCell = 25

func (s *shelf) add(r near.Rect) {
	if !r.Mid.Finite() {
		return
	}
	if s.cells == nil {
		s.cells = index.NewCells[int](shelfCell, 0)
	}
	b := r.Box()
	s.cells.AddBox(b, len(s.rects))
	s.rects, s.boxes = append(s.rects, r), append(s.boxes, b)
}

// clear reports whether the rectangle stays d from all on the shelf.
func (s *shelf) clear(r near.Rect, d float64) bool {
	if s.cells == nil {
		return true
	}
	box := r.Box().Inflate(d)
	return s.cells.In(box, func(i int) bool { return !s.boxes[i].Overlaps(box) || s.rects[i].ToRect(r) >= d })
}

// near returns the rectangles that may reach into the box, in the order in which they
// were added.
func (s *shelf) near(b geom.Box) []near.Rect {
	if s.cells == nil {
		return nil
	}
	var at []int
	s.cells.In(b, func(i int) bool {
		if s.boxes[i].Overlaps(b) {
			at = append(at, i)
		}
		return true
	})
	slices.Sort(at)
	var out []near.Rect
	for _, i := range slices.Compact(at) { // one that lies in several cells comes several times
		out = append(out, s.rects[i])
	}
	return out
}
