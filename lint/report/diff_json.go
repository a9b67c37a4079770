package report

import (
	"io"
	"math"

	"sluice/fix/diff"
	"sluice/geom"
)

// The names of these fields are explained at diffJSON and do not change.

type jsonDiffSide struct {
	Path      string `json:"path"`
	Units     string `json:"units"`
	Parts     int    `json:"parts"`
	Holes     int    `json:"holes"`
	Tabs      int    `json:"tabs"`
	Numbers   int    `json:"numbers"`
	OpenPaths int    `json:"open_paths"`
	Area      num    `json:"area"`
	Cut       num    `json:"cut"`
	Etched    num    `json:"etched"`
}

type jsonDiffCounts struct {
	Same     int `json:"same"`
	Moved    int `json:"moved"`
	Turned   int `json:"turned"`
	Scaled   int `json:"scaled"`
	Reshaped int `json:"reshaped"`
	Added    int `json:"added"`
	Removed  int `json:"removed"`
}

type jsonDiffPart struct {
	Verdict     string         `json:"verdict"`
	Before      *jsonDiffPlace `json:"before"`
	After       *jsonDiffPlace `json:"after"`
	Shift       [2]num         `json:"shift"`
	Angle       num            `json:"angle"`
	Scale       num            `json:"scale"`
	Mirrored    bool           `json:"mirrored"`
	Deviation   num            `json:"deviation"`
	DeviationAt *[2]num        `json:"deviation_at"`
	Measure     *jsonMeasure   `json:"measure"`
	Repaired    num            `json:"repaired"`
	Holes       []jsonDiffHole `json:"holes"`
}

type jsonDiffPlace struct {
	Part string `json:"part"`
	At   [2]num `json:"at"`
	Box  [4]num `json:"box"`
	Area num    `json:"area"`
}

type jsonDiffHole struct {
	Change    string `json:"change"`
	At        [2]num `json:"at"`
	Box       [4]num `json:"box"`
	Shift     [2]num `json:"shift"`
	Deviation num    `json:"deviation"`

	Measure *jsonMeasure `json:"measure"`
}

type jsonMeasure struct {
	Kind  string `json:"kind"`
	By    num    `json:"by"`
	Was   num    `json:"was"`
	Is    num    `json:"is"`
	At    [2]num `json:"at"`
	Edges int    `json:"edges"`
}

type jsonMotion struct {
	Words    string  `json:"words"`
	Scale    num     `json:"scale"`
	Mirrored bool    `json:"mirrored"`
	Angle    num     `json:"angle"`
	Shift    [2]num  `json:"shift"`
	About    *[2]num `json:"about"`
	Parts    int     `json:"parts"`
}

type jsonApart struct {
	In    string `json:"in"`
	Layer string `json:"layer"`
	Why   string `json:"why"`
	Paths int    `json:"paths"`
	Box   [4]num `json:"box"`
}

type jsonRepair struct {
	Kind   string `json:"kind"`
	Before int    `json:"before"`
	After  int    `json:"after"`
}

type jsonDiffTab struct {
	Change    string  `json:"change"`
	Before    *string `json:"before"`
	After     *string `json:"after"`
	At        [2]num  `json:"at"`
	GapBefore num     `json:"gap_before"`
	GapAfter  num     `json:"gap_after"`
	Shift     [2]num  `json:"shift"`
}

type jsonDiffText struct {
	Change     string  `json:"change"`
	Kind       string  `json:"kind"`
	Before     *string `json:"before"`
	After      *string `json:"after"`
	At         [2]num  `json:"at"`
	TextBefore *string `json:"text_before"`
	TextAfter  *string `json:"text_after"`
	Shift      [2]num  `json:"shift"`
}

type jsonDiffLine struct {
	Change    string  `json:"change"`
	Kind      string  `json:"kind"`
	Before    *string `json:"before"`
	After     *string `json:"after"`
	At        [2]num  `json:"at"`
	Box       [4]num  `json:"box"`
	Paths     int     `json:"paths"`
	Length    num     `json:"length"`
	Lettering bool    `json:"lettering"`
}

type jsonDiffLayer struct {
	Before []string `json:"before"`
	After  []string `json:"after"`
	Parts  []string `json:"parts"`
}

