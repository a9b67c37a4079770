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

	"sluice/geom"
	"sluice/geom/outline"
	"sluice/lint"
	"sluice/lint/job"
)

//go:embed assets/page.html
var pageHTML string

//go:embed assets/page.css
var pageCSS string

//go:embed assets/board.css
var boardCSS string

//go:embed assets/print.css
var printCSS string

//go:embed assets/board.js
var boardJS string

//go:embed assets/page.js
var pageJS string

// fact is a cell of the title block.
type fact struct{ Name, Value string }

// partRow is a line of the schedule on the page.
type partRow struct {
	PartRow
	ID, Go, Side string
	Parts        string // indices of its parts on the sheet, for lighting them up
	Size         string
	AreaT        string
	CutT         string
}

// filePage is everything said of one drawing.
type filePage struct {
	ID             string
	Path, Output   string
	Err            string
	Verdict        string
	Worst          string // severity of the gravest finding, "" if none
	Tally          Tally
	Facts          []fact
	Routes         bool          // the paths to run are drawn, put away at first
	Picture        template.HTML // numbers and escaped text only, see picture
	ViewBox        string
	OriginX        string
	OriginY        string
	Kerf           string
	Pieces         int
	HasBoth        bool
	Side           string // side shown at first
	Lists          []findingList
	Edits          []rowGroup
	EditCount      int
	Placed         []rowGroup
	Parts          []partRow
	MoreParts      [][]partRow // further steps of a long schedule
	PartsLeft      int         // rows in them
	PartKinds      int
	PartCount      int // copies counted
	PartSums       string
	Account        *lint.Account
	AccountText    string
	Settings       []settingTable
	JobFile        string
	Markers        []markerList
	Repaired, Many bool
}

// page is what the template gets.
type page struct {
	Title, Version string
	CSP            string
	CSS            template.CSS
	Script         template.JS
	Files          []*filePage
	Total          string
	Cautions       []string
	Deference      string
	Schedule       bool // a schedule alone: no findings
}

func newPage(title, version string) *page {
	script := boardJS + pageJS
	sum := sha256.Sum256([]byte(script))
	return &page{
		Title: clean(title), Version: clean(version),
		// Nothing is fetched, and no script runs but the one whose digest is
		// named here: a name in a drawing could not become code even if it
		// came through the escaping.
		CSP: "default-src 'none'; style-src 'unsafe-inline'; script-src 'sha256-" +
			base64.StdEncoding.EncodeToString(sum[:]) + "'; base-uri 'none'; form-action 'none'",
		CSS:      template.CSS(pageCSS + boardCSS + printCSS),
		Script:   template.JS(script),
		Cautions: cautions, Deference: deference,
	}
}

var pageTemplate = template.Must(template.New("page").Funcs(template.FuncMap{
	"plural": plural,
	"rest":   func(g rowGroup) int { return g.Count - len(g.Rows) },
}).Parse(pageHTML))

func (p *page) write(w io.Writer) error {
	b := bufio.NewWriter(w)
	if err := pageTemplate.Execute(b, p); err != nil {
		return fmt.Errorf("writing the HTML report: %w", err)
	}
	return b.Flush()
}

func ruleIndex(rules []RuleDoc) map[string]*RuleDoc {
	m := make(map[string]*RuleDoc, len(rules))
	for i := range rules {
		m[rules[i].ID] = &rules[i]
	}
	return m
}

// LintHTML writes the results as one HTML page that stands alone: it fetches
// nothing and works from disk, on a phone and on paper.
func LintHTML(w io.Writer, version string, results []*lint.Result, rules []RuleDoc) error {
	title := "Drawing check"
	if len(results) == 1 {
		title += ": " + results[0].Path
	}
	p := newPage(title, version)
	docs := ruleIndex(rules)
	var total Tally
	unread := 0
	for i, r := range results {
		if r.Err != nil {
			unread++
		}
		f := lintFile(fmt.Sprintf("f%d", i), r, docs)
		f.Many = len(results) > 1
		total = total.plus(f.Tally)
		p.Files = append(p.Files, f)
	}
	p.Total = plural(len(results), "drawing") + ": " + total.String()
	if unread > 0 {
		p.Total += "; " + plural(unread, "drawing") + " could not be read"
	}
	return p.write(w)
}

