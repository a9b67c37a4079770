package mend

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/outline"
	"sluice/lint"
)

// account says what became of every entity of the input.
func account(before *lint.Result, touched []bool) lint.Account {
	d := before.Drawing
	why := make([]string, len(d.Entities))
	for i := range d.Notices {
		n := &d.Notices[i]
		if n.Kind != drawing.NotFlat && why[n.Entity] == "" {
			why[n.Entity] = n.Text
		}
	}
	var a lint.Account
	types := map[string]*lint.TypeAccount{}
	left := map[[2]string]int{}
	for i := range d.Entities {
		e := &d.Entities[i]
		t := types[e.Type]
		if t == nil {
			t = &lint.TypeAccount{Type: e.Type}
			types[e.Type] = t
		}
		a.Read++
		t.Read++
		switch f := before.Fates[i]; {
		case touched[i] && f != lint.LeftOut:
			a.Replaced++
			t.Replaced++
		case f == lint.Used:
			a.Used++
			t.Used++
		case f == lint.Carried:
			a.Carried++
			t.Carried++
		default:
			a.LeftOut++
			t.LeftOut++
			w := why[i]
			switch {
			case w != "":
			case e.Kept:
				w = "draws nothing that is cut or carried (" + d.LayerName(e.Layer) + ")"
			default:
				w = "no outline is known for it"
			}
			left[[2]string{e.Type, w}]++
		}
	}
	for _, t := range types {
		a.ByType = append(a.ByType, *t)
	}
	slices.SortFunc(a.ByType, func(x, y lint.TypeAccount) int { return cmp.Compare(x.Type, y.Type) })
	for k, n := range left {
		a.Left = append(a.Left, lint.LeftOutItem{Type: k[0], Count: n, Why: k[1]})
	}
	slices.SortFunc(a.Left, func(x, y lint.LeftOutItem) int {
		return cmp.Or(cmp.Compare(x.Type, y.Type), cmp.Compare(x.Why, y.Why))
	})
	return a
}

// checkAccount fails where the sums do not agree: then an entity was lost.
func checkAccount(a lint.Account) error {
	if a.Read != a.Used+a.Carried+a.Replaced+a.LeftOut {
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
			tabs = append(tabs, lint.Tab{
				Part: res.Names[o.Part], At: halfway(r.path, gap/2),
				Width: gap - res.Job.Jet.Kerf, Gap: gap,
			})
		}
	}
	return tabs
}

func halfway(p geom.Path, s float64) geom.Point {
	for i := range p {
		l := p[i].Length()
		if s <= l && l > 0 {
			return p[i].At(s / l)
		}
		s -= l
	}
	return p[len(p)-1].B
}

// readLabels lists the numbers of a corrected drawing.
func (m *mender) readLabels(res *lint.Result) []lint.Label {
	labels := []lint.Label{}
	for i, k := range lint.ReadLabels(res.Drawing, res.Sheet, true) {
		if k < 0 {
			continue
		}
		t := &res.Drawing.Texts[i]
		l := lint.Label{
			Part: res.Names[k], Text: strings.TrimPrefix(t.Value, lint.LabelNote("")), At: t.At,
			Height: t.Height, Angle: t.Angle * 180 / math.Pi, Where: "beside",
		}
		if res.Sheet.PartAt(t.At) == k {
			l.Where = "inside"
		}
		labels = append(labels, l)
	}
	return labels
}
