package report

import (
	"errors"
	"math"

	"sluice/fix"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/outline"
	"sluice/lint"
	"sluice/lint/figures"
	"sluice/lint/job"
)

// maker builds sheets by hand, so that these tests do not lean on the engine.
type maker struct {
	sheet outline.Sheet
	draw  drawing.Drawing
}

func newMaker() *maker {
	m := &maker{}
	m.draw.Unit = drawing.Unit{Name: "in", Factor: 25.4, Basis: "header"}
	m.draw.Layers = []drawing.Layer{{Name: "0"}, {Name: "ETCH"}}
	return m
}

func (m *maker) entity(typ string, pieces ...geom.Piece) []int32 {
	e := int32(len(m.draw.Entities))
	m.draw.Entities = append(m.draw.Entities, drawing.Entity{Type: typ, Handle: uint64(0x20 + e), Line: 10 + 8*e, Place: e + 1, Kept: true})
	var src []int32
	for _, p := range pieces {
		src = append(src, int32(len(m.draw.Strokes)))
		m.draw.Strokes = append(m.draw.Strokes, drawing.Stroke{Piece: p, Entity: e})
	}
	return src
}

// closed adds an outline; parent is -1 for a part, else the outline around it.
func (m *maker) closed(parent int32, path geom.Path, flags ...outline.Flag) int32 {
	if len(flags) == 0 {
		flags = make([]outline.Flag, len(path))
	}
	i := int32(len(m.sheet.Outlines))
	o := outline.Outline{
		Path:   outline.Path{Pieces: path, Src: m.entity("LWPOLYLINE", path...), Flags: flags},
		Box:    path.Box(),
		Area:   math.Abs(path.Area()),
		Length: path.Length(), Centroid: path.Centroid(), Parent: parent, Closed: true,
	}
	for _, f := range flags {
		if f&outline.IsTab != 0 {
			o.Tabs++
		}
		if f&outline.IsBridge != 0 {
			o.Closed = false
		}
	}
	if parent < 0 {
		o.Part = int32(len(m.sheet.Parts))
		m.sheet.Parts = append(m.sheet.Parts, outline.Part{Outer: i, Area: o.Area, Centroid: o.Centroid, Box: o.Box, Number: len(m.sheet.Parts) + 1})
	} else {
		o.Depth = 1
		o.Part = m.sheet.Outlines[parent].Part
		p := &m.sheet.Parts[o.Part]
		p.Holes = append(p.Holes, i)
		p.Area -= o.Area
	}
	m.sheet.Outlines = append(m.sheet.Outlines, o)
	return i
}

// roundedPlate is a rectangle with rounded corners, counter-clockwise from its lower
// left.
func roundedPlate(x, y, w, h, r float64) geom.Path {
	pt := geom.Pt
	q := math.Pi / 2
	return geom.Path{
		geom.Line(pt(x+r, y), pt(x+w-r, y)), geom.Arc(pt(x+w-r, y+r), r, -q, q),
		geom.Line(pt(x+w, y+r), pt(x+w, y+h-r)), geom.Arc(pt(x+w-r, y+h-r), r, 0, q),
		geom.Line(pt(x+w-r, y+h), pt(x+r, y+h)), geom.Arc(pt(x+r, y+h-r), r, q, q),
		geom.Line(pt(x, y+h-r), pt(x, y+r)), geom.Arc(pt(x+r, y+r), r, 2*q, q),
	}
}

func box(x, y, w, h float64) geom.Path {
	a, b, c, d := geom.Pt(x, y), geom.Pt(x+w, y), geom.Pt(x+w, y+h), geom.Pt(x, y+h)
	return geom.Path{geom.Line(a, b), geom.Line(b, c), geom.Line(c, d), geom.Line(d, a)}
}