func lintFile(id string, r *lint.Result, docs map[string]*RuleDoc) *filePage {
	f := &filePage{ID: id, Path: clean(r.Path), Side: "before"}
	if r.Err != nil {
		f.Err = clean(r.Err.Error())
		f.Verdict = "This drawing could not be read."
		f.Worst = "error"
		return f
	}
	f.judge(TallyOf(r.Findings))
	none := "Nothing found: the drawing is ready for the table as far as its lines can tell."
	if r.Sheet == nil || len(r.Sheet.Parts) == 0 {
		none = "Nothing found, but the drawing holds no part."
	}
	f.Verdict = verdict(f.Tally, none)
	frame := f.frame(r, nil)
	pic := newPicture(geom.Pt(frame.Min.X, frame.Max.Y))
	rows := PartRows(r)
	f.side(pic, "before", r, r.Findings, rows, nil, frame)
	f.Picture = template.HTML(pic.String())
	m := &rowMaker{id, pic.path.origin, docs}
	f.addList(m, "found", "before", r.Findings, newGauges(r.Sheet))
	f.schedule(m, r, rows)
	f.common(r, accountOf(r))
	f.Facts = append(f.Facts, estimateFacts(r)...)
	return f
}

// FixHTML writes a repair as one HTML page that stands alone, with the drawing
// before and after.
func FixHTML(w io.Writer, version string, r *lint.Repaired, rules []RuleDoc) error {
	p := newPage("Repair: "+r.Input, version)
	p.Files = []*filePage{fixFile("f0", r, ruleIndex(rules))}
	return p.write(w)
}

func fixFile(id string, r *lint.Repaired, docs map[string]*RuleDoc) *filePage {
	f := &filePage{ID: id, Path: clean(r.Input), Output: clean(r.Output), Side: "after", HasBoth: true, Repaired: true}
	before, after := r.Before, r.After
	if before == nil {
		before = &lint.Result{Extents: geom.NoBox()}
	}
	if after == nil {
		after = before
	}
	f.judge(TallyOf(r.Left))
	f.Verdict = verdict(f.Tally, "Nothing is left to decide.")
	frame := f.frame(before, after)
	pic := newPicture(geom.Pt(frame.Min.X, frame.Max.Y))
	rows := PartRows(after)
	etched := map[string]bool{}
	for _, l := range r.Labels {
		etched[clean(l.Part)], etched[clean(l.Text)] = true, true
	}
	f.side(pic, "before", before, before.Findings, nil, nil, frame)
	f.side(pic, "after", after, r.Left, rows, etched, frame)
	f.Routes = routes(pic, after)
	f.Picture = template.HTML(pic.String())
	m := &rowMaker{id, pic.path.origin, docs}
	f.addList(m, "left", "after", r.Left, newGauges(after.Sheet))
	f.addList(m, "before", "before", before.Findings, newGauges(before.Sheet))
	f.Edits, f.EditCount = m.edits(r.Edits), len(r.Edits)
	if len(r.Undone) > 0 {
		back := *m
		back.file += "-back"
		for _, g := range back.edits(r.Undone) {
			g.Rule += ": taken back, since a new finding would have come of it"
			f.Edits = append(f.Edits, g)
		}
	}
	if len(r.Skipped) > 0 {
		skip := *m
		skip.file += "-skip"
		for _, g := range skip.edits(r.Skipped) {
			g.Rule += ": skipped, not made"
			f.Edits = append(f.Edits, g)
		}
	}
	tabs := m.tabs(r.Tabs)
	if after.Job != nil {
		tabs.Why = capital(lint.SlatNote(after.Job)) + "; check that the sheet lies so."
	}
	for _, g := range []rowGroup{tabs, m.labels(r.Labels)} {
		if g.Count > 0 {
			f.Placed = append(f.Placed, g)
		}
	}
	f.schedule(m, after, rows)
	f.common(before, &r.Account)
	f.Facts = append(f.Facts, estimateFacts(after)...)
	return f
}

func (f *filePage) judge(t Tally) {
	f.Tally = t
	switch {
	case t.Error > 0:
		f.Worst = "error"
	case t.Warning > 0:
		f.Worst = "warning"
	case t.Note > 0:
		f.Worst = "note"
	}
}

func verdict(t Tally, none string) string {
	if t.Sum() == 0 {
		return none
	}
	var s []string
	for _, c := range []struct {
		n    int
		word string
	}{{t.Error, "error"}, {t.Warning, "warning"}, {t.Note, "note"}} {
		if c.n > 0 {
			s = append(s, plural(c.n, c.word))
		}
	}
	return strings.Join(s, ", ")
}

