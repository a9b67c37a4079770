package report

import (
	_ "embed"
	"fmt"
	"html"
	"html/template"
	"io"
	"math"
	"path/filepath"
	"strings"

	"sluice/geom"
	"sluice/lint/figures"
	"sluice/lint/job"
	"sluice/lint/units"
)

//go:embed assets/list.html
var listBody string

//go:embed assets/list.css
var listCSS string

// List is what hangs at the machine.
type List struct {
	About
	*figures.List
}

// listPage is the page of a list.
type listPage struct {
	shell
	Path, Output, Paths string
	Sheet               string
	Facts               []fact
	Slats, Mind, Told   string
	Picture             template.HTML // numbers and escaped text only
	Empty               bool
	Timed               bool
	Steps               []listStep
	Sum                 listStep
	Parts               []listPart
}

// listStep is a line of the order.
type listStep struct {
	Runs, What, Part            string
	Signs                       []string
	Pierces                     int
	Length, Time, Until, Within string
}

// listPart is a line of the parts.
type listPart struct {
	Number, Name, Size, Length, Time string
	Picture                          template.HTML
	Count, Tabs, Pierces             int
}

var listTemplate = pageOf(listBody)

// MachineList writes the list of a sheet as one page that stands alone, without any
// script, to be printed.
func MachineList(w io.Writer, l *List) error {
	title := filepath.Base(l.Input)
	if l.Sheet != "" {
		title += ", " + l.Sheet
	}
	p := &listPage{
		shell: newShell("Sheet list: "+title, l.Version, "", boardCSS, printCSS, listCSS),
		Path:  clean(title), Output: clean(l.Output), Paths: clean(l.Repaired.Paths), Sheet: clean(l.Sheet),
		Slats: l.Slats, Empty: l.Plan == nil,
	}
	if l.Hazard != "" {
		p.Mind = capital(l.Hazard) + "."
	}
	p.Picture = drawList(l)
	p.Timed = l.Total.Time > 0
	for i := range l.Steps {
		p.Steps = append(p.Steps, stepOf(l, &l.Steps[i]))
	}
	p.Sum = stepOf(l, &l.Total)
	if p.Timed {
		p.Sum.Within = fmt.Sprintf("%s to %s", clock(l.Total.Time*l.Low), clock(l.Total.Time*l.High))
	}
	if l.Plan != nil {
		p.Told = capital(clean(l.Plan.Told())) + "."
	}
	p.Facts = listFacts(l, p)
	for i := range l.Schedule.Rows {
		p.Parts = append(p.Parts, listPartOf(l, &l.Schedule.Rows[i]))
	}
	return writePage(w, listTemplate, p)
}

// listFacts are the title block of a list.
func listFacts(l *List, p *listPage) []fact {
	j := l.After.Job
	facts := []fact{
		{"Stock", stockText(j)}, {"Kerf", figure(j.Jet.Kerf, 3) + " mm"}, {"Edge", job.EdgeWord(j.Jet.Quality)},
		{"Slats along", fmt.Sprintf("%s, %s mm apart", j.Table.SlatsAlong, figure(j.Table.SlatPitch, 1))},
		{"Parts", fmt.Sprint(l.Schedule.Sums.Parts)},
	}
	if l.Plan == nil {
		return facts
	}
	facts = append(facts, fact{"Runs", fmt.Sprintf("%d, %s", len(l.Plan.Cuts), plural(l.Total.Pierces, "pierce"))},
		fact{"Cut and etched", runOf(l, l.Total.Length)}, fact{"Moves", runOf(l, l.Plan.Travel)})
	if p.Timed {
		facts = append(facts, fact{"Machine time", "about " + p.Sum.Time + " (" + p.Sum.Within + ")"})
	}
	if n := l.Total.Raised; n > 0 {
		facts = append(facts, fact{"Head raised for", plural(n, "move")})
	}
	return append(facts, fact{"Clamp zones", fmt.Sprint(len(l.Side.Clamps))})
}

// runOf writes a length that is run, in the units of the estimate.
func runOf(l *List, mm float64) string {
	return units.Of(l.Estimate != nil && l.Estimate.Inches).Run(mm)
}

