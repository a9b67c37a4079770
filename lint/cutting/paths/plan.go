package paths

import (
	"fmt"
	"math"

	"sluice/geom"
	"sluice/geom/outline"
)

// Params say how to make paths. Lengths are mm.
type Params struct {
	Kerf    float64  // width the stream removes, above 0
	Lead    float64  // length of lead-ins where there is room; 0: twice the kerf
	Margin  float64  // strip of scrap to leave between a lead and every other cut
	Overlap float64  // how far a closed cut runs on past its start; at most half of it
	Small   float64  // parts no larger than this both ways are cut before the others; 0: no such distinction
	Sheet   geom.Box // leads stay on it; the zero Box: no bounds

	// Clamps are places, in the sheet's coordinates, where neither the stream nor the
	// middle of the head may go: the clamp and whatever room the head needs beside it.
	// Leads and pierces never lie in one, and moves go around them; what an outline
	// forces into one is told (Plan.InClamp, Plan.OverClamp).
	Clamps []geom.Box
}

func (p *Params) lead() float64 {
	if p.Lead > 0 {
		return p.Lead
	}
	return 2 * p.Kerf
}

// Kind says what a path is.
type Kind uint8

// Kinds, in the order in which they are run within a part.
const (
	Etch    Kind = iota // a mark, on its line
	Inside              // the edge of a hole or slot
	Outside             // the perimeter of a part
)

// String returns "etch", "inside" or "outside".
func (k Kind) String() string { return [...]string{"etch", "inside", "outside"}[k] }

// Cut is one run of the stream from where it is opened to where it is shut.
type Cut struct {
	Kind    Kind
	Part    int32     // -1: none
	Outline int32     // index in Sheet.Outlines, -1 for a mark
	In      geom.Path // from the pierce to the run; empty: the run begins with the pierce
	Run     geom.Path // along the outline, half a kerf away; a mark on its line
	Over    geom.Path // the beginning of a closed run once more, so that no nib stays
	Out     geom.Path // lead-out
	Closed  bool      // Run closes; false for marks and between tabs
	NoRoom  bool      // no clear place for pierce and lead-in was found: the pierce lies on the run
	Chamber bool      // a loop of a part's outside behind a mouth too narrow for the stream
}

// Start returns the place of the pierce, or where a mark begins.
func (c *Cut) Start() geom.Point {
	if len(c.In) > 0 {
		return c.In[0].A
	}
	return c.Run[0].A
}

// End returns the place at which the stream is shut.
func (c *Cut) End() geom.Point {
	if len(c.Out) > 0 {
		return c.Out[len(c.Out)-1].B
	}
	if len(c.Over) > 0 {
		return c.Over[len(c.Over)-1].B
	}
	return c.Run[len(c.Run)-1].B
}

// Path returns the whole of it in the direction of travel, full circles as two
// arcs.
func (c *Cut) Path() geom.Path {
	p := make(geom.Path, 0, len(c.In)+len(c.Run)+len(c.Over)+len(c.Out)+1)
	for _, part := range [4]geom.Path{c.In, c.Run, c.Over, c.Out} {
		for i := range part {
			if part[i].IsCircle() {
				p = append(p, part[i].Sub(0, 0.5), part[i].Sub(0.5, 1))
				continue
			}
			p = append(p, part[i])
		}
	}
	return p
}

// Left is an outline or open path for which there is no path to run.
type Left struct {
	Outline int32 // index in Sheet.Outlines, -1 for an open path
	Part    int32 // -1: none
	At      geom.Point
	Why     string
}

// Plan is everything to run, in order.
type Plan struct {
	Cuts   []Cut
	Moves  []Move // to the start of each cut; Moves[0] is empty
	Left   []Left
	Travel float64 // length of all moves, mm
	Over   int     // moves that could not be led around a cut-out piece

	InPart    []Hit // cuts that take from a part beside them, in their order
	InClamp   []Hit // cuts that reach into a clamp zone, in their order
	OverClamp int   // moves that could not be led around a clamp zone, or begin or end in one

	Names []string // of the parts, for what is told; may be set by who knows them
}

