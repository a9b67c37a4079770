package assembly

import (
	"math"

	"sluice/geom"
	"sluice/geom/outline"
	"sluice/geom/plate"
	"sluice/lint/kit"
)

// kind is what a joint is in space.
type kind uint8

const (
	takes  kind = iota // a slot or gap, which takes a tab
	enters             // a tab
	laps               // a notch
	meets              // an edge of fingers
)

// feature is a joint of one part: a frame on it by which another part is laid.
type feature struct {
	kind    kind
	part    int
	joint   int // index in Kit.Joints, and on in Kit.Askew; -1 of an edge
	edge    int // index in Kit.Edges: of an edge, and of a tab or gap in one; -1 else
	length  float64
	idle    bool       // it counts only where it is met
	through bool       // a slot within the part: what enters may be turned end for end
	askew   bool       // it is for a plate at another angle than square
	width   float64    // of a slot or notch, mm
	depth   float64    // of a tab, mm
	behind  float64    // notch: material behind its bottom, mm
	t       float64    // how thick the part is, mm
	at      plate.Vec  // tab: middle of its foot; notch: middle of its bottom; both half way up
	x, y    plate.Vec  // along, and out of the part
	back    bool       // of an edge x runs against its direction of travel
	mid     geom.Point // the middle of the joint in the drawing
}

// features returns the joints of all parts, by part.
func features(k *kit.Kit) [][]feature {
	of := make([][]feature, len(k.Sheet.Parts))
	finger := map[int]bool{} // edges that have a mate of their own
	for i := range k.Edges {
		for j := range k.Edges {
			if k.Edges[i].Part != k.Edges[j].Part {
				if along, against := k.EdgeWays(i, j); along || against {
					finger[i] = true
					break
				}
			}
		}
	}
	for i := range k.Joints {
		j := &k.Joints[i]
		f := jointFeature(j, i, k.PlateOf(j.Part))
		of[j.Part] = append(of[j.Part], f)
		if j.Kind == kit.Tab { // the second deck that it goes through, and so on
			for n, t := k.Decks(j); n > 1; n-- {
				g := f
				g.at, g.idle = g.at.Add(f.y.Mul(float64(n-1)*t)), true
				of[j.Part] = append(of[j.Part], g)
			}
		}
	}
	for i := range k.Askew {
		j := &k.Askew[i]
		f := jointFeature(j, len(k.Joints)+i, k.PlateOf(j.Part))
		f.idle, f.askew = true, true
		of[j.Part] = append(of[j.Part], f)
	}
	for i := range k.Idle {
		if j := &k.Idle[i]; len(of[j.Part]) > 0 || j.Kind == kit.Slot {
			f := jointFeature(j, -1, k.PlateOf(j.Part))
			f.idle = true
			of[j.Part] = append(of[j.Part], f)
		}
	}
	for i := range k.Edges {
		e := &k.Edges[i]
		if !finger[i] && !k.Comb(i) {
			continue
		}
		t := k.PlateOf(e.Part)
		f := feature{kind: meets, part: int(e.Part), t: t, joint: -1, edge: i, length: span(e), x: flat(e.U), y: flat(e.Out), mid: e.Middle(e.Depth / 2)}
		f.idle = !finger[i] && !k.CombAlone(i)
		f.at = plate.Flat(e.Middle(e.Depth), t/2)
		of[f.part] = append(of[f.part], f)
	}
	return of
}

// jointFeature returns joint i of a kit as a frame on its part.
func jointFeature(j *kit.Joint, i int, t float64) feature {
	f := feature{part: int(j.Part), t: t, joint: i, edge: j.Edge, length: j.Length, x: flat(j.Dir), y: flat(j.Out), mid: j.At, width: j.Width, depth: j.Depth, askew: j.Angle > 0}
	switch j.Kind {
	case kit.Slot:
		f.kind, f.at, f.through = takes, plate.Flat(j.At, 0), true
		f.y = flat(j.Dir.Left())
	case kit.Gap:
		f.kind, f.at = takes, plate.Flat(j.At, 0)
	case kit.Tab:
		f.kind, f.at = enters, plate.Flat(j.At.Sub(j.Out.Mul(j.Depth)), t/2)
		f.mid = j.At.Sub(j.Out.Mul(j.Depth / 2))
	case kit.Notch:
		f.kind, f.at = laps, plate.Flat(j.At.Sub(j.Out.Mul(j.Length/2)), t/2)
		f.x = flat(j.Out.Left())
		f.behind = j.Behind
	}
	return f
}

