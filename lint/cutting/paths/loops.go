package paths

import (
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/index"
	"sluice/geom/near"
)

// splitter cuts raw offset pieces where they meet and keeps the stretches that
// are nowhere nearer to the path than d.
type splitter struct {
	d      float64
	raw    geom.Path
	source *near.Index // the path itself
	nodes  *index.Points[int32]
	parts  []stretch
}

// stretch is a kept part of a raw piece between two nodes.
type stretch struct {
	piece    geom.Piece
	from, to int32
	raw      int32
	used     bool
}

func (s *splitter) split() {
	cuts := s.meetings()
	s.nodes = index.NewPoints[int32](2*weld, 2*len(s.raw))
	for i := range s.raw {
		p := &s.raw[i]
		ts := cuts[i]
		ts = append(ts, 0, 1)
		slices.Sort(ts)
		l := p.Length()
		t0, at := 0.0, s.nodes.PlaceNearest(p.A)
		for _, t := range ts[1:] {
			if (t-t0)*l <= weld && t < 1 {
				continue
			}
			if t1 := t; t1 > t0 {
				to := s.nodes.PlaceNearest(p.At(t1))
				if to != at || (t1-t0)*l > 10*weld {
					if q := p.Sub(t0, t1); s.valid(q.Mid()) {
						q = q.WithEnds(s.nodes.At[at], s.nodes.At[to])
						s.parts = append(s.parts, stretch{piece: q, from: at, to: to, raw: int32(i)})
					}
				}
				t0, at = t1, to
			}
		}
	}
}

// valid reports whether q is at least d away from the path.
func (s *splitter) valid(q geom.Point) bool {
	ok := true
	s.source.In(geom.BoxOf(q).Inflate(s.d), func(i int32) bool {
		ok = s.source.Items[i].Dist(q) >= s.d-slack
		return ok
	})
	return ok
}

// meetings returns for each raw piece the shares at which another crosses it or
// ends on it.
func (s *splitter) meetings() [][]float64 {
	cuts := make([][]float64, len(s.raw))
	x := near.New(items(s.raw))
	var found []geom.Cross
	for i := range s.raw {
		p := &s.raw[i]
		x.In(p.Box().Inflate(weld), func(k int32) bool {
			j := int(k)
			if j == i {
				return true
			}
			q := &s.raw[j]
			if j > i {
				found = geom.Crossings(found[:0], p, q, 0)
				for _, c := range found {
					cuts[i], cuts[j] = append(cuts[i], c.T), append(cuts[j], c.U)
				}
			}
			for _, e := range [2]geom.Point{q.A, q.B} { // touching ends
				if f, t := p.Nearest(e); t > 0 && t < 1 && f.Dist(e) < weld/2 {
					cuts[i] = append(cuts[i], t)
				}
			}
			return true
		})
	}
	return cuts
}

// chain joins the kept stretches into closed paths.
func (s *splitter) chain() []geom.Path {
	s.dropTwins()
	out := make([][]int32, len(s.nodes.At))
	for i := range s.parts {
		p := &s.parts[i]
		if !p.used {
			out[p.from] = append(out[p.from], int32(i))
		}
	}
	s.prune(out)
	var loops []geom.Path
	for i := range s.parts {
		if s.parts[i].used {
			continue
		}
		if loop := s.trace(int32(i), out); len(loop) > 0 {
			loops = append(loops, loop)
		}
	}
	return loops
}

// dropTwins marks as used the second of two stretches that are one.
func (s *splitter) dropTwins() {
	seen := map[[2]int32][]int32{}
	for i := range s.parts {
		p := &s.parts[i]
		k := [2]int32{p.from, p.to}
		for _, j := range seen[k] {
			if s.parts[j].piece.Mid().Dist(p.piece.Mid()) < 2*weld {
				p.used = true
			}
		}
		if !p.used {
			seen[k] = append(seen[k], int32(i))
		}
	}
}

// prune marks as used the stretches that lead nowhere: tails of rounding
// beyond a crossing.
func (s *splitter) prune(out [][]int32) {
	ins, outs := make([]int32, len(s.nodes.At)), make([]int32, len(s.nodes.At))
	in := make([][]int32, len(s.nodes.At))
	for i := range s.parts {
		if p := &s.parts[i]; !p.used {
			outs[p.from]++
			ins[p.to]++
			in[p.to] = append(in[p.to], int32(i))
		}
	}
	var todo []int32
	for v := range s.nodes.At {
		todo = append(todo, int32(v))
	}
	for len(todo) > 0 {
		v := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		if ins[v] > 0 && outs[v] > 0 {
			continue
		}
		for _, list := range [2][]int32{out[v], in[v]} {
			for _, i := range list {
				p := &s.parts[i]
				if p.used {
					continue
				}
				p.used = true
				outs[p.from]--
				ins[p.to]--
				todo = append(todo, p.from, p.to)
			}
		}
	}
}

// trace follows unused stretches from one until it closes, taking the
// rightmost way where there are several: what turns left leads into the
// material's side.
func (s *splitter) trace(first int32, out [][]int32) geom.Path {
	var way []int32
	at := first
	for {
		s.parts[at].used = true
		way = append(way, at)
		end := s.parts[at].to
		if end == s.parts[first].from {
			break
		}
		next, best := int32(-1), math.Inf(1)
		u := s.parts[at].piece.TangentAt(1)
		for _, k := range out[end] {
			if s.parts[k].used {
				continue
			}
			turn := geom.TurnTo(u, s.parts[k].piece.TangentAt(0))
			if turn < -math.Pi+1e-6 {
				turn += 2 * math.Pi // straight back is the last choice
			}
			if turn < best {
				next, best = k, turn
			}
		}
		if next < 0 {
			return nil
		}
		at = next
	}
	return s.joined(way)
}

// joined makes a path of stretches, those of one raw piece in one.
func (s *splitter) joined(way []int32) geom.Path {
	// Begin where a raw piece begins.
	n := len(way)
	for k := range n {
		if s.parts[way[k]].raw != s.parts[way[(k+n-1)%n]].raw {
			way = append(slices.Clone(way[k:]), way[:k]...)
			break
		}
	}
	var path geom.Path
	last := int32(-1)
	for _, k := range way {
		p := &s.parts[k]
		if p.raw == last {
			q := &path[len(path)-1]
			if q.R == 0 {
				*q = geom.Line(q.A, p.piece.B)
				continue
			}
			if q.C.Dist(p.piece.C) < weld && math.Abs(q.Sweep+p.piece.Sweep) < 2*math.Pi-1e-6 {
				q.B, q.Sweep = p.piece.B, q.Sweep+p.piece.Sweep
				continue
			}
		}
		path = append(path, p.piece)
		last = p.raw
	}
	return path
}
