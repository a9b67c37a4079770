package rules

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/lint"
)

var unreadEntity = &lint.Rule{
	ID:       "unread-entity",
	Severity: lint.Warning,
	Repair:   lint.None,
	Choices:  []string{"use", "drop", "etch"},
	Doc: lint.Doc{
		Title:      "Content left out",
		What:       "Content that the reader knows no outline for, or that is hidden: on a layer that is off or frozen, or outside the model. One finding for each type and layer. Layers taken for marks or left out by their names, and problems met while reading the file, are told here too.",
		Why:        "What is left out is not cut. Better to hear it now than to find a hole missing in the plate.",
		Bad:        "A hatch, an image, a filled area; a hole on a frozen layer, or on one that is called \"Etch\".",
		Good:       "Points and texts, which are carried over.",
		Exceptions: "Layers that the job file names itself under [layers] are told as a note, whatever they hold.",
		Limit:      "None.",
		Fix:        "Export it as lines and arcs, or thaw its layer, if it belongs to the parts; what is hidden, and layers taken by their names, can be answered: use it, drop it, or etch it; [layers] hatch = \"outline\" cuts the boundaries of hatches and fills. [layers] etch and ignore say which layers are no cut.",
		Reason:     "Never made: the content cannot be read.",
		Since:      "0.1",
	},
	Check: func(p *lint.Pass) {
		unreadContent(p)
		shownContent(p)
		takenLayers(p)
		for i := range p.Drawing.Problems {
			unreadProblem(p, &p.Drawing.Problems[i])
		}
	},
}

// unreadContent reports what was left out, one finding for each type and layer,
// and apart from them the bands of which the centre line was read.
func unreadContent(p *lint.Pass) {
	type group struct {
		typ, layer string
		wide       bool
		hidden     bool // it can be read
	}
	type sum struct {
		n    int
		whys []string // each once, in the order in which they came
		of   map[string]int
		ids  []string
		line int32 // of the first
		at   geom.Point
		box  geom.Box
	}
	sums := map[group]*sum{}
	var keys []group
	for i := range p.Drawing.Notices {
		n := &p.Drawing.Notices[i]
		if n.Kind == drawing.NotFlat {
			continue
		}
		e := &p.Drawing.Entities[n.Entity]
		g := group{e.Type, p.Drawing.LayerName(n.Layer), n.Kind == drawing.Wide, n.Kind == drawing.Hidden}
		s := sums[g]
		if s == nil {
			s = &sum{at: n.At, box: n.Box, line: e.Line, of: map[string]int{}}
			sums[g] = s
			keys = append(keys, g)
		}
		s.n++
		why := lint.NoticeWhy(p.Drawing, n)
		if s.of[why]++; s.of[why] == 1 {
			s.whys = append(s.whys, why)
		}
		s.box = s.box.Union(n.Box)
		if len(s.ids) < 64 {
			s.ids = append(s.ids, e.ID())
		}
	}
	slices.SortFunc(keys, func(a, b group) int {
		return cmp.Or(cmp.Compare(a.typ, b.typ), cmp.Compare(a.layer, b.layer), truth(a.wide, b.wide), truth(a.hidden, b.hidden))
	})
	for _, g := range keys {
		s := sums[g]
		f := lint.Finding{
			At: s.at, Box: s.box, Layer: g.layer, Entities: s.ids,
			Measure: &lint.Measure{Name: "count", Value: float64(s.n), Unit: "entities"},
		}
		if !s.box.Empty() {
			f.At = s.box.Center()
		}
		from := ""
		if s.line > 0 {
			from = fmt.Sprintf(" (line %d)", s.line)
			if s.n > 1 {
				from = fmt.Sprintf(" (from line %d)", s.line)
			}
		}
		why := because(s.whys, s.of)
		if g.wide {
			f.Message = fmt.Sprintf("%d %s drawn as a filled band (%s): its centre line was read", s.n, g.typ, why)
		} else {
			f.Message = fmt.Sprintf("%d %s left out: %s%s", s.n, g.typ, why, from)
		}
		f.Fact = lint.Fact{One: f.Message, Many: f.Message}
		if g.hidden {
			offerHidden(&f, g.typ, s.n)
		}
		p.Report(f)
	}
}

// truth orders what does not hold before what does.
func truth(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	}
	return 1
}