// New makes the paths of a sheet and puts them in order.
func New(s *outline.Sheet, p Params) *Plan {
	f := NewFinder(s, p)
	pl := &Plan{}
	for i := range s.Etch {
		if len(s.Etch[i].Pieces) > 0 {
			pl.Cuts = append(pl.Cuts, Cut{Kind: Etch, Part: s.Etch[i].Part, Outline: -1, Run: s.Etch[i].Pieces})
		}
	}
	for i := range s.Outlines {
		if len(s.Outlines[i].Pieces) == 0 {
			continue
		}
		cuts, why := f.Cuts(i)
		if why != "" {
			o := &s.Outlines[i]
			pl.Left = append(pl.Left, Left{Outline: int32(i), Part: o.Part, At: o.Pieces[0].A, Why: why})
		}
		pl.Cuts = append(pl.Cuts, cuts...)
	}
	for i := range s.Open {
		if o := &s.Open[i]; len(o.Pieces) > 0 {
			pl.Left = append(pl.Left, Left{Outline: -1, Part: o.Part, At: o.Pieces[0].A, Why: "does not close, so that it has no waste side"})
		}
	}
	pl.order(s, p)
	f.nearCorners(pl.Cuts)
	pl.lead(s, p)
	pl.InPart = f.partHits(pl.Cuts)
	pl.InClamp = pl.clampHits(p)
	return pl
}

// Told says in a line what a plan holds and what is amiss with it.
func (pl *Plan) Told() string {
	none := 0
	for i := range pl.Cuts {
		if pl.Cuts[i].NoRoom {
			none++
		}
	}
	etch, cut := pl.Length()
	s := fmt.Sprintf("%s, %.2f m cut, %.2f m etched, %.2f m of travel", counted(len(pl.Cuts), "run", "runs"), cut/1000, etch/1000, pl.Travel/1000)
	if none > 0 {
		s += fmt.Sprintf("; %d begin on the outline, for want of room to lead in", none)
	}
	if n := len(pl.Left); n > 0 {
		s += fmt.Sprintf("; %s no path: the first, at %.2f, %.2f, %s", counted(n, "outline or line has", "outlines or lines have"), pl.Left[0].At.X, pl.Left[0].At.Y, pl.Left[0].Why)
	}
	if c := pl.partsTold(); c != "" {
		s += "; " + c
	}
	if pl.Over > 0 {
		s += fmt.Sprintf("; %s over a loose piece", counted(pl.Over, "move passes", "moves pass"))
	}
	if pl.OverClamp > 0 {
		s += fmt.Sprintf("; %s over a clamp zone", counted(pl.OverClamp, "move passes", "moves pass"))
	}
	if c := hitsTold(pl.InClamp); c != "" {
		s += "; " + c
	}
	return s
}

func counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// Length returns the length run with the stream open, in mm, by kind, leads
// counted with their run.
func (pl *Plan) Length() (etch, cut float64) {
	for i := range pl.Cuts {
		c := &pl.Cuts[i]
		if l := c.In.Length() + c.Run.Length() + c.Over.Length() + c.Out.Length(); c.Kind == Etch {
			etch += l
		} else {
			cut += l
		}
	}
	return etch, cut
}

// Cuts makes the paths of one outline: one for each loop of its offset, or for
// each stretch between tabs. why says what is wrong where there is none. Leads
// of later outlines keep clear of these.
func (f *Finder) Cuts(i int) (cuts []Cut, why string) {
	cuts, why = f.cutsOf(i)
	for k := range cuts {
		f.take(&cuts[k])
	}
	return cuts, why
}

