package report

import (
	"io"
	"math"

	"sluice/fix/diff"
)

// The names of these fields are explained at DiffJSON and do not change.

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
	Mirrored    bool           `json:"mirrored"`
	Deviation   num            `json:"deviation"`
	DeviationAt *[2]num        `json:"deviation_at"`
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

// DiffJSON writes a difference as one JSON object:
//
//	same            the same shapes at the same places, and the same open cuts
//	tolerance       shapes that deviate no more are the same
//	sampling_error  by how much a deviation may be larger than told
//	deviation       largest of the parts that are in both drawings and not mirrored
//	before, after   path, units of the file, and totals
//	counts          parts by verdict
//	parts           every part: verdict same, moved, turned, reshaped, added or
//	                removed; before and after (null where there is none) with
//	                name, middle of its box, box and area; shift of the centre of
//	                mass and angle turned by; deviation of the outlines once laid
//	                on each other and where; for reshaped parts their holes
//	                (change moved, reshaped, added or removed)
//	tabs, texts, lines
//	                what else changed; before and after name the part, null where
//	                there is none; text kind number or other, line kind open or
//	                etched; lettering tells the strokes of numbers
//	layers          parts (by name after) that lie on other layers
func DiffJSON(w io.Writer, version string, d *diff.Diff) error {
	j := newJSONWriter(w)
	j.raw("{")
	j.field(true, "tool", "sluice")
	j.field(false, "version", version)
	j.field(false, "same", d.Same)
	j.field(false, "tolerance", num(d.Tolerance))
	j.field(false, "sampling_error", num(d.Sampling))
	j.field(false, "deviation", num(d.Deviation))
	j.field(false, "before", diffSideJSON(d.Before, &d.Sums[0]))
	j.field(false, "after", diffSideJSON(d.After, &d.Sums[1]))
	j.field(false, "counts", jsonDiffCounts(d.Count))
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
		Deviation: num(p.Deviation), Before: placeJSON(d.Before, p.Before), After: placeJSON(d.After, p.After), Holes: []jsonDiffHole{},
	}
	if p.Deviation > 0 {
		at := pointJSON(p.To)
		out.DeviationAt = &at
	}
	for i := range p.Holes {
		h := &p.Holes[i]
		out.Holes = append(out.Holes, jsonDiffHole{
			Change: string(h.Verdict), At: pointJSON(h.At), Box: boxJSON(h.Box), Shift: pointJSON(h.Shift), Deviation: num(h.Deviation),
		})
	}
	return out
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
