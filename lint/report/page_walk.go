package report

import (
	_ "embed"
	"fmt"
	"html/template"
	"math"

	"sluice/geom"
	"sluice/geom/outline"
	"sluice/lint/figures"
)

//go:embed assets/walk.html
var walkBody string

//go:embed assets/walk.css
var walkCSS string

//go:embed assets/walk.js
var walkJS string

// walkSection shows the head's way through a plan, run by run. Without script it
// is a picture of the whole.
type walkSection struct {
	ID       string
	ViewBox  string
	Picture  template.HTML // numbers and escaped text only
	Data     walkData
	Runs     int
	Raised   []raisedMove
	More     int // raised moves that are not listed
	TooMany  bool
	NotTimed bool
	Speeds   []int // offered, in times as fast
}

// raisedMove is a move for which the head must be raised.
type raisedMove struct {
	Run  int // from 1
	Says string
}

// walkData is what the script needs besides the picture.
type walkData struct {
	On    []num    `json:"on"`  // by run, s
	Off   []num    `json:"off"` // before it, s
	What  []string `json:"what"`
	Timed bool     `json:"timed"`
	Head  num      `json:"head"` // radius of the head as drawn, mm
}

// mostRaised is how many raised moves are listed.
const mostRaised = 100

// walkOf makes the section of a repair's page, nil where no paths were asked for.
func walkOf(id string, p *figures.Page) *walkSection {
	if !p.Walked {
		return nil
	}
	s := &walkSection{ID: id, ViewBox: viewBox(p.Frame.W(), p.Frame.H()), Speeds: []int{1, 5, 20, 60, 200, 1000}}
	w := p.Walk
	if w == nil {
		s.TooMany = true
		return s
	}
	s.Runs, s.NotTimed = len(w.Plan.Cuts), !w.Timed
	s.Data.Timed, s.Data.Head = w.Timed, num(p.Frame.Diagonal()/110)
	for i := range w.Plan.Cuts {
		c := &w.Plan.Cuts[i]
		what := map[string]string{"etch": "mark", "inside": "inside", "outside": "outside"}[c.Kind.String()]
		if c.Part >= 0 && int(c.Part) < len(p.After.Sheet.Parts) {
			what += " of part " + clean(p.After.Name(int(c.Part)))
		}
		s.Data.What = append(s.Data.What, what)
		s.Data.On, s.Data.Off = append(s.Data.On, hundredths(w.On[i])), append(s.Data.Off, hundredths(w.Off[i]))
		if figures.Raised(w.Plan, i) {
			if len(s.Raised) == mostRaised {
				s.More++
				continue
			}
			s.Raised = append(s.Raised, raisedOf(w, i))
		}
	}
	s.Picture = drawWalk(p)
	return s
}

func hundredths(v float64) num { return num(math.Round(100*finite(v)) / 100) }

func raisedOf(w *figures.Walk, run int) raisedMove {
	m := figures.MoveTo(w.Plan, run)
	says := ""
	switch {
	case m.Over > 0 && m.Clamp > 0:
		says = "over " + plural(m.Over, "loose piece") + " and a clamp zone"
	case m.Over > 0:
		says = "over " + plural(m.Over, "loose piece")
	default:
		says = "over a clamp zone"
	}
	return raisedMove{run + 1, says}
}

// drawWalk draws the sheet, then one element for each piece that comes loose, each
// move and each run, in their order, which the script counts on.
func drawWalk(p *figures.Page) template.HTML {
	w, s := p.Walk, p.After
	pic := newPicture(p.Frame)
	if !s.Stock.Empty() {
		pic.stock(s.Stock, s.Job.Sheet.Margin)
	}
	pic.clamps(s.Clamps)
	pic.group("w-parts", func() {
		for i := range s.Sheet.Parts {
			pic.piece(s.Sheet, &s.Sheet.Parts[i])
			pic.flushFull()
		}
	})
	pic.group("w-loose", func() {
		for _, f := range w.Freed {
			pic.flush()
			pic.open = fmt.Sprintf(" data-by=\"%d\"", f.By)
			if k := s.Sheet.Outlines[f.Outline].Part; !f.Slug && k >= 0 {
				pic.piece(s.Sheet, &s.Sheet.Parts[k])
			} else {
				pic.path.closed(f.Shape)
			}
		}
		pic.flush()
		pic.open = ""
	})
	size := p.Frame.Diagonal() / 150
	pic.group("w-ways", func() {
		for i := range w.Plan.Cuts {
			pic.way(wayTo(w, i), figures.Raised(w.Plan, i), size)
		}
	})
	pic.group("w-runs", func() {
		for i := range w.Plan.Cuts {
			c := &w.Plan.Cuts[i]
			pic.open = " class=\"" + c.Kind.String() + "\""
			pic.alone(c.Path())
		}
	})
	return template.HTML(pic.String())
}

// piece adds the outlines of a part.
func (p *picture) piece(s *outline.Sheet, part *outline.Part) {
	for _, o := range append([]int32{part.Outer}, part.Holes...) {
		p.path.closed(s.Outlines[o].Pieces)
	}
}

// wayTo returns the way to a run; a way of no length where there is none.
func wayTo(w *figures.Walk, run int) (way geom.Path) {
	if m := figures.MoveTo(w.Plan, run); m != nil {
		for k := 1; k < len(m.Way); k++ {
			way = append(way, geom.Line(m.Way[k-1], m.Way[k]))
		}
	}
	if len(way) == 0 {
		at := w.Plan.Cuts[run].Start()
		way = geom.Path{geom.Line(at, at)}
	}
	return way
}

// way draws a move as an element of its own; one for which the head is raised with
// a triangle of that size, mm, at its middle.
func (p *picture) way(way geom.Path, raised bool, size float64) {
	p.open = ""
	if raised {
		p.open = " class=\"up\""
	}
	left := way.Length() / 2
	p.alone(way)
	for i := range way {
		l := way[i].Length()
		if raised && l >= left && l > 0 {
			q := p.path.local(way[i].At(left / l))
			num := func(v float64) string { return string(appendSVGNumber(nil, v)) }
			// A triangle that stands on its edge, y downwards.
			fmt.Fprintf(p, "<polygon points=\"%s,%s %s,%s %s,%s\"/>", num(q.X), num(q.Y-size), num(q.X+size), num(q.Y+size), num(q.X-size), num(q.Y+size))
			return
		}
		left -= l
	}
}

// alone draws a path as an element of its own, even one of no length.
func (p *picture) alone(path geom.Path) {
	p.flush()
	for i := range path {
		p.path.add(&path[i])
	}
	if len(p.path.buf) == 0 && len(path) > 0 {
		p.path.dot(path[0].A)
	}
	p.flush()
	p.open = ""
}
