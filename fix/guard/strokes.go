package guard

import (
	"bytes"
	"context"
	"fmt"
	"math"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/dxf"
)

// Role says what a stroke is for.
type Role uint8

// Roles.
const (
	Cut     Role = iota // cut through
	Tab                 // on the line of a cut, left uncut
	Etch                // marked
	Note                // carried over, neither cut nor marked
	Nothing             // left out by its layer
)

// Stroke is a line or arc with what it is for.
type Stroke struct {
	geom.Piece
	Role  Role
	Layer string
}

// Strokes returns the strokes of a drawing in mm, one for one.
func Strokes(d *drawing.Drawing, role func(*drawing.Stroke) Role) []Stroke {
	out := make([]Stroke, len(d.Strokes))
	for i := range d.Strokes {
		s := &d.Strokes[i]
		out[i] = Stroke{s.Piece, role(s), d.LayerName(s.Layer)}
	}
	return out
}

// writtenRole returns the role of what lies on a layer of a corrected drawing.
func writtenRole(layer string) Role {
	switch layer {
	case dxf.LayerOutside, dxf.LayerInside, dxf.LayerRunOutside, dxf.LayerRunInside:
		return Cut
	case dxf.LayerTab:
		return Tab
	case dxf.LayerEtch, dxf.LayerRunEtch:
		return Etch
	case dxf.LayerNote:
		return Note
	case dxf.LayerWay, dxf.LayerWayRaised:
		return Nothing
	}
	return Cut // of a layer that should not be there the worst is assumed
}

// Read reads the bytes of a corrected drawing for what they say, in the unit that
// they state.
func Read(ctx context.Context, data []byte) ([]Stroke, error) {
	d, err := readDrawing(ctx, data)
	if err != nil {
		return nil, err
	}
	return Strokes(d, func(s *drawing.Stroke) Role { return writtenRole(d.LayerName(s.Layer)) }), nil
}

func readDrawing(ctx context.Context, data []byte) (*drawing.Drawing, error) {
	d, err := dxf.Read(ctx, bytes.NewReader(data), dxf.Options{})
	if err != nil {
		return nil, fmt.Errorf("the corrected drawing cannot be read back: %w", err)
	}
	for i := range d.Problems {
		if d.Problems[i].Lost {
			return nil, fmt.Errorf("the corrected drawing cannot be read back whole: line %d: %s", d.Problems[i].Line, d.Problems[i].Text)
		}
	}
	// The unit is the one stated, whatever speaks against it; nothing is to be refitted.
	if err := d.ResolveContext(ctx, d.Stated(), "header", drawing.UnitHints{Sure: true}, Tolerance); err != nil {
		return nil, err
	}
	return d, nil
}

// flat is the sagitta, mm, up to which an arc is taken as its chord: the centres
// of flatter ones lie so far off that a double no longer holds their place.
const flat = 1e-4

// plain returns the piece as it is compared: a chord for an arc flatter than flat.
func plain(p geom.Piece) geom.Piece {
	if p.R > 0 && !p.IsCircle() && math.Abs(math.Tan(p.Sweep/4))*p.A.Dist(p.B)/2 < flat && math.Abs(p.Sweep) < math.Pi {
		return geom.Line(p.A, p.B)
	}
	return p
}
