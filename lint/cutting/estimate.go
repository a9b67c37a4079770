package cutting

import (
	"errors"
	"slices"

	"sluice/geom"
	"sluice/geom/outline"
	"sluice/lint"
	"sluice/lint/cutting/paths"
	"sluice/lint/job"
)

// Span is a figure with the range in which it may lie.
type Span struct{ Likely, Low, High float64 }

func (s Span) plus(t Span) Span { return Span{s.Likely + t.Likely, s.Low + t.Low, s.High + t.High} }

func (s Span) times(f float64) Span { return Span{s.Likely * f, s.Low * f, s.High * f} }

// Lengths are what is run, mm.
type Lengths struct {
	Outside, Inside float64 // along outlines, tabs left out
	Open            float64 // open paths that are cut all the same
	Etch            float64
	Leads           float64 // in and out, as planned by length
	Travel          float64 // from cut to cut in a good order
}

// Cut returns the length cut through.
func (l Lengths) Cut() float64 { return l.Outside + l.Inside + l.Open + l.Leads }

// Times are parts of the machine time, s.
type Times struct {
	Cut    Span // along outlines and leads
	Slow   float64
	Etch   Span
	Pierce Span
	Start  Span
	Travel Span
	Total  Span
}

// JetOn returns how long the stream runs and takes abrasive.
func (t *Times) JetOn() Span { return t.Cut.plus(t.Etch).plus(t.Pierce) }

// Shares are the three ways to reckon a kit's share of the sheet, as shares of
// one sheet.
type Shares struct {
	Box    float64 // the boxes around the parts, half the spacing around each, over the sheet less its margin
	Length float64 // the length of the sheet that is used up, from the near edge to the last cut and the margin
	Whole  float64 // 1
}

// Row is what one kind of part takes.
type Row struct {
	Number string
	Count  int
	Area   float64 // of one, mm2
	Mass   float64 // of one, kg; 0: unknown
	Cut    float64 // of one, mm
	Starts int     // of one
	Time   float64 // of one, s, travel left out; 0: unknown
}

// Estimate is what a drawing takes. Figures are for one kit unless they say
// otherwise.
type Estimate struct {
	Material  Material
	Known     bool    // the material is one with a density
	Thickness float64 // mm; 0: unset
	Quality   float64
	Jet       Jet
	Pace      Pace
	Inches    bool // figures are to be told in inches and pounds

	Parts, Tabs int
	Pierces     int // of cuts; marks are not pierced
	Starts      int // of cuts and marks
	Length      Lengths
	Time        Times
	Water       Span // l
	Abrasive    Span // kg
	Labour      float64
	Setup       float64 // s, once for all kits

	PartsMass float64 // kg; 0: unknown
	SheetMass float64 // kg; 0: unknown
	SheetArea float64 // mm2; 0: unknown
	Shares    Shares
	Share     string // which of them is paid: "box", "length" or "whole"

	Kits     float64
	Bill     Bill // for all kits, at the likely time
	BillLow  Bill
	BillHigh Bill
	Currency string
	Rows     []Row    // by number, as people count
	Notes    []string // what is uncertain or left out, in words
}

// ErrNothing is returned for a drawing without anything to cut or etch.
var ErrNothing = errors.New("nothing in this drawing is cut or etched, so there is nothing to estimate")

// Of estimates a judged drawing under its job. A drawing that could not be read
// gives its error.
func Of(r *lint.Result) (*Estimate, error) {
	if r.Err != nil {
		return nil, r.Err
	}
	s, j := r.Sheet, r.Job
	if s == nil || j == nil || len(s.Outlines)+len(s.Etch)+len(s.Open) == 0 {
		return nil, ErrNothing
	}
	e := &Estimate{
		Thickness: j.Sheet.Thickness, Quality: j.Jet.Quality, Kits: j.Cost.Kits, Currency: j.Cost.Currency,
		Jet:   Jet{j.Jet.Pressure, j.Jet.Orifice, j.Jet.MixingTube, j.Jet.Abrasive},
		Parts: len(s.Parts), Share: j.Cost.SheetShare, Inches: r.Inches(),
	}
	e.Material, e.Known = FindMaterial(j.Sheet.Material, j.Material)
	e.Pace = PaceOf(j, e.Material, e.Thickness)
	g := gathered{e: e, sheet: s, job: j, cutTime: make([]float64, len(s.Outlines)), cut: make([]float64, len(s.Outlines)), starts: make([]int, len(s.Outlines))}
	g.outlines()
	g.loose()
	e.Length.Travel = paths.TravelOf(g.stops, paths.Order(g.stops))
	g.times()
	g.rows(r)
	e.sheet(s, j)
	e.bill(j)
	e.notes(g, j)
	return e, nil
}

