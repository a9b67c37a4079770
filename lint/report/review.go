package report

import (
	"crypto/sha256"
	_ "embed"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"html/template"
	"io"
	"slices"
	"strconv"
	"strings"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/lint"
	"sluice/lint/cutting"
	"sluice/lint/figures"
	"sluice/lint/job"
	"sluice/lint/settle"
	"sluice/lint/units"
)

//go:embed assets/review.html
var reviewBody string

//go:embed assets/review.css
var reviewCSS string

//go:embed assets/lay.html
var layBody string

//go:embed assets/lay.css
var layCSS string

//go:embed assets/lay.js
var layJS string

//go:embed assets/schedule.js
var scheduleJS string

//go:embed assets/grips.js
var gripsJS string

//go:embed assets/review.js
var reviewJS string

//go:embed assets/served.js
var servedJS string

// deskScript is what the page does wherever the program is.
func deskScript() string { return boardJS + gripsJS + layJS + scheduleJS + reviewJS }

func servedScript() string { return deskScript() + servedJS }

// reviewPage is the frame of the page on which findings are settled; what it shows
// comes as data.
type reviewPage struct {
	shell
	Path, Output, Answers string
	Alone                 bool          // the page holds the program
	Blocks                template.HTML // what the page holds besides what it shows
}

var reviewTemplate = pageOf(reviewBody, layBody, startBody)

// ReviewPage writes the page on which the findings of a drawing are settled. It asks
// the server that it came from for what it shows, and nobody else.
func ReviewPage(w io.Writer, version, path, output, answers string) error {
	p := reviewPage{shell: newShell("Settle: "+path, version, servedScript(), boardCSS, reviewCSS, layCSS), Path: clean(path), Output: clean(output), Answers: clean(answers)}
	p.CSP += "; connect-src 'self'; img-src data:"
	return writePage(w, reviewTemplate, p)
}

// ReviewCSP is the content policy of that page, as its header says it too.
func ReviewCSP() string {
	return newShell("", "", servedScript()).CSP + "; connect-src 'self'; img-src data:; frame-ancestors 'none'"
}

// ReviewRound is a round at the desk as the page shows it: its picture, what is asked,
// and its parts. It is made once a round.
type ReviewRound struct {
	Number  int           `json:"round"`
	Error   string        `json:"error,omitempty"`
	Groups  []reviewGroup `json:"groups"`
	Asked   int           `json:"asked"`
	Parts   []reviewPart  `json:"parts"`
	Stand   string        `json:"stand"` // how the kit stands to the sheet, what to do
	Mended  string        `json:"mended"`
	Held    string        `json:"held,omitempty"`
	Changed string        `json:"changed"` // against the round before, in words
	Gone    string        `json:"gone"`    // the same as paths
	New     string        `json:"new"`
	Stale   []string      `json:"stale"`
	Refused []string      `json:"refused"`
	Took    string        `json:"took"`
	Picked  bool          `json:"picked"`  // changes between two drawings are taken one by one
	Partial bool          `json:"partial"` // the drawing as read; it is being repaired

	origin geom.Point
	units  units.System
	board  reviewBoard
	groups map[string]int // by id of what is asked, the group it is in
}

// reviewBoard is the picture of a round.
type reviewBoard struct {
	Round   int     `json:"round"`
	Picture string  `json:"picture"` // SVG groups: numbers and escaped text only
	ViewBox string  `json:"view"`
	Sheet   string  `json:"sheet"`
	OriginX string  `json:"ox"`
	OriginY string  `json:"oy"`
	Shape   float64 `json:"shape"`
	Pieces  int     `json:"pieces"`
	Grips   []grip  `json:"grips"`
}

// reviewGroup is what can be settled in one go.
type reviewGroup struct {
	Key      string       `json:"key"` // of the group while it is asked
	Rule     string       `json:"rule"`
	Severity string       `json:"severity"`
	Title    string       `json:"title"`
	Why      string       `json:"why"`
	Count    int          `json:"count"`
	Items    []reviewItem `json:"items"`
}

// mostItems is how many questions of a group are on the page one by one; the others
// are settled with them, or come up once those are.
const mostItems = 120

