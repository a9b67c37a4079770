package paths

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"

	"sluice/geom"
	"sluice/geom/near"
	"sluice/geom/outline"
)

// Hit is the deepest place at which the stream of a cut reaches into something
// that it must leave alone.
type Hit struct {
	Cut   int32      // index in Plan.Cuts
	Part  int32      // the part that it takes from, -1: a clamp zone
	Clamp int32      // the clamp zone, index in Params.Clamps, -1: a part
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
			h := Hit{Cut: int32(i), Part: -1, Clamp: int32(z)}
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

// bite is how far, mm, a stream may reach into a part before it counts: what
// rounding and the tolerances of curves come to.
const bite = 0.01

// partHits finds the cuts that take from a part other than by its own outlines, one
// hit for each such part: those of outlines nearer than a kerf, or that cross.
func (f *Finder) partHits(cuts []Cut) []Hit {
	var out []Hit
	for i := range cuts {
		c := &cuts[i]
		if c.Kind == Etch {
			continue
		}
		path := c.Path()
		for _, k := range f.partsNear(path, c.Outline) {
			h := Hit{Cut: int32(i), Part: k, Clamp: -1}
			for n := range path {
				f.deepest(&path[n], &h)
			}
			if h.Depth > bite {
				out = append(out, h)
			}
		}
	}
	return out
}

// partsNear returns the parts whose outlines the stream along a path meets, those
// of the outline that it cuts left out.
func (f *Finder) partsNear(path geom.Path, own int32) []int32 {
	x := f.cuts()
	d := f.p.Kerf / 2
	var parts []int32
	for n := range path {
		l := &path[n]
		x.In(l.Box().Inflate(d), func(id int32) bool {
			it := &x.Items[id]
			if it.Etch || it.Outline < 0 || it.Outline == own {
				return true
			}
			k := f.sheet.Outlines[it.Outline].Part
			if k >= 0 && !slices.Contains(parts, k) && geom.PieceDist(l, &it.Piece) < d-bite {
				parts = append(parts, k)
			}
			return true
		})
	}
	slices.Sort(parts)
	return parts
}

// deepest looks along a piece of a path for the place where the stream reaches
// deepest into the part of h.
func (f *Finder) deepest(l *geom.Piece, h *Hit) {
	d := f.p.Kerf / 2
	part := &f.sheet.Parts[h.Part]
	if !l.Box().Overlaps(part.Box.Inflate(d)) {
		return
	}
	depth := func(t float64) float64 { return d + f.depthIn(part, l.At(t), d) }
	const step = 1.0 / hitSamples
	best, at := 0.0, 0.0
	for n := range hitSamples + 1 {
		if v := depth(float64(n) * step); v > best {
			best, at = v, float64(n)*step
		}
	}
	if best == 0 {
		return
	}
	// Closing in on the highest place between the neighbours of the best.
	lo, hi := max(0, at-step), min(1, at+step)
	for range 24 {
		u, v := lo+(hi-lo)/3, hi-(hi-lo)/3
		if depth(u) < depth(v) {
			lo = u
		} else {
			hi = v
		}
	}
	if v := depth((lo + hi) / 2); v > best {
		best, at = v, (lo+hi)/2
	}
	if best > h.Depth {
		h.At, h.Depth = l.At(at), best
	}
}

// depthIn returns how far q lies from the edge of a part, above 0 in its material;
// beyond reach outside of it -Inf.
func (f *Finder) depthIn(part *outline.Part, q geom.Point, reach float64) float64 {
	dist, in := math.Inf(1), false
	look := func(k int32) {
		o := &f.sheet.Outlines[k]
		if o.Box.PointDist2(q) > reach*reach && !o.Box.Contains(q) {
			return
		}
		e, _ := o.Pieces.Dist(q)
		dist = min(dist, e)
		if o.Pieces.Contains(q) {
			in = !in
		}
	}
	look(part.Outer)
	for _, k := range part.Holes {
		look(k)
	}
	if in {
		return dist
	}
	return -dist
}

// partsTold says how many cuts take from the part beside them and where the deepest
// does, "" where none does.
func (pl *Plan) partsTold() string {
	n := 0
	for i, h := range pl.InPart {
		if i == 0 || h.Cut != pl.InPart[i-1].Cut {
			n++
		}
	}
	if n == 0 {
		return ""
	}
	h := slices.MaxFunc(pl.InPart, func(a, b Hit) int { return cmp.Compare(a.Depth, b.Depth) })
	return fmt.Sprintf("%s from the part beside, the deepest cuts %.3g mm into part %s, at %.2f, %.2f",
		counted(n, "cut takes", "cuts take"), h.Depth, pl.name(h.Part), h.At.X, h.At.Y)
}

// name returns what a part is called, by its place in the sheet where it has no name.
func (pl *Plan) name(k int32) string {
	if int(k) < len(pl.Names) && pl.Names[k] != "" {
		return pl.Names[k]
	}
	return strconv.Itoa(int(k) + 1)
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