// frame returns the part of the plane that the board shows and notes its unit.
func (f *filePage) frame(before, after *lint.Result) geom.Box {
	box := geom.NoBox()
	for _, r := range []*lint.Result{before, after} {
		if r == nil {
			continue
		}
		box = box.Union(sheetBox(r.Sheet))
		f.Pieces += pieceCount(r.Sheet)
	}
	if s, ok := stockOf(before, box); ok {
		box = box.Union(s)
	}
	frame := framed(box)
	f.ViewBox = viewBox(frame)
	f.OriginX, f.OriginY = numbers(frame.Min.X), numbers(frame.Max.Y)
	return frame
}

func pieceCount(s *outline.Sheet) int {
	if s == nil {
		return 0
	}
	n := 0
	for i := range s.Outlines {
		n += len(s.Outlines[i].Pieces)
	}
	for i := range s.Open {
		n += len(s.Open[i].Pieces)
	}
	for i := range s.Etch {
		n += len(s.Etch[i].Pieces)
	}
	return n
}

// stockOf returns the rectangle of the stock, if the job states one of sensible
// size.
func stockOf(r *lint.Result, drawn geom.Box) (geom.Box, bool) {
	if r == nil || r.Job == nil || len(r.Job.Sheet.Size) != 2 {
		return geom.Box{}, false
	}
	at := geom.Point{}
	if r.Job.Sheet.Origin == "drawing" && usable(drawn) {
		at = drawn.Min.Sub(geom.Pt(r.Job.Sheet.Margin, r.Job.Sheet.Margin))
	}
	b := geom.Box{Min: at, Max: at.Add(geom.Pt(r.Job.Sheet.Size[0], r.Job.Sheet.Size[1]))}
	return b, usable(b) && b.W() > 0 && b.H() > 0
}

// side draws one side of the drawing.
func (f *filePage) side(p *picture, class string, r *lint.Result, fs []lint.Finding, rows []PartRow, etched map[string]bool, frame geom.Box) {
	p.group("side "+class, func() {
		if b, ok := stockOf(r, sheetBox(r.Sheet)); ok {
			p.stock(b, r.Job.Sheet.Margin)
		}
		if r.Sheet != nil {
			rowOf := rowsByPart(r, rows)
			p.sheet(r.Sheet, func(i int) string {
				if rows == nil {
					return ""
				}
				return fmt.Sprintf(" data-p=\"%d\" data-row=\"%s-part-%d\"", i, f.ID, rowOf[i])
			})
			p.numbers(r.Sheet, func(i int) string { return partName(r, i) }, frame.Diagonal(), etched)
		}
		if r.Drawing != nil {
			p.words(r.Drawing.Texts)
		}
		p.marks(fs)
	})
}

func (f *filePage) addList(m *rowMaker, key, side string, fs []lint.Finding, g *gauges) {
	l, marks := m.findings(key, side, fs, g)
	f.Lists = append(f.Lists, l)
	f.Markers = append(f.Markers, marks)
}

// common fills in what a check and a repair both tell.
func (f *filePage) common(r *lint.Result, a *lint.Account) {
	c := countsOf(r)
	if u, ok := unitOf(r); ok {
		f.Facts = append(f.Facts, fact{"Unit", unitText(u)})
	}
	if usable(r.Extents) {
		f.Facts = append(f.Facts, fact{"Extents", figure(r.Extents.W(), 2) + " × " + figure(r.Extents.H(), 2) + " mm"})
	}
	f.Facts = append(f.Facts, fact{"Entities read", fmt.Sprint(c.Entities)})
	if j := r.Job; j != nil {
		f.Facts = append(f.Facts, fact{"Kerf", figure(j.Jet.Kerf, 3) + " mm"}, fact{"Stock", stockText(j)})
		f.JobFile = clean(j.Path)
		f.Kerf = figure(j.Jet.Kerf, 4)
	}
	f.Settings = settingsOf(r.Job)
	if a != nil && a.Read > 0 {
		f.Account, f.AccountText = cleanAccount(a), accountText(a)
	}
}

func stockText(j *job.Job) string {
	var s []string
	if j.Sheet.Material != "" {
		s = append(s, clean(j.Sheet.Material))
	}
	if j.Sheet.Thickness > 0 {
		s = append(s, figure(j.Sheet.Thickness, 3)+" mm")
	}
	if len(j.Sheet.Size) == 2 {
		s = append(s, figure(j.Sheet.Size[0], 1)+" × "+figure(j.Sheet.Size[1], 1)+" mm")
	}
	if len(s) == 0 {
		return "not stated"
	}
	return strings.Join(s, ", ")
}
