package report

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"sluice/geom"
	"sluice/lint"
	"sluice/lint/figures"
	"sluice/lint/units"
)

const (
	// rowsPerStep is how many rows of a list are shown at once; the rest of a long
	// list waits in inert templates until asked for.
	rowsPerStep = 100
	// openList is how many rows lists may have that are open at first; of findings
	// twice as many.
	openList = 40
)

// row is one line of a list that leads to a place on the drawing.
type row struct {
	ID       string
	Severity string // "error", "warning", "note", "" for what is no finding
	Parts    string // the fills to light up; "" leads to a spot instead
	Text     string
	Meta     string // part and place
	More     string // layer, who repairs it; not on paper
	Same     bool   // its text is that of the row before
	Side     string // "before" or "after"
	Go       string // "x y x0 y0 x1 y1": the place and the box to show, local mm
	Gauge    string // "disc|span ax ay bx by value limit", local mm; ""
	Tag      string // the measure in words
}

// rowGroup is the findings of one rule and severity, the edits of one kind, or the
// changes of one.
type rowGroup struct {
	Key                      string // of changes
	Rule, Title, Why, Repair string
	Plain                    []string // lines that lead nowhere
	Severity                 string
	Count                    int
	Open                     bool
	Rows                     []row
	Rest                     [][]row // further steps
}

func (g *rowGroup) steps(rows []row) {
	g.Count = len(rows) + len(g.Plain)
	g.Rows = rows[:min(len(rows), rowsPerStep)]
	for k := rowsPerStep; k < len(rows); k += rowsPerStep {
		g.Rest = append(g.Rest, rows[k:min(len(rows), k+rowsPerStep)])
	}
}

// findingList is a list of findings on one side of the drawing.
type findingList struct {
	Key, Side string
	Tally     lint.Tally
	Groups    []rowGroup
	Filter    bool // more than one severity occurs
}

// marker is the place of a row, for finding what was clicked on the drawing.
type markerList struct {
	Key  string `json:"key"`
	Side string `json:"side"`
	At   []num  `json:"at"` // x0, y0, x1, y1, …, local mm, in the order of the rows
}

// rowMaker makes rows for one drawing.
type rowMaker struct {
	file   string // id of the file on the page
	origin geom.Point
	rules  map[string]*Rule
	units  units.System
}

func (m *rowMaker) goTo(at geom.Point, box geom.Box) string {
	at = seen(at)
	box = boxAround(box, at).Add(at)
	path := pathData{origin: m.origin}
	p, a, b := path.local(at), path.local(geom.Pt(box.Min.X, box.Max.Y)), path.local(geom.Pt(box.Max.X, box.Min.Y))
	return numbers(p.X, p.Y, a.X, a.Y, b.X, b.Y)
}

func numbers(vs ...float64) string {
	var b []byte
	for i, v := range vs {
		if i > 0 {
			b = append(b, ' ')
		}
		b = appendSVGNumber(b, v)
	}
	return string(b)
}

func (m *rowMaker) gaugeText(g *figures.Gauge) string {
	path := pathData{origin: m.origin}
	a, b := path.local(g.A), path.local(g.B)
	kind := "span"
	if g.Disc {
		kind = "disc"
	}
	return kind + " " + numbers(a.X, a.Y, b.X, b.Y, g.Value, g.Limit)
}

func (m *rowMaker) doc(rule string) (title, why, repair string) {
	if d := m.rules[rule]; d != nil {
		return clean(d.Title), clean(d.Why), clean(d.Fix)
	}
	return "", "", ""
}

// findings makes the list of findings that lie on a sheet, gravest first, and
// the markers of its rows.
func (m *rowMaker) findings(key, side string, s *figures.Side) (findingList, markerList) {
	fs := s.Told
	l := findingList{Key: key, Side: side, Tally: s.Tally}
	markers := markerList{Key: m.file + "-" + key, Side: side, At: make([]num, 0, 2*len(fs))}
	path := pathData{origin: m.origin}
	n := 0
	for from := 0; from < len(fs); {
		to := from
		var rows []row
		for to < len(fs) && fs[to].Rule == fs[from].Rule && fs[to].Severity == fs[from].Severity {
			rows = append(rows, m.finding(&fs[to], fmt.Sprintf("%s-%d", markers.Key, n), side, s.Gauges[to]))
			if k := len(rows) - 1; k > 0 {
				rows[k].Same = rows[k].Text == rows[k-1].Text
			}
			p := path.local(seen(fs[to].At))
			markers.At = append(markers.At, num(p.X), num(p.Y))
			to++
			n++
		}
		rg := rowGroup{Rule: clean(fs[from].Rule), Severity: fs[from].Severity.String(),
			Open: len(fs) <= 2*openList || fs[from].Severity == lint.Error}
		rg.Title, rg.Why, rg.Repair = m.doc(fs[from].Rule)
		rg.steps(rows)
		l.Groups = append(l.Groups, rg)
		from = to
	}
	t := l.Tally
	l.Filter = t.Error*t.Warning+t.Error*t.Note+t.Warning*t.Note > 0
	return l, markers
}

