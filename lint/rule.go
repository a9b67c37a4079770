// Package lint judges drawings: it runs rules over the outlines of a drawing
// and gathers what they find.
package lint

import (
	"context"

	"sluice/fix"
	"sluice/geom"
	"sluice/geom/clear"
	"sluice/geom/drawing"
	"sluice/geom/outline"
	"sluice/lint/assembly"
	"sluice/lint/job"
	"sluice/lint/kit"
)

// Doc is what a rule says of itself; help, manual, reports and SARIF texts all
// come from it.
type Doc struct {
	Title      string // a few words
	What       string // what the rule looks for
	Why        string // why it matters under the jet
	Bad        string // a case that is reported
	Good       string // a near miss that is not
	Exceptions string // what is left alone on purpose
	Limit      string // the limit in words, with its setting
	Fix        string // how it is repaired, or what a person must do
	Reason     string // why the repair is safe, or why it is only made when asked
	Since      string // version that brought the rule
}

// Rule is one check.
type Rule struct {
	ID       string
	Severity Severity // unless the job says otherwise
	Repair   Repair   // the best that can be done about a finding of it
	Choices  []string // ways in which a person may settle a finding, besides job.Leave
	Doc      Doc
	Brought  Brought // what a choice taken elsewhere may bring of it
	Paths    bool    // it looks at drawings of paths for the machine too, in which there are no parts
	Asks     Asks    // what it waits for
	Check    func(*Pass)
}

// Asks says what a rule waits for that is worked out beside the others.
type Asks uint8

// What a rule waits for. The first that asks for joints runs first and finds them, the
// others when the rest has run.
const (
	Nothing   Asks = iota
	Joints         // of the kit
	UnitDoubt      // Doubt, Weight and Rival of the drawing's unit: no other rule may look at them
)

// Brought says what it means that a choice, taken for some finding, brings a new finding
// of a rule.
type Brought uint8

// What a choice may bring of a rule.
const (
	NotBrought   Brought = iota // none can come of what is changed nearby, or fix sees to it
	BroughtAlong                // it goes with what was chosen, and is told
	BroughtWorse                // it is told, and the choice is offered last
)

// Pass is what a rule sees of one drawing, and where it reports.
type Pass struct {
	Ctx     context.Context
	Job     *job.Job
	Drawing *drawing.Drawing
	Sheet   *outline.Sheet
	Names   []string // by part
	Labeled []bool   // by part: the drawing writes its number
	Own     bool     // the drawing has this tool's own layers

	rule   *Rule
	found  [][]Finding // by hundreds: they are many in bad drawings, and large
	cache  *cache
	corner *geom.Point // from which the ids of findings are reckoned
}

// cache holds what several rules need, built once per drawing before they run.
type cache struct {
	rings  [][]clear.Ring // by part: its outside first, then its holes
	partOf func() map[int32]int32
	kit    func() *kit.Kit
	space  func() *assembly.Kit
}

// Report adds a finding. The rule fills place, message and measure; the engine
// adds rule, severity and id.
func (p *Pass) Report(f Finding) {
	f.Rule = p.rule.ID
	if f.Repair == "" {
		f.Repair = p.rule.Repair
	}
	if f.Box.Empty() || f.Box == (geom.Box{}) {
		f.Box = geom.BoxOf(f.At)
	}
	n := len(p.found)
	if n == 0 || len(p.found[n-1]) == cap(p.found[n-1]) {
		room := 4
		if n > 0 {
			room = min(4*cap(p.found[n-1]), 256)
		}
		p.found = append(p.found, make([]Finding, 0, room))
		n++
	}
	p.found[n-1] = append(p.found[n-1], f)
}

// Rings returns the rings of a part.
func (p *Pass) Rings(part int) []clear.Ring { return p.cache.rings[part] }

// Kit returns the joints of the parts, found once for all rules.
func (p *Pass) Kit() *kit.Kit { return p.cache.kit() }

// Space returns the kit rebuilt in space, nil where that would take long.
func (p *Pass) Space() *assembly.Kit { return p.cache.space() }

// PartName returns the label of a part, "" for -1.
func (p *Pass) PartName(part int32) string {
	if part < 0 || int(part) >= len(p.Names) {
		return ""
	}
	return p.Names[part]
}

// PartOfStroke returns the first part that stroke s bounds, -1 if none.
func (p *Pass) PartOfStroke(s int32) int32 {
	if k, ok := p.cache.partOf()[s]; ok {
		return k
	}
	return -1
}

// EntityIDs names the entities of the strokes, each once, at most 64 of them.
func (p *Pass) EntityIDs(strokes ...int32) []string {
	return entityIDs(p.Drawing, strokes)
}

func entityIDs(d *drawing.Drawing, strokes []int32) []string {
	ids := []string{}
	last := int32(-1)
	for _, s := range strokes {
		if s < 0 || int(s) >= len(d.Strokes) {
			continue
		}
		e := d.Strokes[s].Entity
		if e < 0 || int(e) >= len(d.Entities) || e == last {
			continue
		}
		last = e
		id := d.Entities[e].ID()
		dup := false
		for _, x := range ids {
			dup = dup || x == id
		}
		if !dup {
			ids = append(ids, id)
		}
		if len(ids) >= 64 { // a finding names what it is about, not a whole net
			break
		}
	}
	return ids
}

// LayerOf returns the name of a stroke's layer.
func (p *Pass) LayerOf(stroke int32) string {
	if stroke < 0 || int(stroke) >= len(p.Drawing.Strokes) {
		return ""
	}
	return p.Drawing.LayerName(p.Drawing.Strokes[stroke].Layer)
}

// NearCrossing reports whether outlines cross within d (mm) of p.
func (p *Pass) NearCrossing(q geom.Point, d float64) bool {
	for i := range p.Sheet.Crossings {
		if p.Sheet.Crossings[i].At.Dist(q) <= d {
			return true
		}
	}
	return false
}

// NearGap reports whether q lies between the two ends of a gap, or within d (mm)
// of them.
func (p *Pass) NearGap(q geom.Point, d float64) bool {
	for i := range p.Sheet.Gaps {
		if g := &p.Sheet.Gaps[i]; g.Partner && g.Bridged && g.At.Dist(q) <= g.Width/2+d {
			return true
		}
	}
	return false
}

// OneFix is a fix of a single edit.
func OneFix(s fix.Safety, e fix.Edit) []fix.Fix {
	return []fix.Fix{{Safety: s, Edits: []fix.Edit{e}}}
}
