package paths

import (
	"cmp"
	"fmt"
	"slices"

	"sluice/geom"
	"sluice/geom/near"
)

// Hit is the deepest place at which the stream of a cut reaches into something
// that it must leave alone.
type Hit struct {
	Cut   int32      // index in Plan.Cuts
	Clamp int32      // the clamp zone, index in Params.Clamps
	At    geom.Point // on the middle of the stream
	Depth float64    // how far the edge of the stream reaches in, mm
}

// rectOf returns a box as a rectangle to measure from.
func rectOf(b geom.Box) near.Rect { return near.RectAt(b.Center(), b.W(), b.H(), 0) }

// inClamp reports whether a stream of the half width d, run along l, or a hole of
// that radius, reaches into a clamp zone.
func (p *Params) inClamp(l *geom.Piece, d float64) bool {
	for _, b := range p.Clamps {
		if l.Box().Overlaps(b.Inflate(d)) && rectOf(b).Dist(*l) < d-weld {
			return true
		}
	}
	return false
}

// hitSamples is at how many places of a piece its depth is measured. That it hits at
// all is exact.
const hitSamples = 32

// clampHits finds the cuts that reach into a clamp zone, one hit for each zone.
func (pl *Plan) clampHits(p Params) []Hit {
	d := p.Kerf / 2
	var out []Hit
	for i := range pl.Cuts {
		path := pl.Cuts[i].Path()
		for z, b := range p.Clamps {
			h := Hit{Cut: int32(i), Clamp: int32(z)}
			r := rectOf(b)
			for k := range path {
				l := &path[k]
				if !l.Box().Overlaps(b.Inflate(d)) || r.Dist(*l) >= d-weld {
					continue
				}
				for n := range hitSamples + 1 {
					q := l.At(float64(n) / hitSamples)
					if depth := d + depthIn(b, q); depth > h.Depth {
						h.At, h.Depth = q, depth
					}
				}
			}
			if h.Depth > weld {
				out = append(out, h)
			}
		}
	}
	return out
}

// depthIn returns how far q lies from the edge of a box, below 0 outside it.
func depthIn(b geom.Box, q geom.Point) float64 {
	if !b.Contains(q) {
		return -rectOf(b).ToPoint(q)
	}
	return min(q.X-b.Min.X, b.Max.X-q.X, q.Y-b.Min.Y, b.Max.Y-q.Y)
}

// hitsTold says how many cuts reach into clamp zones and where the deepest does, ""
// where none does.
func hitsTold(hits []Hit) string {
	if len(hits) == 0 {
		return ""
	}
	h := slices.MaxFunc(hits, func(a, b Hit) int { return cmp.Compare(a.Depth, b.Depth) })
	return fmt.Sprintf("%s into a clamp zone, up to %.3g mm, at %.2f, %.2f", counted(len(hits), "cut reaches", "cuts reach"), h.Depth, h.At.X, h.At.Y)
}
