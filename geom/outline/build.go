package outline

import (
	"context"
	"runtime"

	"sluice/geom/drawing"
)

// Role says what a stroke is for.
type Role uint8

// Roles.
const (
	Cut    Role = iota // bounds parts and holes
	Tab                // bounds parts, but is left uncut
	Etch               // marked, not cut
	Ignore             // neither
	Noted              // put aside, not cut: a mark that nobody has decided on
)

// Options are the tolerances of Build, mm. All must be above 0.
type Options struct {
	Join    float64 // ends nearer than this are one place
	Gap     float64 // free ends nearer than this are bridged while judging
	Same    float64 // pieces nearer than this all along are drawn twice
	Search  float64 // how far a free end looks for its partner
	Kerf    float64 // lone chains shorter than this are strays
	Workers int     // cores to use, 0 for all
	Once    bool    // edges common to two parts are flagged IsTwin in one of them too
	// Layer says which strokes count as on one layer; nil: those on one layer
	// of the drawing.
	Layer func(*drawing.Stroke) int32
	// Colors says that what is drawn in unlike colours may be unlike things; set
	// where Layer is nil.
	Colors bool

	Aside [AsideKinds]Choice // what a person decided of outlines that bound no part
	Texts []TextAt           // where text stands, which tells title blocks and tables
	Own   bool               // this program wrote the drawing: what it cuts of lettering has been decided
	// Decided says that this program wrote the drawing: what it cuts that looks like a
	// border or a step has been decided.
	Decided bool

	plain bool // outlines are nested, and nothing is set aside
}

// Build joins strokes into outlines and parts. role gives each stroke's role.
// The strokes are not changed. It returns ctx's error if that ends first.
//
// It goes from stage to stage. Each is made by one function out of those before
// it, which it embeds, and is not changed afterwards:
//
//	chosen   what is drawn to be cut, as pieces                       choose.go
//	placed   nodes; which pieces repeat others whole                  place.go
//	noding   segs: pieces less repeats, split where others end        noding.go
//	bridged  gaps between free ends, and bridges that close them      gaps.go
//	rings    outlines, and what hangs free or crosses                 rings.go
//	nested   which outline lies in which                              nest.go
//	sifted   less what bounds no part                                 aside.go
//	Sheet    parts in order, and what is to be told of the rest       tell.go
//
// The way goes back in two places: close, below, bridges once more and makes the
// rings anew; putAside nests anew whenever it has taken outlines out.
func Build(ctx context.Context, strokes []drawing.Stroke, role func(*drawing.Stroke) Role, o Options) (*Sheet, error) {
	if o.Workers <= 0 {
		o.Workers = runtime.GOMAXPROCS(0)
	}
	if o.Layer == nil {
		o.Layer = func(s *drawing.Stroke) int32 { return s.Layer }
		o.Colors = true
	}
	n, err := choose(strokes, role, o).place().node(ctx)
	if err != nil {
		return nil, err
	}
	gaps := n.pairGaps()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	s, err := gaps.close().putAside(ctx, role)
	if err != nil {
		return nil, err
	}
	return s.tell(), ctx.Err()
}

// close makes outlines of what the gaps and bridges join, and finds which lies
// in which: once more where outlines that are almost closed (shells) lie in
// nothing, with these bridged.
func (g *bridged) close() *nested {
	n := g.rings().nest()
	if shells := n.shellsInNothing(g.shells); len(shells) > 0 {
		n = g.bridge(shells).rings().nest()
	}
	return n
}
