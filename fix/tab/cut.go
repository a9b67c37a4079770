package tab

import (
	"cmp"
	"slices"

	"sluice/geom"
	"sluice/geom/outline"
)

// Tab is one breakaway tab on an outline.
type Tab struct {
	Outline int32      // index in Sheet.Outlines
	S0, S1  float64    // the gap along the outline, mm; S1 passes the length where the gap runs over the start
	At      geom.Point // the middle of the gap, on the outline
	Given   string     // the wishes given up for it, "" if none
}

// Gap returns the length of the drawn gap along the outline, mm.
func (t Tab) Gap() float64 { return t.S1 - t.S0 }

// snap is how near, mm, a split may come to an end of a piece before it is taken
// to be there: no slivers of rounding.
const snap = 4e-10

// Cut splits a closed path at its tabs into the cut pieces and the uncut ones,
// in the order of the tabs along the path: cut[i] runs from tab i to the next,
// uncut[i] over tab i. Neighbours share their ends bit for bit, so that together
// they close; the uncut pieces carry outline.IsTab. Tabs that overlap or touch
// are taken as one. Without tabs the path itself is the one cut piece; if the
// tabs leave nothing to cut, it is the one uncut piece.
func Cut(path outline.Path, tabs []Tab) (cut, uncut []outline.Path) {
	length := path.Pieces.Length()
	spans := merge(tabs, length)
	if len(spans) == 0 || !(length > 0) {
		return []outline.Path{path}, nil
	}
	if spans[0].s1-spans[0].s0 >= length {
		return nil, []outline.Path{flagged(path)}
	}
	c := newCutter(path, length)
	// Each split is found once, so that both its neighbours get the same point.
	from, to := make([]place, len(spans)), make([]place, len(spans))
	for i, t := range spans {
		from[i], to[i] = c.find(offset(t.s0, length)), c.find(offset(t.s1, length))
	}
	for i := range spans {
		cut = append(cut, c.between(to[i], from[(i+1)%len(spans)]))
		uncut = append(uncut, flagged(c.between(from[i], to[i])))
	}
	return cut, uncut
}

// span is a stretch of an outline; 0 <= s0 < length, s0 < s1 <= s0 + length.
type span struct{ s0, s1 float64 }

// merge returns the gaps of the tabs in order, overlapping ones joined.
func merge(tabs []Tab, length float64) []span {
	var in []span
	for _, t := range tabs {
		if w := t.S1 - t.S0; w > 0 {
			s0 := offset(t.S0, length)
			in = append(in, span{s0, s0 + min(w, length)})
		}
	}
	slices.SortFunc(in, func(a, b span) int { return cmp.Or(cmp.Compare(a.s0, b.s0), cmp.Compare(a.s1, b.s1)) })
	var out []span
	for _, s := range in {
		if n := len(out); n > 0 && s.s0 <= out[n-1].s1 {
			out[n-1].s1 = max(out[n-1].s1, s.s1)
			continue
		}
		out = append(out, s)
	}
	// The last may run over the start into the first ones.
	for len(out) > 1 && out[len(out)-1].s1 >= out[0].s0+length {
		out[len(out)-1].s1 = max(out[len(out)-1].s1, out[0].s1+length)
		out = out[1:]
	}
	if len(out) == 1 {
		out[0].s1 = min(out[0].s1, out[0].s0+length)
	}
	return out
}

// cutter takes stretches out of a path.
type cutter struct {
	path   outline.Path
	at     []float64 // start of each piece, and the length at the end
	length float64
}

func newCutter(path outline.Path, length float64) *cutter {
	c := &cutter{path: path, at: make([]float64, 1, len(path.Pieces)+1), length: length}
	for i := range path.Pieces {
		c.at = append(c.at, c.at[i]+path.Pieces[i].Length())
	}
	return c
}

// place is a position on a path: a share of one of its pieces.
type place struct {
	piece int
	t     float64
}

// find returns the place at arc length s, in [0, length]. A place near the end
// of a piece is the start of the next.
func (c *cutter) find(s float64) place {
	i, _ := slices.BinarySearchFunc(c.at[1:], s, func(end, s float64) int { return cmp.Compare(end, s) })
	n := len(c.path.Pieces)
	for i < n && c.at[i+1]-s <= snap {
		i++
	}
	if i >= n {
		return place{0, 0}
	}
	l := c.at[i+1] - c.at[i]
	t := (s - c.at[i]) / l
	if s-c.at[i] <= snap || !(t > 0) {
		t = 0
	}
	return place{i, t}
}

// between returns the stretch from a on to b, which are not the same.
func (c *cutter) between(a, b place) outline.Path {
	var out outline.Path
	add := func(i int, t0, t1 float64) {
		if t0 < t1 {
			c.append(&out, i, t0, t1)
		}
	}
	if a.piece == b.piece && a.t < b.t {
		add(a.piece, a.t, b.t)
		return out
	}
	n := len(c.path.Pieces)
	add(a.piece, a.t, 1)
	for i := (a.piece + 1) % n; i != b.piece; i = (i + 1) % n {
		add(i, 0, 1)
	}
	add(b.piece, 0, b.t)
	return out
}

func (c *cutter) append(out *outline.Path, i int, t0, t1 float64) {
	p := c.path.Pieces[i]
	if t0 > 0 || t1 < 1 {
		p = p.Sub(t0, t1)
	}
	src, flag := int32(-1), outline.Flag(0)
	if i < len(c.path.Src) {
		src = c.path.Src[i]
	}
	if i < len(c.path.Flags) {
		flag = c.path.Flags[i]
	}
	out.Pieces = append(out.Pieces, p)
	out.Src = append(out.Src, src)
	out.Flags = append(out.Flags, flag)
}

// pointAt returns the point at arc length s.
func (c *cutter) pointAt(s float64) geom.Point {
	a := c.find(offset(s, c.length))
	return c.path.Pieces[a.piece].At(a.t)
}

// flagged returns the path with all pieces marked as left uncut.
func flagged(p outline.Path) outline.Path {
	q := outline.Path{Pieces: p.Pieces, Src: p.Src, Flags: make([]outline.Flag, len(p.Pieces))}
	copy(q.Flags, p.Flags)
	for i := range q.Flags {
		q.Flags[i] |= outline.IsTab
	}
	return q
}
