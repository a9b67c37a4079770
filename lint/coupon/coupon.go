// Package coupon draws a small trial to cut first from the sheet that a kit is to
// be cut from, and turns what is measured on it into settings of the job: kerf,
// clearance, taper and the width of tabs.
//
// All lengths are mm.
package coupon

import (
	"errors"
	"fmt"
	"io"
	"maps"
	"math"
	"strconv"

	"sluice/fix/label"
	"sluice/geom"
	"sluice/geom/dxf"
	"sluice/lint/cutting"
	"sluice/lint/job"
)

// Options say for what a trial is. All are above 0, but for Clearance.
type Options struct {
	Thickness float64 // of the sheet
	Kerf      float64 // as it is believed to be; the machine's setting while the trial is cut
	Clearance float64 // of slots, as wanted: the middle one of the comb has it
	Tab       float64 // width of tabs, as wanted: the middle one of three
	Inch      bool    // sizes are etched in inches
}

// Slots is how many slots the comb has.
const Slots = 9

// Hole returns the diameter of the hole that is measured: as wide as pierce and
// lead need.
func (o *Options) Hole() float64 { return max(16, math.Ceil(0.6*o.Thickness)) }

// Square returns the side of the square that is measured; the hole is in it.
func (o *Options) Square() float64 { return o.Hole() + 2*max(12, math.Ceil(0.6*o.Thickness)) }

// Step returns by how much the slots of the comb differ.
func (o *Options) Step() float64 {
	if o.Inch {
		return 0.002 * 25.4
	}
	return 0.05
}

// textHeight is the height of etched sizes.
const textHeight = 3

// Errors of Draw.
var (
	ErrThickness = errors.New("how thick the sheet is must be known; use --thickness, or set [sheet] thickness")
	ErrThin      = errors.New("the sheet is thinner than the kerf, so that no slot can be cut to suit it")
)

// Widths returns the widths of the slots of the comb, narrowest first: in steps
// about thickness and clearance, none so narrow that the stream would not fit.
func (o *Options) Widths() []float64 {
	first := o.Thickness + o.Clearance - Slots/2*o.Step()
	if least := 1.02 * o.Kerf; first < least {
		first += math.Ceil((least-first)/o.Step()) * o.Step()
	}
	w := make([]float64, Slots)
	for i := range w {
		w[i] = first + float64(i)*o.Step()
	}
	return w
}

// Tabs returns the widths of the tabs to break off.
func (o *Options) Tabs() [3]float64 { return [3]float64{o.Tab / 2, o.Tab, 1.5 * o.Tab} }

// tongue is how long the tongue to try in the slots is, and the slots but for play.
func (o *Options) tongue() float64 { return max(15, 3*o.Thickness) }

// Draw returns the trial as items of a corrected drawing, its lower left corner at
// corner. Nothing in it needs repair but tabs for parts that can tip.
func Draw(o Options, corner geom.Point) ([]dxf.Item, error) {
	switch {
	case !(o.Thickness > 0):
		return nil, ErrThickness
	case o.Thickness+o.Clearance <= o.Kerf:
		return nil, ErrThin
	}
	d := &drafter{o: &o, at: corner}
	gap := 3*o.Kerf + o.Thickness + 2 // leads of two neighbours and scrap
	top := d.comb()
	d.at = geom.Pt(corner.X, top+gap)
	next := []func() geom.Point{d.tongue, d.square}
	for _, w := range o.Tabs() {
		next = append(next, func() geom.Point { return d.tabbed(w) })
	}
	for _, draw := range next {
		d.at.X = draw().X + gap
	}
	return d.items, nil
}

// drafter gathers what is drawn; at is the lower left corner of the next part.
type drafter struct {
	o     *Options
	at    geom.Point
	items []dxf.Item
}

func (d *drafter) put(layer string, p geom.Path, closed bool) {
	d.items = append(d.items, dxf.Item{Layer: layer, Path: p.Transform(geom.Shift(d.at)), Closed: closed})
}

// rect returns an upright rectangle.
func rect(x, y, w, h float64) geom.Path {
	return poly(geom.Pt(x, y), geom.Pt(x+w, y), geom.Pt(x+w, y+h), geom.Pt(x, y+h))
}

func poly(at ...geom.Point) geom.Path {
	var p geom.Path
	for i := range at {
		p = append(p, geom.Line(at[i], at[(i+1)%len(at)]))
	}
	return p
}

// etch writes text with the middle of its lower edge at x, y.
func (d *drafter) etch(text string, x, y float64) {
	paths, width := label.Strokes(text, textHeight)
	for _, p := range paths {
		d.put(dxf.LayerEtch, p.Transform(geom.Shift(geom.Pt(x-width/2, y))), false)
	}
}

// size writes a size as it is etched.
func (d *drafter) size(mm float64) string {
	if d.o.Inch {
		return strconv.FormatFloat(mm/25.4, 'f', 3, 64)
	}
	return strconv.FormatFloat(mm, 'f', 2, 64)
}

