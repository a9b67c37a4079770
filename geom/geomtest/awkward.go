package geomtest

import (
	"math"

	"sluice/geom"
)

// Awkward is a drawing that simple methods choke on.
type Awkward struct {
	Name   string
	Pieces []geom.Piece
}

// Awkwards returns drawings of about n pieces each: many lines through one
// point, many copies of one line, one outline of many pieces, a plate full of
// holes, and rings within rings.
func Awkwards(n int) []Awkward {
	star := make([]geom.Piece, 0, n)
	for i := range n {
		a := math.Pi * float64(i) / float64(n)
		star = append(star, geom.Line(geom.Polar(geom.Point{}, 1000, a), geom.Polar(geom.Point{}, 1000, a+math.Pi)))
	}
	copies := make([]geom.Piece, 0, n)
	for i := range n {
		p := geom.Line(geom.Pt(0, 0), geom.Pt(100, 30))
		if i%2 == 1 {
			p = p.Reverse()
		}
		copies = append(copies, p)
	}
	// One jagged outline: teeth 3 mm wide all the way round a large circle.
	outline := make([]geom.Piece, 0, n)
	at := func(i int) geom.Point {
		r := 3 * float64(n) / (2 * math.Pi)
		if i%2 == 1 {
			r += 2
		}
		return geom.Polar(geom.Point{}, r, 2*math.Pi*float64(i%n)/float64(n))
	}
	for i := range n {
		outline = append(outline, geom.Line(at(i), at(i+1)))
	}
	holes := []geom.Piece{}
	side := int(math.Sqrt(float64(n)))
	w := float64(side)*10 + 20
	corner := []geom.Point{geom.Pt(0, 0), geom.Pt(w, 0), geom.Pt(w, w), geom.Pt(0, w)}
	for i := range corner {
		holes = append(holes, geom.Line(corner[i], corner[(i+1)%4]))
	}
	for i := range side * side {
		holes = append(holes, geom.Circle(geom.Pt(15+10*float64(i%side), 15+10*float64(i/side)), 3))
	}
	rings := make([]geom.Piece, 0, n)
	for i := range n {
		rings = append(rings, geom.Circle(geom.Point{}, 5+4*float64(i)))
	}
	return []Awkward{{"star", star}, {"copies", copies}, {"one outline", outline}, {"holes", holes}, {"rings", rings}}
}
