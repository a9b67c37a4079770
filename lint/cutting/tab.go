package cutting

import (
	"math"

	"sluice/lint/job"
)

// Widths of tabs, mm.
const (
	// widestTab is the usual one: it holds any part and breaks by hand in sheet of
	// 3 mm aluminium (common practice: 0.3 to 1.5 mm, no source).
	widestTab = 0.8
	// narrowestTab leaves a tenth where a worn tube cuts 0.2 mm wider than the job
	// says (the bore grows by so much in its life, from memory).
	narrowestTab = 0.3
	// tabStep is what widths are rounded down to.
	tabStep = 0.05
)

// Hands is the force, N, that hands are taken to put on a tab: half the weight of
// a person leaning on the part (common practice, no source).
const Hands = 400.0

// TabWidth returns the width of tabs under a job, mm.
func TabWidth(j *job.Job) float64 {
	if j.Tabs.Width != job.Auto {
		return j.Tabs.Width
	}
	return AutoTab(j)
}

// AutoTab returns the width of "auto" tabs, mm: the widest that hands can shear off
// in the sheet and that is no more than half as wide as the sheet is thick, so that
// it breaks and does not bend over and leave a stub (common practice, no source);
// from 0.3 to 0.8 mm, in steps of 0.05 mm. What is not known of material and
// thickness does not bound it.
func AutoTab(j *job.Job) float64 {
	w := widestTab
	if t := j.Sheet.Thickness; t > 0 {
		w = min(w, t/2)
		if m, ok := FindMaterial(j.Sheet.Material, j.Material); ok && m.Shear > 0 {
			w = min(w, Hands/(m.Shear*t))
		}
	}
	return max(narrowestTab, math.Floor(w/tabStep+1e-9)*tabStep)
}

// DrawnGap returns the gap to draw for a tab, mm: a round stream also eats half a
// kerf past each end of a cut.
func DrawnGap(j *job.Job) float64 { return TabWidth(j) + j.Jet.Kerf }

// TabForce returns the force, N, that shears a tab of a width (mm) straight off:
// shear strength times width times thickness. Rocking the part to and fro breaks
// it with much less. ok is false where the shear strength or the thickness is not
// known.
func TabForce(j *job.Job, width float64) (force float64, ok bool) {
	m, _ := FindMaterial(j.Sheet.Material, j.Material)
	force = m.Shear * width * j.Sheet.Thickness
	return force, force > 0
}
