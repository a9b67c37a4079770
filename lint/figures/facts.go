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
	Count    int        // findings
	Parts    []FactPart // on which they are, by name; none for what belongs to no part
	Also     lint.Tally // what the same cause makes other rules find, told with it
	Low      float64    // the least measure, and the largest: in Unit
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
func Count(facts []Fact) int { return Tally(facts).Sum() }

// Tally counts the findings of facts by severity.
func Tally(facts []Fact) lint.Tally {
	var t lint.Tally
	for i := range facts {
		f := &facts[i]
		t = t.Plus(f.Also)
		switch f.Severity {
		case lint.Error:
			t.Error += f.Count
		case lint.Warning:
			t.Warning += f.Count
		case lint.Note:
			t.Note += f.Count
		}
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
	effects := effectsIn(told)
	var mine, mended []*lint.Finding
	for i := range told {
		switch g := &told[i]; {
		case effects.told[g]:
		case !asked && g.Repair == lint.Auto:
			mended = append(mended, g)
		default:
			mine = append(mine, g)
		}
	}
	byPart := gather(mine, s, effects)
	f := &Facts{Mended: across(gather(mended, s, effects), func(*Fact) bool { return true })}
	scattered := map[string]bool{} // rules told across parts
	for {
		f.Asked = across(byPart, func(f *Fact) bool { return scattered[f.Rule] })
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

// effects are findings that follow from another one of the same hole.
type effects struct {
	of   map[*lint.Finding]lint.Tally // what follows from a finding
	told map[*lint.Finding]bool       // it follows from another
}

func effectsIn(all []lint.Finding) *effects {
	e := &effects{map[*lint.Finding]lint.Tally{}, map[*lint.Finding]bool{}}
	causes := map[string][]*lint.Finding{} // by part
	for i := range all {
		if f := &all[i]; f.Rule == causeRule {
			causes[f.Part] = append(causes[f.Part], f)
		}
	}
	for _, list := range causes {
		slices.SortStableFunc(list, func(a, b *lint.Finding) int { return cmp.Compare(a.At.X, b.At.X) })
	}
	for i := range all {
		g := &all[i]
		if cause := causeOf(g, causes[g.Part]); cause != nil {
			e.of[cause] = e.of[cause].Plus(lint.TallyOf(all[i : i+1]))
			e.told[g] = true
		}
	}
	return e
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
// part, in the order in which they first come.
func gather(told []*lint.Finding, s *lint.Stand, e *effects) []Fact {
	type key struct {
		rule            string
		severity        lint.Severity
		many, why, part string
	}
	var out []Fact
	at := map[key]int{}
	for _, g := range told {
		fact := g.Fact
		if fact.Many == "" { // a rule that says nothing in short
			fact = lint.Fact{One: g.Message, Many: "places: " + g.Message}
		}
		k := key{g.Rule, g.Severity, fact.Many, fact.Why, g.Part}
		n, ok := at[k]
		if !ok {
			n = len(out)
			at[k] = n
			f := Fact{Fact: fact, Rule: g.Rule, Severity: g.Severity, Low: math.Inf(1), High: math.Inf(-1)}
			if g.Part != "" {
				f.Parts = []FactPart{{Name: g.Part, Copies: max(1, s.Copies[g.Part])}}
			}
			out = append(out, f)
		}
		f := &out[n]
		f.Count++
		if len(f.Parts) > 0 {
			f.Parts[0].Count++
		}
		if len(e.of) > 0 {
			f.Also = f.Also.Plus(e.of[g])
		}
		if m := g.Measure; m != nil && !math.IsNaN(m.Value) && !math.IsInf(m.Value, 0) {
			f.Low, f.High, f.Unit = min(f.Low, m.Value), max(f.High, m.Value), m.Unit
		}
	}
	return out
}

// across takes facts that say the same of several parts together where that is
// wanted of them, and puts the worst first.
func across(byPart []Fact, wanted func(*Fact) bool) []Fact {
	type key struct {
		rule      string
		severity  lint.Severity
		many, why string
	}
	var out []Fact
	at := map[key]int{}
	for i := range byPart {
		f := &byPart[i]
		k := key{f.Rule, f.Severity, f.Many, f.Why}
		if n, ok := at[k]; ok && wanted(f) {
			to := &out[n]
			to.Count, to.Also, to.Whole = to.Count+f.Count, to.Also.Plus(f.Also), to.Whole || f.Whole
			to.Parts = append(to.Parts, f.Parts...)
			if f.Unit != "" {
				to.Low, to.High, to.Unit = min(to.Low, f.Low), max(to.High, f.High), f.Unit
			}
			continue
		}
		at[k] = len(out)
		out = append(out, *f)
		out[len(out)-1].Parts = slices.Clone(f.Parts)
	}
	for i := range out {
		slices.SortStableFunc(out[i].Parts, func(a, b FactPart) int { return lint.CompareNames(a.Name, b.Name) })
	}
	slices.SortStableFunc(out, worst)
	return out
}

// worst orders facts: the graver first; of those what concerns the whole drawing;
// then what is found at more places.
func worst(a, b Fact) int {
	return cmp.Or(cmp.Compare(b.Severity, a.Severity), -compareBools(a.Whole, b.Whole), cmp.Compare(b.Count, a.Count))
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
