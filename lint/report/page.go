package report

import (
	"fmt"
	"html/template"
	"io"
	"math"
	"strings"

	"sluice/geom"
	"sluice/lint"
	"sluice/lint/figures"
	"sluice/lint/job"
	"sluice/lint/units"
)

// fact is a cell of the title block.
type fact struct{ Name, Value string }

// partRow is a line of the schedule on the page.
type partRow struct {
	figures.Row
	ID, Go, Side string
	Parts        string // indices of its parts on the sheet, for lighting them up
	Size         string
	AreaT        string
	CutT         string
}

// filePage is everything said of one drawing.
type filePage struct {
	ID           string
	Path, Output string
	Err          string
	Verdict      string
	Stand, Do    string // how the kit stands to the sheet, and what to do about it
	StandBad     bool
	Play         string // what slots leave around their tabs
	Scaled       string // what scaling the whole kit came to
	Short        []shortFact
	Mended       string // what fix mends by itself, "" for nothing
	MendedCount  int
	Done         string // what a repair mended
	Force        string // the settings in force
	Worst        string // severity of the gravest finding, "" if none
	Tally        lint.Tally
	Facts        []fact
	Routes       bool // the paths to run are drawn, put away at first
	board
	Kerf           string
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
	SizeUnit       string // of the sizes and cut lengths of the parts
	AreaUnit       string
	Account        *lint.Account
	AccountText    string
	Settings       []settingTable
	JobFile        string
	Markers        []markerList
	Repaired, Many bool
	OfSheets       bool           // it is one sheet of several, and all of them go on paper
	units          units.System   // that figures are told in
	Walk           *walkSection   // nil: no paths were written
	Layout         *layoutSection // nil: parts were not laid out
}

// page is the page of drawings that were checked, repaired or listed.
type page struct {
	shell
	Files    []*filePage
	Total    string
	Schedule bool // a schedule alone: no findings
	Glossary []wordMeaning
}

// article is a drawing in its page.
type article struct {
	*page
	File *filePage
}

// With returns what the part of a page that tells of one drawing is made of.
func (p *page) With(f *filePage) article { return article{p, f} }

var pageTemplate = pageOf(pageBody, layoutBody, walkBody)

func newPage(title, version string) *page {
	return &page{shell: newShell(title, version, boardJS+pageJS, boardCSS, printCSS)}
}

// newRepairPage starts the page of a repair: one that goes through a plan where
// paths were written, and shows sheets where parts were laid out.
func newRepairPage(title, version string, walked, laid bool) *page {
	script, looks := boardJS+pageJS, []string{boardCSS}
	if laid {
		looks = append(looks, layoutCSS)
	}
	if walked {
		script, looks = script+walkJS, append(looks, walkCSS)
	}
	return &page{shell: newShell(title, version, script, append(looks, printCSS)...)}
}

func (p *page) write(w io.Writer) error { return writePage(w, pageTemplate, p) }

// judge says how many findings there are, or that there are none.
func (f *filePage) judge(t lint.Tally, none string) {
	f.Tally, f.Verdict = t, verdict(t, none)
	if worst := t.Worst(); worst != lint.Off {
		f.Worst = worst.String()
	}
}

