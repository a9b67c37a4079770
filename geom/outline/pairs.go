package outline

import (
	"cmp"
	"context"
	"math"
	"slices"
	"sync"

	"sluice/geom"
	"sluice/geom/index"
)

// meeting is what two neighbouring pieces have to do with each other.
type (
	crossHit struct {
		i, j pieceID
		p    geom.Point
	}
	contact struct { // an end that lies on the inside of another piece
		end  pieceEnd
		on   pieceID
		t    float64
		node nodeID // of the end, once noded
	}
	repeatHit struct {
		i, j pieceID // i < j
		geom.Stretch
	}
)

// meetings is all that pairs of pieces have to do with each other.
type meetings struct {
	crosses  []crossHit
	contacts []contact
	repeats  []repeatHit
}

// pairs compares neighbouring pieces. They are numbered by their place in live.
type pairs struct {
	live       []pieceID
	piece      func(int) *geom.Piece
	ends       []nodeID // node of each end, 2 a piece
	boxes      []geom.Box
	join, same float64
	grid       *index.Grid
}

// meet finds crossings, contacts and partial repeats among the live pieces.
func (p *placed) meet(ctx context.Context) (meetings, error) {
	n := len(p.live)
	w := pairs{
		live: p.live, piece: func(i int) *geom.Piece { return p.piece(p.live[i]) }, join: p.o.Join, same: p.o.Same,
		ends: make([]nodeID, 2*n), boxes: make([]geom.Box, n),
	}
	for i, x := range p.live {
		w.ends[2*i], w.ends[2*i+1] = p.endNode[x.start()], p.endNode[x.end()]
		w.boxes[i] = w.piece(i).Box().Inflate(p.o.Same / 2)
	}
	w.grid = index.NewGrid(n, w.piece, p.o.Same, 0)
	return w.run(ctx, p.o.Workers)
}

// run compares all neighbours, on several cores, and returns what it found in
// an order that does not depend on their number.
func (w *pairs) run(ctx context.Context, workers int) (meetings, error) {
	g := w.grid
	rows := make(chan int, g.Rows)
	for r := range g.Rows {
		rows <- r
	}
	close(rows)
	outs := make([]meetings, max(1, workers))
	var wg sync.WaitGroup
	for k := range outs {
		wg.Go(func() {
			c := comparer{pairs: w, out: &outs[k]}
			for r := range rows {
				if ctx.Err() != nil {
					return
				}
				for col := range g.Cols {
					if items := g.At(r, col); len(items) > 1 {
						c.visit(items, g.Cell(r, col), 0)
					}
				}
			}
		})
	}
	wg.Wait()
	if err := ctx.Err(); err != nil {
		return meetings{}, err
	}
	var m meetings
	for _, o := range outs {
		m.crosses = append(m.crosses, o.crosses...)
		m.contacts = append(m.contacts, o.contacts...)
		m.repeats = append(m.repeats, o.repeats...)
	}
	slices.SortFunc(m.crosses, func(a, b crossHit) int {
		return cmp.Or(cmp.Compare(a.i, b.i), cmp.Compare(a.j, b.j), cmp.Compare(a.p.X, b.p.X), cmp.Compare(a.p.Y, b.p.Y))
	})
	slices.SortFunc(m.contacts, func(a, b contact) int {
		return cmp.Or(cmp.Compare(a.end, b.end), cmp.Compare(a.on, b.on), cmp.Compare(a.t, b.t))
	})
	slices.SortFunc(m.repeats, func(a, b repeatHit) int {
		return cmp.Or(cmp.Compare(a.i, b.i), cmp.Compare(a.j, b.j), cmp.Compare(a.T0, b.T0))
	})
	return m, nil
}

type comparer struct {
	*pairs
	out     *meetings
	own     geom.Box // keeps what it finds only if it lies here
	chords  []chord
	stops   []stop
	open    []opened
	found   [][2]int32
	crosses []geom.Cross
	repeats []geom.Stretch
}

// allPairs compares all pairs of items.
func (c *comparer) allPairs(items []int32) {
	for x, i := range items {
		bi := &c.boxes[i]
		for _, j := range items[x+1:] {
			bj := &c.boxes[j]
			if bi.Min.X > bj.Max.X || bj.Min.X > bi.Max.X || bi.Min.Y > bj.Max.Y || bj.Min.Y > bi.Max.Y {
				continue
			}
			c.pair(i, j)
		}
	}
}