// comb draws a plate with slots from narrow to wide, their sizes below them, and
// returns its upper edge.
func (d *drafter) comb() (top float64) {
	o := d.o
	edge := max(8, 1.5*o.Thickness, 3*o.Kerf)
	long := o.tongue() + 0.5
	_, text := label.Strokes(d.size(o.Thickness+1), textHeight)
	widths := o.Widths()
	pitch := max(widths[Slots-1]+edge, text+3)
	y := edge + textHeight + 2
	w, h := 2*edge+float64(Slots-1)*pitch+widths[Slots-1], y+long+edge
	d.put(dxf.LayerOutside, rect(0, 0, w, h), true)
	for i, width := range widths {
		middle := edge + widths[Slots-1]/2 + float64(i)*pitch
		d.put(dxf.LayerInside, rect(middle-width/2, y, width, long), true)
		d.etch(d.size(width), middle, edge)
	}
	return d.at.Y + h
}

// tongue draws the piece to try in the slots, and returns its lower right corner.
func (d *drafter) tongue() geom.Point {
	o := d.o
	long, deep := o.tongue(), o.Thickness+4
	const shoulder = 8
	body := max(20, math.Ceil(0.6*o.Thickness))
	d.put(dxf.LayerOutside, poly(
		geom.Pt(0, 0), geom.Pt(2*shoulder+long, 0), geom.Pt(2*shoulder+long, body), geom.Pt(shoulder+long, body),
		geom.Pt(shoulder+long, body+deep), geom.Pt(shoulder, body+deep), geom.Pt(shoulder, body), geom.Pt(0, body),
	), true)
	d.etch("TRY", shoulder+long/2, body/2)
	return d.at.Add(geom.Pt(2*shoulder+long, 0))
}

// square draws the square with the hole by which the kerf is measured.
func (d *drafter) square() geom.Point {
	side, hole := d.o.Square(), d.o.Hole()
	d.put(dxf.LayerOutside, rect(0, 0, side, side), true)
	d.put(dxf.LayerInside, geom.Path{geom.Circle(geom.Pt(side/2, side/2), hole/2).Reverse()}, true)
	d.etch(d.size(side), side/2, 3)
	d.etch(d.size(hole), side/2, side-3-textHeight)
	return d.at.Add(geom.Pt(side, 0))
}

// tabbed draws a small part held by two tabs of a width, to be broken off.
func (d *drafter) tabbed(width float64) geom.Point {
	h := max(18, math.Ceil(0.6*d.o.Thickness))
	w := h + 8
	half := (width + d.o.Kerf) / 2
	y := h / 2
	d.put(dxf.LayerOutside, geom.Path{
		geom.Line(geom.Pt(0, y-half), geom.Pt(0, 0)), geom.Line(geom.Pt(0, 0), geom.Pt(w, 0)), geom.Line(geom.Pt(w, 0), geom.Pt(w, y-half)),
	}, false)
	d.put(dxf.LayerOutside, geom.Path{
		geom.Line(geom.Pt(w, y+half), geom.Pt(w, h)), geom.Line(geom.Pt(w, h), geom.Pt(0, h)), geom.Line(geom.Pt(0, h), geom.Pt(0, y+half)),
	}, false)
	d.put(dxf.LayerTab, geom.Path{geom.Line(geom.Pt(w, y-half), geom.Pt(w, y+half))}, false)
	d.put(dxf.LayerTab, geom.Path{geom.Line(geom.Pt(0, y+half), geom.Pt(0, y-half))}, false)
	d.etch(d.size(width), w/2, y-textHeight/2)
	return d.at.Add(geom.Pt(w, 0))
}

// About says in words what to do with the trial.
func About(o Options) string {
	d := drafter{o: &o}
	return fmt.Sprintf(`cut it from the kit's own sheet with the kerf set to %s, then measure:
  square   its side, drawn %s; at the upper face, both ways, the mean
  hole     its diameter, drawn %s; at the upper face, and as hole_bottom at the lower
  slot     the size etched at the slot in which the piece marked TRY sits as you want it
  tab      the size etched on the part that broke off best
  thickness  of the sheet
and give what you have, with the same sheet and kerf, as in --measured "square=39.92mm, slot=4.95mm"
`, d.size(o.Kerf), d.size(o.Square()), d.size(o.Hole()))
}

// Job returns the job under which a trial is finished: tabs where parts can tip,
// no numbers.
func Job(j *job.Job) *job.Job {
	c := *j
	c.Labels.Parts, c.Tabs.Parts = "none", "small"
	if c.Units = "mm"; For(j).Inch {
		c.Units = "in"
	}
	c.UnitsBasis = "job"
	c.Sheet.Size = nil // where on the sheet it is cut is up to the person
	c.Rules = maps.Clone(j.Rules)
	if c.Rules == nil {
		c.Rules = map[string]string{}
	}
	for _, id := range []string{"unnumbered-part", "unmatched-joint", "slot-thickness"} {
		c.Rules[id] = "off" // its slots are of many widths on purpose
	}
	return &c
}

// For returns the options that a job gives.
func For(j *job.Job) Options {
	return Options{
		Thickness: j.Sheet.Thickness, Kerf: j.Jet.Kerf, Clearance: j.Fit.Gap(), Tab: cutting.TabWidth(j),
		Inch: j.Inches(false),
	}
}

// Write writes a trial as a drawing, in inches or mm.
func Write(w io.Writer, o Options) error {
	items, err := Draw(o, geom.Pt(10, 10))
	if err != nil {
		return err
	}
	out := dxf.Output{Items: items, Factor: 1, InsUnits: 4}
	if o.Inch {
		out = dxf.Output{Items: items, Factor: 25.4, InsUnits: 1, Imperial: true}
	}
	return dxf.Write(w, &out)
}
