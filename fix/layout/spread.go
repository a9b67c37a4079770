package layout

import (
	"context"
	"errors"
	"fmt"
	"math"

	"sluice/geom"
	"sluice/geom/clear"
	"sluice/geom/outline"
)

// SpreadOptions direct Spread.
type SpreadOptions struct {
	Gap     float64  // least distance between two parts: kerfs, web and lead room, mm
	Outward float64  // how far outlines may grow as polygons, mm; 0: 0.02
	Room    geom.Box // where parts must stay; empty: anywhere
}

// Moves are the shifts that part the parts of a sheet.
type Moves struct {
	Shift []geom.Point // by part, mm; zero for those that stay
	Close int          // pairs that were too near before
	Most  float64      // the longest shift, mm
	Box   geom.Box     // around all parts afterwards
	Blown bool         // the even enlargement had to be used, see Spread
}

// Errors of Spread. The moves that come with ErrRoom part the parts, but some
// leave the room.
var (
	ErrRoom    = errors.New("the parts do not fit the sheet with that distance between them; lay them out anew or take a larger sheet")
	ErrTangled = errors.New("parts are entangled and cannot be moved apart")
)

// Spread moves parts, without turning them, until every two are Gap or more
// apart, with the least sum of squared shifts that it finds. Parts that are
// apart already, and all of a sheet that needs nothing, stay exactly where they
// are unless another pushes them.
//
// Each pair that is too near is held apart by a half plane, across its shortest
// way out of the no-fit polygon; the least shifts that satisfy all half planes
// are found by Hildreth's method (1957, also Dykstra 1983; from memory); pairs
// that have become too near are added and so on until none is. Where that does
// not come to rest the places of all parts are enlarged about their middle until
// they are apart, which keeps their order, and drawn back one by one as far as
// they go.
func Spread(ctx context.Context, s *outline.Sheet, o SpreadOptions) (*Moves, error) {
	n := len(s.Parts)
	m := &Moves{Shift: make([]geom.Point, n), Box: geom.NoBox()}
	if !(o.Gap >= LeastGap && o.Gap < 1e4) {
		return nil, fmt.Errorf("spread: gap %g mm is out of range", o.Gap)
	}
	if o.Outward <= 0 {
		o.Outward = 0.02
	}
	near := closeParts(ctx, s, m.Shift, o.Gap)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	m.Close = len(near)
	bounded := !o.Room.Empty() && o.Room != (geom.Box{})
	if len(near) == 0 {
		m.measure(s)
		return m, nil
	}
	p := newParting(s, o)
	if err := p.all(); err != nil {
		return nil, err
	}
	room := geom.NoBox()
	if bounded {
		room = o.Room
	}
	ok, err := p.solve(ctx, room)
	if err != nil {
		return nil, err
	}
	var result error
	if !ok && bounded {
		result = ErrRoom
		if ok, err = p.solve(ctx, geom.NoBox()); err != nil {
			return nil, err
		}
	}
	if !ok {
		if ok, err = p.enlarge(ctx); err != nil {
			return nil, err
		}
		if !ok {
			return nil, ErrTangled
		}
		m.Blown = true
	}
	copy(m.Shift, p.shift)
	m.measure(s)
	if faults := CheckSpread(s, m.Shift, o.Gap); len(faults) > 0 {
		return nil, fmt.Errorf("spread: the result does not pass its check: %s", faults[0])
	}
	if bounded && result == nil && !o.Room.Inflate(rounding).ContainsBox(m.Box) {
		result = ErrRoom
	}
	return m, result
}

// measure fills in what follows from the shifts.
func (m *Moves) measure(s *outline.Sheet) {
	for i := range s.Parts {
		m.Most = max(m.Most, m.Shift[i].Norm())
		m.Box = m.Box.Union(shifted(s.Parts[i].Box, m.Shift[i]))
	}
}

func shifted(b geom.Box, d geom.Point) geom.Box {
	return geom.Box{Min: b.Min.Add(d), Max: b.Max.Add(d)}
}

// closeParts measures the lines and arcs of the shifted parts.
func closeParts(ctx context.Context, s *outline.Sheet, shift []geom.Point, gap float64) []clear.Pair {
	var rings []clear.Ring
	var of []int32
	for k := range s.Parts {
		add := func(i int32) {
			o := &s.Outlines[i]
			r := clear.Ring{Path: o.Pieces, Box: o.Box}
			if shift[k] != (geom.Point{}) {
				r = clear.Ring{Path: o.Pieces.Transform(geom.Shift(shift[k])), Box: shifted(o.Box, shift[k])}
			}
			rings, of = append(rings, r), append(of, int32(k))
		}
		add(s.Parts[k].Outer)
		for _, h := range s.Parts[k].Holes {
			add(h)
		}
	}
	return clear.CloseParts(ctx, rings, of, gap)
}

// CheckSpread measures the parts of a sheet after their shifts, on the lines
// and arcs themselves, and returns what is wrong: parts too near each other, or
// two that have changed sides. A and B are parts of the sheet.
func CheckSpread(s *outline.Sheet, shift []geom.Point, gap float64) []Fault {
	var out []Fault
	if len(shift) != len(s.Parts) {
		return []Fault{{Kind: Lost, Sheet: -1, A: -1, B: -1, By: float64(len(shift) - len(s.Parts))}}
	}
	for _, c := range closeParts(context.Background(), s, shift, gap-rounding) {
		k := TooNear
		if c.Dist == 0 {
			k = Overlap
		}
		out = append(out, Fault{k, 0, c.I, c.J, c.A.Mid(c.B), c.Dist})
	}
	for i := range s.Parts {
		b, d := s.Parts[i].Box, shift[i]
		for j := range s.Parts {
			c, e := s.Parts[j].Box, shift[j]
			if d == e {
				continue
			}
			x := b.Max.X <= c.Min.X && c.Max.X+e.X <= b.Min.X+d.X
			y := b.Max.Y <= c.Min.Y && c.Max.Y+e.Y <= b.Min.Y+d.Y
			if x || y {
				out = append(out, Fault{Turned, 0, i, j, b.Center(), math.Max(math.Abs(d.X-e.X), math.Abs(d.Y-e.Y))})
			}
		}
	}
	return out
}