// pair compares two pieces, i < j. Each thing found is kept only in the box that
// owns its place, so that pieces which share several boxes are told once.
func (c *comparer) pair(i, j int32) {
	p, q := c.piece(int(i)), c.piece(int(j))
	if p.R == 0 && q.R == 0 && c.linesApart(i, j, p, q) {
		return
	}
	c.repeats = geom.Overlaps(c.repeats[:0], p, q, c.same, 5*c.same)
	for _, s := range c.repeats {
		if inBox(&c.own, p.At((s.T0+s.T1)/2)) {
			c.out.repeats = append(c.out.repeats, repeatHit{c.live[i], c.live[j], s})
		}
	}
	if len(c.repeats) > 0 {
		return // ends on each other are settled with the repeat
	}
	c.touch(2*i, p.A, j, q)
	c.touch(2*i+1, p.B, j, q)
	c.touch(2*j, q.A, i, p)
	c.touch(2*j+1, q.B, i, p)
	c.crosses = geom.Crossings(c.crosses[:0], p, q, c.join)
	for _, x := range c.crosses {
		if !c.nearEnd(x.P, p) && !c.nearEnd(x.P, q) && inBox(&c.own, x.P) {
			c.out.crosses = append(c.out.crosses, crossHit{c.live[i], c.live[j], x.P})
		}
	}
}

// linesApart rejects most pairs of lines: those that do not come within join of
// each other, and neighbours that share a node and do not fold back.
func (c *comparer) linesApart(i, j int32, p, q *geom.Piece) bool {
	d, e := p.B.Sub(p.A), q.B.Sub(q.A)
	// Ends of q on one side of p, and clear of it.
	ha, hb := d.Cross(q.A.Sub(p.A)), d.Cross(q.B.Sub(p.A))
	dd := d.Dot(d)
	if ha*hb > 0 && min(ha*ha, hb*hb) > c.same*c.same*dd {
		return true
	}
	ka, kb := e.Cross(p.A.Sub(q.A)), e.Cross(p.B.Sub(q.A))
	ee := e.Dot(e)
	if ka*kb > 0 && min(ka*ka, kb*kb) > c.same*c.same*ee {
		return true
	}
	// Neighbours: lines with a common node meet nowhere else unless they fold
	// back on each other.
	var x float64
	var dot float64
	switch {
	case c.ends[2*i+1] == c.ends[2*j]:
		x, dot = d.Cross(e), -d.Dot(e)
	case c.ends[2*i] == c.ends[2*j+1]:
		x, dot = d.Cross(e), -d.Dot(e)
	case c.ends[2*i] == c.ends[2*j], c.ends[2*i+1] == c.ends[2*j+1]:
		x, dot = d.Cross(e), d.Dot(e)
	default:
		return false
	}
	return dot <= 0 || x*x > c.same*c.same*max(dd, ee)
}

func (c *comparer) nearEnd(x geom.Point, p *geom.Piece) bool {
	t := c.join * c.join
	return x.Dist2(p.A) <= t || (x.Dist2(p.B) <= t)
}

// touch notes end e (at x) where it lies on the inside of piece q.
func (c *comparer) touch(e int32, x geom.Point, on int32, q *geom.Piece) {
	n := c.ends[e]
	if n == c.ends[2*on] || n == c.ends[2*on+1] {
		return
	}
	var near geom.Point
	var t float64
	if q.R == 0 {
		d := q.B.Sub(q.A)
		l := d.Dot(d)
		if l == 0 {
			return
		}
		w := x.Sub(q.A)
		h := w.Cross(d)
		if h*h > c.join*c.join*l {
			return
		}
		t = w.Dot(d) / l
		if t <= 0 || t >= 1 {
			return
		}
	} else {
		if math.Abs(x.Dist(q.C)-q.R) > c.join {
			return
		}
		near, t = q.Nearest(x)
		if near.Dist2(x) > c.join*c.join || t <= 0 || t >= 1 {
			return
		}
	}
	if !q.IsCircle() && c.nearEnd(x, q) {
		return
	}
	if inBox(&c.own, x) {
		c.out.contacts = append(c.out.contacts, contact{pieceEnd(2*c.live[e/2]) + pieceEnd(e%2), c.live[on], t, -1})
	}
}
