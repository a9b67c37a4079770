package kit

import (
	"sluice/fix/fit"
	"sluice/lint/job"
)

// OptionsFor returns what suits a job, and the thicknesses that sheet comes in.
func OptionsFor(j *job.Job, stock []float64) Options {
	o := DefaultOptions()
	o.Sheet, o.Stock = j.Sheet.Thickness, stock
	if j.Fit.Measured > 0 {
		o.Sheet = j.Fit.Measured
	}
	return o
}

// TargetOf returns the sheet that slots are to suit under a job, and where its
// tolerance comes from ("measured", "job", a standard, or "" for none). ok is
// false while the job states no thickness.
func TargetOf(j *job.Job) (t fit.Target, source string, ok bool) {
	t = fit.Target{Thickness: j.Sheet.Thickness, Clearance: j.Fit.Gap(), Taper: j.SlotTaper()}
	switch {
	case j.Fit.Measured > 0:
		t.Thickness, source = j.Fit.Measured, "measured"
	case t.Thickness <= 0:
		return t, "", false
	case j.Fit.Tolerance > 0:
		t.Minus, t.Plus, source = j.Fit.Tolerance, j.Fit.Tolerance, "job"
	default:
		width := 0.0
		if len(j.Sheet.Size) == 2 {
			width = min(j.Sheet.Size[0], j.Sheet.Size[1])
		}
		if b, known := fit.Stock(j.Sheet.Material, t.Thickness, width); known {
			t.Minus, t.Plus, source = b.Minus, b.Plus, b.Source
		}
	}
	return t, source, true
}