// gathered is an estimate being made.
type gathered struct {
	e        *Estimate
	sheet    *outline.Sheet
	job      *job.Job
	stops    []paths.Stop
	run      float64 // time along outlines, s
	slow     float64
	cut      []float64 // by outline: length, starts and time
	starts   []int
	cutTime  []float64
	unclosed int
	open     int
	marks    int // loose marks, not counted
}

// leadShare is the length of lead-in and lead-out together, in lead lengths.
const leadShare = 1.5

func (g *gathered) outlines() {
	e, s := g.e, g.sheet
	lead := leadShare * g.job.LeadLength()
	first := make([]int32, len(s.Outlines))
	for i := range s.Outlines {
		o := &s.Outlines[i]
		if !o.Closed {
			g.unclosed++
		}
		e.Tabs += o.Tabs
		first[i] = int32(len(g.stops))
		for _, run := range Runs(o) {
			l := run.Path.Length()
			t, slow := e.Pace.RunTime(run.Path, run.Closed)
			if e.Pace.Cut > 0 {
				t += lead / e.Pace.Cut * 60
			}
			g.run, g.slow = g.run+t, g.slow+slow
			g.cut[i] += l
			g.cutTime[i] += t
			g.starts[i]++
			if o.Hole() {
				e.Length.Inside += l
			} else {
				e.Length.Outside += l
			}
			e.Length.Leads += lead
			e.Pierces++
			g.stops = append(g.stops, paths.Stop{Start: run.Path[0].A, End: run.Path[len(run.Path)-1].B, Stage: 1, Before: -1})
		}
	}
	// What lies in an outline is cut before it.
	for i := range s.Outlines {
		end := len(g.stops)
		if i+1 < len(first) {
			end = int(first[i+1])
		}
		if p := s.Outlines[i].Parent; p >= 0 {
			for k := int(first[i]); k < end; k++ {
				if int(first[p]) < len(g.stops) {
					g.stops[k].Before = first[p]
				}
			}
		}
	}
}

// loose counts open cuts and marks.
func (g *gathered) loose() {
	e, s := g.e, g.sheet
	for i := range s.Open {
		o := &s.Open[i]
		switch {
		case len(o.Pieces) == 0:
		case o.Loose:
			g.marks++
		default:
			t, slow := e.Pace.RunTime(o.Pieces, false)
			g.run, g.slow = g.run+t, g.slow+slow
			g.open++
			e.Length.Open += o.Length
			e.Pierces++
			g.stops = append(g.stops, paths.Stop{Start: o.Pieces[0].A, End: o.Pieces[len(o.Pieces)-1].B, Stage: 1, Before: -1})
		}
	}
	for i := range s.Etch {
		if o := &s.Etch[i]; len(o.Pieces) > 0 {
			e.Length.Etch += o.Pieces.Length()
			g.stops = append(g.stops, paths.Stop{Start: o.Pieces[0].A, End: o.Pieces[len(o.Pieces)-1].B, Before: -1})
		}
	}
	e.Starts = len(g.stops)
}

// Run is a run of the stream along an outline.
type Run struct {
	Path   geom.Path
	Closed bool // all of the outline
}

// Runs returns the runs of an outline between its tabs, the whole of it where it
// has none.
func Runs(o *outline.Outline) []Run {
	n := len(o.Pieces)
	tab := func(i int) bool { k := i % n; return k < len(o.Flags) && o.Flags[k]&outline.IsTab != 0 }
	from := -1
	for i := range n {
		if tab(i) && !tab(i+1) {
			from = i + 1
			break
		}
	}
	if from < 0 {
		if n == 0 || tab(0) {
			return nil
		}
		return []Run{{o.Pieces, true}}
	}
	var out []Run
	begun := false
	for i := from; i < from+n; i++ {
		if tab(i) {
			begun = false
			continue
		}
		if !begun {
			out, begun = append(out, Run{}), true
		}
		r := &out[len(out)-1]
		r.Path = append(r.Path, o.Pieces[i%n])
	}
	return out
}

