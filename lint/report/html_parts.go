package report

import (
	"fmt"
	"html/template"
	"io"
	"strconv"
	"strings"

	"sluice/geom"
	"sluice/lint"
)

// rowsByPart returns, for each part of the sheet, the index of the row that
// lists it, -1 where none does.
func rowsByPart(r *lint.Result, rows []PartRow) []int {
	out := make([]int, len(r.Sheet.Parts))
	for i := range out {
		out[i] = -1
	}
	for k := range rows {
		for _, i := range rows[k].parts {
			if i < len(out) {
				out[i] = k
			}
		}
	}
	return out
}

// partsPerStep is how many rows of the schedule are shown at once.
const partsPerStep = 300

// schedule fills in the part list.
func (f *filePage) schedule(m *rowMaker, r *lint.Result, rows []PartRow) {
	parts := make([][]string, len(rows))
	boxes := make([]geom.Box, len(rows))
	for i := range boxes {
		boxes[i] = geom.NoBox()
	}
	if r != nil && r.Sheet != nil {
		for i, k := range rowsByPart(r, rows) {
			if k >= 0 {
				parts[k] = append(parts[k], strconv.Itoa(i))
				if b := r.Sheet.Parts[i].Box; usable(b) {
					boxes[k] = boxes[k].Union(b)
				}
			}
		}
	}
	var s partSums
	var all []partRow
	for i := range rows {
		p := &rows[i]
		s.add(p)
		at := geom.Point{}
		if len(p.At) > 0 {
			at = p.At[0]
		}
		all = append(all, partRow{
			PartRow: PartRow{Number: dash(clean(p.Number)), Count: p.Count, Pierces: p.Pierces, Tabs: p.Tabs,
				Layer: clean(p.Layer), Name: clean(p.Name)},
			Side: f.Side, ID: fmt.Sprintf("%s-part-%d", f.ID, i), Go: m.goTo(at, boxes[i]), Parts: strings.Join(parts[i], " "),
			Size:  fixed(p.Width, 1) + " × " + fixed(p.Height, 1),
			AreaT: fixed(p.Area/100, 2), CutT: fixed(p.CutLength, 0),
		})
	}
	f.Parts = all[:min(len(all), partsPerStep)]
	f.PartsLeft = len(all) - len(f.Parts)
	for k := partsPerStep; k < len(all); k += partsPerStep {
		f.MoreParts = append(f.MoreParts, all[k:min(len(all), k+partsPerStep)])
	}
	f.PartKinds, f.PartCount = len(all), s.parts
	if len(rows) > 0 {
		f.PartSums = fmt.Sprintf("%s of %s, %s cm² of stock, %s m of cut, %s, %s", plural(s.parts, "part"), plural(len(rows), "kind"),
			fixed(s.area/100, 1), fixed(s.cut/1000, 2), plural(s.pierces, "pierce"), plural(s.tabs, "tab"))
	}
}

// PartsHTML writes the schedule as an HTML page that stands alone, with the
// drawing beside it where r has one; r may be nil.
func PartsHTML(w io.Writer, version string, r *lint.Result, rows []PartRow) error {
	if r == nil {
		r = &lint.Result{Extents: geom.NoBox()}
	}
	title := "Part schedule"
	if r.Path != "" {
		title += ": " + r.Path
	}
	p := newPage(title, version)
	p.Schedule = true
	f := &filePage{ID: "f0", Path: clean(r.Path), Side: "before"}
	frame := f.frame(r, nil)
	pic := newPicture(geom.Pt(frame.Min.X, frame.Max.Y))
	f.side(pic, "before", r, nil, rows, nil, frame)
	f.Picture = template.HTML(pic.String())
	f.schedule(&rowMaker{f.ID, pic.path.origin, nil}, r, rows)
	f.common(r, nil)
	f.Verdict = f.PartSums
	p.Files = []*filePage{f}
	return p.write(w)
}