// gear is a wheel with n square teeth.
func gear(c geom.Point, n int, inner, outer float64) geom.Path {
	var p geom.Path
	step := 2 * math.Pi / float64(n)
	for i := range n {
		a := float64(i) * step
		p = append(p, geom.Arc(c, outer, a, step/2),
			geom.Line(geom.Polar(c, outer, a+step/2), geom.Polar(c, inner, a+step/2)),
			geom.Arc(c, inner, a+step/2, step/2),
			geom.Line(geom.Polar(c, inner, a+step), geom.Polar(c, outer, a+step)))
	}
	return p
}

func (m *maker) result(path string, fs ...lint.Finding) *lint.Result {
	r := &lint.Result{Path: path, Job: job.Default(), Drawing: &m.draw, Sheet: &m.sheet, Extents: figures.BoxOf(&m.sheet), Findings: fs}
	r.Job.Sheet.Material, r.Job.Sheet.Thickness = "5052 aluminium", 3.175
	r.Job.Sheet.Size = []float64{304.8, 203.2}
	for range m.draw.Entities {
		r.Fates = append(r.Fates, lint.Used)
	}
	r.Account = lint.AccountOf(r, nil)
	return r
}

// crane is a small sheet of crane parts with a gap, a doubled edge, a narrow
// slot and a loose mark; repaired it has tabs and etched numbers instead.
func crane(repaired bool) *maker {
	m := newMaker()
	jib := roundedPlate(20, 120, 180, 50, 12)
	if repaired {
		jib = append(geom.Path{jib[0].Sub(0, .4), jib[0].Sub(.4, .412), jib[0].Sub(.412, 1)}, jib[1:]...)
		m.closed(-1, jib, 0, outline.IsTab, 0, 0, 0, 0, 0, 0, 0, 0)
	} else {
		gap := jib[2].Sub(.5, .5).A
		g2 := gap.Add(geom.Pt(0, .3))
		jib = append(jib[:2:2], append(geom.Path{geom.Line(jib[2].A, gap), geom.Line(gap, g2), geom.Line(g2, jib[2].B)}, jib[3:]...)...)
		m.closed(-1, jib, 0, 0, 0, outline.IsBridge, 0, 0, 0, 0, 0, 0)
		m.sheet.Gaps = append(m.sheet.Gaps, outline.Gap{At: gap.Mid(g2), A: gap, B: g2, Width: .3, Partner: true, Bridged: true, Outline: 0})
	}
	m.closed(0, geom.Path{geom.Circle(geom.Pt(45, 145), 8)})
	m.closed(0, geom.Path{geom.Circle(geom.Pt(175, 145), 8)})
	m.closed(0, box(90, 130, 40, .8))
	m.closed(0, roundedPlate(80, 142, 60, 16, 8))
	wheel := m.closed(-1, gear(geom.Pt(60, 60), 18, 34, 40))
	m.closed(wheel, geom.Path{geom.Circle(geom.Pt(60, 60), 6)})
	for i := range 5 {
		m.closed(wheel, geom.Path{geom.Circle(geom.Polar(geom.Pt(60, 60), 20, float64(i)*2*math.Pi/5), 6)})
	}
	for i := range 3 {
		foot := m.closed(-1, roundedPlate(130+45*float64(i), 30, 36, 36, 4))
		m.sheet.Parts[len(m.sheet.Parts)-1].Number = 3
		m.closed(foot, geom.Path{geom.Circle(geom.Pt(148+45*float64(i), 48), 5)})
	}
	mark := geom.Path{geom.Line(geom.Pt(140, 135), geom.Pt(165, 135))}
	open := outline.Open{Path: outline.Path{Pieces: mark, Src: m.entity("LINE", mark...), Flags: make([]outline.Flag, 1)}, Box: mark.Box(), Length: 25, Inside: true}
	if repaired {
		m.sheet.Etch = append(m.sheet.Etch, open)
	} else {
		m.sheet.Open = append(m.sheet.Open, open)
		edge := geom.Line(geom.Pt(134, 30), geom.Pt(162, 30))
		m.entity("LINE", edge)
		m.sheet.Overlaps = append(m.sheet.Overlaps, outline.Overlap{Stroke: int32(len(m.draw.Strokes) - 1), Piece: edge, Whole: true, T1: 1})
	}
	m.draw.Texts = []drawing.Text{{At: geom.Pt(22, 175), Height: 4, Value: "jib & wheel <left>"}}
	return m
}

