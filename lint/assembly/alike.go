package assembly

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/plate"
)

// alike is all copies of one part: where one of them may stand, any of them may. All is
// reckoned for a pattern in a frame of its own, and each copy knows how it lies upon that.
type alike struct {
	copies []int // parts
	onto   []fit // by copy
	fits   []fit // ways in which the pattern lies upon itself; the first is to lie still
	of     []feature
	plate  *plate.Plate
	middle plate.Vec // where all of fits leave it
	sig    []int64   // what it is told by
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

// gather sorts the parts with joints by shape.
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
		if m.shapeOf[k] < 0 {
			m.shapeOf[k] = len(m.shapes)
			byNumber[p.Number] = append(byNumber[p.Number], len(m.shapes))
			m.shapes = append(m.shapes, m.pattern(k, of[k]))
		}
	}
	m.sortShapes()
	middle := m.kit.Middle()
	for i := range m.shapes {
		m.shapes[i].sortCopies(of, middle)
	}
}

// pattern returns the shape of a part, laid in its frame.
func (m *maker) pattern(k int, of []feature) alike {
	p := &m.kit.Sheet.Parts[k]
	t := m.kit.PlateOf(int32(k))
	drawn := Shape(m.kit.Sheet, k, t)
	fr := frameOf(of, drawn, p.Centroid)
	a := alike{copies: []int{k}, plate: drawn.Moved(fr.tr), middle: plate.Vec{0, 0, t / 2}, sig: fr.sig}
	own := fit{lifted(fr.tr, t), make([]int, len(of))}
	still := fit{plate.Still(), make([]int, len(of))}
	for i, n := range fr.order {
		a.of = append(a.of, moved(&of[n], fr.tr))
		own.perm[n], still.perm[i] = i, i
	}
	a.onto, a.fits = []fit{own}, []fit{still}
	for _, f := range m.layPlate(a.plate, a.of, &a, mostFits) {
		if !slices.ContainsFunc(a.fits, func(g fit) bool { return sameTurn(g.pose, f.pose) && slices.Equal(g.perm, f.perm) }) {
			a.fits = append(a.fits, f)
		}
	}
	return a
}

// sortShapes puts the shapes in the order in which they are tried: those of most joints
// first.
func (m *maker) sortShapes() {
	order := make([]int, len(m.shapes))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		a, b := &m.shapes[i], &m.shapes[j]
		return cmp.Or(cmp.Compare(len(b.of), len(a.of)), slices.Compare(a.sig, b.sig), cmp.Compare(len(b.copies), len(a.copies)))
	})
	sorted := make([]alike, len(order))
	to := make([]int, len(order))
	for i, n := range order {
		sorted[i], to[n] = m.shapes[n], i
	}
	m.shapes = sorted
	for k, s := range m.shapeOf {
		if s >= 0 {
			m.shapeOf[k] = to[s]
		}
	}
}

// sortCopies orders the copies, and of each the ways in which it lies upon the pattern, by
// how far their joints lie from the middle of the drawing: where one of several may stand
// in a place, it is the same one however the drawing lies.
func (a *alike) sortCopies(of [][]feature, middle geom.Point) {
	type copied struct {
		part int
		onto fit
		far  []int64 // by feature of the pattern
	}
	all := make([]copied, len(a.copies))
	for i, k := range a.copies {
		drawn := make([]int64, len(a.of))
		for n := range of[k] {
			f := &of[k][n]
			drawn[n] = stepped(geom.Pt(f.at[0], f.at[1]).Dist(middle), stepLength)
		}
		for n := range a.fits {
			c := copied{k, fit{a.onto[i].pose.Then(a.fits[n].pose), make([]int, len(a.of))}, make([]int64, len(a.of))}
			for f, g := range a.onto[i].perm {
				c.onto.perm[f] = a.fits[n].perm[g]
				c.far[c.onto.perm[f]] = drawn[f]
			}
			if n == 0 || slices.Compare(c.far, all[i].far) < 0 {
				all[i] = c
			}
		}
	}
	slices.SortStableFunc(all, func(x, y copied) int { return slices.Compare(x.far, y.far) })
	for i := range all {
		a.copies[i], a.onto[i] = all[i].part, all[i].onto
	}
}

// mostFits is in how many ways a part is laid upon itself at most.
const mostFits = 24

// lay returns ways in which a part lies upon the pattern of a shape, at most most.
func (m *maker) lay(part int, of []feature, a *alike, most int) []fit {
	if len(of) != len(a.of) {
		return nil
	}
	return m.layPlate(Shape(m.kit.Sheet, part, a.plate.Thickness), of, a, most)
}

func (m *maker) layPlate(shape *plate.Plate, of []feature, a *alike, most int) (all []fit) {
	f := &of[0]
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
				if perm == nil || !coincide(shape, a.plate, tr) {
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
