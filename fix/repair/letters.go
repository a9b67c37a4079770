package repair

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/index"
	"sluice/geom/region"
)

// Letters returns the closed outlines, mm, by which a text is cut through as a stencil:
// its strokes made so many mm wide, and parted by webs of the width given where they
// would enclose something that falls out. ok is false where the letters are too small
// for that.
func Letters(t *drawing.Text, width, web float64) (outlines []geom.Path, ok bool) {
	pieces := noded(strokesOf(t))
	pieces, ok = opened(pieces, width+web)
	if !ok || len(pieces) == 0 {
		return nil, false
	}
	// The strokes that hang together are one outline.
	for _, runs := range letterRuns(pieces, width) {
		shape, ok := united(runs, width)
		if !ok {
			return nil, false
		}
		outlines = append(outlines, shape)
	}
	return outlines, apart(outlines)
}

// united returns the one outline of the bands along runs; ok is false where there is no
// such.
func united(runs []geom.Path, width float64) (geom.Path, bool) {
	var shapes []geom.Path // that do not meet
	for _, run := range runs {
		band, ok := region.Band(run, width)
		if !ok {
			return nil, false
		}
		rest := shapes[:0]
		for _, s := range shapes {
			if pathsDist(s, band) > 1e-6 {
				rest = append(rest, s)
				continue
			}
			loops, err := region.Combine(s, band, region.Unite)
			if err != nil || len(loops) != 1 {
				return nil, false
			}
			band = loops[0].Path()
		}
		shapes = append(rest, band)
	}
	return shapes[0], len(shapes) == 1
}

// strokesOf returns the single strokes of a text at its place.
func strokesOf(t *drawing.Text) (pieces geom.Path) {
	paths, place := textStrokes(t)
	for _, p := range paths {
		pieces = append(pieces, p.Transform(place)...)
	}
	return slices.DeleteFunc(pieces, func(p geom.Piece) bool { return p.Length() < 1e-6 })
}

// noded splits pieces where another ends on them or crosses them.
func noded(pieces geom.Path) (out geom.Path) {
	var cross []geom.Cross
	for i := range pieces {
		p := &pieces[i]
		cuts := []float64{0, 1}
		if p.IsCircle() {
			cuts = append(cuts, 0.5)
		}
		near := p.Box().Inflate(1e-6)
		for k := range pieces {
			q := &pieces[k]
			if k == i || !near.Overlaps(q.Box()) {
				continue
			}
			cross = geom.Crossings(cross[:0], p, q, 1e-6)
			for _, c := range cross {
				cuts = append(cuts, c.T)
			}
			for _, e := range [2]geom.Point{q.A, q.B} {
				if at, share := p.Nearest(e); at.Dist(e) <= 1e-6 {
					cuts = append(cuts, share)
				}
			}
		}
		sort.Float64s(cuts)
		from := 0.0
		for _, c := range cuts {
			if (c-from)*p.Length() > 1e-5 {
				out = append(out, p.Sub(from, c))
				from = c
			}
		}
	}
	return out
}

// placesOf numbers the ends of pieces by place.
func placesOf(pieces geom.Path) (ends [][2]int32, n int) {
	at := index.NewPoints[int32](1e-4, 2*len(pieces))
	for i := range pieces {
		ends = append(ends, [2]int32{at.Place(pieces[i].A), at.Place(pieces[i].B)})
	}
	return ends, len(at.At)
}

// opened takes a stretch of gap mm out of the longest piece of each ring of pieces, so
// that none encloses anything; ok is false where such a piece is too short.
func opened(pieces geom.Path, gap float64) (out geom.Path, ok bool) {
	ends, n := placesOf(pieces)
	order := make([]int, len(pieces))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Compare(math.Round(1e6*pieces[a].Length()), math.Round(1e6*pieces[b].Length()))
	})
	sets := index.NewSets[int32](n)
	for _, i := range order {
		if sets.Union(ends[i][0], ends[i][1]) {
			out = append(out, pieces[i])
			continue
		}
		p := pieces[i]
		rest := (1 - gap/p.Length()) / 2
		if rest*p.Length() < gap/4 {
			return nil, false
		}
		out = append(out, p.Sub(0, rest), p.Sub(1-rest, 1))
	}
	return out, true
}

// mostBend is how far, as a turn, a run goes on round a corner.
const mostBend = 0.7 * math.Pi

