package report

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"slices"
	"strings"

	"sluice/geom"
	"sluice/lint/units"
)

//go:embed assets/leaflet.html
var leafletBody string

//go:embed assets/leaflet.css
var leafletCSS string

// leafletPage shows how a kit goes together, step by step.
type leafletPage struct {
	shell
	Path   string
	Facts  []fact
	Model  template.HTML // to turn and to take apart; "" for none
	Groups []leafletGroup
	Parts  []leafletPart
	Stacks []leafletStack
	Alone  []note
	Defs   template.HTML // patches that pictures point to
}

// leafletGroup is a chapter on a group.
type leafletGroup struct {
	Number   int
	Told     string // how many parts, and how large it is
	Picture  template.HTML
	Notes    []note
	Missing  []leafletGap
	Chapters []leafletChapter
}

// leafletChapter is steps that follow each other.
type leafletChapter struct {
	ID, Title, Told string
	Letter          string // of a subassembly, "" for a group
	Picture         template.HTML
	Steps           []leafletStep
}

// leafletStep is one picture.
type leafletStep struct {
	Number              int
	Title, Text, Letter string
	Name                string // of what goes in, and how many of it
	Count               int
	Picture             template.HTML
}

// leafletPart is a line of the list of parts.
type leafletPart struct {
	Name    string
	Count   int
	Picture template.HTML
}

// leafletGap is a plate that is missing.
type leafletGap struct {
	Size, Text string
	Count      int // of those alike
	Picture    template.HTML
}

// note is a sentence with how grave it is.
type note struct{ Severity, Text string }

var leafletTemplate = pageOf(leafletBody)

// assembleHTML writes a leaflet: how a kit goes together, in pictures.
func assembleHTML(w io.Writer, a *Assembly) error {
	name := kitName(a.Path)
	p := &leafletPage{shell: newShell(name+": how it goes together", a.Version, modelJS(), leafletCSS, modelCSS, printCSS), Path: clean(a.Path)}
	u := units.Of(a.Inches())
	var defs bytes.Buffer
	steps := 0
	a.leaflet(&defs, false, func(v *groupView, chapters []leafletChapter) {
		g := leafletGroup{Number: v.number + 1, Notes: a.groupNotes(v), Missing: a.gaps(v.number, u), Chapters: chapters}
		g.Told = plural(len(v.g.Parts), "part") + ", " + a.sizeText(v.g)
		last := &chapters[len(chapters)-1]
		g.Picture, last.Picture = last.Picture, ""
		for i := range chapters {
			steps += len(chapters[i].Steps)
		}
		p.Groups = append(p.Groups, g)
	})
	p.Stacks = a.leafletStacks(&defs)
	p.Defs = template.HTML(defs.String())
	p.Parts = a.leafletParts()
	p.Alone = a.aloneNotes()
	p.Facts = []fact{{"Parts", fmt.Sprint(len(a.copies()))}, {"Kinds", fmt.Sprint(len(p.Parts))}, {"Groups", fmt.Sprint(len(p.Groups))}, {"Pictures", fmt.Sprint(steps)}}
	if t := a.thicknesses(); t != "" {
		p.Facts = append(p.Facts, fact{"Plates", u.Words(t + " mm")})
	}
	if len(p.Groups) > 0 {
		var err error
		if p.Model, err = a.model(p.Groups[0].Picture); err != nil {
			return err
		}
	}
	return writePage(w, leafletTemplate, p)
}

// leaflet draws the chapters of each group, those of parts that are joined before they go
// in first, and writes the patches that their pictures point to. Alone, the pictures are
// for a file without a page's looks.
func (a *Assembly) leaflet(defs *bytes.Buffer, alone bool, each func(v *groupView, chapters []leafletChapter)) {
	letters, all := 0, 0
	letter := func() string {
		letters++
		return letterOf(letters)
	}
	for i := range a.Kit.Groups {
		all += len(a.Kit.Groups[i].Parts)
	}
	for i := range a.Kit.Groups {
		v := newGroupView(a, i)
		v.toned = alone
		v.bound(len(v.g.Parts), all)
		var drawn []leafletChapter
		chapters := v.chapters(letter)
		for k := range chapters {
			drawn = append(drawn, v.leafletChapter(&chapters[k]))
		}
		each(v, drawn)
		v.defs(defs)
	}
}

// letterOf returns the n-th letter: A to Z, AA and so on.
func letterOf(n int) (s string) {
	for ; n > 0; n = (n - 1) / 26 {
		s = string(rune('A'+(n-1)%26)) + s
	}
	return s
}

