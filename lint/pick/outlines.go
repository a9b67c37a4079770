package pick

import (
	"fmt"
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/index"
	"sluice/geom/outline"
)

// bound names an outline of one of the drawings.
type bound struct {
	new bool
	i   int32
}

// byOutline puts together what belongs to one outline, an outline with what became of it
// in the other drawing, and a part that came, went or moved with all its outlines.
func (g *grouping) byOutline() {
	first := map[bound]int32{} // the first item of each outline
	var order []bound
	for i := range g.items {
		o := g.outline(&g.items[i])
		if o < 0 {
			continue
		}
		k := bound{g.items[i].new, o}
		if had, ok := first[k]; ok {
			g.sets.Union(had, int32(i))
		} else {
			first[k] = int32(i)
			order = append(order, k)
		}
	}
	mates := g.mates(order)
	for _, k := range order {
		if m, ok := mates[k]; ok {
			g.sets.Union(first[k], first[m])
		}
	}
	// Parts of which no outline has a mate went or came whole.
	whole := map[bool][]int32{} // parts
	for _, k := range order {
		s := g.sideOf(k.new)
		o := &s.res.Sheet.Outlines[k.i]
		part := &s.res.Sheet.Parts[o.Part]
		if _, ok := mates[k]; ok || part.Outer != k.i || !g.all(k) {
			continue
		}
		for _, h := range part.Holes {
			if had, ok := first[bound{k.new, h}]; ok {
				g.sets.Union(first[k], had)
			}
		}
		whole[k.new] = append(whole[k.new], o.Part)
	}
	g.moved(whole, first)
}

func (g *grouping) sideOf(now bool) *side {
	if now {
		return g.b
	}
	return g.a
}

// all reports whether every stroke of an outline differs.
func (g *grouping) all(k bound) bool {
	s := g.sideOf(k.new)
	for _, src := range s.res.Sheet.Outlines[k.i].Src {
		if src < 0 {
			continue
		}
		if _, ok := slices.BinarySearch(s.other, src); !ok {
			return false
		}
	}
	return true
}

// mates finds for each outline that differs the one that it was or became: of the same
// kind, and at the same place by at least a quarter of their boxes together.
func (g *grouping) mates(order []bound) map[bound]bound {
	mates := map[bound]bound{}
	now := g.b.res.Sheet
	boxes := make([]geom.Box, len(now.Outlines))
	for i := range boxes {
		boxes[i] = now.Outlines[i].Box
	}
	tree := index.NewTree(boxes)
	changed := map[int32]bool{}
	for _, k := range order {
		if k.new {
			changed[k.i] = true
		}
	}
	for _, k := range order {
		if k.new {
			continue
		}
		o := &g.a.res.Sheet.Outlines[k.i]
		best, at := 0.25, int32(-1)
		tree.In(o.Box, func(i int32) bool {
			if c := share(o.Box, boxes[i]); changed[i] && c > best && now.Outlines[i].Hole() == o.Hole() {
				best, at = c, i
			}
			return true
		})
		if at < 0 {
			continue
		}
		m := bound{true, at}
		if _, taken := mates[m]; !taken {
			mates[k], mates[m] = m, k
		}
	}
	return mates
}

// share returns how much two boxes have in common of what they cover together.
func share(a, b geom.Box) float64 {
	w := min(a.Max.X, b.Max.X) - max(a.Min.X, b.Min.X)
	h := min(a.Max.Y, b.Max.Y) - max(a.Min.Y, b.Min.Y)
	if w <= 0 || h <= 0 {
		return 0
	}
	return w * h / (a.W()*a.H() + b.W()*b.H() - w*h)
}

