// Package assembly draws the page that helps to put a kit together: each part
// with its number, at each joint the number of the part that meets it there, and
// a suggested order with reasons. The page is one file without scripts and asks
// nothing of the network.
package assembly

import (
	"fmt"
	"html/template"
	"io"
	"slices"
	"strings"

	"sluice/geom"
	"sluice/lint/kit"
)

// Write writes the page. names are the labels of the parts of the kit's sheet.
func Write(w io.Writer, title string, k *kit.Kit, names []string) error {
	p := page{Title: title, Thickness: mm(k.Design())}
	name := func(part int32) string {
		if int(part) < len(names) && names[part] != "" {
			return names[part]
		}
		return fmt.Sprint(k.Number(part))
	}
	first := map[int]int32{} // the first part of each number
	for i := range k.Sheet.Parts {
		n := k.Number(int32(i))
		if _, ok := first[n]; !ok {
			first[n] = int32(i)
		}
	}
	list := func(ns []int) string {
		var s []string
		for _, n := range ns {
			s = append(s, name(first[n]))
		}
		return strings.Join(s, ", ")
	}
	marks := marksOf(k, name)
	for _, l := range k.Schedule() {
		part, ok := first[l.Number]
		if !ok {
			continue
		}
		p.Lines = append(p.Lines, line{
			Name: name(part), Count: l.Count, Picture: picture(k, part, name(part), marks[part]),
			GoesInto: list(l.GoesInto), Takes: list(l.Takes), Free: l.Free,
		})
	}
	captive := map[int32]bool{}
	for _, c := range k.Captives() {
		captive[c.Part] = true
	}
	for i, s := range k.Order(names) {
		var meets []string
		for _, q := range s.Meets {
			if n := name(q); !slices.Contains(meets, n) {
				meets = append(meets, n)
			}
		}
		p.Stages = append(p.Stages, stage{
			Place: i + 1, Name: name(s.Part), Meets: strings.Join(meets, ", "), Why: s.Why, Start: s.Start, Force: s.Force, Captive: captive[s.Part],
			Picture: picture(k, s.Part, name(s.Part), marks[s.Part]),
		})
	}
	for _, m := range k.Missing {
		text := "A piece that meets parts " + list(m.Meets) + " may be missing."
		if m.Like > 0 {
			text = "One more of part " + list([]int{m.Like}) + " may be missing, or it is to be cut once more."
		}
		p.Missing = append(p.Missing, text)
	}
	return tmpl.Execute(w, p)
}

type page struct {
	Title, Thickness string
	Lines            []line
	Stages           []stage
	Missing          []string
}

type line struct {
	Name            string
	Count, Free     int
	GoesInto, Takes string
	Picture         template.HTML
}

type stage struct {
	Place                 int
	Name, Meets, Why      string
	Start, Force, Captive bool
	Picture               template.HTML
}

func mm(v float64) string {
	return strings.TrimRight(strings.TrimRight(fmt.Sprintf("%.3f", v), "0"), ".")
}

// mark is the number of a mate at a place on a part.
type mark struct {
	at   geom.Point
	text string
}

// marksOf returns the marks of each part.
func marksOf(k *kit.Kit, name func(int32) string) map[int32][]mark {
	out := map[int32][]mark{}
	for _, p := range k.Pairs {
		if p.JointA >= 0 {
			out[p.PartA] = append(out[p.PartA], mark{k.Joints[p.JointA].At, name(p.PartB)})
			out[p.PartB] = append(out[p.PartB], mark{k.Joints[p.JointB].At, name(p.PartA)})
			continue
		}
		for _, e := range [2][2]int{{p.EdgeA, p.EdgeB}, {p.EdgeB, p.EdgeA}} {
			a := &k.Edges[e[0]]
			mid := (a.Steps[0].Pos + a.Steps[len(a.Steps)-1].Pos) / 2
			at := a.U.Mul(mid).Add(a.Out.Mul(a.Level))
			out[a.Part] = append(out[a.Part], mark{at, name(k.Edges[e[1]].Part)})
		}
	}
	return out
}

// chord is how far the drawn lines may stray from arcs, mm.
const chord = 0.05

