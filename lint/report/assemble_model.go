package report

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"fmt"
	"html/template"
	"math"
	"slices"
	"strings"
	"sync"

	"sluice/geom/plate"
	"sluice/lint/assembly"
	"sluice/lint/units"
)

//go:embed assets/model.html
var modelHTML string

//go:embed assets/model.css
var modelCSS string

//go:embed assets/plates.js
var platesJS string

//go:embed assets/model.js
var stageJS string

// modelJS is the script of a page with a model.
func modelJS() string { return platesJS + stageJS }

var modelTemplate = sync.OnceValue(func() *template.Template {
	return template.Must(template.New("model").Funcs(template.FuncMap{"plural": plural, "next": func(i int) int { return i + 1 }}).Parse(modelHTML))
})

// The model of a kit, as its script reads it. Names of fields are short, since there are
// many of them.
type (
	modelKit struct {
		Shapes []modelShape `json:"shapes"`
		Groups []modelGroup `json:"groups"`
	}
	// modelShape is a plate: points in hundredths of a millimetre, x and y in turn, each as
	// far as it is from the one before; how many of them each ring has; and triangles of
	// its face, which name three each, by how far each is from the one named before.
	modelShape struct {
		Thickness num   `json:"t"` // mm
		Points    []int `json:"v"`
		Rings     []int `json:"r"`
		Triangles []int `json:"f"`
	}
	modelGroup struct {
		Parts []modelPart `json:"parts"`
		Steps []modelStep `json:"steps"`
	}
	// modelPart is a plate in place: three rows of four numbers, the last of each in mm.
	modelPart struct {
		Name  string  `json:"n"`
		Words string  `json:"w"`
		Shape int     `json:"s"`
		Pose  [12]num `json:"m"`
	}
	// modelStep brings parts into place. Those joined before have steps of their own,
	// which come first and are of the step at index Of; -1 is the kit itself.
	modelStep struct {
		Parts []int  `json:"p"`
		Along [3]num `json:"a"`
		Of    int    `json:"of"`
		First bool   `json:"first,omitempty"` // it lies there, and nothing moves
		Words string `json:"w"`
	}
)

// modeler gathers the model of a kit.
type modeler struct {
	a   *Assembly
	kit modelKit
	of  map[string]int // by points: the shape
}

// modelData returns the model of a kit as JSON in which nothing ends a script; nil where
// nothing goes together.
func (a *Assembly) modelData() ([]byte, error) {
	if len(a.Kit.Groups) == 0 {
		return nil, nil
	}
	m := &modeler{a: a, of: map[string]int{}}
	for i := range a.Kit.Groups {
		g := &a.Kit.Groups[i]
		out := modelGroup{Parts: []modelPart{}, Steps: []modelStep{}}
		for k := range g.Parts {
			out.Parts = append(out.Parts, m.part(g, k))
		}
		m.steps(g, g.Steps, nil, &out.Steps)
		m.kit.Groups = append(m.kit.Groups, out)
	}
	return json.Marshal(&m.kit)
}

// part adds part k of a group. Copies share a shape: what tells them apart as they lie in
// the drawing goes into the pose.
func (m *modeler) part(g *assembly.Group, k int) modelPart {
	p := &g.Parts[k]
	shape := assembly.Shape(m.a.Sheet, p.Part, m.a.Kit.PlateOf(p.Part))
	corner := plate.Flat(shape.Box.Min, 0)
	out := modelPart{Name: dash(clean(m.a.Name(p.Part))), Words: m.partWords(g, k, shape)}
	points, triangles := shape.Face()
	s := modelShape{Thickness: num(shape.Thickness), Points: make([]int, 0, 2*len(points)), Rings: []int{}, Triangles: make([]int, 0, 3*len(triangles))}
	var was [3]int
	for _, q := range points {
		x, y := whole100(q.X-corner[0]), whole100(q.Y-corner[1])
		s.Points = append(s.Points, x-was[0], y-was[1])
		was[0], was[1] = x, y
	}
	for _, ring := range shape.Rings {
		s.Rings = append(s.Rings, len(ring))
	}
	for _, t := range triangles {
		for _, i := range t {
			s.Triangles = append(s.Triangles, i-was[2])
			was[2] = i
		}
	}
	key := fmt.Sprint(s.Thickness, s.Rings, s.Points)
	i, ok := m.of[key]
	if !ok {
		i = len(m.kit.Shapes)
		m.of[key] = i
		m.kit.Shapes = append(m.kit.Shapes, s)
	}
	out.Shape = i
	pose := p.Pose
	pose.T = pose.Apply(corner)
	for n, v := range pose.Matrix() {
		if n < len(out.Pose) {
			out.Pose[n] = num(math.Round(v*1e5) / 1e5)
		}
	}
	return out
}

// whole100 is a length, mm, in hundredths of a millimetre.
func whole100(v float64) int { return int(math.Round(finite(v) * 100)) }

