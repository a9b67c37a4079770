package region

import (
	"math"

	"sluice/geom"
)

// Band returns the outline of what a round tool of the given width, mm, sweeps over as it
// runs along a path that does not close: its two sides, with round ends. ok is false
// where a side would have to run back, or the band meets itself.
//
//	 ____________
//	(  run ----> )   ends are half circles, outside corners are rounded
//	 ------------
func Band(run geom.Path, width float64) (band geom.Path, ok bool) {
	if len(run) == 0 || !(width > 2*Tolerance) {
		return nil, false
	}
	back := run.Reverse()
	for _, way := range [2]geom.Path{run, back} {
		side, ok := rightSide(way, width/2)
		if !ok {
			return nil, false
		}
		end := way[len(way)-1]
		band = append(band, side...)
		from := side[len(side)-1].B
		to := end.B.Sub(from.Sub(end.B))
		band = append(band, geom.Bulge(from, to, 1)) // a half turn to the left
	}
	// What rounding leaves between the stretches goes.
	for i := range band {
		next := &band[(i+1)%len(band)]
		if band[i].B.Dist(next.A) > Tolerance {
			return nil, false
		}
		next.A = band[i].B
	}
	return band, band.Area() > 0 && simple(band)
}

// rightSide returns the side of a run that lies by off mm to its right: outside corners
// are rounded about the corner, at inside ones the stretches end where they meet.
func rightSide(run geom.Path, off float64) (side geom.Path, ok bool) {
	moved := make(geom.Path, len(run))
	for i := range run {
		if moved[i], ok = toRight(&run[i], off); !ok {
			return nil, false
		}
	}
	start := moved[0].A
	for i := range moved {
		p := moved[i]
		if i == len(moved)-1 {
			q, ok := between(&p, start, p.B)
			return append(side, q), ok
		}
		next := &moved[i+1]
		turn := geom.TurnTo(run[i].TangentAt(1), run[i+1].TangentAt(0))
		switch {
		case p.B.Dist(next.A) <= Tolerance:
			q, ok := between(&p, start, p.B)
			if !ok {
				return nil, false
			}
			side, start = append(side, q), p.B
		case turn > 0: // to the left: the right side is the longer way round
			q, ok := between(&p, start, p.B)
			if !ok {
				return nil, false
			}
			side = append(side, q, geom.Bulge(p.B, next.A, math.Tan(turn/4)))
			start = next.A
		default:
			x, ok := corner(&p, next, run[i].B)
			if !ok {
				return nil, false
			}
			q, ok := between(&p, start, x)
			if !ok {
				return nil, false
			}
			side, start = append(side, q), x
		}
	}
	return side, true
}

// toRight returns a piece moved by off mm to its right.
func toRight(p *geom.Piece, off float64) (geom.Piece, bool) {
	if p.IsLine() {
		u := p.TangentAt(0.5)
		by := geom.Pt(u.Y, -u.X).Mul(off)
		return geom.Line(p.A.Add(by), p.B.Add(by)), true
	}
	r := p.R + math.Copysign(off, p.Sweep)
	if r <= Tolerance {
		return geom.Piece{}, false
	}
	f := r / p.R
	return geom.Bulge(p.C.Add(p.A.Sub(p.C).Mul(f)), p.C.Add(p.B.Sub(p.C).Mul(f)), math.Tan(p.Sweep/4)), true
}
