package report

import (
	"bufio"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"strings"

	"sluice/fix/diff"
	"sluice/geom"
)

//go:embed assets/diff.html
var diffHTML string

//go:embed assets/diff.css
var diffCSS string

//go:embed assets/diff.js
var diffJS string

// diffRow is a change that leads to its place.
type diffRow struct {
	row
	Parts string // the fills to light up; "" leads to a spot instead
}

// diffGroup is the changes of one kind.
type diffGroup struct {
	Key, Title, About string
	Count             int
	Open              bool
	Rows              []diffRow
	Rest              [][]diffRow // further steps
	Plain             []string    // lines that lead nowhere
}

type diffPage struct {
	Title, Version, CSP string
	CSS                 template.CSS
	Script              template.JS
	Before, After       string
	Stamp, Class        string
	Facts               []fact
	Sums                []sum
	Shapes, Apart       []diffGroup
	ShapeCount          int
	ApartCount          int
	Note                string
	Picture             template.HTML // numbers and escaped text only
	ViewBox             string
	OriginX, OriginY    string
	Pieces              int
}

var diffTemplate = template.Must(template.New("diff").Funcs(template.FuncMap{
	"plural": plural,
	"rest":   func(g diffGroup) int { return g.Count - len(g.Rows) },
}).Parse(diffHTML))

// DiffHTML writes a difference as one page that stands alone: both drawings laid
// over each other, blinking or side by side, and every change leading to its
// place.
func DiffHTML(w io.Writer, version string, d *diff.Diff) error {
	script := boardJS + pageJS + diffJS
	digest := sha256.Sum256([]byte(script))
	p := &diffPage{
		Title: "Changes: " + clean(d.Before.Name) + " to " + clean(d.After.Name), Version: clean(version),
		CSP: "default-src 'none'; style-src 'unsafe-inline'; script-src 'sha256-" +
			base64.StdEncoding.EncodeToString(digest[:]) + "'; base-uri 'none'; form-action 'none'",
		CSS: template.CSS(pageCSS + boardCSS + diffCSS + printCSS), Script: template.JS(script),
		Before: clean(d.Before.Name), After: clean(d.After.Name), Stamp: capital(diffVerdict(d)), Sums: sumsOf(d),
		Pieces: pieceCount(d.Laid.Sheet) + pieceCount(d.After.Sheet),
	}
	if !d.Same {
		p.Class = "warning"
	}
	if d.Whole != nil {
		p.Note = capital(wholeText(d)) + ". Before is drawn as if it lay there, and all places are those of the drawing after."
	}
	p.Facts = []fact{
		{"Same within", figure(d.Tolerance, 4) + " mm"}, {"Largest deviation", figure(d.Deviation, 4) + " mm"},
		{"Measured to", figure(d.Sampling, 4) + " mm"}, {"Units", unitChange(d)}, {"Unchanged", plural(d.Count.Same, "part")},
	}
	frame := framed(diffBox(d))
	p.ViewBox = viewBox(frame)
	p.OriginX, p.OriginY = numbers(frame.Min.X), numbers(frame.Max.Y)
	pic := newPicture(geom.Pt(frame.Min.X, frame.Max.Y))
	m := &diffRows{d: d, rowMaker: rowMaker{file: "f0", origin: pic.path.origin}, of: make([]string, len(d.Parts))}
	p.Shapes = m.shapes()
	p.Apart = m.apart()
	for _, g := range p.Shapes {
		p.ShapeCount += g.Count
	}
	for _, g := range p.Apart {
		p.ApartCount += g.Count
	}
	drawDiff(pic, d, frame.Diagonal(), func(k int, after bool) string {
		side := "b"
		if after {
			side = "a"
		}
		return fmt.Sprintf(" data-p=\"%s%d\" data-row=\"%s\"", side, k, m.of[k])
	})
	p.Picture = template.HTML(pic.String())
	b := bufio.NewWriter(w)
	if err := diffTemplate.Execute(b, p); err != nil {
		return fmt.Errorf("writing the HTML difference: %w", err)
	}
	return b.Flush()
}

func repairLines(d *diff.Diff) []string {
	if t := repairText(d); t != "" {
		return []string{capital(t)}
	}
	return nil
}

func unitChange(d *diff.Diff) string {
	if t := unitsText(d); t != "" {
		return strings.ReplaceAll(strings.TrimPrefix(t, "units "), "->", "→")
	}
	return clean(d.After.Unit)
}

// diffRows makes the rows of the page.
type diffRows struct {
	rowMaker
	d  *diff.Diff
	of []string // by part of the difference: the id of its row
	n  int
}

func (m *diffRows) id() string {
	m.n++
	return fmt.Sprintf("%s-change-%d", m.file, m.n)
}

func (g *diffGroup) steps(rows []diffRow) {
	g.Count = len(rows) + len(g.Plain)
	g.Rows = rows[:min(len(rows), rowsPerStep)]
	for k := rowsPerStep; k < len(rows); k += rowsPerStep {
		g.Rest = append(g.Rest, rows[k:min(len(rows), k+rowsPerStep)])
	}
}

