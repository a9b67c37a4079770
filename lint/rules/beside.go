package rules

import (
	"math"
	"strconv"
	"strings"

	"sluice/fix"
	"sluice/fix/repair"
	"sluice/geom"
	"sluice/geom/index"
	"sluice/lint"
)

// beside tells how much material is left beside walls of a part that are moved into it.
type beside struct {
	p      *lint.Pass
	k      int
	pieces []ringPiece
	tree   *index.Tree
	of     map[int32]ringPiece // by stroke: the first piece that it draws
}

// newBeside returns what tells of part k.
func newBeside(p *lint.Pass, k int) *beside {
	b := &beside{p: p, k: k, of: map[int32]ringPiece{}}
	var boxes []geom.Box
	for r, ring := range p.Rings(k) {
		o := ringOutline(p, k, int32(r))
		for i := range ring.Path {
			x := ringPiece{int32(r), int32(i)}
			b.pieces = append(b.pieces, x)
			boxes = append(boxes, ring.Path[i].Box())
			if _, ok := b.of[o.Src[i]]; !ok {
				b.of[o.Src[i]] = x
			}
		}
	}
	b.tree = index.NewTree(boxes)
	return b
}

func (b *beside) at(x ringPiece) *geom.Piece { return &b.p.Rings(b.k)[x.ring].Path[x.piece] }

// mind tells of a choice that widens an opening, by an edit that replaces strokes of a
// ring one for one, where it leaves a web too thin, or runs into another cut.
func (b *beside) mind(w *lint.Way, ring int32, e *fix.Edit) {
	limit := b.p.Job.WebLimit()
	thin, other := b.web(ring, e, limit)
	switch {
	case thin <= b.p.Job.Limits.Join:
		if other > 0 && other != ring {
			both, ok := repair.Unite(b.p.Drawing, &ringOutline(b.p, b.k, ring).Path, &ringOutline(b.p, b.k, other).Path, *e)
			if ok {
				w.Fixes = lint.OneFix(fix.Choice, both)
				w.Words += ", and make it one with the hole that it runs into"
				return
			}
		}
		w.Mind("crossing-outlines", true, "outlines cross")
	case thin < limit-widenMore:
		s := strconv.FormatFloat(thin, 'f', 2, 64)
		s = strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
		w.Mind("thin-web", true, "web "+s+" mm thick ("+mm(limit)+" mm needed)")
	}
}

// web returns the least thickness, mm, of the webs that an edit makes thinner, limit
// where there is none below it, and the ring beyond that.
func (b *beside) web(ring int32, e *fix.Edit, limit float64) (thin float64, other int32) {
	o := ringOutline(b.p, b.k, ring)
	changed := map[int32]*geom.Piece{}
	for i := range e.Ops {
		if op := &e.Ops[i]; op.Kind == fix.Replace && len(op.With) == 1 {
			changed[op.Stroke] = &op.With[0].Piece
		}
	}
	n := len(o.Src)
	thin, other = limit, -1
	own := func(x ringPiece) bool { // among those that change, or next to them
		for d := -1; d <= 1; d++ {
			if _, ok := changed[o.Src[(int(x.piece)+d+n)%n]]; ok {
				return true
			}
		}
		return false
	}
	for stroke, now := range changed {
		x, ok := b.of[stroke]
		if !ok || x.ring != ring {
			continue
		}
		was := b.at(x)
		run := *now
		if was.TangentAt(0.5).Dot(run.TangentAt(0.5)) < 0 {
			run = run.Reverse()
		}
		b.tree.In(run.Box().Inflate(limit), func(j int32) bool {
			x := b.pieces[j]
			q := b.at(x)
			if x.ring == ring && (own(x) || !toLeft(&run, q)) {
				return true
			}
			d := geom.PieceDist(&run, q)
			if (d < thin || d == thin && x.ring < other) && d < geom.PieceDist(was, q)-1e-6 {
				thin, other = d, x.ring
			}
			return true
		})
	}
	return thin, other
}

// toLeft reports whether the nearest of a piece lies to the left of a run, where its
// material is.
func toLeft(run, q *geom.Piece) bool {
	best, left := math.Inf(1), false
	for k := range 5 {
		t := float64(k) / 4
		x := run.At(t)
		at, _ := q.Nearest(x)
		if d := at.Dist(x); d < best {
			best, left = d, run.TangentAt(t).Left().Dot(at.Sub(x)) > 0
		}
	}
	return left
}
