// Package job holds the settings of a job: the sheet, the jet, the table under
// it, tolerances, tabs, numbers, layers and rules. It reads and prints them as
// TOML. All lengths are mm once read.
package job

import (
	"slices"

	"sluice/geom"
)

// Job is every setting, with its value in force.
type Job struct {
	Path   string // the job file, "" for the built-in defaults
	Units  string // "auto", "mm", "cm", "m", "in", "ft"
	Jet    Jet
	Sheet  Sheet
	Table  Table
	Limits Limits
	Tabs   Tabs
	Labels Labels
	Layers Layers
	Fit    Fit
	Repair Repair
	Layout Layout
	Cost   Cost
	Report Report
	Rules  map[string]string // rule id -> "error", "warning", "note" or "off"

	UnitsBasis string        // "job" or "flag": who settled Units; "" while they are "auto"
	Suppress   []Suppression // findings a person has accepted, with the reason
	Material   []Material    // materials besides the built-in ones
	Clamp      []Clamp       // zones of the sheet where nothing may be cut
	SheetList  []SheetKind   // where there are several sheets: all of them; see Sheets
	Stock      []Stock       // pieces at hand besides whole sheets
	Part       []PartWish    // how single parts may be laid out
	Answers    *Answers      // what a person has decided of the drawing at hand; nil: nothing
}

// Suppression accepts the findings that match all of its fields that are set.
type Suppression struct {
	Rule   string // rule id
	Layer  string // as in Layers
	Part   string // the part's number or name
	Reason string // never empty
	Line   int    // of the job file
}

// Clamp is a zone of the sheet that a clamp, stop or weight covers, its own
// safety included.
type Clamp struct {
	At   []float64 // its lower left corner, from that of the sheet, mm
	Size []float64 // along x and y, mm
	Line int       // of the job file
}

// Default returns the settings in force where no job file says otherwise. The
// lengths are common practice for abrasive jets of about 1 mm; no source.
func Default() *Job {
	return &Job{
		Units:  "auto",
		Jet:    defaultJet(),
		Sheet:  Sheet{Origin: "zero", Margin: 10},
		Table:  Table{SlatPitch: 50, SlatsAlong: "x", StandMargin: 2},
		Limits: Limits{Join: 0.001, Gap: 0.5, Same: 0.01, Curve: 0.02, Spacing: 1},
		Tabs:   Tabs{Parts: "small", Width: 0.8},
		Labels: Labels{Parts: "all", Height: 6, MinHeight: 3, Face: "front", Text: "{number}"},
		Layers: Layers{Etch: slices.Clone(etchWords), Ignore: append([]string{neverPlotted}, ignoreWords...), Hatch: "ignore"},
		Fit:    defaultFit(),
		Repair: Repair{LooseMarks: "ask", NarrowSlot: "ask", SmallHole: "ask", LiveText: "ask", DenseCurve: "ask", Border: "ask", Steps: "ask", Lettering: "ask"},
		Cost:   defaultCost(),
		Layout: Layout{Seconds: 60, Seed: 1, Sheets: 20, Turns: "quarter", Grain: "none"},
		Report: Report{ShowUnits: "auto"},
		Rules:  map[string]string{},
	}
}

// Sheet describes the stock.
type Sheet struct {
	Material  string
	Thickness float64   // mm; 0: unset, limits that depend on it use the kerf alone
	Size      []float64 // width and height, mm; empty: unset, off-sheet rests
	Origin    string    // "zero" or "drawing"
	Margin    float64   // mm
}

// Table describes the slats that carry the sheet.
type Table struct {
	SlatPitch   float64 // mm
	SlatsAlong  string  // "x" (contact lines y = const), "y", or "both": either way
	TipShare    float64 // share of slat offsets in which a part may be unheld before it is reported
	StandMargin float64 // by which the centre of mass of a part must lie inside the points it rests on, mm
	PushShare   float64 // share of the stream's push that a part must bear on an edge beyond the slats
}

// Limits are the tolerances and least sizes, mm.
type Limits struct {
	Join    float64 // ends nearer than this are one place
	Gap     float64 // gaps up to this are closed
	Same    float64 // pieces nearer than this all along are drawn twice
	Curve   float64 // largest distance between a curve and the arcs put in its place
	Spacing float64 // strip of scrap to leave between the kerfs of two parts
	Web     float64 // 0: the larger of 1.5 kerf and half the thickness
	Hole    float64 // 0: the larger of 2 kerf and half the thickness
}

// Tabs says which parts are held and how.
type Tabs struct {
	Parts string  // "small", "all" or "none"
	Width float64 // mm left after cutting, or Auto: by material and thickness
	Slugs bool    // also hold the slugs of holes that can tip up
}

// Labels says how parts are numbered.
type Labels struct {
	Parts     string  // "all" or "none"
	Height    float64 // mm
	MinHeight float64 // mm
	Face      string  // "front" or "back" (mirrored)
	Text      string  // "{number}", with {count} and {name}
}

// Layers says what is cut.
type Layers struct {
	Etch   []string // globs by layer name, any case, "word:W" or "color:N"
	Ignore []string // the same, or "plot:never"
	Hatch  string   // "ignore" or "outline": what becomes of the boundaries of hatches and fills
}

