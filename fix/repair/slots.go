package repair

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"sluice/fix"
	"sluice/fix/fit"
	"sluice/geom"
	"sluice/geom/clear"
	"sluice/geom/drawing"
	"sluice/geom/outline"
)

// ErrNoWalls is returned for slots between long edges, or within one piece.
var ErrNoWalls = errors.New("the slot has no two walls that can be moved")

// A wall is a smooth run of pieces on one side of a slot; an end is what joins
// two walls: a flat bottom, a round one, a cap.
//
//	 first  wall          the run wall - end - wall of a notch, in the
//	>--------------+      direction of travel; its mouth is open
//	               | end
//	<--------------+
//	 second wall
type wall struct {
	from, n int
}

func (w wall) has(i, pieces int) bool { return (i-w.from+pieces)%pieces < w.n }

const (
	smoothTurn = 15.5 * math.Pi / 180 // a joint that turns more ends a wall
	capSweep   = math.Pi / 3          // an arc of a slot's own size that turns more is an end
)

// wallOf returns the wall that piece k belongs to.
func wallOf(path geom.Path, k int, width float64) wall {
	n := len(path)
	smooth := func(i, j int) bool {
		p, q := &path[i], &path[j]
		if math.Abs(geom.TurnTo(p.TangentAt(1), q.TangentAt(0))) > smoothTurn {
			return false
		}
		return !isEnd(p, width) && !isEnd(q, width)
	}
	w := wall{k, 1}
	for w.n < n && smooth((w.from+n-1)%n, w.from) {
		w.from, w.n = (w.from+n-1)%n, w.n+1
	}
	for w.n < n && smooth((w.from+w.n-1)%n, (w.from+w.n)%n) {
		w.n++
	}
	return w
}

// isEnd reports whether an arc is the end of a slot, or rounds a corner.
func isEnd(p *geom.Piece, width float64) bool {
	return p.R > 0 && p.R < 2*width && math.Abs(p.Sweep) > capSweep
}

// wallsOf returns the walls of a slot; the end between the first and the second,
// in the direction of travel, is the shorter way between them.
func wallsOf(path geom.Path, s *clear.Narrow) (first, second wall, err error) {
	if s.RingA != s.RingB || s.PieceA == s.PieceB {
		return first, second, ErrNoWalls
	}
	n := len(path)
	a, b := wallOf(path, int(s.PieceA), s.Width), wallOf(path, int(s.PieceB), s.Width)
	if a.has(b.from, n) || b.has(a.from, n) {
		return first, second, ErrNoWalls
	}
	for _, w := range [2]wall{a, b} {
		l := 0.0
		for k := range w.n {
			l += path[(w.from+k)%n].Length()
		}
		if l > 2*s.Length+10*s.Width {
			return first, second, ErrNoWalls // the run is only a bit of a long edge
		}
	}
	if !nearer(path, a, b) {
		a, b = b, a
	}
	return a, b, nil
}

// nearer reports whether the way along path from the end of wall a to the start of wall
// b is not longer than that from b to a. It looks no further than the shorter one.
func nearer(path geom.Path, a, b wall) bool {
	n := len(path)
	i, k := (a.from+a.n)%n, (b.from+b.n)%n
	for there, back := 0.0, 0.0; ; {
		switch {
		case i == b.from:
			if k == a.from {
				return there <= back
			}
			if there <= back {
				return true
			}
			back, k = back+path[k].Length(), (k+1)%n
		case k == a.from:
			if back < there {
				return false
			}
			there, i = there+path[i].Length(), (i+1)%n
		case there <= back:
			there, i = there+path[i].Length(), (i+1)%n
		default:
			back, k = back+path[k].Length(), (k+1)%n
		}
	}
}

// Widen moves the walls of the slots apart, each by the same, so that no slot is
// narrower than to (mm). Flat ends keep their place; round ones grow with the
// slot. Pieces keep their order and number. done tells which slots could be
// widened; moved is the largest distance by which a wall moved.
func Widen(path geom.Path, slots []clear.Narrow, to float64) (wide geom.Path, done []bool, moved float64) {
	done = make([]bool, len(slots))
	by := make([]float64, len(path))
	wide = path
	for i := range slots {
		s := &slots[i]
		first, second, err := wallsOf(path, s)
		if err != nil || s.Width >= to {
			continue
		}
		trial := slices.Clone(by)
		d := (to - s.Width) / 2
		for _, w := range [2]wall{first, second} {
			for k := range w.n {
				at := (w.from + k) % len(path)
				trial[at] = max(trial[at], d)
			}
		}
		if p, ok := spread(path, trial, true); ok {
			wide, by, done[i] = p, trial, true
			moved = max(moved, d)
		}
	}
	return wide, done, moved
}