// diffJSON writes a difference as one JSON object:
//
//	same            the same shapes at the same places, and the same open cuts
//	whole           what the drawing as a whole has gone through, null for
//	                nothing: scale, mirrored (left and right change sides), angle
//	                turned by and shift, in this order and about the origin; about
//	                is the point that stays, parts how many show it. All that
//	                follows is told against it, in the axes of the drawing after
//	tolerance       shapes that deviate no more are the same
//	sampling_error  by how much a deviation may be larger than told
//	deviation       largest of the parts that are in both drawings and not mirrored
//	before, after   path, units of the file, and totals
//	counts          parts by verdict
//	parts           every part: verdict same, moved, turned, scaled, reshaped, added
//	                or removed; before and after (null where there is none) with
//	                name, middle of its box, box and area; shift of the centre of
//	                mass and angle turned by; deviation of the outlines once laid
//	                on each other and where, the move of an edge where measure
//	                tells one; repaired says how far the closing of a gap moved the
//	                outline of a part that is the same; for reshaped parts their
//	                holes (change moved, reshaped, added or removed); a measure is of
//	                kind diameter (was, is), offset (every side), edge, width (two
//	                sides) or edges, by how much each moved, above 0 outward
//	tabs, texts, lines
//	                what else changed; before and after name the part, null where
//	                there is none; text kind number or other, line kind open or
//	                etched; lettering tells the strokes of numbers
//	layers          parts (by name after) that lie on other layers
//	not_compared    what only one drawing shows: in is the drawing that does not,
//	                why off, frozen, or note where it is set aside as a note there
//	repairs         kinds of flaw of which the drawings have not as many: gaps,
//	                doubles, strays, curves, and entities that draw the outlines
func diffJSON(w io.Writer, c *Changes) error {
	d := c.Diff
	j := newJSONWriter(w)
	j.raw("{")
	j.field(true, "tool", "sluice")
	j.field(false, "version", c.Version)
	j.field(false, "same", d.Same)
	j.field(false, "whole", motionJSON(d.Whole))
	j.field(false, "tolerance", num(d.Tolerance))
	j.field(false, "sampling_error", num(d.Sampling))
	j.field(false, "deviation", num(d.Deviation))
	j.field(false, "before", diffSideJSON(d.Before, &d.Sums[0]))
	j.field(false, "after", diffSideJSON(d.After, &d.Sums[1]))
	j.field(false, "counts", jsonDiffCounts(d.Count))
	apart := apartJSON(d)
	for _, l := range []struct {
		name string
		n    int
		at   func(i int) any
	}{
		{"parts", len(d.Parts), func(i int) any { return diffPartJSON(d, &d.Parts[i]) }},
		{"tabs", len(d.Tabs), func(i int) any { return diffTabJSON(d, &d.Tabs[i]) }},
		{"texts", len(d.Texts), func(i int) any { return diffTextJSON(d, &d.Texts[i]) }},
		{"lines", len(d.Lines), func(i int) any { return diffLineJSON(d, &d.Lines[i]) }},
		{"layers", len(d.Layers), func(i int) any { return diffLayerJSON(d, &d.Layers[i]) }},
		{"not_compared", len(apart), func(i int) any { return apart[i] }},
		{"repairs", len(d.Repairs), func(i int) any { return repairJSON(&d.Repairs[i]) }},
	} {
		j.name(false, l.name)
		j.list(l.n, " ", l.at)
	}
	return j.close()
}

func diffSideJSON(s *diff.Side, u *diff.Sums) jsonDiffSide {
	return jsonDiffSide{
		Path: s.Name, Units: s.Unit, Parts: u.Parts, Holes: u.Holes, Tabs: u.Tabs, Numbers: u.Numbers,
		OpenPaths: u.Open, Area: num(u.Area), Cut: num(u.Cut), Etched: num(u.Etch),
	}
}

func diffPartJSON(d *diff.Diff, p *diff.Part) jsonDiffPart {
	out := jsonDiffPart{
		Verdict: string(p.Verdict), Shift: pointJSON(p.Shift), Angle: num(p.Angle * 180 / math.Pi), Mirrored: p.Mirrored,
		Scale: num(p.Scale), Measure: diffMeasureJSON(&p.Measure), Repaired: num(p.Repaired),
		Deviation: num(p.Deviation), Before: placeJSON(d.Before, p.Before), After: placeJSON(d.After, p.After), Holes: []jsonDiffHole{},
	}
	if p.Deviation > 0 {
		at := pointJSON(p.To)
		out.DeviationAt = &at
	}
	for i := range p.Holes {
		h := &p.Holes[i]
		out.Holes = append(out.Holes, jsonDiffHole{
			Change: string(h.Verdict), At: pointJSON(h.At), Box: boxJSON(h.Box), Shift: pointJSON(h.Shift), Deviation: num(h.Deviation), Measure: diffMeasureJSON(&h.Measure),
		})
	}
	return out
}