// stepOf writes a step.
func stepOf(l *List, s *figures.Step) listStep {
	out := listStep{Runs: fmt.Sprint(s.First), Pierces: s.Pierces, Length: runOf(l, s.Length), Time: clock(s.Time), Until: stopwatch(s.Until)}
	if s.Last > s.First {
		out.Runs += fmt.Sprintf("–%d", s.Last)
	}
	var what []string
	for _, k := range []struct {
		n    int
		word string
	}{{s.Marks, "mark"}, {s.Holes, "inside run"}, {s.Outsides, "outside run"}} {
		if k.n > 0 {
			what = append(what, plural(k.n, k.word))
		}
	}
	out.What = strings.Join(what, ", ")
	if s.Part >= 0 && s.Part < len(l.After.Sheet.Parts) {
		out.Part = "Part " + clean(l.Side.Name(s.Part))
	}
	if s.Raised > 0 {
		out.Signs = append(out.Signs, "▲ raise the head")
	}
	if s.Loose {
		out.Signs = append(out.Signs, "comes loose")
	}
	return out
}

// listPartOf writes a row of the parts.
func listPartOf(l *List, r *figures.Row) listPart {
	out := listPart{
		Number: clean(r.Number), Name: clean(r.Name), Count: r.Count, Tabs: r.Tabs, Pierces: r.Pierces,
		Size: figure(r.Width, 1) + " × " + figure(r.Height, 1), Length: runOf(l, r.CutLength), Time: clock(l.PartTime(r)),
	}
	if s := l.After.Sheet; l.Pictured() && len(r.Parts) > 0 && s.Parts[r.Parts[0]].Box.Finite() {
		part := &s.Parts[r.Parts[0]]
		frame := part.Box.Inflate(max(part.Box.W(), part.Box.H())/50 + 1e-3)
		p := newPicture(frame)
		for _, o := range append([]int32{part.Outer}, part.Holes...) {
			p.path.closed(s.Outlines[o].Pieces)
		}
		p.flush()
		out.Picture = template.HTML(fmt.Sprintf(`<svg viewBox="%s" role="img" aria-label="part %s">`, viewBox(frame.W(), frame.H()), html.EscapeString(out.Number)) + p.String() + `</svg>`)
	}
	return out
}

// stopwatch writes a time since the start: 7:05, 1:02:33.
func stopwatch(s float64) string {
	if !(s >= 0 && s < 1e9) {
		return "?"
	}
	t := int(math.Round(s))
	if t < 3600 {
		return fmt.Sprintf("%d:%02d", t/60, t%60)
	}
	return fmt.Sprintf("%d:%02d:%02d", t/3600, t/60%60, t%60)
}

// runHeight is how high the numbers of so many steps are written on a picture, mm.
func runHeight(diagonal float64, steps int) float64 {
	return diagonal / (80 + 0.6*float64(min(steps, 150)))
}

// drawList draws the sheet with the numbers of the runs at which steps begin.
func drawList(l *List) template.HTML {
	p := newPicture(l.Frame)
	s := l.Side
	if !s.Stock.Empty() {
		p.stock(s.Stock, s.Job.Sheet.Margin)
		p.slats(s.Stock, s.Job.Table.SlatPitch, s.Job.Table.SlatsAlong == "y")
	}
	p.clamps(s.Clamps)
	if s.Sheet != nil {
		p.sheet(s.Sheet, nil)
		p.labels(s.Labels)
	}
	if l.Plan != nil {
		height := runHeight(l.Frame.Diagonal(), len(l.Steps))
		p.group("ly start", func() {
			for i := range l.Plan.Cuts {
				p.path.dot(l.Plan.Cuts[i].Start())
				p.flushFull()
			}
		})
		p.group("ly turn", func() {
			for i := range l.Steps {
				st := &l.Steps[i]
				p.text(st.At.Add(geom.Pt(height/3, height/3)), height, 0, false, fmt.Sprint(st.First))
			}
		})
	}
	return template.HTML(fmt.Sprintf(`<svg viewBox="%s" role="img" aria-label="the sheet with the first run of each step">`, viewBox(l.Frame.W(), l.Frame.H())) + p.String() + `</svg>`)
}

// mostSlats bounds how many slats are drawn.
const mostSlats = 400

// slats draws the slats below a sheet in their direction and distance. Where the
// first of them lies under the sheet is not known.
func (p *picture) slats(b geom.Box, pitch float64, alongY bool) {
	long := b.H()
	if alongY {
		long = b.W()
	}
	if !(pitch > 0) || long/pitch > mostSlats {
		return
	}
	p.group("ly slat", func() {
		for k := range int(math.Floor(long / pitch)) {
			at := (float64(k) + 0.5) * pitch
			l := geom.Line(geom.Pt(b.Min.X, b.Min.Y+at), geom.Pt(b.Max.X, b.Min.Y+at))
			if alongY {
				l = geom.Line(geom.Pt(b.Min.X+at, b.Min.Y), geom.Pt(b.Min.X+at, b.Max.Y))
			}
			p.path.add(&l)
		}
	})
}
