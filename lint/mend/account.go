package mend

import (
	"fmt"
	"math"

	"sluice/geom/outline"
	"sluice/lint"
)

// checkAccount fails where the sums do not agree: then an entity was lost.
func checkAccount(a lint.Account) error {
	if !a.Balanced() {
		return fmt.Errorf("internal: %d entities read but %d accounted for; please report this drawing", a.Read, a.Used+a.Carried+a.Replaced+a.LeftOut)
	}
	return nil
}

// readTabs lists the tabs of a corrected drawing.
func readTabs(res *lint.Result) []lint.Tab {
	tabs := []lint.Tab{}
	for i := range res.Sheet.Outlines {
		o := &res.Sheet.Outlines[i]
		if o.Tabs == 0 {
			continue
		}
		for _, r := range runs(&o.Path, true) {
			if r.flag&outline.IsTab == 0 {
				continue
			}
			gap := r.path.Length()
			at, _ := r.path.Along(gap / 2)
			tabs = append(tabs, lint.Tab{
				Part: res.Names[o.Part], At: at,
				Width: gap - res.Job.Jet.Kerf, Gap: gap,
			})
		}
	}
	return tabs
}

// readLabels lists the numbers of a corrected drawing.
func (m *mender) readLabels(res *lint.Result) []lint.Label {
	labels := []lint.Label{}
	for i, k := range lint.ReadLabels(res.Drawing, res.Sheet, true) {
		if k < 0 {
			continue
		}
		t := &res.Drawing.Texts[i]
		_, text, _ := lint.ReadLabelNote(t.Value)
		if text == "" {
			continue // named, not numbered
		}
		l := lint.Label{
			Part: res.Names[k], Text: text, At: t.At,
			Height: t.Height, Angle: t.Angle * 180 / math.Pi, Where: "beside",
		}
		if res.Sheet.PartAt(t.At) == k {
			l.Where = "inside"
		}
		labels = append(labels, l)
	}
	return labels
}
