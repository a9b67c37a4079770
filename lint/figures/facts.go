package figures

import (
	"cmp"
	"math"
	"slices"

	"sluice/lint"
)

// Fact is findings that say the same, told together.
type Fact struct {
	lint.Fact
	Rule     string
	Severity lint.Severity
	Findings []lint.Finding // in the order in which they were told
	Parts    []FactPart     // on which they are, by name; none for what belongs to no part
	Also     []lint.Finding // what the same cause makes other rules find, told with it
	Low      float64        // the least measure, and the largest: in Unit
	High     float64
	Unit     string // "" where there is no measure
}

// FactPart is a part of a fact.
type FactPart struct {
	Name   string
	Copies int // how often it is drawn
	Count  int // findings on it
}

// Facts are the findings of a drawing as a person reads them.
type Facts struct {
	Asked  []Fact // what a person decides, worst first
	Mended []Fact // what fix mends by itself, worst first
}

// Count returns how many findings there are.
func Count(facts []Fact) int {
	n := 0
	for i := range facts {
		n += len(facts[i].Findings) + len(facts[i].Also)
	}
	return n
}

// Tally counts the findings of facts by severity.
func Tally(facts []Fact) lint.Tally {
	var t lint.Tally
	for i := range facts {
		t = t.Plus(lint.TallyOf(facts[i].Findings)).Plus(lint.TallyOf(facts[i].Also))
	}
	return t
}

// Side effects of one cause: a slot that is too narrow for the sheet is often too
// small to pierce in as well, and made to suit the sheet it is neither.
const (
	causeRule  = "slot-thickness"
	effectRule = "small-hole"
)

// factsOf gathers the findings of a drawing into facts: by part where there are
// at most so many, else what is most scattered over parts first taken together.
// asked takes all of them for a person's to decide.
func factsOf(told []lint.Finding, s *lint.Stand, asked bool, most int) *Facts {
	told, effects := splitEffects(told)
	f := &Facts{}
	var mine, mended []lint.Finding
	for _, g := range told {
		if !asked && g.Repair == lint.Auto {
			mended = append(mended, g)
		} else {
			mine = append(mine, g)
		}
	}
	f.Mended = gather(mended, s, effects, func(*lint.Finding) string { return "" })
	scattered := map[string]bool{} // rules told across parts
	for {
		f.Asked = gather(mine, s, effects, func(g *lint.Finding) string {
			if scattered[g.Rule] {
				return ""
			}
			return g.Part
		})
		if len(f.Asked) <= most {
			return f
		}
		rule := mostScattered(f.Asked, scattered)
		if rule == "" {
			return f
		}
		scattered[rule] = true
	}
}

// mostScattered returns the rule whose facts would grow fewest by being told
// across parts, "" where all are. Notes come first.
func mostScattered(facts []Fact, done map[string]bool) string {
	lines, kinds := map[string]int{}, map[string]map[[2]string]bool{}
	var rules []string
	note := map[string]bool{}
	for i := range facts {
		f := &facts[i]
		if done[f.Rule] {
			continue
		}
		if kinds[f.Rule] == nil {
			kinds[f.Rule] = map[[2]string]bool{}
			rules = append(rules, f.Rule)
			note[f.Rule] = f.Severity == lint.Note
		}
		lines[f.Rule]++
		kinds[f.Rule][[2]string{f.Many, f.Why}] = true
	}
	best, saved := "", 0
	for _, r := range rules {
		n := lines[r] - len(kinds[r])
		if note[r] && n > 0 {
			return r
		}
		if n > saved {
			best, saved = r, n
		}
	}
	return best
}

// splitEffects takes out the findings that follow from another one of the same
// hole, by the place of that in the findings that stay.
func splitEffects(told []lint.Finding) (rest []lint.Finding, effects map[string][]lint.Finding) {
	effects = map[string][]lint.Finding{}
	causes := map[string][]*lint.Finding{} // by part
	for i := range told {
		if f := &told[i]; f.Rule == causeRule {
			causes[f.Part] = append(causes[f.Part], f)
		}
	}
	if len(causes) == 0 {
		return told, effects
	}
	for _, list := range causes {
		slices.SortStableFunc(list, func(a, b *lint.Finding) int { return cmp.Compare(a.At.X, b.At.X) })
	}
	for _, g := range told {
		if cause := causeOf(&g, causes[g.Part]); cause != nil {
			effects[cause.ID] = append(effects[cause.ID], g)
		} else {
			rest = append(rest, g)
		}
	}
	return rest, effects
}