// reviewItem is one question.
type reviewItem struct {
	ID      string         `json:"id"`
	Text    string         `json:"text"`
	Meta    string         `json:"meta"`
	Go      string         `json:"go"`
	Gauge   string         `json:"gauge,omitempty"`
	Tag     string         `json:"tag,omitempty"`
	Choices []reviewChoice `json:"choices"`
}

// reviewChoice is a way to settle a question.
type reviewChoice struct {
	Name    string `json:"name"`
	Words   string `json:"words"`
	Default bool   `json:"default"`
	Shows   bool   `json:"shows"` // it changes the drawing, which can be shown
}

// NoRound is what the page shows before there is a round.
func NoRound() *ReviewRound {
	return &ReviewRound{Groups: []reviewGroup{}, Parts: []reviewPart{}, Stale: []string{}, Refused: []string{}}
}

// NewReviewRound makes what the page shows of a round.
func NewReviewRound(about *About, number int, r *settle.Round) *ReviewRound {
	v := NoRound()
	v.Number = number
	if r.Err != nil {
		v.Error = clean(r.Err.Error())
		return v
	}
	fs := make([]lint.Finding, len(r.Asked))
	for i := range r.Asked {
		fs[i] = r.Asked[i].Finding
	}
	v.Asked, v.Took, v.Partial, v.Picked = len(fs), clock(r.Took.Seconds()), r.Done == nil, r.Picked
	var page *figures.Page
	var side *figures.Side
	if r.Done == nil {
		page = figures.JudgedBoard(r.Judged, fs)
		side = page.Before
	} else {
		done := figures.RepairOf(r.Done)
		page = figures.BoardOf(r.Done, fs)
		side = page.After
		verdict := done.Verdict()
		stand, do := standText(verdict)
		v.Stand = sentences(stand, atDesk(verdict, do))
		v.Mended, v.Held = capital(mendedText(done)), capital(clean(r.Done.Held))
		if r.Picked {
			v.Mended = ""
		}
	}
	v.units = units.Of(r.Judged.Inches())
	v.draw(page, side)
	for _, g := range r.Grips() {
		v.board.Grips = append(v.board.Grips, grip{g.Kind, clean(g.Part), g.At.X, g.At.Y})
	}
	m := &rowMaker{"f0", v.origin, about.byID(), v.units}
	v.group(m, r.Asked, side)
	v.list(m, page.Schedule)
	v.changes(&r.Changes)
	v.counts(r.Judged)
	if r.Judged.Job.Answers != nil {
		v.wishes(r.Judged)
	}
	slices.SortStableFunc(v.Parts, func(a, b reviewPart) int { return lint.CompareNames(a.Number, b.Number) })
	for i := range r.Stale {
		v.Stale = append(v.Stale, clean(r.Stale[i].About))
	}
	for i := range r.Refused {
		v.Refused = append(v.Refused, v.units.Words(capital(clean(r.Refused[i].Why))))
	}
	return v
}

// atDesk says what to do about how a kit stands to who sits at a page, and has no flags.
func atDesk(v *figures.Verdict, do string) string {
	switch {
	case do == "" || v.Refused || v.Refit:
		return do
	case !v.Judged:
		return "tell the thickness of the sheet, and its joints are judged"
	}
	return "have the slots redrawn for it, or take a sheet that suits"
}

// draw draws the picture of the round.
func (v *ReviewRound) draw(page *figures.Page, side *figures.Side) {
	pic := newPicture(page.Frame)
	v.origin = pic.path.origin
	f := &filePage{ID: "f0"}
	if page.After != nil {
		f.side(pic, "before", page.Before, "", page.Shown, nil)
	}
	f.side(pic, "after", side, "", page.Shown, page.Schedule)
	m := markOn(page.Shown, len(side.Told))
	pic.group("side after", func() {
		pic.marks(side.Told, m, func(i int) string { return "q-" + side.Told[i].ID })
	})
	b := newBoard(page.Frame, page.Shown, page.Pieces)
	v.board = reviewBoard{v.Number, pic.String(), b.ViewBox, b.SheetBox, b.OriginX, b.OriginY, b.Shape, b.Pieces, []grip{}}
}

// Board writes the picture of the round as JSON.
func (v *ReviewRound) Board(w io.Writer) error { return json.NewEncoder(w).Encode(&v.board) }