// offerHidden offers to read what is hidden.
func offerHidden(f *lint.Finding, typ string, n int) {
	f.Key, f.Repair = lint.HiddenKey(typ, f.Layer), lint.Choice
	f.Choices = append(f.Choices,
		lint.Way{Name: "drop", Words: "leave it out, as it is hidden", Default: true},
		lint.Way{Name: "use", Words: fmt.Sprintf("read it as if it were shown: %d %s", n, typ)})
}

// shownContent tells of what is hidden and was read since a person says so.
func shownContent(p *lint.Pass) {
	type group struct{ typ, layer string }
	at := map[group]int{}
	var found []lint.Finding
	var counts []int
	var types []string
	for i := range p.Drawing.Shown {
		n := &p.Drawing.Shown[i]
		e := &p.Drawing.Entities[n.Entity]
		g := group{e.Type, p.Drawing.LayerName(n.Layer)}
		k, ok := at[g]
		if !ok {
			k = len(found)
			at[g] = k
			found, counts = append(found, lint.Finding{Severity: lint.Note, Layer: g.layer, Message: n.Text, Box: geom.NoBox()}), append(counts, 0)
			types = append(types, g.typ)
		}
		f := &found[k]
		if counts[k]++; len(f.Entities) < 64 {
			f.Entities = append(f.Entities, e.ID())
		}
		f.Box = f.Box.Union(drawn(p.Drawing, n.Entity))
	}
	for k := range found {
		f, typ := &found[k], types[k]
		if !f.Box.Empty() {
			f.At = f.Box.Center()
		}
		f.Message = fmt.Sprintf("%d %s read though hidden: %s", counts[k], typ, f.Message)
		f.Fact = lint.Fact{One: f.Message, Many: f.Message}
		f.Measure = &lint.Measure{Name: "count", Value: float64(counts[k]), Unit: "entities"}
		offerHidden(f, typ, counts[k])
		p.Report(*f)
	}
}

// reasonsShown is how many reasons one finding names.
const reasonsShown = 4

// because lists reasons, with how often each holds where there are several.
func because(whys []string, of map[string]int) string {
	if len(whys) == 1 {
		return whys[0]
	}
	var s []string
	for i, w := range whys {
		if i == reasonsShown {
			s = append(s, fmt.Sprintf("and %d reasons more", len(whys)-i))
			break
		}
		s = append(s, fmt.Sprintf("%s (%d)", w, of[w]))
	}
	return strings.Join(s, "; ")
}

// unreadProblem reports a problem met while reading: gravely where something was
// lost, else as a note. A file that ends early and an outline that lacks corners
// it says it has are errors: parts are missing or spoiled for sure.
func unreadProblem(p *lint.Pass, pr *drawing.Problem) {
	if pr.Code == "missing-block" {
		return // told with what is left out
	}
	f := lint.Finding{Message: pr.Text, Severity: lint.Note}
	f.Fact = lint.Fact{One: pr.Text, Many: "faults in the file"}
	if pr.Line > 0 {
		f.Message = fmt.Sprintf("line %d: %s", pr.Line, pr.Text)
	}
	switch {
	case pr.Lost && (pr.Code == "cut-short" || pr.Code == "vertex-count"):
		f.Severity = lint.Error
	case pr.Lost:
		f.Severity = lint.Warning
	}
	if pr.Entity >= 0 && int(pr.Entity) < len(p.Drawing.Entities) {
		e := &p.Drawing.Entities[pr.Entity]
		f.Entities = []string{e.ID()}
		f.Layer = p.Drawing.LayerName(e.Layer)
		if f.Box = drawn(p.Drawing, pr.Entity); !f.Box.Empty() {
			f.At = f.Box.Center()
		}
	}
	p.Report(f)
}

// drawn returns the box of what was read of an entity, empty if nothing was.
func drawn(d *drawing.Drawing, entity int32) geom.Box {
	b := geom.NoBox()
	// Strokes stand in the order of entities.
	i, _ := slices.BinarySearchFunc(d.Strokes, entity, func(s drawing.Stroke, e int32) int { return int(s.Entity) - int(e) })
	for ; i < len(d.Strokes) && d.Strokes[i].Entity == entity; i++ {
		b = b.Union(d.Strokes[i].Box())
	}
	return b
}