// leafletChapter draws a chapter.
func (v *groupView) leafletChapter(c *chapter) leafletChapter {
	out := leafletChapter{ID: fmt.Sprintf("group-%d-steps", v.number+1), Title: "Step by step", Letter: c.Letter}
	label := fmt.Sprintf("group %d as it stands", v.number+1)
	if c.Letter != "" {
		out.ID, out.Title, out.Told = "subassembly-"+c.Letter, "Subassembly "+c.Letter, plural(len(c.Parts), "part")+", joined before they go in: "+v.named(c.Parts)+"."
		label = "subassembly " + c.Letter + " as it stands"
	}
	out.Picture = v.wholePicture(c.Parts, label)
	for i := range c.Turns {
		t := &c.Turns[i]
		s := leafletStep{Number: i + 1, Title: v.title(t), Text: v.words(t, c.Letter != "") + v.boltWords(t), Letter: t.Letter, Name: v.nameOf(t), Count: len(t.Steps)}
		s.Picture = v.turnPicture(t, s.Title)
		out.Steps = append(out.Steps, s)
	}
	return out
}

// groupNotes tells what is to be minded of a group.
func (a *Assembly) groupNotes(v *groupView) (out []note) {
	for i := range v.g.Trapped {
		out = append(out, note{"error", capital(v.named(v.g.Trapped[i].Parts)) + " cannot be put together without springing or cutting: each is in the way of another. They are shown in place from the start."})
	}
	for _, line := range v.a.boltTexts(v.g, v.g.Bolts) {
		severity := "note"
		if strings.HasPrefix(line, "no hole") {
			severity = "warning"
		}
		out = append(out, note{severity, capital(line) + "."})
	}
	for i := range v.g.Clashes {
		c := &v.g.Clashes[i]
		out = append(out, note{"error", capital(v.named([]int{c.A, c.B})) + " are in each other, by " + fixed(c.Volume, 1) + " mm³. They do not fit as drawn."})
	}
	if v.g.Share < 1 {
		out = append(out, note{"warning", fmt.Sprintf("%s %% of the joints of these parts close. The others stay open.", fixed(min(100*v.g.Share, 99), 0))})
	}
	var open []int
	for i := range v.g.Parts {
		if v.g.Parts[i].Others > 0 {
			open = append(open, i)
		}
	}
	switch len(open) {
	case 0:
	case 1:
		out = append(out, note{"note", capital(v.named(open)) + " fits in other ways as well; one of them is drawn."})
	default:
		out = append(out, note{"note", capital(v.named(open)) + " fit in other ways as well; one of them is drawn."})
	}
	return out
}

// gaps tells the plates that a group lacks.
func (a *Assembly) gaps(group int, u units.System) (out []leafletGap) {
	for i := range a.Kit.Missing {
		m := &a.Kit.Missing[i]
		if m.Group != group || len(m.Outline) < 3 {
			continue
		}
		box := geom.BoxOf(m.Outline...)
		w, h := box.W(), box.H()
		g := leafletGap{Size: u.Words(fixed(w, 1) + " × " + fixed(h, 1) + " mm")}
		g.Text = "Open joints of " + (&groupView{a: a, g: &a.Kit.Groups[group]}).named(m.Meets) + " call for a plate there, of this size at least."
		g.Picture, g.Count = drawOutline(m.Outline, "outline of a missing plate"), 1
		if k := slices.IndexFunc(out, func(o leafletGap) bool { return o.Size == g.Size && o.Text == g.Text }); k >= 0 {
			out[k].Count++
			continue
		}
		out = append(out, g)
	}
	return out
}

// leafletParts lists the parts by their numbers.
func (a *Assembly) leafletParts() (out []leafletPart) {
	at := map[string]int{}
	for k := range a.copies() {
		name := clean(a.Name(k))
		if i, ok := at[name]; ok {
			out[i].Count++
			continue
		}
		at[name] = len(out)
		out = append(out, leafletPart{dash(name), 1, a.drawFlat(k, dash(name))})
	}
	return out
}

// aloneNotes tells the parts that stand in no group, by why.
func (a *Assembly) aloneNotes() (out []note) {
	var whys []string
	by := map[string][]string{}
	for _, u := range a.Kit.Unplaced {
		if by[u.Why] == nil {
			whys = append(whys, u.Why)
		}
		by[u.Why] = append(by[u.Why], dash(clean(a.Name(u.Part))))
	}
	for _, why := range whys {
		names := by[why]
		n := map[string]int{}
		var order []string
		for _, s := range names {
			if n[s]++; n[s] == 1 {
				order = append(order, s)
			}
		}
		for i, s := range order {
			if n[s] > 1 {
				order[i] = fmt.Sprintf("%s (%s)", s, timesWord(n[s]))
			}
		}
		word := "Part "
		if len(names) > 1 {
			word = "Parts "
		}
		severity := "warning"
		if slices.Contains(plainWhys, why) {
			severity = "note"
		}
		out = append(out, note{severity, word + listed(order) + ": " + strings.TrimSuffix(why, ".") + "."})
	}
	return out
}

// plainWhys are reasons that are no fault.
var plainWhys = []string{"it has no joints"}