func craneFindings() []lint.Finding {
	at := geom.Pt
	return []lint.Finding{
		{Rule: "open-outline", Severity: lint.Error, Subject: lint.AboutGap(0), Message: "the outline stops 0.300 mm short of its other end", Fact: lint.Fact{One: "gap of # in the outline", Many: "gaps of # in outlines"}, At: at(200, 145.15), Box: geom.BoxOf(at(200, 145), at(200, 145.3)),
			Layer: "0", Entities: []string{"20"}, Part: "1", Measure: &lint.Measure{Name: "gap", Value: .3, Limit: .001, Unit: "mm"}, Repair: lint.Auto, ID: "a1"},
		{Rule: "narrow-slot", Severity: lint.Error, Message: "the slot is 0.800 mm wide, the stream 1.000 mm", Fact: lint.Fact{One: "slot # wide", Many: "slots # wide", Why: "below the 1 mm kerf"}, At: at(110, 130.4), Box: geom.BoxOf(at(90, 130), at(130, 130.8)),
			Layer: "0", Entities: []string{"23"}, Part: "1", Measure: &lint.Measure{Name: "width", Value: .8, Limit: 1, Unit: "mm"}, Repair: lint.Choice, ID: "a2"},
		{Rule: "duplicate-segment", Severity: lint.Error, Message: "this line lies wholly on another", Fact: lint.Fact{One: "piece drawn twice", Many: "pieces drawn twice"}, At: at(148, 30), Box: geom.BoxOf(at(134, 30), at(162, 30)),
			Layer: "0", Entities: []string{"34"}, Part: "3", Measure: &lint.Measure{Name: "apart", Value: 0, Limit: .01, Unit: "mm"}, Repair: lint.Auto, ID: "a3"},
		{Rule: "thin-web", Severity: lint.Warning, Message: "1.200 mm of material is left between two cuts", Fact: lint.Fact{One: "web # thick", Many: "webs # thick", Why: "1.59 mm needed"}, At: at(60, 33), Box: geom.BoxOf(at(58, 32), at(62, 34)),
			Layer: "0", Part: "2", Measure: &lint.Measure{Name: "web", Value: 1.2, Limit: 1.5875, Unit: "mm"}, Repair: lint.None, ID: "a4"},
		{Rule: "loose-mark", Severity: lint.Warning, Message: "an open line inside a part: cut, etched or neither?", At: at(152.5, 135), Box: geom.BoxOf(at(140, 135), at(165, 135)),
			Layer: "0", Entities: []string{"33"}, Part: "1", Repair: lint.Choice, ID: "a5"},
		{Rule: "small-part", Severity: lint.Warning, Message: "may tip between slats in 34 of 100 positions", Fact: lint.Fact{One: "can tip between the slats", Many: "parts can tip between the slats", Says: true}, At: at(148, 48), Box: geom.BoxOf(at(130, 30), at(166, 66)),
			Layer: "0", Part: "3", Measure: &lint.Measure{Name: "share", Value: .34, Limit: 0, Unit: "share"}, Repair: lint.Auto, ID: "a6"},
		{Rule: "unnumbered-part", Severity: lint.Note, Message: "the part carries no number", Fact: lint.Fact{One: "carries no number", Many: "parts without a number", Says: true}, At: at(60, 60), Box: geom.BoxOf(at(20, 20), at(100, 100)),
			Part: "2", Repair: lint.Auto, ID: "a7"},
	}
}

// craneLint is a judged drawing with findings, craneBad one that could not be
// read, craneEmpty one with nothing in it.
func craneLint() *lint.Result { return crane(false).result("kits/crane.dxf", craneFindings()...) }

