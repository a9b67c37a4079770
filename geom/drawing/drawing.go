// Package drawing holds a drawing as it was read: every entity with its handle,
// layer, colour and line in the file, the lines, arcs and curves it draws, the
// unit, and the problems met while reading. It knows no file format.
//
// Coordinates are in drawing units until Resolve has settled the unit; from
// then on they are millimetres.
package drawing

import (
	"fmt"
	"strconv"
	"strings"

	"sluice/geom"
	"sluice/geom/curve"
)

// Drawing is one drawing file.
type Drawing struct {
	Version     string // format version as stated, e.g. "AC1015"; "" if none is
	InsUnits    int    // $INSUNITS, -1 if absent
	Measurement int    // $MEASUREMENT: 0 imperial, 1 metric, -1 if absent
	Layers      []Layer
	Entities    []Entity // one per entity of the entities section, in file order
	Strokes     []Stroke // lines and arcs drawn, grouped by entity, in file order
	Curves      []Curve  // splines and ellipses not yet turned into arcs
	Texts       []Text
	Points      []Mark
	Turns       []Turn   // not yet told from specks
	Notices     []Notice // what an entity is besides its outline (hidden, not flat, …)
	Shown       []Notice // what is hidden and was read all the same, since a person says so
	Problems    []Problem
	Unit        Unit // settled by Resolve
	Own         bool // this program wrote it, so that its layers mean what they say
	Paths       bool // this program wrote it, and it is no drawing of parts but of paths for the machine
}

// Layer is a layer with its state.
type Layer struct {
	Name   string
	Color  int // colour number, 0 if unset; the sign is dropped (see Off)
	Off    bool
	Frozen bool
	NoPlot bool // never plotted: DEFPOINTS, or set so
}

// Entity is one entity of the entities section. A block reference is one
// entity; what it draws carries its index.
type Entity struct {
	Type   string // "LINE", "INSERT", …
	Handle uint64 // 0: the file gives none
	Layer  int32  // index in Layers
	Color  int32  // 0 by block, 256 by layer
	Line   int32  // line of the file on which it starts, from 1
	Place  int32  // N-th entity of the section, from 1
	Kept   bool   // false: left out of the outlines and told in Notices
}

// ID names the entity in findings: its handle, or #N where the file has none.
func (e *Entity) ID() string {
	if e.Handle != 0 {
		return strings.ToUpper(strconv.FormatUint(e.Handle, 16))
	}
	return fmt.Sprintf("#%d", e.Place)
}

// Stroke is a line or arc as drawn.
type Stroke struct {
	geom.Piece
	Entity int32 // index in Entities
	Layer  int32 // index in Layers, resolved through blocks
	Color  int16 // resolved through blocks and layers; 0 if unknown
	Made   Made  // how it came about
	Ring   bool  // a piece of a curve that one entity draws closed
	As     As    // what a repair has made of it, whatever its layer
}

// As says what a stroke has been decided to be, whatever the layer it was drawn
// on.
type As uint8

// What a stroke may be taken as.
const (
	AsLayer   As = iota // as its layer says
	AsEtch              // marked at low power
	AsNote              // carried over, not cut: undecided, or set aside
	AsSettled           // carried over, not cut, as a person decided
	AsCut               // cut
	AsTab               // on the line of a cut, left uncut
)

// Made tells drawn strokes from derived ones.
type Made uint8

// How a stroke came about.
const (
	Drawn  Made = iota // as in the file
	Fitted             // arcs that stand for a spline or ellipse
	Edited             // made or changed by a repair
)

// Curve is a spline or an ellipse as drawn.
type Curve struct {
	Entity, Layer int32
	Color         int16
	Kind          string        // "SPLINE", "ELLIPSE", "POLYLINE" (fitted)
	Spline        *curve.Spline // one of these two
	Ellipse       *curve.Ellipse
	First, Count  int32   // its strokes after Resolve
	Deviation     float64 // largest distance between curve and arcs, mm, after Resolve
}

// Text is lettering carried over, not cut.
type Text struct {
	Entity, Layer int32
	Color         int16
	At            geom.Point // left end of the baseline
	Insert        geom.Point // insertion point as drawn (for several lines often their upper left corner)
	Height, Angle float64    // mm (after Resolve), radians
	Value         string
	Centered      bool // At is the middle of the text instead
}

// Mark is a POINT entity.
type Mark struct {
	Entity, Layer int32
	Color         int16
	At            geom.Point
}

// NoticeKind says what a notice is about.
type NoticeKind uint8

// Kinds of notice.
const (
	NotFlat NoticeKind = iota // z, thickness or extrusion: flattened
	Unread                    // no outline is known for it
	Hidden                    // its layer is off or frozen, or it is invisible, or in paper space
	Wide                      // a polyline drawn as a filled band: its centre line was read
)

// Notice is something to tell of one entity.
type Notice struct {
	Kind   NoticeKind
	Entity int32
	Layer  int32
	At     geom.Point // a place on it, where known
	Box    geom.Box   // empty if unknown
	Text   string     // "z = 3", "IMAGE", "layer frozen"
}

// Problem is something wrong with the file itself, met and survived while
// reading.
type Problem struct {
	Code   string // stable: "decimal-comma", "bad-number", "cut-short", …
	Line   int    // line of the file, from 1
	Entity int32  // index in Entities, -1 if none
	Lost   bool   // something could not be read because of it
	Text   string
}

// LayerName returns the name of layer i, "" if out of range.
func (d *Drawing) LayerName(i int32) string {
	if i < 0 || int(i) >= len(d.Layers) {
		return ""
	}
	return d.Layers[i].Name
}

// NoPlot reports whether layer i is never plotted, false if out of range.
func (d *Drawing) NoPlot(i int32) bool {
	return i >= 0 && int(i) < len(d.Layers) && d.Layers[i].NoPlot
}

// Extents returns the box of all strokes, and of the control points of curves
// that are not strokes yet (in the current unit); empty if nothing is drawn.
func (d *Drawing) Extents() geom.Box {
	b := geom.NoBox()
	for i := range d.Strokes {
		b = b.Union(d.Strokes[i].Box())
	}
	for i := range d.Curves {
		if d.Curves[i].Count == 0 {
			b = b.Union(d.Curves[i].Box())
		}
	}
	return b
}
