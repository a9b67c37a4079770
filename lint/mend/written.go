package mend

import (
	"bytes"
	"context"
	"math"

	"sluice/geom/outline"
	"sluice/lint"
	"sluice/lint/job"
)

// Written returns a judged drawing as a corrected one is written, without any repair:
// every stroke on the layer of what it is. Where its outlines cannot be told apart, it
// is written stroke by stroke. It is read back, and judged as it is then.
func Written(ctx context.Context, res *lint.Result, o lint.Options) ([]byte, *lint.Result, error) {
	m := &mender{ctx: ctx, path: res.Path, j: res.Job, o: Options{Options: o}}
	for _, bare := range []bool{false, true} {
		m.way.bare = bare
		data, err := write(m.compose(res), res.Drawing.Unit)
		if err != nil {
			return nil, nil, err
		}
		j := *res.Job
		j.Units, j.UnitsBasis, j.Answers = res.Drawing.Unit.Name, res.Drawing.Unit.Basis, nil
		o.SureUnit, o.Known = true, lint.KnownParts(res)
		d, err := lint.Load(ctx, bytes.NewReader(data), &j, o)
		if err != nil {
			return nil, nil, err
		}
		back, err := lint.Judge(ctx, res.Path, d, &j, o)
		if err != nil {
			return nil, nil, err
		}
		was, is := lengths(res, &j), lengths(back, &j)
		whole := true
		for r := range was {
			whole = whole && math.Abs(was[r]-is[r]) <= 1e-6*was[r]+1e-3
		}
		if whole || bare {
			return data, back, nil
		}
	}
	return nil, nil, nil // not reached: the second way returns
}

// lengths sums the lengths of a drawing's strokes by role.
func lengths(r *lint.Result, j *job.Job) (sum [8]float64) {
	role, _ := lint.Roles(r.Drawing, j)
	for i := range r.Drawing.Strokes {
		if k := role(&r.Drawing.Strokes[i]); k != outline.Ignore {
			sum[k] += r.Drawing.Strokes[i].Length()
		}
	}
	return sum
}