// group puts together what can be settled in one go, worst first.
func (v *ReviewRound) group(m *rowMaker, asked []settle.Question, side *figures.Side) {
	gauge := map[string]*figures.Gauge{}
	for i := range side.Told {
		gauge[side.Told[i].ID] = side.Gauges[i]
	}
	at := map[string]int{}
	v.groups = make(map[string]int, len(asked))
	for i := range asked {
		q := &asked[i]
		key := lint.AlikeKey(&q.Finding)
		k, ok := at[key]
		if !ok {
			k = len(v.Groups)
			at[key] = k
			g := reviewGroup{Key: shortKey(key), Rule: q.Rule, Severity: q.Severity.String(), Items: []reviewItem{}}
			if g.Title, g.Why, _ = m.doc(q.Rule); g.Title == "" {
				g.Title = capital(q.Rule)
			}
			v.Groups = append(v.Groups, g)
		}
		v.groups[q.ID] = k
		g := &v.Groups[k]
		if g.Count++; g.Count <= mostItems {
			g.Items = append(g.Items, v.item(m, q, gauge[q.ID]))
		}
	}
}

// shortKey names a group on the page by what its questions have in common.
func shortKey(s string) string {
	sum := sha256.Sum256([]byte(s))
	return hex.EncodeToString(sum[:6])
}

func (v *ReviewRound) item(m *rowMaker, q *settle.Question, g *figures.Gauge) reviewItem {
	r := m.finding(&q.Finding, "", "", g)
	it := reviewItem{ID: q.ID, Text: v.units.Words(r.Text), Meta: r.Meta, Go: r.Go, Gauge: r.Gauge, Tag: v.units.Words(r.Tag)}
	for i := range q.Choices {
		w := &q.Choices[i]
		it.Choices = append(it.Choices, reviewChoice{w.Name, v.units.Words(capital(clean(w.Words))), w.Default, w.Does()})
	}
	return it
}

// changes tells what else an answer changed.
func (v *ReviewRound) changes(c *settle.Changes) {
	v.Gone, v.New = v.pathOf(c.Gone), v.pathOf(c.New)
	var says []string
	if c.Settled > 0 {
		says = append(says, fmt.Sprintf("%d settled", c.Settled))
	}
	if n := len(c.Asked); n > 0 {
		says = append(says, plural(n, "new question"))
	}
	if n := len(c.Gone); n > 0 {
		says = append(says, linesText(n)+" gone")
	}
	if n := len(c.New); n > 0 {
		says = append(says, linesText(n)+" new")
	}
	v.Changed = capital(strings.Join(says, ", "))
}

// linesText counts lines and arcs.
func linesText(n int) string {
	if n == 1 {
		return "1 line or arc"
	}
	return strconv.Itoa(n) + " lines and arcs"
}

// pathOf writes pieces as the data of an SVG path.
func (v *ReviewRound) pathOf(p geom.Path) string {
	d := pathData{origin: v.origin}
	for i := range p {
		d.add(&p[i])
	}
	return string(d.buf)
}

// ReviewPreview writes what a choice would do as JSON: what goes and what comes as
// SVG paths, and where that is.
func (v *ReviewRound) ReviewPreview(w io.Writer, p *settle.Preview) error {
	pieces := func(list []drawing.Stroke) (path geom.Path) {
		for i := range list {
			path = append(path, list[i].Piece)
		}
		return path
	}
	out := struct {
		Gone string `json:"gone"`
		New  string `json:"new"`
		Go   string `json:"go"`
	}{v.pathOf(pieces(p.Gone)), v.pathOf(pieces(p.New)), ""}
	if p.Box.Finite() {
		m := rowMaker{origin: v.origin}
		out.Go = m.goTo(p.Box.Center(), p.Box)
	}
	return json.NewEncoder(w).Encode(out)
}

// reviewAnswer is an answer in force.
type reviewAnswer struct {
	ID      string         `json:"id"`
	Text    string         `json:"text"`
	Choice  string         `json:"choice"`
	Words   string         `json:"words"`
	Note    string         `json:"note,omitempty"`
	Go      string         `json:"go,omitempty"`
	Choices []reviewChoice `json:"choices,omitempty"`
}