// moved puts a part that went together with one of the same shape that came, the nearest
// first.
func (g *grouping) moved(whole map[bool][]int32, first map[bound]int32) {
	taken := map[int32]bool{}
	for _, k := range whole[false] {
		p := &g.a.res.Sheet.Parts[k]
		best, at := math.Inf(1), int32(-1)
		for _, i := range whole[true] {
			q := &g.b.res.Sheet.Parts[i]
			if d := p.Centroid.Dist(q.Centroid); !taken[i] && d < best && math.Abs(p.Area-q.Area) <= 1e-3*p.Area {
				best, at = d, i
			}
		}
		if at >= 0 {
			taken[at] = true
			g.sets.Union(first[bound{false, p.Outer}], first[bound{true, g.b.res.Sheet.Parts[at].Outer}])
		}
	}
}

// told is how a change is told.
type told struct{ kind, says, part string }

// words tells a change by what it is made of.
func (g *grouping) words(items []item) told {
	var gone, came, goneMarks, cameMarks, tabs, texts int
	var length [2]float64
	outers := [2]map[int32]bool{{}, {}}
	part := ""
	for i := range items {
		it := &items[i]
		s := g.of(it)
		n := 0
		if it.new {
			n = 1
		}
		if it.stroke < 0 {
			texts++
			continue
		}
		st := &s.res.Drawing.Strokes[it.stroke]
		switch {
		case !g.cut(it) && it.new:
			cameMarks++
		case !g.cut(it):
			goneMarks++
		case it.new:
			came++
		default:
			gone++
		}
		if s.role[it.stroke] == outline.Tab {
			tabs++
		} else if g.cut(it) {
			length[n] += st.Length()
		}
		if o := s.of[it.stroke]; o >= 0 {
			k := s.res.Sheet.Outlines[o].Part
			part = s.res.Name(int(k))
			if s.res.Sheet.Parts[k].Outer == o && g.all(bound{it.new, o}) {
				outers[n][k] = true
			}
		}
	}
	if part == "" {
		part = g.partAt(items)
	}
	of := ""
	if part != "" {
		of = " of part " + part
	}
	switch {
	case gone+came == 0 && goneMarks+cameMarks == 0:
		return told{"text changed", counted(texts, "text", "texts") + of + " changed", part}
	case gone+came == 0 && goneMarks == 0:
		return told{"marks added", counted(cameMarks, "stroke", "strokes") + " etched or noted" + of + " added", part}
	case gone+came == 0 && cameMarks == 0:
		return told{"marks left out", counted(goneMarks, "stroke", "strokes") + " etched or noted" + of + " left out", part}
	case gone+came == 0:
		return told{"marks changed", "marks" + of + " changed", part}
	case tabs > 0 && math.Abs(length[0]-length[1]) < 1e-3*length[0]+float64(tabs)*20 && gone > 0:
		return told{"tabs", "tabs set on an outline" + of, part}
	case len(outers[0]) > 0 && len(outers[1]) > 0 && gone > 0 && came > 0:
		return told{"outline changed", fmt.Sprintf("an outline%s changed: %.4g mm of cut were, %.4g mm are", of, length[0], length[1]), part}
	case gone == 0 && len(outers[1]) > 0:
		return told{"part added", "part " + part + " added", part}
	case came == 0 && len(outers[0]) > 0:
		return told{"part left out", "part " + part + " left out", part}
	case gone == 0:
		return told{"cut added", fmt.Sprintf("%.4g mm of cut%s added", length[1], of), part}
	case came == 0 && length[0] < 0.01:
		return told{"speck left out", "a speck" + of + " left out", part}
	case came == 0:
		return told{"cut left out", fmt.Sprintf("%.4g mm of cut%s left out", length[0], of), part}
	}
	return told{"outline changed", fmt.Sprintf("a cut%s changed: %.4g mm were, %.4g mm are", of, length[0], length[1]), part}
}

// partAt names the part on which items lie, "" for none.
func (g *grouping) partAt(items []item) string {
	for i := range items {
		res := g.of(&items[i]).res
		if k := res.Sheet.PartAt(g.place(&items[i])); k >= 0 {
			return res.Names[k]
		}
	}
	return ""
}

func counted(n int, one, many string) string {
	if n == 1 {
		many = one
	}
	return fmt.Sprintf("%d %s", n, many)
}