// spread moves each piece of a path into its material, to the left, by the distance
// given, and joins them again. The path closes, or else both its ends stay.
func spread(path geom.Path, by []float64, closed bool) (geom.Path, bool) {
	n := len(path)
	out := make(geom.Path, n)
	carried := make([]bool, n) // an arc that goes along with one neighbour
	for i := range path {
		var ok bool
		if out[i], ok = toLeft(path[i], by[i]); !ok {
			return nil, false
		}
	}
	// Arcs tangent to a wall, between it and what stays: round ends and corners.
	for i := range path {
		p := &path[i]
		before, after := by[(i+n-1)%n], by[(i+1)%n]
		if p.R == 0 || by[i] > 0 || before == 0 && after == 0 {
			continue
		}
		atA := before > 0 && tangent(&path[(i+n-1)%n], p)
		atB := after > 0 && tangent(p, &path[(i+1)%n])
		switch {
		case atA && atB:
			out[i] = geom.Bulge(out[(i+n-1)%n].B, out[(i+1)%n].A, p.BulgeValue())
		case atA:
			out[i] = p.Transform(geom.Shift(out[(i+n-1)%n].B.Sub(p.A)))
		case atB:
			out[i] = p.Transform(geom.Shift(out[(i+1)%n].A.Sub(p.B)))
		default:
			continue
		}
		carried[i] = true
	}
	joints := make([]geom.Point, n) // between piece i and the next
	for i := range out {
		if !closed && i == n-1 {
			break
		}
		j := (i + 1) % n
		p, q := &out[i], &out[j]
		switch old := path[i].B; {
		case by[i] == 0 && by[j] == 0 && !carried[i] && !carried[j]:
			joints[i] = old
		case p.B.Dist(q.A) <= 1e-7:
			joints[i] = p.B
		case carried[i] && q.R == 0 && offLine(*q, p.B) <= 1e-7: // a round corner of a flat end, which runs on to it
			joints[i] = p.B
		case carried[j] && p.R == 0 && offLine(*p, q.A) <= 1e-7:
			joints[i] = q.A
		default:
			x, ok := nearestCross(*p, *q, old)
			if !ok || x.Dist(old) > 6*max(by[i], by[j], by[(i+n-1)%n], by[(j+1)%n]) {
				return nil, false
			}
			joints[i] = x
		}
	}
	for i := range out {
		a, b := joints[(i+n-1)%n], joints[i]
		if !closed && i == 0 {
			a = path[0].A
		}
		if !closed && i == n-1 {
			b = path[i].B
		}
		var ok bool
		if out[i], ok = between(out[i], a, b, path[i]); !ok {
			return nil, false
		}
	}
	return out, true
}

// between returns a moved piece that runs from a to b now; ok is false where it
// would vanish, or turn by far more than it did as it was.
func between(p geom.Piece, a, b geom.Point, was geom.Piece) (q geom.Piece, ok bool) {
	if p.R == 0 {
		return geom.Line(a, b), b.Sub(a).Dot(was.B.Sub(was.A)) > 0
	}
	if p.IsCircle() {
		return p, true
	}
	turn := geom.TurnTo(a.Sub(p.C), b.Sub(p.C))
	if p.Sweep > 0 && turn < 0 {
		turn += 2 * math.Pi
	} else if p.Sweep < 0 && turn > 0 {
		turn -= 2 * math.Pi
	}
	ok = math.Abs(turn) <= math.Abs(p.Sweep)+math.Pi/2
	p.A, p.B, p.Sweep = a, b, turn
	return p, ok
}

// toLeft moves a piece to its left by d.
func toLeft(p geom.Piece, d float64) (geom.Piece, bool) {
	if d == 0 {
		return p, true
	}
	if p.R == 0 {
		return p.Transform(geom.Shift(p.TangentAt(0).Left().Mul(d))), true
	}
	r := p.R - math.Copysign(d, p.Sweep)
	if r <= 1e-6 {
		return p, false
	}
	f := r / p.R
	p.A, p.B, p.R = p.C.Add(p.A.Sub(p.C).Mul(f)), p.C.Add(p.B.Sub(p.C).Mul(f)), r
	return p, true
}

func tangent(p, q *geom.Piece) bool {
	return math.Abs(geom.TurnTo(p.TangentAt(1), q.TangentAt(0))) < 0.09
}

func nearestCross(p, q geom.Piece, at geom.Point) (best geom.Point, ok bool) {
	for _, x := range carriersCross(p, q) {
		if !ok || x.Dist(at) < best.Dist(at) {
			best, ok = x, true
		}
	}
	return best, ok
}

// WidenSlots returns the edits that widen slots of one outline to the given width
// (mm), one for each slot; they land together. The first carries the changes.
// done tells for which slots there is an edit.
func WidenSlots(d *drawing.Drawing, o *outline.Outline, slots []clear.Narrow, to float64, u *fit.Uses) (edits []fix.Edit, done []bool) {
	wide, done, moved := Widen(o.Pieces, slots, to)
	src := make([]int, len(wide))
	for i := range src {
		src[i] = i
	}
	ops, err := fit.Redraw(d, o, wide, src, u)
	if err != nil || moved == 0 {
		return nil, make([]bool, len(slots))
	}
	for i := range slots {
		if !done[i] {
			continue
		}
		e := fix.Edit{
			Kind: "widen-slot", At: slots[i].At, Moved: (to - slots[i].Width) / 2,
			Note: fmt.Sprintf("slot %.4g mm wide widened to %.4g mm about its centre line", slots[i].Width, to),
		}
		if len(edits) == 0 {
			e.Ops = ops
		}
		edits = append(edits, e)
	}
	return edits, done
}

