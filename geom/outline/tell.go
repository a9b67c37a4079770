package outline

import (
	"slices"

	"sluice/geom"
)

// inPiece is the share of a piece at which it is asked where it lies: no round
// number, so that rays from it seldom pass through corners.
const inPiece = 0.38196601125010515

// telling is the last work: a sheet being written down. Until order, paths and
// gaps name outlines, not parts, by their numbers in sifted.
type telling struct {
	*sifted
	*Sheet
	framed map[int32]bool // by open path: it belongs to a border
	told   map[int32]bool // strokes of what is carried that are told already, once asked for
}

// tell writes a sheet down: what does not close and where it lies, what is
// marked, put aside and drawn twice, and parts in order.
func (a *sifted) tell() *Sheet {
	t := &telling{sifted: a, framed: map[int32]bool{}, Sheet: &Sheet{
		Open: slices.Clone(a.open), Tangles: a.tangles, Lettering: a.lettering,
		Overruns: slices.Clone(a.bridged.overruns), Crossings: slices.Clone(a.crossings),
		Strays: slices.Concat(a.strays, a.specks, a.bridged.strays),
	}}
	t.settleOpen()
	t.takeFrameMarks()
	t.dropMarkCrossings()
	t.keepOverruns()
	within := t.doubtWithin()
	t.tellGaps(within)
	t.dropFrameCrossings()
	t.Open = dropAt(t.Open, t.framed)
	t.gatherEtch()
	t.gatherNotes()
	t.tellShared()
	t.tellOverlaps()
	t.order()
	return t.Sheet
}

// outer returns the outermost outline that an outline belongs to as a hole, or
// itself; -1 for -1.
func (a *sifted) outer(o int32) int32 {
	if o >= 0 && a.outlines[o].Hole() {
		return a.outlines[o].Parent
	}
	return o
}

// settleOpen finds where open paths lie, and tells loose marks from broken
// outlines.
func (t *telling) settleOpen() {
	ringish := make([]bool, len(t.Open))
	for seg, o := range t.openOf {
		ringish[o] = ringish[o] || t.bridged.ringish[seg]
	}
	leaves, holed := t.crossedBy()
	for k := range t.Open {
		o, i := &t.Open[k], int32(k)
		o.Part = t.locate.around(o.Pieces[0].At(inPiece))
		if holed[i] {
			o.Part = t.outer(o.Part) // it runs through a hole
		}
		o.Inside = !leaves[i] && o.Part >= 0 && !t.outlines[o.Part].Hole()
		// One across that lies in nothing runs along its outline: by rounding alone.
		o.Loose = (o.Inside || o.Across && o.Part < 0) && !ringish[k] && !t.flat[i] && !t.drawnClosed(&o.Path)
	}
}

// gatherEtch joins strokes to etch that follow on from each other, as those of
// letters do, to paths.
func (t *telling) gatherEtch() {
	for _, i := range t.etch {
		p := t.strokes[i].Piece
		if p.Length() <= t.o.Join {
			continue
		}
		n := len(t.Etch)
		if n > 0 {
			last := &t.Etch[n-1]
			q := last.Pieces[len(last.Pieces)-1]
			if q.B.Dist(p.A) <= t.o.Join && t.strokes[last.Src[0]].Layer == t.strokes[i].Layer && !q.IsCircle() {
				n--
			}
		}
		if n == len(t.Etch) {
			in := t.locate.around(p.At(inPiece))
			t.Etch = append(t.Etch, Open{Part: in, Inside: in >= 0, Box: geom.NoBox()})
		}
		t.Etch[n].grow(p, int32(i), 0)
	}
}

// grow adds a piece to an open path.
func (o *Open) grow(p geom.Piece, src int32, f Flag) {
	o.add(p, src, f)
	o.Length += p.Length()
	o.Box = o.Box.Union(p.Box())
}

// tellGaps tells the gaps, but those of loose marks, with the outline that each
// bridge closes and the number of outlines within the open paths that end there.
func (t *telling) tellGaps(within map[int32]int) {
	for k, g := range t.bridged.gaps {
		segs, bridge := t.bridged.gapSegs[k], t.bridged.bridgeAt[k]
		for _, s := range segs {
			if o, ok := t.openOf[s]; ok {
				g.Within += within[o]
				delete(within, o) // told once
			}
		}
		if b, ok := t.bridged.shellOf[segs[0]]; ok && !g.Bridged {
			bridge = b
		}
		if o, ok := t.bridgeOut[bridge]; ok {
			g.Outline = o
		}
		if g.Outline >= 0 && t.isOut(g.Outline) {
			continue // of a border: nothing is cut there
		}
		loose := func(s segID) bool {
			o, ok := t.openOf[s]
			return ok && (t.Open[o].Loose || t.framed[o])
		}
		lone := loose(segs[0])
		if g.Partner && !g.Bridged && !g.Inside && lone != loose(segs[1]) {
			if lone { // only the other end is one that counts
				g.A, g.EndA, lone = g.B, g.EndB, false
			}
			g = Gap{At: g.A, A: g.A, B: g.A, EndA: g.EndA, EndB: End{Stroke: -1}, Outline: -1, Within: g.Within}
		}
		if !lone {
			t.Gaps = append(t.Gaps, g)
		}
	}
}