// causeOf returns the finding, of those of its part from left to right, that tells
// the same hole as an effect, nil if none does.
func causeOf(g *lint.Finding, causes []*lint.Finding) *lint.Finding {
	if g.Rule != effectRule {
		return nil
	}
	from, _ := slices.BinarySearchFunc(causes, g.Box.Min.X, func(f *lint.Finding, x float64) int { return cmp.Compare(f.At.X, x) })
	for _, f := range causes[from:] {
		switch {
		case f.At.X > g.Box.Max.X:
			return nil
		case f.Severity >= g.Severity && g.Box.Contains(f.At):
			return f
		}
	}
	return nil
}

// gather puts findings of one rule and severity together that say the same of one
// part, as part names it, and puts the worst first.
func gather(told []lint.Finding, s *lint.Stand, effects map[string][]lint.Finding, part func(*lint.Finding) string) []Fact {
	type key struct {
		rule            string
		severity        lint.Severity
		many, why, part string
	}
	var out []Fact
	at := map[key]int{}
	type onPart struct {
		fact int
		part string
	}
	parts := map[onPart]int{} // index in Fact.Parts
	for i := range told {
		g := &told[i]
		fact := g.Fact
		if fact.Many == "" { // a rule that says nothing in short
			fact = lint.Fact{One: g.Message, Many: "places: " + g.Message}
		}
		k := key{g.Rule, g.Severity, fact.Many, fact.Why, part(g)}
		n, ok := at[k]
		if !ok {
			n = len(out)
			at[k] = n
			out = append(out, Fact{Fact: fact, Rule: g.Rule, Severity: g.Severity, Low: math.Inf(1), High: math.Inf(-1)})
		}
		out[n].add(g, effects[g.ID])
		if g.Part == "" {
			continue
		}
		p, ok := parts[onPart{n, g.Part}]
		if !ok {
			p = len(out[n].Parts)
			parts[onPart{n, g.Part}] = p
			out[n].Parts = append(out[n].Parts, FactPart{Name: g.Part, Copies: max(1, s.Copies[g.Part])})
		}
		out[n].Parts[p].Count++
	}
	for i := range out {
		slices.SortStableFunc(out[i].Parts, func(a, b FactPart) int { return lint.CompareNames(a.Name, b.Name) })
	}
	slices.SortStableFunc(out, worst)
	return out
}

func (f *Fact) add(g *lint.Finding, effects []lint.Finding) {
	f.Findings = append(f.Findings, *g)
	f.Also = append(f.Also, effects...)
	f.Whole = f.Whole || g.Fact.Whole
	if m := g.Measure; m != nil && !math.IsNaN(m.Value) && !math.IsInf(m.Value, 0) {
		f.Low, f.High, f.Unit = min(f.Low, m.Value), max(f.High, m.Value), m.Unit
	}
}

// worst orders facts: the graver first; of those what concerns the whole drawing;
// then what is found at more places.
func worst(a, b Fact) int {
	return cmp.Or(cmp.Compare(b.Severity, a.Severity), -compareBools(a.Whole, b.Whole), cmp.Compare(len(b.Findings), len(a.Findings)))
}

// compareBools puts false before true.
func compareBools(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	}
	return 1
}

// worstFirst returns findings in the order of their facts, those of a rule and
// severity together, else as they are.
func worstFirst(fs []lint.Finding) []lint.Finding {
	type key struct {
		rule     string
		severity lint.Severity
	}
	count, whole := map[key]int{}, map[key]bool{}
	for i := range fs {
		k := key{fs[i].Rule, fs[i].Severity}
		count[k]++
		whole[k] = whole[k] || fs[i].Fact.Whole
	}
	fs = slices.Clone(fs)
	slices.SortStableFunc(fs, func(a, b lint.Finding) int {
		k, l := key{a.Rule, a.Severity}, key{b.Rule, b.Severity}
		return cmp.Or(cmp.Compare(b.Severity, a.Severity), -compareBools(whole[k], whole[l]), cmp.Compare(count[l], count[k]), cmp.Compare(a.Rule, b.Rule))
	})
	return fs
}
