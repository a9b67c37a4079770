package report

import (
	"bytes"
	_ "embed"
	"fmt"
	"html"
	"html/template"
	"io"
	"slices"
	"strings"
)

//go:embed assets/steps_picture.css
var stepsPictureCSS string

// Sizes of the picture of all steps, pixels of its full width.
const (
	gridWidth  = 900
	gridAcross = 4 // pictures in a row
	gridEdge   = 14
	gridGap    = 10
	gridHead   = 40 // the line over a chapter
	gridSay    = 42 // the line over a picture
	gridDrawn  = 158
	gridLine   = 22 // of the foot
	gridName   = 17 // letters beside a number
)

// assembleSteps draws all steps of the leaflet in a grid, as a picture that stands alone.
func assembleSteps(w io.Writer, a *Assembly) error {
	g := stepGrid{y: gridEdge}
	a.leaflet(&g.defs, true, func(v *groupView, chapters []leafletChapter) {
		for i := range chapters {
			g.chapter(v, &chapters[i])
		}
	})
	g.foot(a)
	name := kitName(a.Path)
	page := svgPage{width: gridWidth, height: float64(g.y + gridEdge), pixels: gridWidth, tall: g.y + gridEdge, css: stepsPictureCSS, shows: "steps",
		title: fmt.Sprintf("%s: how it goes together, in %s", name, plural(g.steps, "picture")),
		defs:  g.defs.String(), board: g.board.String()}
	return page.write(w)
}

// stepGrid is a picture of steps as far as it is drawn.
type stepGrid struct {
	defs, board bytes.Buffer
	y           int // where the next line begins
	steps       int
}

// chapter draws the steps that follow each other, under a line that tells of them; where
// their last row has room, what they come to stands there.
func (g *stepGrid) chapter(v *groupView, c *leafletChapter) {
	head, told := fmt.Sprintf("Group %d", v.number+1), v.toldShort()
	if c.Letter != "" {
		head, told = "Subassembly "+c.Letter, fmt.Sprintf("joined before it goes into group %d", v.number+1)
	}
	fmt.Fprintf(&g.board, "<text x=\"%d\" y=\"%d\"><tspan class=\"head\">%s</tspan><tspan class=\"told\" dx=\"12\">%s</tspan></text>\n",
		gridEdge, g.y+26, html.EscapeString(head), html.EscapeString(told))
	g.y += gridHead
	for i := range c.Steps {
		s := &c.Steps[i]
		times := ""
		if s.Count > 1 {
			times = fmt.Sprintf(" × %d", s.Count)
		}
		g.cell(i, fmt.Sprint(s.Number), shortened(s.Name, gridName-len(times))+times, s.Picture)
	}
	g.steps += len(c.Steps)
	n := len(c.Steps)
	if n%gridAcross != 0 {
		g.cell(n, "", "as it stands", c.Picture)
		n++
	}
	g.y += (n + gridAcross - 1) / gridAcross * (gridSay + gridDrawn + gridGap)
}

// cell draws the n-th picture of a chapter, with what is told over it.
func (g *stepGrid) cell(n int, number, title string, picture template.HTML) {
	const wide = (gridWidth - 2*gridEdge - (gridAcross-1)*gridGap) / gridAcross
	x, y := gridEdge+n%gridAcross*(wide+gridGap), g.y+n/gridAcross*(gridSay+gridDrawn+gridGap)
	fmt.Fprintf(&g.board, `<rect class="cell" x="%d" y="%d" width="%d" height="%d"/>`, x, y, wide, gridSay+gridDrawn)
	at := x + 10
	if number != "" {
		fmt.Fprintf(&g.board, `<text class="turn" x="%d" y="%d">%s</text>`, at, y+32, number)
		at += 8 + 18*len(number)
	}
	class := "what"
	if number == "" {
		class = "told"
	}
	fmt.Fprintf(&g.board, `<text class="%s" x="%d" y="%d">%s</text>`, class, at, y+30, html.EscapeString(title))
	// The picture is an element of its own within its frame.
	fmt.Fprintf(&g.board, "<svg x=\"%d\" y=\"%d\" width=\"%d\" height=\"%d\"%s\n", x+4, y+gridSay, wide-8, gridDrawn-4, strings.TrimPrefix(string(picture), "<svg"))
}

// foot tells what no picture shows.
func (g *stepGrid) foot(a *Assembly) {
	var lines []string
	if len(a.Kit.Groups) == 0 {
		lines = append(lines, "No parts were found that go into each other.")
	}
	plain, rest := 0, 0
	for i := range a.Kit.Unplaced {
		if slices.Contains(plainWhys, a.Kit.Unplaced[i].Why) {
			plain++
		} else {
			rest++
		}
	}
	if rest > 0 {
		lines = append(lines, plural(rest, "part")+" found no place; the page and the text say why.")
	}
	if plain > 0 {
		lines = append(lines, plural(plain, "part")+" without joints not shown.")
	}
	for _, line := range lines {
		g.y += gridLine
		fmt.Fprintf(&g.board, "<text class=\"told\" x=\"%d\" y=\"%d\">%s</text>\n", gridEdge, g.y, line)
	}
}

// toldShort says in a line what a group is, and what is amiss with it.
func (v *groupView) toldShort() string {
	told := []string{plural(len(v.g.Parts), "part"), v.a.boxText(v.g)}
	bolts := 0
	for i := range v.g.Bolts {
		if v.g.Bolts[i].Hole > 0 {
			bolts++
		}
	}
	if bolts > 0 {
		told = append(told, plural(bolts, "bolt"))
	}
	trapped := 0
	for i := range v.g.Trapped {
		trapped += len(v.g.Trapped[i].Parts)
	}
	if trapped > 0 {
		told = append(told, plural(trapped, "part")+" cannot be put in")
	}
	if n := len(v.g.Clashes); n > 0 {
		told = append(told, plural(n, "pair")+" of parts in each other")
	}
	missing := 0
	for i := range v.a.Kit.Missing {
		if v.a.Kit.Missing[i].Group == v.number {
			missing++
		}
	}
	if missing > 0 {
		told = append(told, plural(missing, "plate")+" missing")
	}
	return strings.Join(told, ", ")
}

// shortened cuts a text to so many letters.
func shortened(s string, most int) string {
	if r := []rune(s); len(r) > most {
		return string(r[:most-1]) + "…"
	}
	return s
}