// EtchSlots returns the edits that take slots out of their outline and etch their
// centre lines instead, one for each slot; they land together, and the first
// carries the changes of the outline. A hole vanishes, a notch is closed across
// its mouth. done tells for which slots there is an edit.
func EtchSlots(d *drawing.Drawing, o *outline.Outline, slots []clear.Narrow, u *fit.Uses) (edits []fix.Edit, done []bool) {
	path := o.Pieces
	n := len(path)
	done = make([]bool, len(slots))
	out := make([]bool, n)                             // pieces taken out
	across := map[int]geom.Piece{}                     // by the first piece taken out: the line that takes the place
	ops, err := fit.Redraw(d, o, path, identity(n), u) // checks that the strokes are its own
	if err != nil {
		return nil, done
	}
	whole := false
	for i := range slots {
		s := &slots[i]
		first, second, err := wallsOf(path, s)
		if err != nil || whole {
			continue
		}
		a0, a1 := path[first.from].A, path[(first.from+first.n-1)%n].B
		b0, b1 := path[second.from].A, path[(second.from+second.n-1)%n].B
		count := (second.from+second.n-first.from+n-1)%n + 1
		switch {
		case s.Whole:
			whole = true
		case !plainMouth(path, s, first, a0, b1) || taken(out, first.from, count) || chamber(path, s, first, second, first.from, count):
			continue
		default:
			across[first.from] = geom.Line(a0, b1)
			for k := range count {
				out[(first.from+k)%n] = true
			}
		}
		done[i] = true
		// One wall runs in, the other out.
		st := d.Strokes[o.Src[first.from]]
		mark := drawing.Stroke{
			Piece: geom.ThroughPoint(a0.Mid(b1), middleOf(path, first, second), a1.Mid(b0)),
			Layer: FindLayer(d, EtchLayer), Entity: st.Entity, Made: drawing.Edited, As: drawing.AsEtch,
		}
		edits = append(edits, fix.Edit{
			Kind: "etch-slot", At: s.At, Note: fmt.Sprintf("slot %.4g mm wide taken out; its centre line is etched", s.Width),
			Ops: []fix.Op{{Kind: fix.Add, With: []drawing.Stroke{mark}}},
		})
	}
	if len(edits) == 0 {
		return nil, done
	}
	if whole {
		for i := range ops {
			ops[i] = fix.Op{Kind: fix.Drop, Stroke: ops[i].Stroke}
		}
	} else {
		var closed geom.Path
		var src []int
		for k := range n {
			if p, ok := across[k]; ok {
				closed, src = append(closed, p), append(src, k)
			} else if !out[k] {
				closed, src = append(closed, path[k]), append(src, k)
			}
		}
		if ops, err = fit.Redraw(d, o, closed, src, u); err != nil {
			return nil, make([]bool, len(slots))
		}
	}
	edits[0].Ops = append(ops, edits[0].Ops...)
	return edits, done
}

// plainMouth reports whether a line from a to b closes a notch at right angles to
// its walls, or nearly so.
func plainMouth(path geom.Path, s *clear.Narrow, first wall, a, b geom.Point) bool {
	line := b.Sub(a)
	return line.Norm() <= 3*s.Width+0.01 && math.Abs(line.Unit().Dot(path[first.from].TangentAt(0))) <= 0.5
}

// chamber reports whether count pieces from first on lead into a place wider than
// the slot: its middle line would not stand for that.
func chamber(path geom.Path, s *clear.Narrow, a, b wall, first, count int) bool {
	n := len(path)
	mid := geom.ThroughPoint(path[a.from].A.Mid(path[(b.from+b.n-1)%n].B), middleOf(path, a, b), path[(a.from+a.n-1)%n].B.Mid(path[b.from].A))
	for k := range count {
		p := &path[(first+k)%n]
		if max(mid.Dist(p.A), mid.Dist(p.Mid()), mid.Dist(p.B)) > 1.5*s.Width {
			return true
		}
	}
	return false
}

// taken reports whether any of count pieces from first is out already.
func taken(out []bool, first, count int) bool {
	for k := range count {
		if out[(first+k)%len(out)] {
			return true
		}
	}
	return false
}

// middleOf returns the point half way along the slot, between its walls.
func middleOf(path geom.Path, first, second wall) geom.Point {
	half := func(w wall) geom.Point {
		var run geom.Path
		for k := range w.n {
			run = append(run, path[(w.from+k)%len(path)])
		}
		s := run.Length() / 2
		for _, p := range run {
			if l := p.Length(); s <= l {
				return p.At(s / l)
			} else {
				s -= l
			}
		}
		return run[len(run)-1].B
	}
	return half(first).Mid(half(second))
}

func identity(n int) []int {
	ix := make([]int, n)
	for i := range ix {
		ix[i] = i
	}
	return ix
}