// picture draws a part. It holds nothing but numbers and escaped names.
func picture(k *kit.Kit, part int32, name string, marks []mark) template.HTML {
	p := &k.Sheet.Parts[part]
	box := p.Box.Inflate(max(p.Box.W(), p.Box.H())/16 + 1) // room for the marks
	var b strings.Builder
	size := max(box.W(), box.H())
	fmt.Fprintf(&b, `<svg viewBox="0 0 %.2f %.2f" role="img" aria-label="part %s"><path fill-rule="evenodd" d="`, box.W(), box.H(), template.HTMLEscapeString(name))
	local := func(q geom.Point) (x, y float64) { return q.X - box.Min.X, box.Max.Y - q.Y }
	for _, o := range append([]int32{p.Outer}, p.Holes...) {
		for i, q := range k.Sheet.Outlines[o].Pieces.Outline(chord) {
			x, y := local(geom.Pt(q[0], q[1]))
			fmt.Fprintf(&b, "%c%.2f %.2f", "ML"[min(i, 1)], x, y)
		}
		b.WriteByte('Z')
	}
	b.WriteString(`"/>`)
	text := func(class string, at geom.Point, h float64, s string) {
		x, y := local(at)
		fmt.Fprintf(&b, `<text class="%s" x="%.2f" y="%.2f" font-size="%.2f">%s</text>`, class, x, y, h, template.HTMLEscapeString(s))
	}
	for _, m := range marks {
		text("mate", m.at, max(2, size/16), m.text)
	}
	text("own", p.Centroid, max(3, size/8), name)
	b.WriteString(`</svg>`)
	return template.HTML(b.String())
}

var tmpl = template.Must(template.New("assembly").Parse(`<!DOCTYPE html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width,initial-scale=1">
<title>{{.Title}}: assembly</title>
<style>
:root{color-scheme:light dark;--ink:#1d2430;--paper:#fff;--soft:#eef1f5;--part:#cfd8e3;--mate:#9a3412}
@media (prefers-color-scheme:dark){:root{--ink:#e6e9ee;--paper:#14181f;--soft:#1e242e;--part:#3b4757;--mate:#fdba74}}
body{font:16px/1.5 system-ui,sans-serif;color:var(--ink);background:var(--paper);margin:2rem auto;max-width:70rem;padding:0 1rem}
ul.parts,ol{list-style:none;padding:0;display:grid;gap:1rem;grid-template-columns:repeat(auto-fill,minmax(15rem,1fr))}
li{background:var(--soft);padding:.75rem;border-radius:.4rem}
h3{margin:.2rem 0}p{margin:.2rem 0}
svg{width:100%;height:10rem;display:block}
svg path{fill:var(--part);stroke:var(--ink);stroke-width:.3;vector-effect:non-scaling-stroke}
svg text{text-anchor:middle;dominant-baseline:central;fill:var(--ink)}
svg .mate{fill:var(--mate);font-weight:700}
.warn{border-left:.3rem solid var(--mate)}
@media print{li{break-inside:avoid}}
</style></head><body><main>
<h1>{{.Title}}: how it goes together</h1>
<p>An aid, no proof: it goes by the shapes of the joints. {{if ne .Thickness "0"}}Slots are {{.Thickness}} mm wide.{{end}} The small numbers at the joints are those of the parts that meet there.</p>
{{range .Missing}}<p class="warn">{{.}}</p>{{end}}
<h2>Order</h2>
{{if .Stages}}<ol>{{range $s := .Stages}}<li{{if $s.Force}} class="warn"{{end}}><h3>{{$s.Place}}. Part {{$s.Name}}</h3>{{$s.Picture}}
<p>{{if $s.Start}}Start here: {{$s.Why}}.{{else}}Joins {{$s.Meets}}: {{$s.Why}}.{{end}}{{if $s.Captive}} Held captive.{{end}}</p></li>
{{end}}</ol>{{else}}<p>No joints were found.</p>{{end}}
<h2>Parts</h2>
<ul class="parts">{{range .Lines}}<li{{if .Free}} class="warn"{{end}}><h3>Part {{.Name}}{{if gt .Count 1}} × {{.Count}}{{end}}</h3>{{.Picture}}
{{if .GoesInto}}<p>Goes into {{.GoesInto}}.</p>{{end}}{{if .Takes}}<p>Takes {{.Takes}}.</p>{{end}}{{if .Free}}<p>{{.Free}} without a mate.</p>{{end}}</li>
{{end}}</ul>
</main></body></html>
`))