// letterRuns parts pieces into runs, those that hang together in one list, the longest
// first. Where more than two pieces meet, the two that go on straightest are one run;
// the others begin a little away from there, so that their round ends lie within it.
func letterRuns(pieces geom.Path, width float64) [][]geom.Path {
	ends, n := placesOf(pieces)
	meet := make([][]int, n) // by place: the ends there, 2 i or 2 i + 1 of piece i
	sets := index.NewSets[int32](n)
	for i := range pieces {
		sets.Union(ends[i][0], ends[i][1])
		for b := range 2 {
			meet[ends[i][b]] = append(meet[ends[i][b]], 2*i+b)
		}
	}
	// away is the direction in which a piece leaves an end.
	away := func(e int) geom.Point {
		if e%2 == 0 {
			return pieces[e/2].TangentAt(0)
		}
		return pieces[e/2].TangentAt(1).Mul(-1)
	}
	next := make([]int, 2*len(pieces)) // the end with which a run goes on
	for i := range next {
		next[i] = -1
	}
	short := make([]bool, 2*len(pieces))
	for _, here := range meet {
		type pair struct {
			a, b int
			bend float64
		}
		var pairs []pair
		for i, a := range here {
			for _, b := range here[i+1:] {
				if a/2 != b/2 {
					pairs = append(pairs, pair{a, b, math.Abs(geom.TurnTo(away(a).Mul(-1), away(b)))})
				}
			}
		}
		slices.SortStableFunc(pairs, func(x, y pair) int { return cmp.Compare(math.Round(1e6*x.bend), math.Round(1e6*y.bend)) })
		for _, p := range pairs {
			if next[p.a] < 0 && next[p.b] < 0 && p.bend <= mostBend {
				next[p.a], next[p.b] = p.b, p.a
			}
		}
		joined := slices.ContainsFunc(here, func(e int) bool { return next[e] >= 0 })
		for i, e := range here {
			short[e] = next[e] < 0 && (joined || i > 0)
		}
	}
	used := make([]bool, len(pieces))
	groups := map[int32]int{}
	var out [][]geom.Path
	for e := range next {
		if used[e/2] || next[e] >= 0 {
			continue
		}
		var run geom.Path
		last := e
		for at := e; ; {
			used[at/2] = true
			p := pieces[at/2]
			if at%2 == 1 {
				p = p.Reverse()
			}
			run = append(run, p)
			if last = at ^ 1; next[last] < 0 {
				break
			}
			at = next[last]
		}
		run = shortened(run, short[e], short[last], 0.3*width)
		set := sets.Find(ends[e/2][0])
		if _, ok := groups[set]; !ok {
			groups[set] = len(out)
			out = append(out, nil)
		}
		out[groups[set]] = append(out[groups[set]], run)
	}
	for _, runs := range out {
		slices.SortStableFunc(runs, func(a, b geom.Path) int { return cmp.Compare(math.Round(-1e6*a.Length()), math.Round(-1e6*b.Length())) })
	}
	return out
}

// shortened takes by mm off the ends of a run that are to be, where its first and last
// pieces are long enough for that.
func shortened(run geom.Path, first, last bool, by float64) geom.Path {
	if p := &run[0]; first && p.Length() > 2.5*by {
		*p = p.Sub(by/p.Length(), 1)
	}
	if p := &run[len(run)-1]; last && p.Length() > 2.5*by {
		*p = p.Sub(0, 1-by/p.Length())
	}
	return run
}

// apart reports whether no two outlines cross or lie in each other.
func apart(outlines []geom.Path) bool {
	for i := range outlines {
		box := outlines[i].Box()
		for k := i + 1; k < len(outlines); k++ {
			if !box.Overlaps(outlines[k].Box()) {
				continue
			}
			if pathsDist(outlines[i], outlines[k]) <= 1e-6 || outlines[i].Contains(outlines[k][0].A) || outlines[k].Contains(outlines[i][0].A) {
				return false
			}
		}
	}
	return true
}

// pathsDist is the least distance of two paths, mm.
func pathsDist(a, b geom.Path) float64 {
	d := math.Inf(1)
	for i := range a {
		for k := range b {
			if a[i].Box().Inflate(d).Overlaps(b[k].Box()) {
				d = min(d, geom.PieceDist(&a[i], &b[k]))
			}
		}
	}
	return d
}
