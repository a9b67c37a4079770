package dxf

import (
	"math"

	"sluice/geom"
	"sluice/geom/curve"
	"sluice/geom/drawing"
)

// A SPLINE states how many knots (72), control points (73) and fit points (74)
// it has.
var splineType = entityType{
	names: []string{"SPLINE"}, coords: worldCoords, normal: true, points: []int32{10, 11},
	odd: func(r *record) bool { return r.count(10) != r.count(20) || r.count(11) != r.count(21) },
	whole: func(r *record) bool {
		ctrl, fit := r.flags(73), r.flags(74)
		return r.count(40) == r.flags(72) && r.count(10) == ctrl && r.count(20) == ctrl &&
			r.count(11) == fit && r.count(21) == fit && ctrl+fit > 1
	},
	draw: (*reader).spline,
}

func (rd *reader) spline(r *record, e *env) error {
	s := &curve.Spline{Degree: r.flags(71)}
	flags := r.flags(70)
	s.Closed, s.Periodic = flags&1 != 0, flags&2 != 0
	lo, hi := math.Inf(1), math.Inf(-1)
	for code, list := range map[int32]*[]geom.Point{10: &s.Ctrl, 11: &s.Fit} {
		for v, rest := r.fromPoint(code).cut(); len(v) > 0; v, rest = rest.cut() {
			p := v.point(code)
			*list = append(*list, e.place(p))
			lo, hi = min(lo, p.z), max(hi, p.z)
		}
	}
	for i := range r.nums {
		switch n := &r.nums[i]; n.code {
		case 40:
			s.Knots = append(s.Knots, n.v)
		case 41:
			s.Weights = append(s.Weights, n.v)
		}
	}
	impliedDegree(s)
	s.StartTan, s.EndTan = e.direction(r.point(12)), e.direction(r.point(13))
	ctrls, fits, knots := len(s.Ctrl), len(s.Fit), len(s.Knots)
	if why := checkSpline(s); why != "" {
		return rd.problemOf("bad-curve", int(r.line), e.ent, true, "the SPLINE is not read: "+why)
	}
	if err := rd.saidPoints(r, e, ctrls, fits, knots); err != nil {
		return err
	}
	rd.notFlat(r, lo, hi)
	return rd.curve(e, drawing.Curve{Kind: "SPLINE", Spline: s})
}

// saidPoints tells where a SPLINE has fewer points or knots than it says.
func (rd *reader) saidPoints(r *record, e *env, ctrl, fit, knots int) error {
	for _, c := range []struct {
		code int32
		has  int
		what string
	}{{73, ctrl, "control points"}, {74, fit, "fit points"}, {72, knots, "knots"}} {
		if says := r.num(c.code, 0); says > float64(c.has) {
			return rd.problemOf("vertex-count", int(r.line), e.ent, true, "the SPLINE says it has "+ftoa(says)+" "+c.what+", but has "+itoa(c.has))
		}
	}
	return nil
}

// direction returns the flat image of a direction in world coordinates.
func (e *env) direction(p point3) geom.Point {
	if e.nested {
		p = e.frame.dir(p)
	}
	return p.flat()
}

// impliedDegree sets the degree of a curve that states none: a curve of degree p
// through n control points has n+p+1 knots.
func impliedDegree(s *curve.Spline) {
	if s.Degree == 0 && len(s.Ctrl) > 0 {
		s.Degree = max(0, len(s.Knots)-len(s.Ctrl)-1)
	}
}

// checkSpline drops what cannot go together and says what is missing, "" if
// the curve is fit for use: either control points with as many knots as points
// plus degree plus 1, or fit points.
func checkSpline(s *curve.Spline) string {
	if len(s.Weights) != len(s.Ctrl) {
		s.Weights = nil
	}
	for _, w := range s.Weights {
		if !(w > 0) {
			return "a weight that is not positive"
		}
	}
	rising := true
	for i := 1; i < len(s.Knots); i++ {
		rising = rising && s.Knots[i] >= s.Knots[i-1]
	}
	n, p := len(s.Ctrl), s.Degree
	if n > 0 && p >= 1 && p <= 25 && n > p && len(s.Knots) == n+p+1 && rising && s.Knots[n] > s.Knots[p] {
		return ""
	}
	if len(s.Fit) > 1 {
		s.Ctrl, s.Knots, s.Weights = nil, nil, nil
		if s.Degree < 1 {
			s.Degree = 3
		}
		return ""
	}
	switch {
	case n == 0:
		return "no control points"
	case p < 1 || p > 25:
		return "degree " + itoa(p)
	case n <= p:
		return itoa(n) + " control points for degree " + itoa(p)
	case len(s.Knots) != n+p+1:
		return itoa(len(s.Knots)) + " knots for " + itoa(n) + " control points of degree " + itoa(p)
	}
	return "its knots do not rise"
}
