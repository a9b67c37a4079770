package cutting

import (
	"errors"
	"slices"

	"sluice/fix/offcut"
	"sluice/geom"
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
	Outside, Inside float64 // along outlines, half a kerf off where paths are planned, tabs left out
	Open            float64 // open paths that are cut all the same
	Etch            float64
	Leads           float64 // in and out, and the overlap of closed cuts
	Travel          float64 // from cut to cut in a good order
	Drawn           float64 // along what is drawn and cut, tabs left out: what the schedule of the parts tells
}

// Cut returns the length cut through, with its leads.
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

// JetOn returns how long the stream runs.
func (t *Times) JetOn() Span { return t.Cut.plus(t.Etch).plus(t.Pierce) }

// gritOn returns how long it takes abrasive.
func (t *Times) gritOn(etch bool) Span {
	if etch {
		return t.JetOn()
	}
	return t.Cut.plus(t.Pierce)
}

// Shares are the ways to reckon a kit's share of the sheet, as shares of
// one sheet.
type Shares struct {
	Box    float64 // the boxes around the parts, half the spacing around each, over the sheet less its margin
	Length float64 // the length of the sheet that is used up, from the near edge to the last cut and the margin
	Whole  float64 // 1
	Less   float64 // the whole sheet less the piece that is worth keeping of it; only where that is paid
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

	Plan *paths.Plan // of the paths that lengths, starts and travel are taken from; nil: too many to plan

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
	Share     string // which of them is paid: "box", "length", "whole" or "offcut"

	Kits     float64
	Bill     Bill // for all kits, at the likely time
	BillLow  Bill
	BillHigh Bill
	Currency string
	cost     job.Cost
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
	g := gather(e, r)
	g.times()
	g.rows(r)
	e.sheet(r)
	e.bill(j)
	e.notes(g, j)
	return e, nil
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
		e.Water = t.JetOn().times(e.Jet.Water() / 60)
		e.Abrasive = t.gritOn(g.job.Jet.EtchAbrasive).times(e.Jet.Abrasive / 1000 / 60)
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
func (e *Estimate) sheet(r *lint.Result) {
	s, j := r.Sheet, r.Job
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
	if e.Share == "offcut" {
		e.Shares.Less = 1 - kept(r)/e.SheetArea
	}
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
	case "offcut":
		return e.Shares.Less
	}
	return e.Shares.Box
}

// Price returns what a number of kits costs, at the likely time.
func (e *Estimate) Price(kits float64) Bill {
	return BillOf(Amounts{
		Sheets: kits * e.Paid(), Machine: kits * e.Time.Total.Likely, Abrasive: kits * e.Abrasive.Likely,
		Labour: e.Setup + kits*e.Labour,
	}, e.cost)
}

func (e *Estimate) bill(j *job.Job) {
	e.cost = j.Cost
	of := func(machine, abrasive float64) Bill {
		return BillOf(Amounts{
			Sheets: e.Kits * e.Paid(), Machine: e.Kits * machine, Abrasive: e.Kits * abrasive,
			Labour: e.Setup + e.Kits*e.Labour,
		}, j.Cost)
	}
	e.Bill = e.Price(e.Kits)
	e.BillLow = of(e.Time.Total.Low, e.Abrasive.Low)
	e.BillHigh = of(e.Time.Total.High, e.Abrasive.High)
}

// kept returns the area, mm2, of what is worth keeping of the sheet once the parts are
// cut from where they lie; none of a sheet of a layout that is not its last.
func kept(r *lint.Result) float64 {
	s, j := r.Sheet, r.Job
	if i, n, ok := lint.OneOf(r.Drawing); ok && i < n {
		return 0
	}
	corner := j.SheetCorner(s.PartsBox())
	var parts []geom.Box
	for i := range s.Parts {
		b := s.Parts[i].Box
		parts = append(parts, geom.Box{Min: b.Min.Sub(corner), Max: b.Max.Sub(corner)})
	}
	sheet := offcut.Sheet{Width: j.Sheet.Size[0], Height: j.Sheet.Size[1], Margin: j.Sheet.Margin}
	return max(0, offcut.Of(&sheet, parts, j.LayoutGap()).Area())
}