// without returns the round less what has been answered since.
func (v *ReviewRound) without(a *job.Answers) *ReviewRound {
	rest := *v
	rest.Groups = slices.Clone(v.Groups)
	gone := map[string]bool{}
	for i := range a.List {
		id := a.List[i].Finding
		if k, ok := v.groups[id]; ok {
			gone[id] = true
			rest.Groups[k].Count--
			rest.Asked--
		}
	}
	for k := range rest.Groups {
		g := &rest.Groups[k]
		g.Items = slices.DeleteFunc(slices.Clone(g.Items), func(it reviewItem) bool { return gone[it.ID] })
	}
	rest.Groups = slices.DeleteFunc(rest.Groups, func(g reviewGroup) bool { return len(g.Items) == 0 })
	return &rest
}

// sentences puts texts one behind the other, each with its stop.
func sentences(texts ...string) string {
	var out []string
	for _, t := range texts {
		if t = strings.TrimSpace(t); t != "" {
			out = append(out, capital(strings.TrimSuffix(t, "."))+".")
		}
	}
	return strings.Join(out, " ")
}

// ReviewState is what the page is told of the desk.
type ReviewState struct {
	*ReviewRound
	Version  int            `json:"version"`
	Busy     bool           `json:"busy"`
	Answered []reviewAnswer `json:"answered"`
	Bill     []figureJSON   `json:"bill"`
	Undo     string         `json:"undo"`
	Redo     string         `json:"redo"`
	Written  string         `json:"written"` // what was written of the present state, "" for nothing yet
	Exists   string         `json:"exists"`  // what would be replaced by writing
	Lays     bool           `json:"lays"`    // parts can be laid out
}

type figureJSON struct {
	Name  string `json:"name"`
	Value string `json:"value"`
}

// NewReviewState puts together what the page is told of the desk.
func NewReviewState(v *settle.View, r *ReviewRound) *ReviewState {
	if v.Busy && r.groups != nil {
		r = r.without(v.Answers)
	}
	s := &ReviewState{ReviewRound: r, Version: v.Version, Busy: v.Busy, Answered: []reviewAnswer{}, Bill: []figureJSON{},
		Undo: clean(v.Undo), Redo: clean(v.Redo)}
	m := rowMaker{file: "f0", origin: r.origin, units: r.units}
	for i := range v.Answers.List {
		a := &v.Answers.List[i]
		out := reviewAnswer{ID: clean(a.Finding), Text: capital(clean(a.About)), Choice: clean(a.Choice), Note: clean(a.Note)}
		if q, ok := v.Known[a.Finding]; ok {
			row := m.finding(&q.Finding, "", "", nil)
			out.Text, out.Go = row.Text+" ("+row.Meta+")", row.Go
			for k := range q.Choices {
				w := &q.Choices[k]
				out.Choices = append(out.Choices, reviewChoice{w.Name, r.units.Words(capital(clean(w.Words))), w.Default, false})
				if w.Name == a.Choice {
					out.Words = r.units.Words(capital(clean(w.Words)))
				}
			}
		}
		s.Answered = append(s.Answered, out)
	}
	for i := range v.Answers.Parts {
		s.Answered = append(s.Answered, answeredPart(&v.Answers.Parts[i]))
	}
	if v.Round != nil && v.Round.Bill != nil {
		s.Bill = billOf(v.Round.Bill)
	}
	return s
}

// billOf tells what cutting takes, in short.
func billOf(e *cutting.Estimate) []figureJSON {
	u := units.Of(e.Inches)
	out := []figureJSON{{"Cut", u.Run(e.Length.Cut())}, {"Pierces", fmt.Sprint(e.Pierces)}}
	if e.Pace.Cut > 0 {
		out = append(out, figureJSON{"Machine time", clock(e.Time.Total.Likely)}, figureJSON{"Abrasive", u.Mass(e.Abrasive.Likely, 1)})
	}
	if e.SheetArea > 0 {
		share := map[string]float64{"box": e.Shares.Box, "length": e.Shares.Length, "whole": e.Shares.Whole}[e.Share]
		out = append(out, figureJSON{"Plate", fixed(100*share, 0) + " % of a sheet"})
	}
	if e.Bill.Total() > 0 {
		out = append(out, figureJSON{"Cost", fixed(e.Bill.Total(), 2) + " " + clean(e.Currency)})
	}
	return out
}
