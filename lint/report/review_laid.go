package report

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"slices"

	"sluice/geom"
	"sluice/lint"
	"sluice/lint/figures"
	"sluice/lint/mend"
	"sluice/lint/settle"
	"sluice/lint/units"
)

// ReviewLaid is the layout at the desk as the page shows it. Places are in mm, from the
// lower left corner of their sheet.
type ReviewLaid struct {
	Version int           `json:"version"`
	Number  int           `json:"number"`  // of the layout that is shown
	Drawing int           `json:"drawing"` // of the forms of its parts
	Running bool          `json:"running"`
	Ready   bool          `json:"ready"` // the drawing is repaired for it
	Share   float64       `json:"share"` // of the search that is done
	Stale   bool          `json:"stale"`
	Exact   bool          `json:"exact"`
	Seconds float64       `json:"seconds"` // of search
	Usual   string        `json:"usual"`   // how long the job says a search takes
	Error   string        `json:"error"`
	Stand   string        `json:"stand"` // how the layout stands, in a sentence
	Left    []string      `json:"left"`
	Sheets  []reviewSheet `json:"sheets"`
	Pinned  int           `json:"pinned"`
	Written string        `json:"written"` // what was written of it
}

// reviewSheet is a sheet of it.
type reviewSheet struct {
	Title  string        `json:"title"`
	Facts  string        `json:"facts"`
	W      float64       `json:"w"`
	H      float64       `json:"h"`
	Margin float64       `json:"margin"`
	Edge   string        `json:"edge"` // of a remnant, as a path from the upper left; "": the rectangle
	Clamps [][4]float64  `json:"clamps"`
	Rack   *[4]float64   `json:"rack"` // what goes back to the rack
	Parts  []reviewLying `json:"parts"`
}

// reviewLying is a part on a sheet.
type reviewLying struct {
	Part   string  `json:"part"`
	Which  int     `json:"which"`
	Form   int     `json:"form"`
	X      float64 `json:"x"` // the middle of its box
	Y      float64 `json:"y"`
	W      float64 `json:"w"` // of its box as it lies
	H      float64 `json:"h"`
	CX     float64 `json:"cx"` // where its form's middle comes to lie
	CY     float64 `json:"cy"`
	Turn   float64 `json:"turn"`
	Pinned bool    `json:"pinned"`
}

// NewReviewLaid makes what the page shows of a layout. usual is the time of a search that
// the job says, inches how quantities are told.
func NewReviewLaid(l *settle.Layout, version int, usual string) *ReviewLaid {
	v := &ReviewLaid{
		Version: version, Number: l.Number, Drawing: l.Drawing, Running: l.Running, Ready: l.Ready, Share: l.Share, Stale: l.Stale,
		Exact: l.Exact, Seconds: l.Seconds, Usual: usual, Left: []string{}, Sheets: []reviewSheet{},
	}
	if l.Err != nil {
		v.Error = capital(clean(l.Err.Error()))
	}
	if l.Laid == nil {
		return v
	}
	u := units.Of(l.Result.Inches())
	for i := range l.Laid.Sheets {
		v.sheet(l, i, u)
	}
	for _, p := range l.Laid.Left {
		v.Left = append(v.Left, fmt.Sprintf("No place for %d of part %s: %s", p.Count, clean(p.Part), clean(p.Why)))
	}
	v.Stand = plural(len(v.Sheets), "sheet") + ", parts at least " + u.Length(l.Laid.Gap, 2) + " apart"
	return v
}

// sheet adds a sheet.
func (v *ReviewLaid) sheet(l *settle.Layout, i int, u units.System) {
	s := &l.Laid.Sheets[i]
	out := reviewSheet{
		Title: fmt.Sprintf("Sheet %d", i+1), W: s.Stock.Width, H: s.Stock.Height, Margin: s.Stock.Margin, Clamps: [][4]float64{}, Parts: []reviewLying{},
	}
	if s.Stock.Name != "" {
		out.Title += ": " + clean(s.Stock.Name)
	}
	for _, c := range s.Stock.Clamps {
		out.Clamps = append(out.Clamps, quad(c))
	}
	if s.Stock.Outline != nil {
		d := pathData{origin: geom.Pt(0, s.Stock.Height)}
		d.closed(s.Stock.Outline)
		for _, h := range s.Stock.Holes {
			d.closed(h)
		}
		out.Edge = string(d.buf)
	}
	out.Facts = fmt.Sprintf("%s, %s by %s: %s %% of it used", plural(len(s.Parts), "part"), u.Length(s.Stock.Width, 1), u.Length(s.Stock.Height, 1), fixed(100*s.Share, 1))
	if c := s.Cutoff; c.Finite() && c.W() > 0 && c.H() > 0 {
		q := quad(c)
		out.Rack = &q
		out.Facts += ", " + u.Length(c.W(), 1) + " by " + u.Length(c.H(), 1) + " go back to the rack"
	}
	for n := range s.Parts {
		x := lyingOf(l.Result, s, n)
		if x.Pinned {
			v.Pinned++
		}
		out.Parts = append(out.Parts, x)
	}
	v.Sheets = append(v.Sheets, out)
}