func craneBad() *lint.Result {
	return &lint.Result{Path: "kits/broken.dxf", Err: errors.New("kits/broken.dxf: line 12: no section found; is this a DXF file?"), Extents: geom.NoBox()}
}

func craneEmpty() *lint.Result {
	r := newMaker().result("kits/empty.dxf")
	r.Extents = geom.NoBox()
	r.Drawing.Unit = drawing.Unit{Name: "mm", Factor: 1, Basis: "guess"}
	return r
}

func craneFix() *lint.Repaired {
	before, after := craneLint(), crane(true).result("crane-jet.dxf")
	fs := craneFindings()
	after.Findings = []lint.Finding{fs[1], fs[3]}
	r := &lint.Repaired{Input: "kits/crane.dxf", Output: "crane-jet.dxf", Before: before, After: after, Left: after.Findings}
	r.Edits = []fix.Edit{
		{Kind: "close-gap", Rule: "open-outline", At: fs[0].At, Moved: .15, Part: "1", Entities: []string{"20"}, Note: "both ends moved to the middle of the gap"},
		{Kind: "drop-duplicate", Rule: "duplicate-segment", At: fs[2].At, Part: "3", Entities: []string{"34"}, Note: "the second line was deleted"},
		{Kind: "etch", Rule: "loose-mark", At: fs[4].At, Part: "1", Entities: []string{"33"}},
		{Kind: "tab", Rule: "small-part", At: geom.Pt(98.3, 120), Part: "1", Note: "0.8 mm stays"},
		{Kind: "label", Rule: "unnumbered-part", At: geom.Pt(60, 85), Part: "2"},
	}
	r.Skipped = []fix.Edit{
		{Kind: "drop-stray", Rule: "stray-piece", At: geom.Pt(140, 30), Part: "3", Entities: []string{"34"}, Note: "skipped, since another repair has taken out or redrawn the same line: 0.4 mm"},
	}
	r.Tabs = []lint.Tab{{Part: "1", At: geom.Pt(98.3, 120), Width: .8, Gap: 1.8}}
	r.Labels = []lint.Label{{Part: "1", Text: "1", At: geom.Pt(60, 160), Height: 6, Where: "inside"}, {Part: "2", Text: "2", At: geom.Pt(60, 90), Height: 4, Angle: 90, Where: "inside"}}
	n := len(before.Drawing.Entities)
	r.Account = lint.Account{Read: n + 2, Used: n - 1, Carried: 1, Replaced: 1, LeftOut: 1,
		ByType: []lint.TypeAccount{{Type: "IMAGE", Read: 1, LeftOut: 1}, {Type: "LINE", Read: 2, Used: 1, Replaced: 1}, {Type: "LWPOLYLINE", Read: n - 2, Used: n - 2}, {Type: "TEXT", Read: 1, Carried: 1}},
		Left:   []lint.LeftOutItem{{Type: "IMAGE", Count: 1, Why: "no outline is known for it"}}}
	return r
}

var sampleRules = []Rule{
	{ID: "open-outline", Title: "Outline does not close", What: "Chains whose ends do not meet.", Why: "The stream stops short and the part hangs on.", Fix: "Gaps up to 0.5 mm are closed.", Severity: "error"},
	{ID: "narrow-slot", Title: "Slot narrower than the stream", What: "Slots narrower than the kerf.", Why: "The stream cannot cut it to size.", Fix: "Widen it, if asked.", Severity: "error"},
	{ID: "thin-web", Title: "Thin strip between cuts", What: "Little material between two cuts.", Why: "The strip bends or washes away.", Severity: "warning"},
	{ID: "duplicate-segment", Title: "Line drawn twice", What: "Pieces that repeat another.", Why: "The stream cuts the same path twice and widens it.", Fix: "The repeat is deleted.", Severity: "error"},
}
