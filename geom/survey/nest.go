package survey

import (
	"math"
	"slices"

	"sluice/geom"
)

// Bounds of the work of nesting.
const (
	mostRows   = 4096
	mostPlaces = 16         // places in rows per chord, on average
	mostWork   = 10_000_000 // chords looked at; shapes beyond that are left out
)

// rows holds chords by the rows of the drawing that they pass through. Chords are
// numbered through all shapes: chord c runs from point c to the next of its shape.
type rows struct {
	low, high float64
	n         int
	first     []int32 // by shape: its first chord; one more at the end
	from      []int32 // by row: its first place in list; one more at the end
	list      []int32 // chords
	shape     []int32 // by chord
}

func (r *rows) row(y float64) int {
	k := int(float64(r.n) * (y - r.low) / (r.high - r.low))
	return min(max(k, 0), r.n-1)
}

// in returns the chords of a row.
func (r *rows) in(row int) []int32 { return r.list[r.from[row]:r.from[row+1]] }

// ends returns the ends of a chord of one of the shapes.
func (r *rows) ends(shapes []shape, c int32) (a, b geom.Point) {
	of := r.shape[c]
	pts, k := shapes[of].pts, int(c-r.first[of])
	if k+1 < len(pts) {
		return pts[k], pts[k+1]
	}
	return pts[k], pts[0]
}

func rowsOf(shapes []shape) *rows {
	box := geom.NoBox()
	total, height := 0, 0.0
	r := &rows{first: make([]int32, len(shapes)+1)}
	for i := range shapes {
		box = box.Union(shapes[i].box)
		pts := shapes[i].pts
		total += len(pts)
		r.first[i+1] = int32(total)
		for k, p := range pts {
			next := k + 1
			if next == len(pts) {
				next = 0
			}
			height += math.Abs(p.Y - pts[next].Y)
		}
	}
	n := mostRows
	if box.H() > 0 {
		n = min(n, total/2, int(float64(mostPlaces*total)*box.H()/max(height, box.H())))
	}
	r.n = max(n, 1)
	r.low, r.high = box.Min.Y, max(box.Max.Y, box.Min.Y+math.SmallestNonzeroFloat64)
	r.shape = make([]int32, total)
	for i := range shapes {
		for c := r.first[i]; c < r.first[i+1]; c++ {
			r.shape[c] = int32(i)
		}
	}
	r.fill(shapes)
	return r
}

// fill counts the chords of each row, then lists them.
func (r *rows) fill(shapes []shape) {
	r.from = make([]int32, r.n+1)
	span := func(c int32) (low, high int) {
		a, b := r.ends(shapes, c)
		return r.row(min(a.Y, b.Y)), r.row(max(a.Y, b.Y))
	}
	for c := range r.shape {
		low, high := span(int32(c))
		for row := low; row <= high; row++ {
			r.from[row+1]++
		}
	}
	for row := range r.n {
		r.from[row+1] += r.from[row]
	}
	r.list = make([]int32, r.from[r.n])
	at := slices.Clone(r.from[:r.n])
	for c := range r.shape {
		low, high := span(int32(c))
		for row := low; row <= high; row++ {
			r.list[at[row]] = int32(c)
			at[row]++
		}
	}
}

// nest finds the depth of each shape: how many others hold its first point.
func nest(shapes []shape) {
	if len(shapes) == 0 {
		return
	}
	r := rowsOf(shapes)
	// Large ones first: they are few, and decide most, if work must end.
	order := make([]int, len(shapes))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		switch {
		case shapes[i].area > shapes[j].area:
			return -1
		case shapes[i].area < shapes[j].area:
			return 1
		}
		return 0
	})
	work := 0
	var crossed []int32 // shapes, once for each of their chords to the right
	for _, i := range order {
		s := &shapes[i]
		s.parent = -1
		// The middle of a side: corners touch others more often.
		p := s.pts[0].Mid(s.pts[1])
		list := r.in(r.row(p.Y))
		if work += len(list); work > mostWork {
			s.depth = -1
			continue
		}
		crossed = crossed[:0]
		for _, c := range list {
			a, b := r.ends(shapes, c)
			k := r.shape[c]
			if int(k) == i || (a.Y > p.Y) == (b.Y > p.Y) || shapes[k].area <= s.area {
				continue
			}
			if x := a.X + (p.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X); x > p.X {
				crossed = append(crossed, k)
			}
		}
		slices.Sort(crossed)
		for from := 0; from < len(crossed); {
			k, to := crossed[from], from
			for to < len(crossed) && crossed[to] == k {
				to++
			}
			odd := (to-from)%2 == 1
			from = to
			if !odd {
				continue
			}
			s.depth++
			if s.parent < 0 || shapes[k].area < shapes[s.parent].area {
				s.parent = k
			}
		}
	}
}

// A border of the sheet is told from a part with holes by what lies in it: shapes
// that hold others, or have many sides, fill this share of it at least. A round
// shape counts as held where it is a hole: it fills at most roundHole of its holder.
const (
	frameShare = 0.15
	manySides  = 8
	roundHole  = 0.35
	mostFrames = 4 // one in the other
)

// unframe makes the shapes within borders round the whole sheet parts again.
func unframe(shapes []shape) {
	for n := 0; n < mostFrames && unframed(shapes); n++ {
	}
}

// unframed takes the outermost border away, and reports whether there was one.
func unframed(shapes []shape) bool {
	frame := -1
	holds := make([]bool, len(shapes))
	for i := range shapes {
		if s := &shapes[i]; s.depth == 0 {
			if frame >= 0 {
				return false
			}
			frame = i
		} else if s.depth > 0 && s.parent >= 0 && (!s.round || s.area < roundHole*shapes[s.parent].area) {
			holds[s.parent] = true
		}
	}
	if frame < 0 {
		return false
	}
	inner := 0.0
	for i := range shapes {
		if s := &shapes[i]; s.depth == 1 && (holds[i] || len(s.sides) >= manySides) {
			inner += s.area
		}
	}
	if inner < frameShare*shapes[frame].area {
		return false
	}
	if _, _, ok := shapes[frame].rectangle(); !ok {
		return false
	}
	for i := range shapes {
		shapes[i].depth-- // the border itself: -1, neither hole nor part
	}
	return true
}