func quad(b geom.Box) [4]float64 { return [4]float64{b.Min.X, b.Min.Y, b.W(), b.H()} }

// lyingOf says where part n of a sheet lies.
func lyingOf(r *lint.Result, s *mend.Arranged, n int) reviewLying {
	q, who := s.Placed[n], s.Parts[n]
	part := &r.Sheet.Parts[who.Part]
	t := q.Transform()
	box := r.Sheet.Outlines[part.Outer].Pieces.Transform(t).Box()
	mid, at := box.Center(), t.Apply(part.Box.Center())
	return reviewLying{
		Part: clean(who.Name), Which: who.Which, Form: who.Part, X: mid.X, Y: mid.Y, W: box.W(), H: box.H(),
		CX: at.X, CY: at.Y, Turn: q.Turn, Pinned: who.Pinned,
	}
}

// reviewForm is a part as it is drawn, about the middle of its box, y downwards.
type reviewForm struct {
	D    string  `json:"d"`
	Text string  `json:"text"`
	X    float64 `json:"x"` // of its number
	Y    float64 `json:"y"`
	Size float64 `json:"size"`
	Name string  `json:"name"` // that a person gave it
}

// ReviewForms writes the forms of the parts of a layout as JSON, each once.
func ReviewForms(w io.Writer, l *settle.Layout) error {
	out := struct {
		Drawing int                `json:"drawing"`
		Forms   map[int]reviewForm `json:"forms"`
	}{l.Drawing, map[int]reviewForm{}}
	if l.Laid != nil {
		diagonal := 0.0
		for i := range l.Laid.Sheets {
			diagonal = max(diagonal, math.Hypot(l.Laid.Sheets[i].Stock.Width, l.Laid.Sheets[i].Stock.Height))
		}
		for k := range l.Result.Sheet.Parts {
			out.Forms[k] = formOf(l.Result, k, diagonal)
		}
	}
	return json.NewEncoder(w).Encode(out)
}

func formOf(r *lint.Result, k int, diagonal float64) reviewForm {
	part := &r.Sheet.Parts[k]
	mid := part.Box.Center()
	d := pathData{origin: mid}
	for _, o := range slices.Concat([]int32{part.Outer}, part.Holes) {
		d.closed(r.Sheet.Outlines[o].Pieces)
	}
	f := reviewForm{D: string(d.buf), Text: clean(r.Names[k])}
	if a := r.Job.Answers.OfPart(r.Names[k]); a != nil {
		f.Name = clean(a.Name)
	}
	if l, ok := figures.LabelOf(r.Sheet, k, diagonal, r.Names[k]); ok {
		at := d.local(l.At)
		f.X, f.Y, f.Size = at.X, at.Y, l.Height
	}
	return f
}

// ReviewSpot is what comes of putting a part on a sheet, as the page is told.
type ReviewSpot struct {
	X       float64  `json:"x"` // the middle of its box, mm
	Y       float64  `json:"y"`
	CX      float64  `json:"cx"` // where its form's middle comes to lie
	CY      float64  `json:"cy"`
	Turn    float64  `json:"turn"`
	Refused string   `json:"refused"`
	Way     [][2]int `json:"way"` // what must make room: sheet and part
}

// NewReviewSpot tells where a part comes to lie on a sheet.
func NewReviewSpot(s *mend.Spot, sheet int) *ReviewSpot {
	out := &ReviewSpot{X: s.Mid.X, Y: s.Mid.Y, CX: s.Of.X, CY: s.Of.Y, Turn: s.Turn, Refused: clean(s.Refused), Way: [][2]int{}}
	for _, n := range s.Way {
		out.Way = append(out.Way, [2]int{sheet, n})
	}
	return out
}
