package assembly

import (
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/plate"
)

// alike is all copies of one part: where one of them may stand, any of them may. All is
// reckoned for the first, and each copy knows how it lies upon that.
type alike struct {
	copies []int // parts, the first of which is the pattern
	onto   []fit // by copy
	fits   []fit // ways in which the pattern lies upon itself; the first is to lie still
	of     []feature
	plate  *plate.Plate
	middle plate.Vec // where all of fits leave it
}

// fit lays a part upon another of its shape: turned in the plane, or turned over.
type fit struct {
	pose plate.Pose
	perm []int // by feature: which of the other it lies upon
}

// Lengths, mm, by which parts alike may differ.
const (
	sameLength = 0.1
	samePlace  = 0.06
	sameLine   = 0.12
)

// gather sorts the parts with joints by shape, in the order of the parts.
func (m *maker) gather(of [][]feature) {
	m.drawn = of
	m.shapeOf = make([]int, len(of))
	byNumber := map[int][]int{}
	for k := range of {
		m.shapeOf[k] = -1
		if len(of[k]) == 0 {
			continue
		}
		p := &m.kit.Sheet.Parts[k]
		for _, s := range byNumber[p.Number] {
			a := &m.shapes[s]
			if f := m.lay(k, of[k], a, 1); len(f) > 0 {
				a.copies, a.onto = append(a.copies, k), append(a.onto, f[0])
				m.shapeOf[k] = s
				break
			}
		}
		if m.shapeOf[k] >= 0 {
			continue
		}
		m.shapeOf[k] = len(m.shapes)
		byNumber[p.Number] = append(byNumber[p.Number], len(m.shapes))
		a := alike{copies: []int{k}, of: of[k], plate: Shape(m.kit.Sheet, k, m.kit.PlateOf(int32(k))), middle: plate.Flat(p.Centroid, m.kit.PlateOf(int32(k))/2)}
		still := fit{plate.Still(), make([]int, len(of[k]))}
		for i := range still.perm {
			still.perm[i] = i
		}
		a.onto = []fit{still}
		a.fits = []fit{still}
		for _, f := range m.lay(k, of[k], &a, mostFits) {
			if !slices.ContainsFunc(a.fits, func(g fit) bool { return sameTurn(g.pose, f.pose) && slices.Equal(g.perm, f.perm) }) {
				a.fits = append(a.fits, f)
			}
		}
		m.shapes = append(m.shapes, a)
	}
}

// mostFits is in how many ways a part is laid upon itself at most.
const mostFits = 24

// lay returns ways in which a part lies upon the pattern of a shape, at most most.
func (m *maker) lay(part int, of []feature, a *alike, most int) (all []fit) {
	if len(of) == 0 || len(of) != len(a.of) {
		return nil
	}
	f := &of[0]
	var shape *plate.Plate
	for i := range a.of {
		g := &a.of[i]
		if f.kind != g.kind || math.Abs(f.length-g.length) > sameLength {
			continue
		}
		for _, sx := range [2]float64{1, -1} {
			for _, sy := range [2]float64{1, -1} {
				if sy < 0 && !f.through {
					continue // out of the part is out of the part
				}
				tr := onto(f, g, sx, sy)
				perm := matched(of, a.of, tr)
				if perm == nil {
					continue
				}
				if shape == nil {
					shape = a.plate
					if part != a.copies[0] {
						shape = Shape(m.kit.Sheet, part, a.plate.Thickness)
					}
				}
				if !coincide(shape, a.plate, tr) {
					continue
				}
				all = append(all, fit{lifted(tr, a.plate.Thickness), perm})
				if len(all) == most {
					return all
				}
			}
		}
	}
	return all
}

// onto returns the movement in the plane that takes one feature to another.
func onto(f, g *feature, sx, sy float64) geom.Transform {
	x, y := geom.Pt(f.x[0], f.x[1]), geom.Pt(f.y[0], f.y[1])
	u, v := geom.Pt(g.x[0], g.x[1]).Mul(sx), geom.Pt(g.y[0], g.y[1]).Mul(sy)
	tr := geom.Transform{XX: u.X*x.X + v.X*y.X, XY: u.X*x.Y + v.X*y.Y, YX: u.Y*x.X + v.Y*y.X, YY: u.Y*x.Y + v.Y*y.Y}
	tr.T = geom.Pt(g.at[0], g.at[1]).Sub(tr.Apply(geom.Pt(f.at[0], f.at[1])))
	return tr
}

// matched returns which of others each feature lies upon, nil if one lies upon none.
func matched(of, others []feature, tr geom.Transform) []int {
	perm := make([]int, len(of))
	used := make([]bool, len(of))
	for i := range of {
		f := &of[i]
		at := tr.Apply(geom.Pt(f.at[0], f.at[1]))
		out := tr.Apply(geom.Pt(f.at[0]+f.y[0], f.at[1]+f.y[1])).Sub(at)
		perm[i] = slices.IndexFunc(others, func(g feature) bool {
			d := out.Dot(geom.Pt(g.y[0], g.y[1]))
			return f.kind == g.kind && f.through == g.through && math.Abs(f.length-g.length) <= sameLength &&
				at.Dist(geom.Pt(g.at[0], g.at[1])) <= samePlace && (d > 0.999 || g.through && d < -0.999)
		})
		if perm[i] < 0 || used[perm[i]] {
			return nil
		}
		used[perm[i]] = true
	}
	return perm
}

// coincide reports whether the corners of a plate, moved, all lie on the outlines of
// another.
func coincide(p, q *plate.Plate, tr geom.Transform) bool {
	if len(p.Rings) != len(q.Rings) {
		return false
	}
	const samples = 24 // of a ring
	for _, ring := range p.Rings {
		for i := 0; i < len(ring); i += 1 + len(ring)/samples {
			if q.FromEdge(tr.Apply(ring[i])) > sameLine {
				return false
			}
		}
	}
	return true
}

// lifted returns a movement in the plane as a pose of a plate: what is mirrored there is
// turned over.
func lifted(tr geom.Transform, t float64) plate.Pose {
	p := plate.Pose{R: [3]plate.Vec{{tr.XX, tr.YX, 0}, {tr.XY, tr.YY, 0}, {0, 0, 1}}, T: plate.Vec{tr.T.X, tr.T.Y, 0}}
	if tr.Mirrors() {
		p.R[2], p.T[2] = plate.Vec{0, 0, -1}, t
	}
	return p
}
