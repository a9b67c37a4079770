package figures

import (
	"slices"

	"sluice/lint"
	"sluice/lint/cutting"
	"sluice/lint/slats"
)

// Holding is what is to be known at the machine of how the parts of a corrected
// drawing are held.
type Holding struct {
	Slats  string   // for which slats, where it matters; else ""
	Turned []string // parts without tabs that do not stand with the slats turned, by number
	Pushed []string // parts without tabs that the stream outweighs on an edge beyond the slats, by number
	Push   float64  // with which it presses, N

	Width     float64 // of the widest tab, mm; 0 without tabs
	Thickness float64 // of the sheet, mm; 0: unset
	Force     float64 // that shears that tab off, N; 0: not known
	Shear     float64 // strength it is reckoned with, MPa
	Auto      float64 // width that "auto" makes tabs, mm
}

// spare is by how much, mm, a width may differ and be the same: what is read back
// from a drawing is rounded.
const spare = 1e-3

// Narrower reports whether "auto" makes tabs narrower than the widest one is.
func (h *Holding) Narrower() bool { return h.Auto < h.Width-spare }

// TooStrong reports whether hands cannot shear the widest tab off.
func (h *Holding) TooStrong() bool { return h.Force > cutting.Hands }

// TooWide reports whether the widest tab is more than half as wide as the sheet is
// thick, so that it bends over before it breaks.
func (h *Holding) TooWide() bool { return h.Thickness > 0 && h.Width > h.Thickness/2+spare }

// holdingOf looks at a corrected drawing.
func holdingOf(r *lint.Result, tabs []lint.Tab) Holding {
	var h Holding
	j := r.Job
	if j == nil || r.Sheet == nil {
		return h
	}
	for i := range tabs {
		h.Width = max(h.Width, tabs[i].Width)
	}
	if h.Width > 0 {
		m, _ := cutting.FindMaterial(j.Sheet.Material, j.Material)
		h.Thickness, h.Shear = j.Sheet.Thickness, m.Shear
		h.Force, _ = cutting.TabForce(j, h.Width)
		h.Auto = cutting.AutoTab(j)
	}
	if j.Tabs.Parts != "none" {
		h.Turned = loose(r, slats.Of(j).Turned())
	}
	pushed := slats.Of(j).Pushed()
	h.Push, h.Pushed = pushed.Push(), loose(r, pushed)
	if len(tabs) > 0 || len(h.Turned) > 0 {
		h.Slats = lint.SlatNote(j, len(tabs) > 0)
	}
	return h
}

// loose names the parts without tabs that stand on the slats of the job but not on
// a table. Of copies that lie alike one is looked at.
func loose(r *lint.Result, t *slats.Table) []string {
	type copies struct {
		name string
		w, h int64 // um
	}
	own := slats.Of(r.Job)
	var names []string
	seen := map[copies]bool{}
	for k := range min(len(r.Sheet.Parts), len(r.Names)) {
		p := &r.Sheet.Parts[k]
		of := copies{r.Names[k], int64(p.Box.W() * 1000), int64(p.Box.H() * 1000)}
		if r.Sheet.Outlines[p.Outer].Tabs > 0 || p.Unsure() || seen[of] || slices.Contains(names, of.name) {
			continue
		}
		seen[of] = true
		if own.Part(r.Sheet, k).Why == slats.Held && t.Part(r.Sheet, k).Why != slats.Held {
			names = append(names, of.name)
		}
	}
	slices.SortFunc(names, lint.CompareNames)
	return names
}
