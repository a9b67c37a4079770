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

// rows holds chords by the rows of the drawing that they pass through.
type rows struct {
	low, high float64
	list      [][]rowChord
}

type rowChord struct {
	a, b  geom.Point
	shape int32
}

func (r *rows) row(y float64) int {
	k := int(float64(len(r.list)) * (y - r.low) / (r.high - r.low))
	return min(max(k, 0), len(r.list)-1)
}

func rowsOf(shapes []shape) *rows {
	box := geom.NoBox()
	total, height := 0, 0.0
	for i := range shapes {
		box = box.Union(shapes[i].box)
		total += len(shapes[i].pts)
		for k, p := range shapes[i].pts {
			height += math.Abs(p.Y - shapes[i].pts[(k+1)%len(shapes[i].pts)].Y)
		}
	}
	n := mostRows
	if box.H() > 0 {
		n = min(n, total/2, int(float64(mostPlaces*total)*box.H()/max(height, box.H())))
	}
	r := &rows{low: box.Min.Y, high: max(box.Max.Y, box.Min.Y+math.SmallestNonzeroFloat64), list: make([][]rowChord, max(n, 1))}
	for i := range shapes {
		pts := shapes[i].pts
		for k, a := range pts {
			b := pts[(k+1)%len(pts)]
			for row := r.row(min(a.Y, b.Y)); row <= r.row(max(a.Y, b.Y)); row++ {
				r.list[row] = append(r.list[row], rowChord{a, b, int32(i)})
			}
		}
	}
	return r
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
		list := r.list[r.row(p.Y)]
		if work += len(list); work > mostWork {
			s.depth = -1
			continue
		}
		crossed = crossed[:0]
		for k := range list {
			c := &list[k]
			if int(c.shape) == i || (c.a.Y > p.Y) == (c.b.Y > p.Y) || shapes[c.shape].area <= s.area {
				continue
			}
			if x := c.a.X + (p.Y-c.a.Y)/(c.b.Y-c.a.Y)*(c.b.X-c.a.X); x > p.X {
				crossed = append(crossed, c.shape)
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
// that hold others, or have many sides, fill this share of it at least.
const (
	frameShare = 0.15
	manySides  = 8
)

// unframe makes the shapes within a border round the whole sheet parts again.
func unframe(shapes []shape) {
	frame := -1
	holds := make([]bool, len(shapes))
	for i := range shapes {
		if s := &shapes[i]; s.depth == 0 {
			if frame >= 0 {
				return
			}
			frame = i
		} else if s.parent >= 0 && !s.round {
			holds[s.parent] = true
		}
	}
	if frame < 0 {
		return
	}
	inner := 0.0
	for i := range shapes {
		if s := &shapes[i]; s.depth == 1 && (holds[i] || len(s.sides) >= manySides) {
			inner += s.area
		}
	}
	if inner < frameShare*shapes[frame].area {
		return
	}
	if _, _, ok := shapes[frame].rectangle(); !ok {
		return
	}
	for i := range shapes {
		shapes[i].depth-- // the border itself: -1, neither hole nor part
	}
}