func (m *rowMaker) finding(f *lint.Finding, id, side string, g *figures.Gauge) row {
	r := row{ID: id, Severity: f.Severity.String(), Text: capital(clean(lint.Plain(f.Message))), Side: side, Go: m.goTo(f.At, f.Box)}
	var meta, more []string
	if f.Part != "" {
		meta = append(meta, partText(f.Part))
	}
	meta = append(meta, "at "+placeText(m.units, f.At))
	if f.Layer != "" {
		more = append(more, "layer "+clean(f.Layer))
	}
	switch f.Repair {
	case lint.Auto:
		more = append(more, "fix repairs it")
	case lint.Choice:
		more = append(more, "your choice")
	}
	r.Meta, r.More = strings.Join(meta, " · "), strings.Join(more, " · ")
	if ms := f.Measure; ms != nil {
		r.Tag = strings.TrimSpace(clean(ms.Name) + " " + figure(ms.Value, 3) + " " + clean(ms.Unit))
		if ms.Limit > 0 {
			r.Tag += ", limit " + figure(ms.Limit, 3)
		}
	}
	if g != nil {
		r.Gauge = m.gaugeText(g)
	}
	return r
}

// edits makes the list of edits, by kind; all is how many there are.
func (m *rowMaker) edits(kinds []figures.Kind, all int) []rowGroup {
	var out []rowGroup
	n := 0
	for k := range kinds {
		kind := &kinds[k]
		var rows []row
		for i := range kind.Edits {
			e := &kind.Edits[i]
			r := row{ID: fmt.Sprintf("%s-edit-%d", m.file, n), Side: "after", Go: m.goTo(e.At, geom.NoBox()), Text: capital(clean(lint.Plain(e.Note)))}
			n++
			if r.Text == "" {
				r.Text = capital(clean(e.Kind))
			}
			var meta []string
			if e.Part != "" {
				meta = append(meta, partText(e.Part))
			}
			meta = append(meta, "at "+placeText(m.units, e.At))
			if e.Moved > 0 {
				meta = append(meta, "moved "+figure(e.Moved, 4)+" mm")
				r.Tag = "moved " + figure(e.Moved, 4) + " mm"
			}
			r.Meta = strings.Join(meta, " · ")
			rows = append(rows, r)
		}
		rg := rowGroup{Rule: clean(kind.Name), Title: capital(kindTitle(kind.Name)), Open: all <= openList}
		if s := refits(kind); s != "" {
			rg.Why = capital(s) + "."
		}
		rg.steps(rows)
		out = append(out, rg)
	}
	return out
}

// places makes the list of tabs and the list of numbers.
func (m *rowMaker) tabs(tabs []lint.Tab) rowGroup {
	rg := rowGroup{Rule: "Breakaway tabs", Open: len(tabs) <= openList}
	var rows []row
	for i, t := range tabs {
		rows = append(rows, row{ID: fmt.Sprintf("%s-tab-%d", m.file, i), Side: "after", Go: m.goTo(t.At, geom.NoBox()),
			Text: capital(partOr(t.Part)), Tag: "tab " + figure(t.Width, 3) + " mm",
			Meta: fmt.Sprintf("%s mm stays · drawn gap %s mm · at %s", figure(t.Width, 3), figure(t.Gap, 3), placeText(m.units, t.At))})
	}
	rg.steps(rows)
	return rg
}

func (m *rowMaker) labels(labels []lint.Label) rowGroup {
	rg := rowGroup{Rule: "Etched numbers", Open: len(labels) <= openList}
	var rows []row
	for i, l := range labels {
		meta := fmt.Sprintf("%s mm high · %s the part · at %s", figure(l.Height, 3), clean(l.Where), placeText(m.units, l.At))
		if l.Angle != 0 {
			meta += " · turned " + figure(l.Angle, 1) + "°"
		}
		rows = append(rows, row{ID: fmt.Sprintf("%s-label-%d", m.file, i), Side: "after", Go: m.goTo(l.At, geom.NoBox()),
			Text: capital(partOr(l.Part)) + " reads “" + clean(l.Text) + "”", Meta: meta})
	}
	rg.steps(rows)
	return rg
}

// capital returns s with its first letter large.
func capital(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 {
		return s
	}
	return string(unicode.ToUpper(r)) + s[n:]
}
