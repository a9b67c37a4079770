package mend

import (
	"slices"

	"sluice/fix/tab"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/dxf"
	"sluice/lint"
)

// slatNote writes below the parts for which slats new tabs are set, since they hang
// on how the sheet lies on the table. A drawing that says so already is left so.
func (m *mender) slatNote(res *lint.Result, tabs map[int32][]tab.Tab) []dxf.Item {
	text := lint.SlatNote(m.j)
	if len(tabs) == 0 || !(m.j.Table.SlatPitch > 0) ||
		slices.ContainsFunc(res.Drawing.Texts, func(t drawing.Text) bool { return t.Value == text }) {
		return nil
	}
	box := geom.NoBox()
	for i := range res.Sheet.Parts {
		box = box.Union(res.Sheet.Parts[i].Box)
	}
	h := m.j.Labels.MinHeight
	return []dxf.Item{{Layer: dxf.LayerNote, Text: &dxf.OutText{
		At: geom.Pt(box.Min.X, box.Min.Y-2*h), Height: h, Value: text,
	}}}
}

// dropsSlatNote reports whether a text says for which slats tabs are set that are
// closed again, and notes that it goes with them.
func (m *mender) dropsSlatNote(t *drawing.Text) bool {
	if !m.o.Untab || !m.o.wants("untab") || !lint.IsSlatNote(t.Value) {
		return false
	}
	if !m.again && int(t.Entity) < len(m.touched) {
		m.touched[t.Entity] = true
	}
	return true
}