func flat(p geom.Point) plate.Vec { return plate.Vec{p.X, p.Y, 0} }

func span(e *kit.Edge) float64 { return e.Steps[len(e.Steps)-1].Pos - e.Steps[0].Pos }

// near is by how much the lengths of two joints that meet may differ, mm, once the play
// of the kit is taken off.
const near = 0.35

// loose is by how much, mm, a slot that is off the thickness may be longer than its tab.
const loose = 0.8

// holds reports whether a slot that is longer than a tab by some mm is one for it.
func (a *maker) holds(longer float64) bool {
	if math.Abs(longer) <= near {
		return true
	}
	for i := range a.kit.Thicknesses {
		if math.Abs(longer-a.kit.Thicknesses[i].Play) <= near {
			return true
		}
	}
	return false
}

// poses returns where the part of g comes to lie, as the part of f sees it, if the two
// joints meet: none where they do not fit each other.
func (a *maker) poses(f, g *feature) []plate.Pose {
	up := plate.Vec{0, 0, 1}
	switch {
	case f.askew && f.kind != enters || g.askew && g.kind != enters:
		return nil // another angle: lean.go
	case f.kind == takes && g.kind == enters:
		if longer := f.length - g.length; !a.holds(longer) && !(f.idle && longer > 0 && longer < loose) {
			return nil
		}
		return four(g, plate.Vec{f.at[0], f.at[1], 0}, plate.Vec{f.at[0], f.at[1], f.t}, f.x, up)
	case f.kind == enters && g.kind == takes:
		return inverse(a.poses(g, f))
	case f.kind == laps && g.kind == laps:
		out := f.y.Mul(-1)
		at := f.at.Add(f.y.Mul(flush(f, g)))
		return []plate.Pose{
			plate.Frames(g.at, g.x, g.y, at, up, out),
			plate.Frames(g.at, g.x, g.y, at, up.Mul(-1), out),
		}
	case f.kind == meets && g.kind == meets:
		along, against := a.kit.EdgeWays(f.edge, g.edge)
		m := a.along(f, g.t/2)
		var all []plate.Pose
		for _, p := range four(g, plate.Vec{m[0], m[1], f.t}, plate.Vec{m[0], m[1], 0}, f.x, up) {
			same := p.Turn(g.x).Dot(f.x) > 0 == (f.back == g.back)
			if same && along || !same && against {
				all = append(all, p)
			}
		}
		return all
	}
	return nil
}

// along returns the middle of an edge, out from its inner level by out, mm.
func (a *maker) along(f *feature, out float64) plate.Vec {
	return f.at.Add(f.y.Mul(out - a.kit.Edges[f.edge].Depth))
}

// flush returns by how much, mm, the bottoms of two notches stay apart so that the mouth
// of one is flush with the back of the other: none where they would be in each other.
func flush(f, g *feature) float64 {
	least := math.Inf(1)
	for _, d := range [2]float64{f.length - g.behind, g.length - f.behind} {
		if d > 0.01 {
			least = min(least, d)
		}
	}
	if least > min(f.length, g.length)/2 {
		return 0
	}
	return least
}

// four lays the frame of g along x either way, with its way out up at one place, or down
// at the other.
func four(g *feature, up, down, x, z plate.Vec) []plate.Pose {
	var all []plate.Pose
	for _, sign := range [2]float64{1, -1} {
		all = append(all,
			plate.Frames(g.at, g.x, g.y, up, x.Mul(sign), z),
			plate.Frames(g.at, g.x, g.y, down, x.Mul(sign), z.Mul(-1)))
	}
	return all
}

func inverse(all []plate.Pose) []plate.Pose {
	for i := range all {
		all[i] = all[i].Back()
	}
	return all
}

// Shape returns part k of a sheet as a plate of a thickness, mm.
func Shape(s *outline.Sheet, k int, t float64) *plate.Plate {
	p := &s.Parts[k]
	paths := []geom.Path{s.Outlines[p.Outer].Pieces}
	for _, h := range p.Holes {
		paths = append(paths, s.Outlines[h].Pieces)
	}
	return plate.New(paths, t, 0.02)
}
