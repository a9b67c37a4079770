package diff

import (
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/outline"
)

// Motion is what takes a drawing, or a group of its parts, onto the other: a
// similarity of the plane.
type Motion struct {
	Lay      geom.Transform
	Scale    float64 // factor of lengths, 1 where none is made
	Mirrored bool    // left and right change sides, before it is turned
	Angle    float64 // turned by, radians, counter-clockwise, in (-pi, pi]
	Parts    int     // that it takes onto parts of the other drawing
}

// MotionOf takes a similarity apart.
func MotionOf(t geom.Transform, parts int) Motion {
	m := Motion{Lay: t, Scale: factorOf(t), Mirrored: t.Mirrors(), Parts: parts}
	m.Angle = math.Atan2(t.YX, t.XX)
	if m.Mirrored {
		m.Angle = math.Atan2(-t.YX, -t.XX)
	}
	return m
}

// factorOf returns the scale of a similarity, 1 where only rounding keeps it from
// that.
func factorOf(t geom.Transform) float64 {
	if s := t.Scale(); math.Abs(s-1) > flat {
		return s
	}
	return 1
}

// Fixed returns the point that stays where it is; ok is false where there is none
// or more than one: a shift, or a mirror.
func (m *Motion) Fixed() (p geom.Point, ok bool) {
	if m.Mirrored || m.Scale == 1 && m.Angle == 0 {
		return geom.Point{}, false
	}
	t := m.Lay
	xx, yy := 1-t.XX, 1-t.YY
	det := xx*yy - t.XY*t.YX
	if det == 0 {
		return geom.Point{}, false
	}
	return geom.Pt((t.T.X*yy+t.XY*t.T.Y)/det, (xx*t.T.Y+t.YX*t.T.X)/det), true
}

// inverse undoes a similarity: the inverse of a turn or mirror is its transpose.
func inverse(t geom.Transform) geom.Transform {
	f := t.XX*t.XX + t.YX*t.YX
	u := geom.Transform{XX: t.XX / f, XY: t.YX / f, YX: t.XY / f, YY: t.YY / f}
	u.T = u.Apply(t.T).Mul(-1)
	return u
}

// similarity composes a scale, a mirror (left and right change sides) and a turn,
// in this order, all about the origin, and a shift.
func similarity(scale float64, mirror bool, angle float64, shift geom.Point) geom.Transform {
	t := geom.Scaling(scale)
	if mirror {
		t = t.Then(geom.MirrorX(0))
	}
	s, c := math.Sincos(angle)
	// Right angles are written exactly.
	if q := math.Round(angle / (math.Pi / 2)); math.Abs(angle-q*math.Pi/2) < 1e-12 {
		s, c = [4]float64{0, 1, 0, -1}[(int(q)+4)%4], [4]float64{1, 0, -1, 0}[(int(q)+4)%4]
	}
	return t.Then(geom.Transform{XX: c, XY: -s, YX: s, YY: c, T: shift})
}

// laid returns the side with its drawing laid by t.
func (s *Side) laid(t geom.Transform) *Side {
	out := *s
	out.Sheet = laidSheet(s.Sheet, t)
	out.Gap *= t.Scale()
	out.Texts = slices.Clone(s.Texts)
	for i := range out.Texts {
		out.Texts[i].At = t.Apply(out.Texts[i].At)
		out.Texts[i].Height *= t.Scale()
	}
	return &out
}

// laidSheet returns what a comparison looks at of a sheet, laid by t.
func laidSheet(s *outline.Sheet, t geom.Transform) *outline.Sheet {
	f := t.Scale()
	out := &outline.Sheet{Outlines: slices.Clone(s.Outlines), Parts: slices.Clone(s.Parts), Gaps: slices.Clone(s.Gaps)}
	for i := range out.Outlines {
		o := &out.Outlines[i]
		o.Path = laidPath(o.Path, t)
		o.Box, o.Centroid = o.Pieces.Box(), t.Apply(o.Centroid)
		o.Area, o.Length = o.Area*f*f, o.Length*f
	}
	for i := range out.Parts {
		p := &out.Parts[i]
		p.Area, p.Centroid, p.Box = p.Area*f*f, t.Apply(p.Centroid), out.Outlines[p.Outer].Box
	}
	open := func(list []outline.Open) []outline.Open {
		list = slices.Clone(list)
		for i := range list {
			o := &list[i]
			o.Path = laidPath(o.Path, t)
			o.Box, o.Length = o.Pieces.Box(), o.Length*f
		}
		return list
	}
	out.Open, out.Etch = open(s.Open), open(s.Etch)
	for i := range out.Gaps {
		g := &out.Gaps[i]
		g.At, g.A, g.B, g.Width = t.Apply(g.At), t.Apply(g.A), t.Apply(g.B), g.Width*f
	}
	return out
}

// laidPath lays a path, run the other way round where t mirrors it, so that
// material stays on its left.
func laidPath(p outline.Path, t geom.Transform) outline.Path {
	out := outline.Path{Pieces: p.Pieces.Transform(t), Src: p.Src, Flags: p.Flags}
	if t.Mirrors() {
		out.Pieces = out.Pieces.Reverse()
		out.Src, out.Flags = slices.Clone(p.Src), slices.Clone(p.Flags)
		slices.Reverse(out.Src)
		slices.Reverse(out.Flags)
	}
	return out
}
