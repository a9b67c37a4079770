package survey

import (
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"sluice/geom"
)

func poly(xy ...float64) []geom.Piece {
	var out []geom.Piece
	n := len(xy) / 2
	for i := range n {
		j := (i + 1) % n
		out = append(out, geom.Line(geom.Pt(xy[2*i], xy[2*i+1]), geom.Pt(xy[2*j], xy[2*j+1])))
	}
	return out
}

func box(x, y, w, h float64) []geom.Piece { return poly(x, y, x+w, y, x+w, y+h, x, y+h) }

func of(pieces ...[]geom.Piece) *Survey {
	return Of(slices.Values(slices.Concat(pieces...)), slices.Values([][]geom.Point(nil)))
}

// A side with two tabs 3 deep, on a plate 100 long.
func tabbed(x, y float64) []geom.Piece {
	return poly(x, y, x+100, y, x+100, y+40, x+80, y+40, x+80, y+43, x+60, y+43, x+60, y+40, x+40, y+40, x+40, y+43, x+20, y+43, x+20, y+40, x, y+40)
}

func TestSizes(t *testing.T) {
	near := cmpopts.EquateApprox(0, 1e-9)
	for _, c := range []struct {
		name         string
		s            *Survey
		holes, slots []Size
		steps        []Size
		joint        Joint
	}{
		{"plate", of(box(0, 0, 50, 50)), nil, nil, nil, Joint{}},
		{"slots and tabs agree", of(box(0, 100, 100, 60), box(10, 120, 20, 3.1), box(60, 120, 20, 3.1), tabbed(0, 0)),
			nil, []Size{{3.1, 2}}, []Size{{3, 3}}, Joint{3, 2, true}},
		{"slots without tabs", of(box(0, 0, 100, 60), box(10, 10, 20, 4), box(40, 10, 20, 4), box(10, 30, 20, 4), box(40, 30, 20, 4)),
			nil, []Size{{4, 4}}, nil, Joint{4, 4, false}},
		{"a commonest edge is no slot", of(box(0, 0, 50, 80), box(60, 0, 50, 90), box(120, 0, 50, 70), box(180, 0, 50, 60)), nil, nil, nil, Joint{}},
		{"a hole drawn as two arcs and one of facets", of(box(0, 0, 100, 60), []geom.Piece{geom.Arc(geom.Pt(20, 20), 2, 0, 3), geom.Arc(geom.Pt(20, 20), 2, 3, 2*math.Pi-3)}, facets(60, 20, 2, 30)),
			[]Size{{4, 2}}, nil, nil, Joint{}},
		{"a hexagon is no hole", of(box(0, 0, 100, 60), facets(60, 20, 2, 6)), nil, nil, nil, Joint{}},
		{"drawn twice", of(box(0, 0, 100, 60), box(0, 0, 100, 60), box(10, 10, 20, 4), box(10, 10, 20, 4)), nil, []Size{{4, 1}}, nil, Joint{}},
		{"a border round two parts", of(box(-20, -20, 200, 250), box(0, 100, 100, 60), box(10, 120, 20, 3), box(60, 120, 20, 3), tabbed(0, 0)),
			nil, []Size{{3, 2}}, []Size{{3, 3}}, Joint{3, 2, true}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := [3][]Size{c.s.Holes, c.s.Slots, c.s.Steps}
			if diff := cmp.Diff([3][]Size{c.holes, c.slots, c.steps}, got, near, cmpopts.EquateEmpty()); diff != "" {
				t.Error(diff)
			}
			if diff := cmp.Diff(c.joint, c.s.Joint, near); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func facets(x, y, r float64, n int) []geom.Piece {
	var xy []float64
	for i := range n {
		p := geom.Polar(geom.Pt(x, y), r, 2*math.Pi*float64(i)/float64(n))
		xy = append(xy, p.X, p.Y)
	}
	return poly(xy...)
}

// Notches of an egg crate have the thickness as their width; a small gap at a
// corner does not hide them.
func TestNotches(t *testing.T) {
	rib := func(y float64) []geom.Piece {
		p := poly(0, y, 30, y, 30, y+20, 33, y+20, 33, y, 66, y, 66, y+20, 69, y+20, 69, y, 100, y, 100, y+40, 0, y+40)
		p[0].A = geom.Pt(0.02, y)
		return p
	}
	s := of(rib(0), rib(50))
	if diff := cmp.Diff(Joint{3, 2, true}, s.Joint, cmpopts.EquateApprox(0, 1e-9)); diff != "" {
		t.Error(diff)
	}
}

func TestWindows(t *testing.T) {
	all := [][]geom.Piece{box(0, 0, 100, 60)}
	for i := range 8 {
		all = append(all, box(5+19*float64(i%4), 5+25*float64(i/4), 14, 14))
	}
	if diff := cmp.Diff(Windows{14, 14, 19, 8}, of(all...).Windows, cmpopts.EquateApprox(0, 1e-9)); diff != "" {
		t.Error(diff)
	}
}

// A drawing turned by any angle is as long and wide as before; one stray piece
// far out changes nothing but that.
func TestTurned(t *testing.T) {
	plate := slices.Concat(box(0, 0, 100, 60), box(10, 10, 20, 4), []geom.Piece{geom.Circle(geom.Pt(50, 30), 2)})
	want := of(plate)
	for i := range 20 {
		var turned []geom.Piece
		for _, p := range plate {
			turned = append(turned, p.Transform(geom.Turn(geom.Pt(7, 9), 0.31*float64(i))))
		}
		got := of(turned)
		got.Box = want.Box
		if diff := cmp.Diff(want, got, cmpopts.EquateApprox(0, 1e-6)); diff != "" {
			t.Fatal(i, diff)
		}
	}
	far := of(plate, []geom.Piece{geom.Line(geom.Pt(1e7, 1e7), geom.Pt(1e7+1, 1e7))})
	if diff := cmp.Diff(want.Holes, far.Holes, cmpopts.EquateApprox(0, 1e-6)); diff != "" {
		t.Error(diff)
	}
}

// Drawings of nothing, specks and stars do not stop it.
func TestOddDrawings(t *testing.T) {
	p := geom.Pt(5, 5)
	var star []geom.Piece
	for i := range 50 {
		star = append(star, geom.Line(p, geom.Polar(p, 10, float64(i))))
	}
	for _, pieces := range [][]geom.Piece{nil, {geom.Line(p, p)}, star, {geom.Line(p, geom.Pt(9, 5))}, box(5, 5, 0, 0), box(5, 5, 3, 0)} {
		if s := of(pieces); s.Joint.Count != 0 || len(s.Holes) != 0 {
			t.Errorf("%v: %+v", pieces, s)
		}
	}
	curves := [][]geom.Point{nil, {p}, {p, geom.Pt(math.NaN(), 1)}, {p, p, p, p, p}, {geom.Pt(math.Inf(1), 0), p}}
	if s := Of(slices.Values([]geom.Piece(nil)), slices.Values(curves)); s.Joint.Count != 0 {
		t.Errorf("%+v", s)
	}
}