// times adds up the machine time, with ranges.
func (g *gathered) times() {
	e := g.e
	p, t := &e.Pace, &e.Time
	span := func(v, low, high float64) Span { return Span{v, v * low, v * high} }
	t.Etch = span(e.Length.Etch/p.Etch*60, moveLow, moveHigh)
	t.Start = span(float64(e.Starts)*p.Start, moveLow, moveHigh)
	t.Travel = span(e.Length.Travel/p.Rapid*60, moveLow, moveHigh)
	if p.Cut > 0 {
		// Speeds are what is uncertain: times go with their inverse.
		t.Cut = span(g.run, p.Low, p.High)
		t.Slow = g.slow
		t.Pierce = span(float64(e.Pierces)*p.Pierce, p.PierceLow, p.PierceHigh)
		t.Total = t.Cut.plus(t.Etch).plus(t.Pierce).plus(t.Start).plus(t.Travel)
		on := t.JetOn()
		e.Water = on.times(e.Jet.Water() / 60)
		e.Abrasive = on.times(e.Jet.Abrasive / 1000 / 60)
	}
	c := &g.job.Cost
	e.Labour = 60 * (float64(e.Parts)*c.MinutesPerPart + float64(e.Tabs)*c.MinutesPerTab)
	e.Setup = 60 * c.SetupMinutes
}

// rows sums up the parts by number.
func (g *gathered) rows(r *lint.Result) {
	at := map[string]int{}
	for k := range g.sheet.Parts {
		p := &g.sheet.Parts[k]
		name := ""
		if k < len(r.Names) {
			name = r.Names[k]
		}
		i, ok := at[name]
		if !ok {
			i = len(g.e.Rows)
			at[name] = i
			row := Row{Number: name, Area: p.Area}
			if g.e.Known && g.e.Thickness > 0 {
				row.Mass = g.e.Material.Mass(p.Area, g.e.Thickness)
			}
			for _, o := range append([]int32{p.Outer}, p.Holes...) {
				row.Cut += g.cut[o]
				row.Starts += g.starts[o]
				row.Time += g.cutTime[o]
			}
			if g.e.Pace.Cut > 0 {
				row.Time += float64(row.Starts) * (g.e.Pace.Pierce + g.e.Pace.Start)
			}
			g.e.Rows = append(g.e.Rows, row)
		}
		g.e.Rows[i].Count++
		if g.e.Known && g.e.Thickness > 0 {
			g.e.PartsMass += g.e.Material.Mass(p.Area, g.e.Thickness)
		}
	}
	slices.SortStableFunc(g.e.Rows, func(a, b Row) int { return lint.CompareNames(a.Number, b.Number) })
}

// sheet reckons the shares of the sheet, 0 where its size is unset.
func (e *Estimate) sheet(s *outline.Sheet, j *job.Job) {
	e.Shares.Whole = 1
	if len(j.Sheet.Size) != 2 {
		return
	}
	w, h := j.Sheet.Size[0], j.Sheet.Size[1]
	e.SheetArea = w * h
	if e.Known && e.Thickness > 0 {
		e.SheetMass = e.Material.Mass(e.SheetArea, e.Thickness)
	}
	usable := (w - 2*j.Sheet.Margin) * (h - 2*j.Sheet.Margin)
	all := geom.NoBox()
	var boxes float64
	for i := range s.Parts {
		b := s.Parts[i].Box
		all = all.Union(b)
		if k := s.Outlines[s.Parts[i].Outer].Parent; k >= 0 {
			continue // lies in the hole of another, whose box is paid
		}
		gap := j.PartSpacing() / 2
		boxes += (b.W() + 2*gap) * (b.H() + 2*gap)
	}
	if usable > 0 {
		e.Shares.Box = boxes / usable
	}
	if !all.Empty() {
		used, length := all.H(), h // along the longer side of the sheet
		from := all.Min.Y
		if w > h {
			used, length, from = all.W(), w, all.Min.X
		}
		if j.Sheet.Origin == "zero" {
			used += max(from, 0) // what lies before the first part is used up too
		} else {
			used += j.Sheet.Margin
		}
		e.Shares.Length = (used + j.Sheet.Margin) / length
	}
}

// Paid returns the share of the sheet that one kit pays, 0 where the sheet's
// size is unset and the share hangs on it.
func (e *Estimate) Paid() float64 {
	switch e.Share {
	case "whole":
		return e.Shares.Whole
	case "length":
		return e.Shares.Length
	}
	return e.Shares.Box
}

func (e *Estimate) bill(j *job.Job) {
	of := func(machine, abrasive float64) Bill {
		return BillOf(Amounts{
			Sheets: e.Kits * e.Paid(), Machine: e.Kits * machine, Abrasive: e.Kits * abrasive,
			Labour: e.Setup + e.Kits*e.Labour,
		}, j.Cost)
	}
	e.Bill = of(e.Time.Total.Likely, e.Abrasive.Likely)
	e.BillLow = of(e.Time.Total.Low, e.Abrasive.Low)
	e.BillHigh = of(e.Time.Total.High, e.Abrasive.High)
}
