package mend

import (
	"context"
	"fmt"

	"sluice/fix/guard"
	"sluice/geom"
	"sluice/lint"
)

// CheckPaths compares a drawing of paths, about to be written, with the corrected
// drawing that they are for: the stream must take nothing from any part. Where it
// is told already that parts lie too near for that, told says so in words; else
// the error says where and how much.
func CheckPaths(ctx context.Context, after *lint.Result, paths []byte) (told string, err error) {
	kerf := after.Job.Jet.Kerf
	p := guard.Plan{
		Sheet: guardStrokes(after.Drawing, after.Job), Kerf: kerf, Join: after.Job.Limits.Join,
		Told: tooNear(after, kerf), Shared: len(after.Sheet.Shared) > 0,
	}
	for i := range after.Sheet.Open {
		p.Open = append(p.Open, after.Sheet.Open[i].Pieces)
	}
	p.Open = append(p.Open, after.Sheet.HoleEdges())
	entered, err := p.Paths(ctx, paths)
	if err != nil || len(entered) == 0 {
		return "", err
	}
	f := &entered[0]
	return fmt.Sprintf("%d places where a cut takes from the part beside it, as told: up to %.3g mm, at %.2f, %.2f mm", len(entered), f.Much, f.At.X, f.At.Y), nil
}

// tooNear returns the strips between parts of which it is told that they touch,
// cross, or lie too near to each other.
func tooNear(r *lint.Result, kerf float64) []geom.Box {
	var out []geom.Box
	for i := range r.Findings {
		f := &r.Findings[i]
		switch f.Rule {
		case "close-parts", "shared-edge":
		case "crossing-outlines":
			// What crosses has no waste side of its own.
			for k := range r.Sheet.Outlines {
				if o := &r.Sheet.Outlines[k]; o.Box.Inflate(kerf).Contains(f.At) {
					if d, _ := o.Pieces.Dist(f.At); d <= kerf {
						out = append(out, o.Box)
					}
				}
			}
			continue
		default:
			continue
		}
		out = append(out, f.Box)
		var near []geom.Box // of the parts concerned
		for k := range r.Sheet.Parts {
			if b := r.Sheet.Parts[k].Box.Inflate(kerf); b.Contains(f.At) {
				near = append(near, b)
			}
		}
		for k := range near {
			for n := range k {
				out = append(out, common(near[k], near[n]))
			}
		}
	}
	return out
}

// common returns what two boxes have in common.
func common(a, b geom.Box) geom.Box {
	return geom.Box{
		Min: geom.Pt(max(a.Min.X, b.Min.X), max(a.Min.Y, b.Min.Y)),
		Max: geom.Pt(min(a.Max.X, b.Max.X), min(a.Max.Y, b.Max.Y)),
	}
}
