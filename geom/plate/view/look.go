package view

import (
	"math"
	"slices"

	"sluice/geom"
)

// Look is what is seen of a scene when some of its plates stand.
type Look struct {
	Patches []int        // not wholly hidden, from the back to the front
	Dots    []int        // of each of these: how many dots of it show, see Grain
	Box     geom.Box     // of what is drawn
	Share   []float64    // by plate: how much of what is turned to the viewer is seen, 0 to 1
	Spot    []geom.Point // by plate: the place farthest from what is not the plate
	Room    []float64    // by plate: how far that is, mm; 0 where nothing is seen
}

// grain is how many dots wide or high a picture is looked at.
const grain = 640

// raster is a picture as dots; each holds the patch painted last, from 1.
type raster struct {
	w, h  int
	min   geom.Point
	scale float64 // dots in a mm
	dots  []int32
	rows  [][]float64 // where outlines cross the middles of rows
}

// Look works out what is seen. stands tells which plates are there, and spots of which
// of them spots are wanted; nil for none.
func (s *Scene) Look(stands, spots func(solid int) bool) *Look {
	l := &Look{Box: geom.NoBox(), Share: make([]float64, len(s.solids)), Spot: make([]geom.Point, len(s.solids)), Room: make([]float64, len(s.solids))}
	var there []int
	for i := range s.Patches {
		if stands(s.Patches[i].Solid) {
			there = append(there, i)
			for _, r := range s.Patches[i].Rings {
				l.Box = l.Box.Union(geom.BoxOf(r...))
			}
		}
	}
	if len(there) == 0 {
		return l
	}
	r := &raster{min: l.Box.Min, scale: grain / max(l.Box.W(), l.Box.H(), 1e-6)}
	r.w, r.h = int(l.Box.W()*r.scale)+1, int(l.Box.H()*r.scale)+1
	r.dots, r.rows = make([]int32, r.w*r.h), make([][]float64, r.h)
	covers := make([]int, len(there)) // dots of each
	for n, i := range there {
		r.fill(s.Patches[i].Rings, func(dots []int32) {
			covers[n] += len(dots)
			for k := range dots {
				dots[k] = int32(n + 1)
			}
		})
	}
	shows := make([]int, len(there))
	for _, d := range r.dots {
		if d > 0 {
			shows[d-1]++
		}
	}
	all := make([]int, len(s.solids))
	for n, i := range there {
		p := &s.Patches[i]
		all[p.Solid] += covers[n]
		l.Share[p.Solid] += float64(shows[n])
		if shows[n] > 0 || covers[n] < small && !r.hidden(s, there, n) {
			l.Patches, l.Dots = append(l.Patches, i), append(l.Dots, shows[n])
		}
	}
	for k := range l.Share {
		l.Share[k] /= float64(max(all[k], 1))
	}
	if spots != nil {
		r.spots(s, there, l, spots)
	}
	return l
}

// small is how many dots a patch has at most of which it cannot be said whether it shows.
const small = 4

// hidden reports whether other plates lie over all dots at the corners and the middles of
// the sides of a small patch.
func (r *raster) hidden(s *Scene, there []int, n int) bool {
	p := &s.Patches[there[n]]
	covered := func(q geom.Point) bool {
		x, y := int((q.X-r.min.X)*r.scale), int((q.Y-r.min.Y)*r.scale)
		if x < 0 || y < 0 || x >= r.w || y >= r.h {
			return false
		}
		d := int(r.dots[y*r.w+x]) - 1
		return d > n && s.Patches[there[d]].Solid != p.Solid
	}
	for _, ring := range p.Rings {
		for i, q := range ring {
			if !covered(q) || !covered(q.Add(ring[(i+1)%len(ring)]).Mul(0.5)) {
				return false
			}
		}
	}
	return true
}

// fill calls paint with each run of dots whose middles lie in rings.
func (r *raster) fill(rings [][]geom.Point, paint func(dots []int32)) {
	from, to := r.h, -1
	for _, ring := range rings {
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			if a.Y > b.Y {
				a, b = b, a
			}
			y0 := max(0, int(math.Ceil((a.Y-r.min.Y)*r.scale-0.5)))
			y1 := min(r.h-1, int(math.Ceil((b.Y-r.min.Y)*r.scale-0.5))-1)
			for y := y0; y <= y1; y++ {
				at := (float64(y)+0.5)/r.scale + r.min.Y
				r.rows[y] = append(r.rows[y], a.X+(b.X-a.X)*(at-a.Y)/(b.Y-a.Y))
			}
			if y0 <= y1 {
				from, to = min(from, y0), max(to, y1)
			}
		}
	}
	for y := from; y <= to; y++ {
		xs := r.rows[y]
		slices.Sort(xs)
		for i := 0; i+1 < len(xs); i += 2 {
			x0 := max(0, int(math.Ceil((xs[i]-r.min.X)*r.scale-0.5)))
			x1 := min(r.w-1, int(math.Floor((xs[i+1]-r.min.X)*r.scale-0.5)))
			if x0 <= x1 {
				paint(r.dots[y*r.w+x0 : y*r.w+x1+1])
			}
		}
		r.rows[y] = xs[:0]
	}
}

// spots finds, for each plate that is wanted, the seen place farthest from all that is not
// the plate, by going over the dots twice (chamfer distances of 3 and 4).
func (r *raster) spots(s *Scene, there []int, l *Look, wanted func(solid int) bool) {
	w := r.w + 2 // with a margin
	solid := make([]int32, w*(r.h+2))
	far := make([]int32, len(solid))
	for i := range solid {
		solid[i] = -1
	}
	from, to := len(solid)-w, w // rows with wanted dots
	for y := range r.h {
		for x := range r.w {
			d := r.dots[y*r.w+x]
			if d == 0 {
				continue
			}
			if k := s.Patches[there[d-1]].Solid; wanted(k) {
				i := (y+1)*w + x + 1
				solid[i] = int32(k)
				from, to = min(from, i), max(to, i+1)
			}
		}
	}
	pass := func(i int, by [4]int) {
		if solid[i] < 0 {
			return
		}
		least := far[i]
		if least == 0 {
			least = math.MaxInt32
		}
		for k, o := range by {
			d := int32(3 + k&1)
			if solid[i+o] == solid[i] {
				d += far[i+o]
			}
			least = min(least, d)
		}
		far[i] = least
	}
	for i := from; i < to; i++ {
		pass(i, [4]int{-1, -w - 1, -w, -w + 1})
	}
	most := make([]int32, len(l.Spot))
	for i := to - 1; i >= from; i-- {
		pass(i, [4]int{1, w + 1, w, w - 1})
		if k := solid[i]; k >= 0 && far[i] > most[k] {
			most[k] = far[i]
			l.Room[k] = float64(far[i]) / 3 / r.scale
			l.Spot[k] = geom.Pt((float64(i%w)-0.5)/r.scale+r.min.X, (float64(i/w)-0.5)/r.scale+r.min.Y)
		}
	}
}
