package outline

import (
	"sluice/geom"
	"sluice/geom/index"
)

// gatherNotes joins the strokes put aside into paths, end to end and over gaps
// within the tolerance, and finds the part in which each lies. What is drawn
// twice is taken once. The paths do not depend on anything that is cut.
func (t *telling) gatherNotes() {
	if len(t.noted) == 0 {
		return
	}
	piece := func(i int32) *geom.Piece { return &t.strokes[t.noted[i]].Piece }
	repeat := wholeRepeats(len(t.noted), piece, t.o.Same)
	done := make([]bool, len(t.noted))
	for i := range t.noted {
		done[i] = repeat[i] >= 0 || piece(int32(i)).Length() <= t.o.Join
	}
	next := t.noteLinks(piece, done)
	for i := range t.noted {
		if done[i] {
			continue
		}
		start := 2 * i // the end at which the path begins
		for e := next[start]; e >= 0 && e/2 != i; e = next[start] {
			start = e ^ 1
		}
		if next[start] >= 0 {
			start = 2 * i // a ring
		}
		o := Open{Part: -1, Box: geom.NoBox()}
		for e := start; e >= 0 && !done[e/2]; e = next[e^1] {
			p := *piece(int32(e / 2))
			if e%2 == 1 {
				p = p.Reverse()
			}
			done[e/2] = true
			if n := len(o.Pieces); n > 0 && o.Pieces[n-1].B.Dist(p.A) > t.o.Join {
				o.add(geom.Line(o.Pieces[n-1].B, p.A), -1, IsBridge)
			}
			o.grow(p, int32(t.noted[e/2]), 0)
		}
		if t.claimed(&o) {
			continue
		}
		o.Part = t.outer(t.locate.around(o.Pieces[0].At(inPiece)))
		o.Inside = o.Part >= 0
		t.Noted = append(t.Noted, o)
	}
}

// noteLinks returns for each end (2i and 2i+1 of stroke i) the end of another
// stroke with which it makes a joint, -1 at a free end or a fork.
func (t *telling) noteLinks(piece func(int32) *geom.Piece, done []bool) []int {
	next := make([]int, 2*len(done))
	for e := range next {
		next[e] = -1
	}
	for _, reach := range [2]float64{t.o.Join, t.o.Gap} {
		places := index.NewPoints[nodeID](reach, len(next))
		at := make([]nodeID, len(next))
		for i := range done {
			if p := piece(int32(i)); !done[i] && !p.IsCircle() {
				at[2*i], at[2*i+1] = places.Place(p.A), places.Place(p.B)
			}
		}
		ends := make([][]int, len(places.At))
		for e := range next {
			if p := piece(int32(e / 2)); !done[e/2] && !p.IsCircle() && next[e] < 0 {
				k := places.Find(at[e])
				ends[k] = append(ends[k], e)
			}
		}
		for _, s := range ends {
			if len(s) == 2 && (s[0]/2 != s[1]/2 || reach == t.o.Join) {
				next[s[0]], next[s[1]] = s[1], s[0]
			}
		}
	}
	return next
}