func verdict(t lint.Tally, none string) string {
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

// shortFact is a line of what was found in short.
type shortFact struct{ Severity, Text, Rule string }

// tell says first of all how the drawing stands, and in short what was found.
func (f *filePage) tell(v *figures.Verdict) {
	f.Stand, f.Do = standText(v)
	f.StandBad = v.None
	f.Play, f.Scaled = playText(v.Play), capital(clean(v.Scaled))
	for i := range v.Asked {
		a := &v.Asked[i]
		f.Short = append(f.Short, shortFact{a.Severity.String(), capital(factText(a)), clean(a.Rule)})
	}
	f.Mended, f.MendedCount = mendsText(v.Mended), figures.Count(v.Mended)
	f.Force = forceText(v)
}

// convert puts inches before what the page tells in mm, where those are wanted.
func (f *filePage) convert() {
	words := func(list ...*string) {
		for _, s := range list {
			*s = f.units.Words(*s)
		}
	}
	words(&f.Stand, &f.Do, &f.Play, &f.Scaled, &f.Mended, &f.Done, &f.Force)
	for i := range f.Short {
		words(&f.Short[i].Text)
	}
	for i := range f.Facts {
		words(&f.Facts[i].Value)
	}
	rows := func(list []row) {
		for i := range list {
			words(&list[i].Text, &list[i].Meta, &list[i].Tag)
		}
	}
	groups := func(list []rowGroup) {
		for i := range list {
			words(&list[i].Why)
			rows(list[i].Rows)
			for _, more := range list[i].Rest {
				rows(more)
			}
		}
	}
	for i := range f.Lists {
		groups(f.Lists[i].Groups)
	}
	groups(f.Edits)
	groups(f.Placed)
}

// board is what the drawing board of a page shows, and how it is framed.
type board struct {
	Picture          template.HTML // numbers and escaped text only, see picture
	ViewBox          string        // what is shown at first
	SheetBox         string        // all there is to show
	Shape            float64       // width over height of what is shown at first
	Apart            bool          // the two differ
	OriginX, OriginY string
	Pieces           int
}

// newBoard frames a board: frame is all there is, shown what it opens on.
func newBoard(frame, shown geom.Box, pieces int) board {
	at := func(b geom.Box) string {
		return numbers(b.Min.X-frame.Min.X, frame.Max.Y-b.Max.Y, b.W(), b.H())
	}
	return board{
		ViewBox: at(shown), SheetBox: at(frame), Pieces: pieces,
		Shape:   math.Round(1000*min(max(shown.W()/shown.H(), 0.2), 8)) / 1000,
		Apart:   frame.W() > 1.02*shown.W() || frame.H() > 1.02*shown.H(),
		OriginX: numbers(frame.Min.X), OriginY: numbers(frame.Max.Y),
	}
}

// start starts the picture of a page.
func (f *filePage) start(p *figures.Page) *picture {
	f.board = newBoard(p.Frame, p.Shown, p.Pieces)
	return newPicture(p.Frame)
}

// side draws one side of the drawing, with a mark for each finding told that leads
// to its row in a list; "": no marks. Parts lead to their rows in the schedule;
// nil: to none.
func (f *filePage) side(p *picture, class string, s *figures.Side, list string, shown geom.Box, schedule *figures.Schedule) {
	p.group("side "+class, func() {
		if !s.Stock.Empty() {
			p.stock(s.Stock, s.Job.Sheet.Margin)
		}
		p.clamps(s.Clamps)
		if s.Sheet != nil {
			rowOf := map[int]int{}
			if schedule != nil {
				for k := range schedule.Rows {
					for _, i := range schedule.Rows[k].Parts {
						rowOf[i] = k
					}
				}
			}
			p.sheet(s.Sheet, func(i int) string {
				if schedule == nil {
					return ""
				}
				return fmt.Sprintf(" data-p=\"%d\" data-row=\"%s-part-%d\"", i, f.ID, rowOf[i])
			})
			p.labels(s.Labels)
		}
		if s.Drawing != nil {
			p.words(s.Drawing.Texts)
		}
		if list != "" {
			p.marks(s.Told, markOn(shown, len(s.Told)), func(i int) string { return fmt.Sprintf("%s-%s-%d", f.ID, list, i) })
		}
	})
}

func (f *filePage) list(m *rowMaker, key, side string, s *figures.Side) {
	l, markers := m.findings(key, side, s)
	f.Lists = append(f.Lists, l)
	f.Markers = append(f.Markers, markers)
}

// common fills in what a check and a repair both tell of the drawing as it came.
func (f *filePage) common(s *figures.Side, a *lint.Account) {
	if s.Unit != nil {
		f.Facts = append(f.Facts, fact{"Unit", unitText(s.Unit)})
	}
	if s.Extents.Finite() {
		f.Facts = append(f.Facts, fact{"Extents", figure(s.Extents.W(), 2) + " × " + figure(s.Extents.H(), 2) + " mm"})
	}
	f.Facts = append(f.Facts, fact{"Entities read", fmt.Sprint(s.Counts.Entities)})
	if j := s.Job; j != nil {
		f.Facts = append(f.Facts, fact{"Kerf", figure(j.Jet.Kerf, 3) + " mm"}, fact{"Stock", stockText(j)})
		f.JobFile = clean(j.Path)
		f.Kerf = figure(j.Jet.Kerf, 4)
	}
	f.Settings = settingsOf(s.Job)
	if a != nil && a.Read > 0 {
		f.Account, f.AccountText = a, accountText(a)
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
