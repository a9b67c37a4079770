package report

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"strings"

	"sluice/fix/diff"
	"sluice/geom"
	"sluice/lint/figures"
)

//go:embed assets/diff.html
var diffBody string

//go:embed assets/diff.css
var diffCSS string

//go:embed assets/diff.js
var diffJS string

type diffPage struct {
	shell
	Before, After  string
	Stamp, Verdict string // severity of the stamp, and what it says
	Facts          []fact
	Sums           []sum
	Shapes, Beside []rowGroup // changes of form, and others
	ShapeCount     int
	BesideCount    int
	Note           string
	board
}

var diffTemplate = pageOf(diffBody)

// diffHTML writes a difference as one page that stands alone: both drawings laid
// over each other, blinking or side by side, and every change leading to its
// place.
func diffHTML(w io.Writer, c *Changes) error {
	d, o := c.Changes, c.Overlay()
	p := &diffPage{
		shell:  newShell("Changes: "+clean(d.Before.Name)+" to "+clean(d.After.Name), c.Version, boardJS+pageJS+diffJS, boardCSS, diffCSS, printCSS),
		Before: clean(d.Before.Name), After: clean(d.After.Name), Verdict: capital(diffVerdict(d)), Sums: sumsOf(d.Diff),
		board: newBoard(o.Frame, o.Shown, o.Pieces),
	}
	if !d.Same {
		p.Stamp = "warning"
	}
	if d.Whole != nil {
		p.Note = capital(wholeText(d.Diff)) + ". Before is drawn as if it lay there, and all places are those of the drawing after."
	}
	p.Facts = []fact{
		{"Same within", figure(d.Tolerance, 4) + " mm"}, {"Largest deviation", figure(d.Deviation, 4) + " mm"},
		{"Measured to", figure(d.Sampling, 4) + " mm"}, {"Units", unitChange(d.Diff)}, {"Unchanged", plural(d.Count.Same, "part")},
	}
	pic := newPicture(o.Frame)
	m := &diffRows{d: d, rowMaker: rowMaker{file: "f0", origin: pic.path.origin}, of: make([]string, len(d.Parts))}
	p.Shapes, p.ShapeCount = m.shapes()
	p.Beside, p.BesideCount = m.beside()
	drawDiff(pic, d, o, func(k int, after bool) string {
		side := "b"
		if after {
			side = "a"
		}
		return fmt.Sprintf(" data-p=\"%s%d\" data-row=\"%s\"", side, k, m.of[k])
	}, func(k int) string { return m.of[k] })
	p.Picture = template.HTML(pic.String())
	return writePage(w, diffTemplate, p)
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
	d  *figures.Changes
	of []string // by part of the difference: the id of its row
	n  int
}

func (m *diffRows) id() string {
	m.n++
	return fmt.Sprintf("%s-change-%d", m.file, m.n)
}

// shapes makes the lists of changed parts, and counts them.
func (m *diffRows) shapes() (out []rowGroup, n int) {
	for _, v := range verdicts {
		g := rowGroup{Key: string(v.kind), Title: v.title, Why: v.about, Open: true}
		var rows []row
		for k := range m.d.Parts {
			if m.d.Parts[k].Verdict == v.kind {
				rows = append(rows, m.part(k))
			}
		}
		if g.steps(rows); g.Count > 0 {
			out = append(out, g)
			n += g.Count
		}
	}
	return out, n
}

func (m *diffRows) part(k int) row {
	p := &m.d.Parts[k]
	at := middle(m.d.Diff, p)
	r := row{ID: m.id(), Text: capital(whoIs(m.d.Diff, p.Before, p.After)) + ": " + partChange(m.d, k), Meta: "at " + xy(at)}
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
	if p.Verdict == diff.Reshaped && !p.Mirrored && p.Deviation > m.d.Tolerance {
		at = seen(p.From.Mid(p.To))
		r.Tag = figure(p.Deviation, 3) + " mm off"
		path := pathData{origin: m.origin}
		a, b := path.local(seen(p.From)), path.local(seen(p.To))
		r.Gauge = "span " + numbers(a.X, a.Y, b.X, b.Y, p.Deviation, m.d.Tolerance)
	} else {
		if len(p.Holes) == 1 {
			at = seen(p.Holes[0].At)
			r.Tag = "hole " + string(p.Holes[0].Verdict)
		}
		if r.Tag == "" {
			r.Parts = strings.Join(parts, " ")
		}
	}
	r.Go = m.goTo(at, box)
	return r
}

// beside makes the lists of what is no change of form, and counts it.
func (m *diffRows) beside() (out []rowGroup, n int) {
	side := map[diff.Change]string{diff.Gained: "after", diff.Lost: "before", diff.Shifted: "after", diff.Altered: "after"}
	from := m.n
	for _, k := range besides(m.d) {
		g := rowGroup{Key: k.key, Title: k.title, Why: k.about, Plain: k.plain}
		var rows []row
		for _, b := range k.told {
			m.n = from + b.nth - 1
			rows = append(rows, row{
				ID: m.id(), Text: capital(whoIs(m.d.Diff, b.Before, b.After)) + ": " + b.what, Meta: "at " + xy(seen(b.At)), Tag: b.tag, Side: side[b.change], Go: m.goTo(b.At, b.box),
			})
		}
		if g.steps(rows); g.Count > 0 {
			g.Open = g.Count <= openKind
			out = append(out, g)
			n += g.Count
		}
	}
	return out, n
}

// openKind is how many changes of a kind may be in a list that is open at first.
const openKind = 12