func diffMeasureJSON(m *diff.Measure) *jsonMeasure {
	if m.Kind == diff.NoMeasure {
		return nil
	}
	return &jsonMeasure{Kind: string(m.Kind), By: num(m.By), Was: num(m.Was), Is: num(m.Is), At: pointJSON(m.At), Edges: m.Count}
}

func motionJSON(m *diff.Motion) *jsonMotion {
	if m == nil {
		return nil
	}
	out := &jsonMotion{
		Words: motionText(m), Scale: num(m.Scale), Mirrored: m.Mirrored, Angle: num(m.Angle * 180 / math.Pi), Shift: pointJSON(m.Lay.T), Parts: m.Parts,
	}
	if p, ok := m.Fixed(); ok {
		at := pointJSON(p)
		out.About = &at
	}
	return out
}

func apartJSON(d *diff.Diff) []jsonApart {
	out := []jsonApart{}
	for k, s := range []*diff.Side{d.Before, d.After} {
		in := [2]string{"before", "after"}
		for i := range s.Hidden {
			h := &s.Hidden[i]
			out = append(out, jsonApart{In: in[k], Layer: h.Layer, Why: h.Why, Paths: h.Paths, Box: boxJSON(boxAround(h.Box, geom.Point{}))})
		}
		for i := range s.Noted {
			n := &s.Noted[i]
			out = append(out, jsonApart{In: in[1-k], Layer: n.Layer, Why: "note", Paths: n.Paths, Box: boxJSON(boxAround(n.Box, geom.Point{}))})
		}
	}
	return out
}

func repairJSON(r *diff.Repair) jsonRepair {
	return jsonRepair{Kind: string(r.Kind), Before: r.Before, After: r.After}
}

func placeJSON(s *diff.Side, k int) *jsonDiffPlace {
	if k < 0 {
		return nil
	}
	p := &s.Sheet.Parts[k]
	name := ""
	if k < len(s.Names) {
		name = s.Names[k]
	}
	return &jsonDiffPlace{Part: name, At: pointJSON(p.Box.Center()), Box: boxJSON(p.Box), Area: num(p.Area)}
}

func nameJSON(s *diff.Side, k int) *string {
	if k < 0 || k >= len(s.Names) {
		return nil
	}
	return &s.Names[k]
}

func diffTabJSON(d *diff.Diff, c *diff.TabChange) jsonDiffTab {
	return jsonDiffTab{
		Change: string(c.Change), Before: nameJSON(d.Before, c.Before), After: nameJSON(d.After, c.After),
		At: pointJSON(c.At), GapBefore: num(c.GapBefore), GapAfter: num(c.GapAfter), Shift: pointJSON(c.Shift),
	}
}

func diffTextJSON(d *diff.Diff, c *diff.TextChange) jsonDiffText {
	t := jsonDiffText{
		Change: string(c.Change), Kind: "other", Before: nameJSON(d.Before, c.Before), After: nameJSON(d.After, c.After),
		At: pointJSON(c.At), Shift: pointJSON(c.Shift),
	}
	if c.Number {
		t.Kind = "number"
	}
	if c.TextBefore >= 0 {
		t.TextBefore = &c.Was
	}
	if c.TextAfter >= 0 {
		t.TextAfter = &c.Is
	}
	return t
}

func diffLineJSON(d *diff.Diff, c *diff.LineChange) jsonDiffLine {
	l := jsonDiffLine{
		Change: string(c.Change), Kind: "etched", Before: nameJSON(d.Before, c.Before), After: nameJSON(d.After, c.After),
		At: pointJSON(c.At), Box: boxJSON(c.Box), Paths: c.Paths, Length: num(c.Length), Lettering: c.Lettering,
	}
	if c.Open {
		l.Kind = "open"
	}
	return l
}

func diffLayerJSON(d *diff.Diff, c *diff.LayerChange) jsonDiffLayer {
	l := jsonDiffLayer{Before: orEmpty(c.Before), After: orEmpty(c.After), Parts: []string{}}
	for _, k := range c.Parts {
		if n := nameJSON(d.After, d.Parts[k].After); n != nil {
			l.Parts = append(l.Parts, *n)
		}
	}
	return l
}