// Repair holds the choices a person has made: what fix does about findings that
// it would otherwise leave.
type Repair struct {
	LooseMarks string // "ask", "etch", "cut", "note" or "drop" ("ignore")
	NarrowSlot string // "ask", "widen" or "etch"
	SmallHole  string // "ask" or "etch"
	LiveText   string // "ask" or "etch"
	DenseCurve string // "ask" or "refit" for runs whose lines stray further than curve from the arc
	Border     string // "ask", "ignore" or "part"
	Steps      string // "ask", "smaller" or "both"
	Lettering  string // "ask", "cut", "etch" or "leave"
}

// Layout says how parts may be laid out anew.
type Layout struct {
	Seconds  float64 // of search
	Deadline float64 // of search by the clock, s; 0: none
	Seed     float64 // of the search; the same seed gives the same layout
	Sheets   float64 // how many sheets there are
	Turns    string  // "quarter", "half", "none" or "free"
	Grain    string  // of the sheet: "none", "x" or "y"; the drawing's x lies along it
	Gap      float64 // least distance between two parts, mm; 0: see LayoutGap
	Remnant  string  // drawing of the stock with what is already cut out of it, "" for a whole sheet
}

// Degrees returns the allowed turns.
func (l Layout) Degrees() []float64 {
	if l.Grain == "x" || l.Grain == "y" {
		return nil // the grain says which
	}
	return degreesOf(l.Turns)
}

// Report says how reports are written.
type Report struct {
	ShowUnits string // "auto", "mm" or "in"
}

// Inches tells whether figures are to be told in inches and pounds, for a drawing
// that is in inches or feet or is not: as the job says, else where it or the
// drawing is.
func (j *Job) Inches(drawing bool) bool {
	switch j.Report.ShowUnits {
	case "mm":
		return false
	case "in":
		return true
	}
	return drawing || j.Units == "in" || j.Units == "ft"
}

// WebLimit returns the least material to leave between two cuts, mm.
func (j *Job) WebLimit() float64 {
	if j.Limits.Web > 0 {
		return j.Limits.Web
	}
	return max(1.5*j.Jet.Kerf, j.Sheet.Thickness/2)
}

// HoleLimit returns the least diameter that pierce and lead-in need, mm.
func (j *Job) HoleLimit() float64 {
	if j.Limits.Hole > 0 {
		return j.Limits.Hole
	}
	return max(2*j.Jet.Kerf, j.Sheet.Thickness/2)
}

// SheetCorner returns the lower left corner of the sheet in a drawing whose
// parts lie in the box drawn.
func (j *Job) SheetCorner(drawn geom.Box) geom.Point {
	if j.Sheet.Origin == "drawing" && drawn.Finite() {
		return drawn.Min.Sub(geom.Pt(j.Sheet.Margin, j.Sheet.Margin))
	}
	return geom.Point{}
}

// Clamps returns the clamp zones on a sheet with its lower left corner there.
func (j *Job) Clamps(corner geom.Point) (zones []geom.Box) {
	for i := range j.Clamp {
		c := &j.Clamp[i]
		at := corner.Add(geom.Pt(c.At[0], c.At[1]))
		zones = append(zones, geom.Box{Min: at, Max: at.Add(geom.Pt(c.Size[0], c.Size[1]))})
	}
	return zones
}

// SheetSlack is by how much a part may reach beyond the usable sheet, mm: the
// rounding of its coordinates.
const SheetSlack = 1e-6

// Placed returns the usable sheet under parts that lie in the box drawn (empty where
// its size is not known) and the clamp zones on it. ok is false where they reach
// beyond it and fit when moved together: then it is open where they come to lie.
func (j *Job) Placed(drawn geom.Box) (room geom.Box, zones []geom.Box, ok bool) {
	corner := j.SheetCorner(drawn)
	zones, room = j.Clamps(corner), geom.NoBox()
	if len(j.Sheet.Size) != 2 {
		return room, zones, true
	}
	room = geom.Box{Min: corner, Max: corner.Add(geom.Pt(j.Sheet.Size[0], j.Sheet.Size[1]))}.Inflate(-j.Sheet.Margin)
	if !room.Empty() && !room.Inflate(SheetSlack).ContainsBox(drawn) && drawn.W() <= room.W()+SheetSlack && drawn.H() <= room.H()+SheetSlack {
		return room, zones, false
	}
	return room, zones, true
}

// ClampSpacing returns how far from a clamp zone, mm, a part must lie so that
// all that the stream does about it stays out: the kerf, the longest lead-in and
// the strip of scrap beside it.
func (j *Job) ClampSpacing() float64 {
	return j.Jet.Kerf + j.LeadLength() + j.Jet.LeadMargin
}

// PartSpacing returns the least distance between two parts, mm.
func (j *Job) PartSpacing() float64 { return 2*j.Jet.Kerf + j.Limits.Spacing }

// MovedSpacing returns the distance, mm, to which parts are moved apart: what
// PartSpacing asks for, or room for a lead-in between them, whichever is more.
func (j *Job) MovedSpacing() float64 { return max(j.PartSpacing(), j.LeadSpacing()) }

// LeadSpacing returns the distance between two parts, mm, that leaves room for a
// lead-in: the lead, one and a half kerfs about it and the lead's margin.
func (j *Job) LeadSpacing() float64 {
	return j.LeadLength() + 1.5*j.Jet.Kerf + j.Jet.LeadMargin
}

// Auto stands for a length that follows from the rest of the job: "auto".
const Auto = -1.0
