package guard

import (
	"cmp"
	"context"
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/index"
)

// Depth is how far, mm, the stream may take from a part before it counts: what
// rounding and the tolerance of a controller come to.
const Depth = 0.01

// Plan is what is known of the paths about to be written.
type Plan struct {
	Sheet []Stroke // the corrected drawing
	Kerf  float64  // width of the stream
	Join  float64  // ends of the drawing nearer than this are one place
	// Told are the places at which it is told that cuts come too near to each
	// other. Shared says that edges common to two parts are told: then which side
	// of an outline is material cannot be counted, and only distances are checked.
	Told   []geom.Box
	Shared bool
	// Open are the paths that bound no part: those told as open, for which nothing
	// is run, and edges common to two holes.
	Open []geom.Path
}

// Paths checks that the stream, run along the paths in data, takes no more than
// Depth from any part and leaves every tab. It returns where it does so as told,
// the deepest first, and a *Fault where it does so untold, or where a path cannot
// be shown to run on the waste side.
func (pl *Plan) Paths(ctx context.Context, data []byte) (entered []Fault, err error) {
	d, err := readDrawing(ctx, data)
	if err != nil {
		return nil, err
	}
	c := newClearance(pl)
	var faults []Fault
	for i := 0; i < len(d.Strokes) && ctx.Err() == nil; {
		n := i + 1
		for n < len(d.Strokes) && d.Strokes[n].Entity == d.Strokes[i].Entity {
			n++
		}
		if layer := d.LayerName(d.Strokes[i].Layer); writtenRole(layer) == Cut {
			var run geom.Path
			for _, s := range d.Strokes[i:n] {
				run = append(run, s.Piece)
			}
			found := c.run(run)
			for k := range found {
				f := &found[k]
				f.Layer = layer
				if pl.told(f.At) {
					entered = append(entered, *f)
				} else {
					faults = append(faults, *f)
				}
			}
		}
		i = n
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	slices.SortStableFunc(entered, func(a, b Fault) int { return cmp.Compare(b.Much, a.Much) })
	return entered, gravest(faults)
}

// bounding returns the cuts and tabs of the drawing but for the open paths.
func (pl *Plan) bounding() []geom.Piece {
	var open geom.Path
	for _, p := range pl.Open {
		open = append(open, p...)
	}
	in := newSet(len(open), func(i int) geom.Piece { return open[i] }).search()
	var out []geom.Piece
	for i := range pl.Sheet {
		s := &pl.Sheet[i]
		if (s.Role == Cut || s.Role == Tab) && s.Length() > 0 && (len(open) == 0 || !in.covered(s.Piece, tight, every)) {
			out = append(out, s.Piece)
		}
	}
	return out
}

func (pl *Plan) told(at geom.Point) bool {
	return slices.ContainsFunc(pl.Told, func(b geom.Box) bool { return b.Inflate(pl.Kerf).Contains(at) })
}

// clearance measures how near paths come to what bounds the parts.
type clearance struct {
	plan  *Plan
	half  float64
	edges *search
	sides sides
	tabs  *search    // of tabs by the middle of each
	mids  []tabPlace // the same
	reach float64    // the largest clear of these
}

// tabPlace is the middle of a tab and how near to it the middle of the stream may
// come.
type tabPlace struct {
	at    geom.Point
	clear float64
}

func newClearance(pl *Plan) *clearance {
	edges := closed(pl.bounding(), pl.Join)
	c := &clearance{plan: pl, half: pl.Kerf / 2, sides: newSides(edges)}
	c.edges = newSet(len(edges), func(i int) geom.Piece { return edges[i] }).search()
	c.mids = tabPlaces(pl.Sheet, pl.Kerf, pl.Join)
	for _, m := range c.mids {
		c.reach = max(c.reach, m.clear)
	}
	c.tabs = newWideSet(len(c.mids), func(i int) geom.Piece { return geom.Line(c.mids[i].at, c.mids[i].at) }, c.reach).search()
	return c
}

// run returns where a run of the stream takes from a part or a tab.
func (c *clearance) run(run geom.Path) (found []Fault) {
	near := c.half - Depth
	tell := func(what What, at geom.Point, much float64, note string) {
		found = append(found, Fault{What: what, At: at, Much: much, Note: note})
	}
	clear := -1 // a piece that comes near nothing
	for i := range run {
		p := plain(run[i])
		worst, at := 0.0, geom.Point{}
		c.edges.near(&p, near, func(id int32) bool {
			e := &c.edges.pieces[id]
			for _, t := range appendWithin(nil, &p, e, near) {
				if q, d := nearest(&p, e, t); c.half-d > worst {
					worst, at = c.half-d, q
				}
			}
			return true
		})
		if worst > 0 {
			tell(Entered, at, worst, "")
		} else if clear < 0 || p.Length() > run[clear].Length() {
			clear = i
		}
		c.tabs.near(&p, c.reach, func(id int32) bool {
			if m := &c.mids[id]; p.Dist(m.at) < m.clear {
				tell(TabWrong, m.at, m.clear-p.Dist(m.at), "the stream would take from it")
			}
			return true
		})
	}
	if clear >= 0 && !c.plan.Shared {
		switch at := run[clear].Mid(); c.sides.of(at) {
		case inMaterial:
			tell(Entered, at, c.plan.Kerf, "since it runs on its side of the outline")
		case unsure:
			tell(Unproven, at, 0, "")
		}
	}
	return found
}

// samples is at how many places of a stretch its distance is measured; depths are
// for telling only, that there is one is exact.
const samples = 16

// nearest returns the place of the stretch t of p that is nearest to e, and its
// distance.
func nearest(p, e *geom.Piece, t span) (at geom.Point, d float64) {
	d = math.Inf(1)
	for k := range samples + 1 {
		q := p.At(t.t0 + (t.t1-t.t0)*float64(k)/samples)
		if l := e.Dist(q); l < d {
			at, d = q, l
		}
	}
	return at, d
}

// endsOf tells at which of the places where strokes end each stroke does, those
// nearer than join made one, and which strokes meet at each.
func endsOf(strokes []geom.Piece, join float64) (at [][2]int32, meet [][]int32) {
	places := index.NewPoints[int32](join, 2*len(strokes))
	at = make([][2]int32, len(strokes))
	for i := range strokes {
		at[i] = [2]int32{places.Place(strokes[i].A), places.Place(strokes[i].B)}
	}
	meet = make([][]int32, len(places.At))
	for i := range at {
		for k, n := range at[i] {
			n = places.Find(n)
			at[i][k], meet[n] = n, append(meet[n], int32(i))
		}
	}
	return at, meet
}

// closed returns pieces less what hangs free by an end: what is left bounds parts.
func closed(pieces []geom.Piece, join float64) []geom.Piece {
	at, meet := endsOf(pieces, join)
	gone := make([]bool, len(pieces))
	left := make([]int, len(meet))
	var free []int32
	for n := range meet {
		if left[n] = len(meet[n]); left[n] == 1 {
			free = append(free, int32(n))
		}
	}
	for len(free) > 0 {
		n := free[len(free)-1]
		free = free[:len(free)-1]
		for _, i := range meet[n] {
			if gone[i] {
				continue
			}
			gone[i] = true
			for _, m := range at[i] {
				if left[m]--; left[m] == 1 {
					free = append(free, m)
				}
			}
		}
	}
	var out []geom.Piece
	for i, p := range pieces {
		if !gone[i] {
			out = append(out, p)
		}
	}
	return out
}

// tabPlaces returns the middles of the tabs of a drawing. The stream stops at both
// ends of a gap, half a kerf off the outline; half way from there to running past
// the middle is too near.
func tabPlaces(sheet []Stroke, kerf, join float64) []tabPlace {
	var tabs []geom.Piece
	for i := range sheet {
		if s := &sheet[i]; s.Role == Tab && s.Length() > 0 {
			tabs = append(tabs, s.Piece)
		}
	}
	ends, meet := endsOf(tabs, join)
	seen := make([]bool, len(tabs))
	var out []tabPlace
	for i := range tabs {
		if seen[i] || len(meet[ends[i][0]]) > 1 && len(meet[ends[i][1]]) > 1 {
			continue // begun at a free end
		}
		var path geom.Path
		for k := int32(i); k >= 0; {
			seen[k] = true
			p, far := tabs[k], ends[k][1]
			if len(path) > 0 && path[len(path)-1].B.Dist(p.A) > join || len(path) == 0 && len(meet[ends[k][0]]) > 1 {
				p, far = p.Reverse(), ends[k][0]
			}
			path = append(path, p)
			k = -1
			for _, j := range meet[far] {
				if !seen[j] {
					k = j
				}
			}
		}
		gap := path.Length()
		at, _ := path.Along(gap / 2)
		half := kerf / 2
		out = append(out, tabPlace{at, (half + math.Hypot(gap/2, half)) / 2})
	}
	return out
}

// side says where a place lies.
type side uint8

const (
	inWaste side = iota
	inMaterial
	unsure
)

// sides tells material from waste by counting the outlines to the right of a
// place, row by row.
type sides struct {
	box  geom.Box
	row  float64
	rows []geom.Path
}

func newSides(edges []geom.Piece) sides {
	s := sides{box: geom.NoBox()}
	tall := 0.0
	for i := range edges {
		b := edges[i].Box()
		s.box = s.box.Union(b)
		tall += b.H()
	}
	if len(edges) == 0 {
		return s
	}
	// Rows as high as the mean piece, but no more of them than pieces.
	s.row = max(tall/float64(len(edges)), s.box.H()/float64(len(edges)), least)
	s.rows = make([]geom.Path, int(s.box.H()/s.row)+1)
	for i := range edges {
		b := edges[i].Box()
		for k := s.at(b.Min.Y); k <= s.at(b.Max.Y); k++ {
			s.rows[k] = append(s.rows[k], edges[i])
		}
	}
	return s
}

func (s *sides) at(y float64) int {
	return max(0, min(len(s.rows)-1, int((y-s.box.Min.Y)/s.row)))
}

// of says where q lies. Where an odd number of outlines is crossed all the way
// across, outlines have edges in common, and the count says nothing.
func (s *sides) of(q geom.Point) side {
	if !s.box.Contains(q) {
		return inWaste
	}
	row := s.rows[s.at(q.Y)]
	if row.Contains(geom.Pt(s.box.Min.X-1, q.Y)) {
		return unsure
	}
	if row.Contains(q) {
		return inMaterial
	}
	return inWaste
}
