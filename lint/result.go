package lint

import (
	"sluice/fix"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/outline"
	"sluice/lint/job"
	"sluice/lint/kit"
)

// Result is one drawing judged.
type Result struct {
	Path     string // as given
	Err      error  // the drawing could not be read; all else is empty
	Job      *job.Job
	Drawing  *drawing.Drawing
	Sheet    *outline.Sheet
	Names    []string // label of each part of Sheet: its number, or what the drawing writes on it
	Labeled  []bool   // by part: the drawing writes its number
	Fates    []Fate   // what becomes of each entity of Drawing
	Account  Account  // the same by type, with why for what is left out
	Extents  geom.Box
	Corner   geom.Point // from which the ids of findings are reckoned, mm
	Findings []Finding
	Accepted []int           // by suppression of Job: how many findings it took out
	Brief    *Brief          // what is left of Drawing and Sheet where they have been let go; else nil
	Kit      func() *kit.Kit // the joints of the parts, found once; nil for a result that has let its sheet go
}

// Fate says what becomes of an entity.
type Fate uint8

// Fates. Every entity has exactly one.
const (
	LeftOut  Fate = iota // told in a finding and in the report, with why
	Used                 // draws an outline or an etched path
	Carried              // kept as text or points that are not cut
	Replaced             // an edit put something else in its place, or removed it
)

// Tab is a breakaway tab in a drawing.
type Tab struct {
	Part  string
	At    geom.Point // middle of the gap on the outline
	Width float64    // left after cutting, mm
	Gap   float64    // as drawn, mm
}

// Label is a number etched on or beside a part.
type Label struct {
	Part   string
	Text   string
	At     geom.Point // middle of the text box
	Height float64    // mm
	Angle  float64    // degrees
	Where  string     // "inside" or "beside"
}

// Repaired is one drawing repaired: before, after and every change between.
type Repaired struct {
	Input, Output string // paths as given
	Paths         string // file of the paths ready to run, "" for none
	Before, After *Result
	Edits         []fix.Edit
	Undone        []fix.Edit // repairs that would have made a new error, taken back
	Skipped       []fix.Edit // repairs that stood in the way of others, or could not be made, and were not made later
	Left          []Finding  // for a person to decide
	Tabs          []Tab
	Labels        []Label
	Account       Account
	Spread        *Spread // parts were moved apart; nil: not asked for
	Layout        *Layout // parts were laid out anew; nil: not asked for
	Held          string  // why less was repaired than could be, "" if nothing was held back
	Lesser        bool    // repairs were held back, so that a person must look; not numbers alone
}

// Spread sums up how parts were moved apart.
type Spread struct {
	Pairs int      // that lay too close
	Most  float64  // largest shift, mm
	Box   geom.Box // of all parts after
}

// Layout sums up how parts were laid out.
type Layout struct {
	Sheets []LaidSheet
	Left   []LeftPart // for which no place was found
	Seed   uint64
	Steps  int64   // of search
	Cut    bool    // ended before its time was spent
	Gap    float64 // least distance between two parts that was kept, mm; of the sheets, the least
	Some   bool    // only some of the parts were asked for
	Common int     // how many edits were made before parts were laid out, the same for all sheets
}

// Stock is a sheet that parts are laid out on, its lower left corner at 0,0, mm.
type Stock struct {
	Name                  string // as the job calls it, "" without one
	Width, Height, Margin float64
	Thickness             float64     // 0: unset
	Material              string      // "": unset
	Outline               geom.Path   // of a remnant; nil: the rectangle
	Holes                 []geom.Path // already cut out of a remnant
	Clamps                []geom.Box
}

// LaidSheet is one sheet of a layout.
type LaidSheet struct {
	File    string
	Parts   int
	Area    float64  // of the parts, mm2
	Used    float64  // length of sheet used, mm
	Density float64  // of the used length, 0 to 1
	Share   float64  // of the whole sheet, 0 to 1
	Cutoff  geom.Box // what goes back to the rack; empty if nothing does
	Result  *Result  // the sheet as written; nil: not kept
	Stock   Stock
	Last    bool    // of the sheets of its kind
	Offcut  *Offcut // what is kept of the last; nil: nothing that is worth it
}

// Offcut is what a layout leaves of a sheet, in the sheet's place.
type Offcut struct {
	Outline geom.Path // closed, counter-clockwise
	Area    float64   // mm2
	File    string    // "" where it was not written
}

// LeftPart is a part that found no place.
type LeftPart struct {
	Part  string
	Count int
	Why   string
}

// Account says what became of every entity of the input: Read is the sum of
// the others.
type Account struct {
	Read, Used, Carried, Replaced, LeftOut int
	ByType                                 []TypeAccount
	Left                                   []LeftOutItem
}

// TypeAccount is the account of one entity type.
type TypeAccount struct {
	Type                                   string
	Read, Used, Carried, Replaced, LeftOut int
}

// LeftOutItem tells how many entities of a type were left out, and why.
type LeftOutItem struct {
	Type  string
	Count int
	Why   string
}