// partWords says which of those alike a part is, how large, and what it meets.
func (m *modeler) partWords(g *assembly.Group, k int, shape *plate.Plate) string {
	p := &g.Parts[k]
	alike := 0
	name := m.a.Name(p.Part)
	for i := range m.a.copies() {
		if m.a.Name(i) == name {
			alike++
		}
	}
	words := ""
	if alike > 1 {
		words = fmt.Sprintf(", %d of %d alike", m.a.copies()[p.Part], alike)
	}
	b := shape.Box
	words += ": " + units.Of(m.a.Inches()).Words(figure(b.Max.X-b.Min.X, 1)+" × "+figure(b.Max.Y-b.Min.Y, 1)+" mm")
	if all := neighbours(g, []int{k}); len(all) > 0 {
		words += ", meets " + m.counted(g, all)
	}
	return words
}

// steps adds steps in the order in which they are made: what is joined before comes first.
// Whole is what these bring together for a later step, nil for the kit itself. It returns
// the indices of those that were given.
func (m *modeler) steps(g *assembly.Group, steps []assembly.Step, whole []int, out *[]modelStep) (at []int) {
	var there []int
	for i := range steps {
		s := &steps[i]
		inner := m.steps(g, s.With, s.Parts, out)
		for _, k := range inner {
			(*out)[k].Of = len(*out)
		}
		at = append(at, len(*out))
		words := m.stepWords(g, s, there)
		if i == 0 && whole != nil {
			words = capital(m.counted(g, whole)) + " are joined before they go in, beginning with " + m.counted(g, s.Parts) + "."
		}
		*out = append(*out, modelStep{Parts: s.Parts, Along: vecJSON(s.Along), Of: -1, First: i == 0, Words: words})
		there = append(there, s.Parts...)
	}
	return at
}

// stepWords says what goes where, and which of the parts that are there it meets.
func (m *modeler) stepWords(g *assembly.Group, s *assembly.Step, there []int) string {
	words, several, first := capital(m.counted(g, s.Parts)), len(s.Parts) > 1, len(there) == 0
	if len(s.With) > 0 {
		words += ", joined before,"
	}
	switch {
	case first && several:
		return words + " lie there to begin with."
	case first:
		return words + " lies there to begin with."
	case several:
		words += " go in "
	default:
		words += " goes in "
	}
	words += sideText(s.Along)
	all := slices.DeleteFunc(neighbours(g, s.Parts), func(k int) bool { return !slices.Contains(there, k) })
	if len(all) > 0 {
		words += " and meet"
		if !several {
			words += "s"
		}
		words += " " + m.counted(g, all)
	}
	return words + "."
}

// neighbours returns the parts of a group that these have joints with.
func neighbours(g *assembly.Group, parts []int) (all []int) {
	for i := range g.Joints {
		x := &g.Joints[i]
		for _, p := range [2][2]int{{x.A, x.B}, {x.B, x.A}} {
			if slices.Contains(parts, p[0]) && !slices.Contains(parts, p[1]) && !slices.Contains(all, p[1]) {
				all = append(all, p[1])
			}
		}
	}
	slices.Sort(all)
	return all
}

// sideText says from where something comes that moves in a direction.
func sideText(v plate.Vec) string {
	for i, words := range [3][2]string{{"from the left", "from the right"}, {"from the front", "from behind"}, {"from below", "from above"}} {
		if math.Abs(v[i]) > 0.999 {
			if v[i] > 0 {
				return words[0]
			}
			return words[1]
		}
	}
	return "aslant"
}

// counted names parts of a group, equal ones once: "parts 3, 12 (2 of them)".
func (m *modeler) counted(g *assembly.Group, parts []int) string {
	n := map[string]int{}
	var names []string
	for _, k := range parts {
		name := dash(clean(m.a.Name(g.Parts[k].Part)))
		if n[name]++; n[name] == 1 {
			names = append(names, name)
		}
	}
	for i, name := range names {
		if n[name] > 1 {
			names[i] = fmt.Sprintf("%s (%d of them)", name, n[name])
		}
	}
	word := "part "
	if len(parts) > 1 {
		word = "parts "
	}
	return word + strings.Join(names, ", ")
}

// model returns the part of a page that shows a kit in space, to turn and to take apart;
// "" where nothing goes together. The picture stands in its place where nothing can be
// drawn in space, and on paper.
func (a *Assembly) model(still template.HTML) (template.HTML, error) {
	data, err := a.modelData()
	if err != nil || data == nil {
		return "", err
	}
	var groups []int
	for i := range a.Kit.Groups {
		groups = append(groups, len(a.Kit.Groups[i].Parts))
	}
	var b bytes.Buffer
	err = modelTemplate().Execute(&b, map[string]any{"Groups": groups, "Still": still, "Data": template.JS(data)})
	return template.HTML(b.String()), err
}
