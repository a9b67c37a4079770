package report

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"sluice/geom"
	"sluice/geom/outline"
	"sluice/lint"
)

// PartRow is one line of the part schedule: all parts of one number.
type PartRow struct {
	Number        string
	Count         int
	Width, Height float64 // of the first of them as it lies, mm
	Area          float64 // of one part less its holes, mm2
	CutLength     float64 // of one part, tabs left out, mm
	Pierces       int     // of one part: one for each run of cut
	Tabs          int     // of one part
	Layer         string
	Name          string
	At            []geom.Point // the middle of each, in reading order
	GoesInto      []string     // numbers of the parts that take its tabs; see AddJoints
	Takes         []string     // numbers of the parts whose tabs it takes
	Joints        Joints

	parts []int    // index in Sheet.Parts of each
	sums  partSums // over all parts of the row; without parts: Count times one part
}

// PartRows makes the schedule of a judged drawing: parts of the same number and
// label share a row; rows run by number, parts without one last.
func PartRows(r *lint.Result) []PartRow {
	if r == nil || r.Sheet == nil {
		return nil
	}
	type key struct {
		number int
		label  string
	}
	var rows []PartRow
	at := map[key]int{}
	for i := range r.Sheet.Parts {
		p := &r.Sheet.Parts[i]
		k := key{p.Number, partName(r, i)}
		j, ok := at[k]
		if !ok {
			j = len(rows)
			rows = append(rows, firstRow(r, p, k.label))
			if k != (key{}) { // parts without a number have a row each
				at[k] = j
			}
		}
		rows[j].Count++
		rows[j].all(r, p)
		rows[j].At = append(rows[j].At, p.Box.Center())
		rows[j].parts = append(rows[j].parts, i)
	}
	slices.SortStableFunc(rows, func(a, b PartRow) int {
		return cmp.Or(cmp.Compare(btoi(a.Number == ""), btoi(b.Number == "")), compareNatural(a.Number, b.Number))
	})
	return rows
}

// all adds one part to the totals of its row: copies may have other tabs.
func (row *PartRow) all(r *lint.Result, p *outline.Part) {
	for _, o := range append([]int32{p.Outer}, p.Holes...) {
		if o < 0 || int(o) >= len(r.Sheet.Outlines) {
			continue
		}
		ol := &r.Sheet.Outlines[o]
		length, runs := cutRuns(&ol.Path)
		row.sums.cut += length
		row.sums.pierces += runs
		row.sums.tabs += ol.Tabs
	}
	row.sums.parts++
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// partName returns the label of part i of the sheet, "" if it has none.
func partName(r *lint.Result, i int) string {
	if i < len(r.Names) && r.Names[i] != "" {
		return r.Names[i]
	}
	if n := r.Sheet.Parts[i].Number; n > 0 {
		return strconv.Itoa(n)
	}
	return ""
}

func firstRow(r *lint.Result, p *outline.Part, number string) PartRow {
	row := PartRow{Number: number, Area: p.Area}
	if usable(p.Box) {
		row.Width, row.Height = p.Box.W(), p.Box.H()
	}
	for k, o := range append([]int32{p.Outer}, p.Holes...) {
		if o < 0 || int(o) >= len(r.Sheet.Outlines) {
			continue
		}
		ol := &r.Sheet.Outlines[o]
		if k == 0 {
			row.Layer = layerOf(r, cutSources(&ol.Path))
		}
		length, runs := cutRuns(&ol.Path)
		row.CutLength += length
		row.Pierces += runs
		row.Tabs += ol.Tabs
	}
	return row
}

// cutRuns returns the length of the pieces of a closed path that are cut and
// the number of runs into which tabs divide it.
func cutRuns(p *outline.Path) (length float64, runs int) {
	tab := func(i int) bool { return i < len(p.Flags) && p.Flags[i]&outline.IsTab != 0 }
	n := len(p.Pieces)
	cut := 0
	for i := range p.Pieces {
		if tab(i) {
			continue
		}
		cut++
		if i >= len(p.Flags) || p.Flags[i]&outline.IsBridge == 0 {
			length += p.Pieces[i].Length()
		}
		if tab((i + n - 1) % n) {
			runs++
		}
	}
	if cut == n && n > 0 {
		runs = 1
	}
	if math.IsNaN(length) || math.IsInf(length, 0) {
		length = 0
	}
	return length, runs
}

// cutSources returns the strokes of a path that are cut, tabs left out.
func cutSources(p *outline.Path) (src []int32) {
	for i, s := range p.Src {
		if i >= len(p.Flags) || p.Flags[i]&outline.IsTab == 0 {
			src = append(src, s)
		}
	}
	return src
}

// layerOf returns the layer of the first drawn stroke of a path.
func layerOf(r *lint.Result, src []int32) string {
	if r.Drawing == nil {
		return ""
	}
	for _, s := range src {
		if s >= 0 && int(s) < len(r.Drawing.Strokes) {
			return r.Drawing.LayerName(r.Drawing.Strokes[s].Layer)
		}
	}
	return ""
}