func (f *Finder) cutsOf(i int) (cuts []Cut, why string) {
	o := &f.sheet.Outlines[i]
	kind := Outside
	if o.Hole() {
		kind = Inside
	}
	if !o.Closed {
		return nil, "does not close"
	}
	d := f.p.Kerf / 2
	loops, ok := Offset(o.Pieces, d)
	switch {
	case !ok:
		return nil, "no path at half a kerf from it could be traced"
	case len(loops) == 0:
		return nil, "nowhere wider than the kerf"
	}
	gaps := f.gaps(o, loops, d)
	main := widest(loops)
	for k, l := range loops {
		c := Cut{Kind: kind, Part: o.Part, Outline: int32(i), Chamber: kind == Outside && k != main}
		if len(gaps[k]) == 0 {
			c.Run, c.Closed = l, true
			f.leadLoop(&c)
			cuts = append(cuts, c)
			continue
		}
		keep := keepers(l, gaps[k], d)
		for g := range gaps[k] {
			from, to := gaps[k][g].to, gaps[k][(g+1)%len(gaps[k])].from
			if to <= from {
				to += l.Length()
			}
			c := c
			if c.Run = stretchOf(l, from, to); len(c.Run) == 0 {
				continue
			}
			f.leadRun(&c, keep)
			cuts = append(cuts, c)
		}
	}
	return cuts, ""
}

// widest returns the loop that encloses most.
func widest(loops []geom.Path) int {
	best, most := 0, 0.0
	for k, l := range loops {
		if a := math.Abs(l.Area()); a > most {
			best, most = k, a
		}
	}
	return best
}

// gap is an uncut stretch of a loop, as lengths along it; to may pass its length.
type gap struct{ from, to float64 }

// gaps carries the tabs of an outline over to the loops of its offset, in order
// along each.
func (f *Finder) gaps(o *outline.Outline, loops []geom.Path, d float64) [][]gap {
	out := make([][]gap, len(loops))
	n := len(o.Pieces)
	tab := func(i int) bool { return i < len(o.Flags) && o.Flags[i]&outline.IsTab != 0 }
	for i := range n {
		if !tab(i) || tab((i+n-1)%n) && n > 1 {
			continue
		}
		j := i
		for k := 1; k < n && tab((i+k)%n); k++ {
			j = i + k
		}
		p, q := &o.Pieces[i], &o.Pieces[j%n]
		a := p.A.Add(rightOf(p.TangentAt(0)).Mul(d))
		b := q.B.Add(rightOf(q.TangentAt(1)).Mul(d))
		best, at := math.Inf(1), 0
		for k := range loops {
			if _, dist := whereOn(loops[k], a.Mid(b)); dist < best {
				best, at = dist, k
			}
		}
		from, _ := whereOn(loops[at], a)
		to, _ := whereOn(loops[at], b)
		if to < from {
			to += loops[at].Length()
		}
		out[at] = append(out[at], gap{from, to})
	}
	for k := range out {
		sortGaps(out[k], loops[k].Length())
	}
	return out
}

// keepers returns the stretches of a loop over its tabs, less what the round
// stream eats at both ends, half a kerf as the crow flies: material that must
// stay.
func keepers(l geom.Path, gaps []gap, d float64) geom.Path {
	length := l.Length()
	at := func(s float64) geom.Point {
		s = math.Mod(s+length, length)
		for i := range l {
			if n := l[i].Length(); s <= n && n > 0 {
				return l[i].At(s / n)
			} else {
				s -= n
			}
		}
		return l[len(l)-1].B
	}
	var out geom.Path
	for _, g := range gaps {
		from, to := g.from+d, g.to-d
		for range 20 { // the way along a bend is longer
			short := d - at(from).Dist(at(g.from))
			if short < weld/2 {
				break
			}
			from += short
		}
		for range 20 {
			short := d - at(to).Dist(at(g.to))
			if short < weld/2 {
				break
			}
			to -= short
		}
		if to <= from {
			m := (from + to) / 2
			from, to = m-weld, m+weld
		}
		if from < 0 {
			from, to = from+length, to+length
		}
		out = append(out, stretchOf(l, from, to)...)
	}
	return out
}