// shapes makes the lists of changed parts.
func (m *diffRows) shapes() []diffGroup {
	var out []diffGroup
	for _, v := range verdicts {
		g := diffGroup{Key: string(v.kind), Title: v.title, About: v.about, Open: true}
		var rows []diffRow
		for k := range m.d.Parts {
			if m.d.Parts[k].Verdict == v.kind {
				rows = append(rows, m.part(k))
			}
		}
		if g.steps(rows); g.Count > 0 {
			out = append(out, g)
		}
	}
	return out
}

func (m *diffRows) part(k int) diffRow {
	p := &m.d.Parts[k]
	r := diffRow{row: row{ID: m.id(), Text: capital(whoIs(m.d, p.Before, p.After)) + ": " + partChange(m.d, p), Meta: "at " + xy(middle(m.d, p))}}
	m.of[k] = r.ID
	box := geom.NoBox()
	var parts []string
	if p.Before >= 0 {
		box = box.Union(m.d.Laid.Sheet.Parts[p.Before].Box)
		parts = append(parts, fmt.Sprintf("b%d", k))
		if p.After >= 0 {
			r.Meta += " · " + sizeText(m.d.Laid.Sheet.Parts[p.Before].Box)
		}
	}
	if p.After >= 0 {
		box = box.Union(m.d.After.Sheet.Parts[p.After].Box)
		parts = append(parts, fmt.Sprintf("a%d", k))
		if s := sizeText(m.d.After.Sheet.Parts[p.After].Box); p.Before >= 0 && !strings.HasSuffix(r.Meta, s) {
			r.Meta += " → " + s
		}
	}
	switch p.Verdict {
	case diff.Added:
		r.Side = "after"
	case diff.Removed:
		r.Side = "before"
	}
	at := middle(m.d, p)
	if p.Verdict == diff.Reshaped && !p.Mirrored && p.Deviation > m.d.Tolerance {
		at = place(p.From.Mid(p.To))
		r.Tag = figure(p.Deviation, 3) + " mm off"
		path := pathData{origin: m.origin}
		a, b := path.local(place(p.From)), path.local(place(p.To))
		r.Gauge = "span " + numbers(a.X, a.Y, b.X, b.Y, p.Deviation, m.d.Tolerance)
	} else {
		if len(p.Holes) == 1 {
			at = place(p.Holes[0].At)
			r.Tag = "hole " + string(p.Holes[0].Verdict)
		}
		if r.Tag == "" {
			r.Parts = strings.Join(parts, " ")
		}
	}
	r.Go = m.goTo(at, box)
	return r
}

// apart makes the lists of what is no change of shape.
func (m *diffRows) apart() []diffGroup {
	d := m.d
	kinds := []*diffGroup{
		{Key: "without", Title: "Not compared", About: "Shown in one of the drawings only.", Plain: append(hiddenTexts(d), notedTexts(d)...)},
		{Key: "repair", Title: "Repairs", About: "Flaws that one of the drawings has not; no change of shape.", Plain: repairLines(d)},
		{Key: "open", Title: "Open cuts", About: "Cut lines that do not close."},
		{Key: "tab", Title: "Tabs"},
		{Key: "number", Title: "Numbers"},
		{Key: "words", Title: "Lettering", About: "Text that is not cut."},
		{Key: "etch", Title: "Etched lines"},
		{Key: "layer", Title: "Layers"},
	}
	rows := make([][]diffRow, len(kinds))
	add := func(kind int, w diff.Where, what, tag, side string, box geom.Box) {
		rows[kind] = append(rows[kind], diffRow{row: row{
			ID: m.id(), Text: capital(whoIs(d, w.Before, w.After)) + ": " + what, Meta: "at " + xy(place(w.At)), Tag: tag, Side: side, Go: m.goTo(w.At, box),
		}})
	}
	side := map[diff.Change]string{diff.Gained: "after", diff.Lost: "before", diff.Shifted: "after", diff.Altered: "after"}
	for i := range d.Tabs {
		c := &d.Tabs[i]
		add(3, c.Where, tabChange(c), "tab "+string(c.Change), side[c.Change], geom.NoBox())
	}
	for i := range d.Texts {
		c := &d.Texts[i]
		kind := 5
		if c.Number {
			kind = 4
		}
		add(kind, c.Where, textChange(c), textChange(c), side[c.Change], geom.NoBox())
	}
	for i := range d.Lines {
		switch c := &d.Lines[i]; {
		case c.Open:
			add(2, c.Where, lineChange(c), "open path "+string(c.Change), side[c.Change], c.Box)
		case !c.Lettering:
			add(6, c.Where, lineChange(c), "etched "+string(c.Change), side[c.Change], c.Box)
		}
	}
	if s := letteringChange(d); s != "" {
		kinds[6].Plain = append(kinds[6].Plain, s)
	}
	for i := range d.Layers {
		kinds[7].Plain = append(kinds[7].Plain, layerChange(d, &d.Layers[i]))
	}
	var out []diffGroup
	for i, g := range kinds {
		if g.steps(rows[i]); g.Count > 0 {
			g.Open = g.Count <= 12
			out = append(out, *g)
		}
	}
	return out
}
