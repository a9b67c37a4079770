package drawing

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"sync"
	"sync/atomic"

	"sluice/geom"
	"sluice/geom/curve"
)

var errTooMany = errors.New("with the curves before it, it would take too many of them; check the unit, or explode the drawing")

// fitCurves appends to Strokes the arcs that stand for each spline and ellipse.
// A curve that cannot be fitted is told as a problem. It returns ctx's error if
// that comes first.
func (d *Drawing) fitCurves(ctx context.Context, tol float64) error {
	type result struct {
		arcs []geom.Piece
		dev  float64
		err  error
	}
	results := make([]result, len(d.Curves))
	ok := d.allowed(tol)
	var next atomic.Int64
	work := func() {
		for ctx.Err() == nil {
			i := int(next.Add(1)) - 1
			if i >= len(d.Curves) {
				return
			}
			r := &results[i]
			switch c := &d.Curves[i]; {
			case !ok[i]:
				r.err = errTooMany
			case c.Spline != nil:
				r.arcs, r.dev, r.err = curve.FitSpline(c.Spline, tol)
			case c.Ellipse != nil:
				r.arcs, r.dev, r.err = curve.FitEllipse(c.Ellipse, tol)
			}
		}
	}
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), 1+len(d.Curves)/16) {
		wg.Go(work)
	}
	wg.Wait()
	if err := ctx.Err(); err != nil {
		return err
	}
	for i := range d.Curves {
		c, r := &d.Curves[i], &results[i]
		if c.Spline == nil && c.Ellipse == nil {
			continue
		}
		if r.err == nil && len(r.arcs) == 0 {
			r.err = fmt.Errorf("it has no length")
		}
		if r.err != nil {
			e := &d.Entities[c.Entity]
			p := Problem{
				Code: "bad-curve", Line: int(e.Line), Entity: c.Entity, Lost: true,
				Text: fmt.Sprintf("a %s cannot be turned into arcs: %v", c.Kind, r.err),
			}
			// What a block reference repeats is told once.
			if n := len(d.Problems); n == 0 || d.Problems[n-1] != p {
				d.Problems = append(d.Problems, p)
			}
			continue
		}
		c.First, c.Count, c.Deviation = int32(len(d.Strokes)), int32(len(r.arcs)), r.dev
		for _, p := range r.arcs {
			d.Strokes = append(d.Strokes, Stroke{Piece: p, Entity: c.Entity, Layer: c.Layer, Color: c.Color, Made: Fitted})
		}
	}
	d.dropUnfitted()
	return nil
}

// dropUnfitted takes out the curves that gave no strokes, and no longer keeps
// entities that draw nothing because of it.
func (d *Drawing) dropUnfitted() {
	bad := false
	for i := range d.Curves {
		bad = bad || d.Curves[i].Count == 0
	}
	if !bad {
		return
	}
	draws := make([]bool, len(d.Entities))
	for i := range d.Strokes {
		draws[d.Strokes[i].Entity] = true
	}
	for i := range d.Texts {
		draws[d.Texts[i].Entity] = true
	}
	for i := range d.Points {
		draws[d.Points[i].Entity] = true
	}
	kept := d.Curves[:0]
	for _, c := range d.Curves {
		if c.Count > 0 {
			kept = append(kept, c)
		} else if !draws[c.Entity] {
			d.Entities[c.Entity].Kept = false
		}
	}
	d.Curves = kept
}
