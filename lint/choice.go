package lint

import (
	"fmt"
	"slices"
	"strings"

	"sluice/fix"
	"sluice/geom/drawing"
	"sluice/lint/job"
)

// Way is one in which a person may settle a finding. It can be shown before it
// is taken: what it would do stands in its words and its repairs.
type Way struct {
	Name    string  // stable: "straight"; explain lists those of a rule
	Words   string  // "close the gap with a straight line, 2 mm"
	Moves   float64 // how far it moves any outline at most, mm
	Default bool    // what happens while nobody decides
	Fixes   []fix.Fix
	Brings  string   // what is wrong afterwards that was not before: "larger than the sheet"; "" for nothing that its rule knows of
	Brought []string // rules of which it brings new findings of warning or graver; its words say so
	Worse   bool     // for what it brings it is offered last
	Act     string   // what it does, where several findings offer the same: taken once, it settles them all; else ""

	// Changes of whole parts are made once all else is mended.
	Aside []int32 // parts of the sheet that are moved aside
	Scale bool    // the whole drawing is scaled so that its slots fit the sheet

	minds []string         // what it brings, in words
	plain string           // its words without that; "" before it is told
	later func() []fix.Fix // makes Fixes once it is taken, where that takes long
}

// leave is the last choice of every finding.
func leave(f *Finding) Way {
	stays := !slices.ContainsFunc(f.Choices, func(c Way) bool { return c.Default })
	return Way{Name: job.Leave, Words: "accept it as it is", Default: stays}
}

// inOrder puts the choices that make it worse behind the others, but for what happens
// anyway, and tells with each what it brings.
func inOrder(all []Way) []Way {
	var first, last []Way
	for _, w := range all {
		if w.Brings != "" {
			w.Mind("", true, w.Brings)
		}
		w.tell()
		if w.Worse && !w.Default {
			last = append(last, w)
		} else {
			first = append(first, w)
		}
	}
	return append(first, last...)
}

// mostMinds is how much of what a choice brings is told one by one.
const mostMinds = 2

// tell puts what a choice brings into its words.
func (w *Way) tell() {
	minds := w.minds
	if n := len(minds) - mostMinds; n > 0 {
		minds = append(slices.Clone(minds[:mostMinds]), fmt.Sprintf("and %d more", n))
	}
	if w.plain == "" {
		w.plain = w.Words
	}
	if w.Words = w.plain; len(minds) > 0 {
		w.Words += "; mind: " + strings.Join(minds, ", ")
	}
}

// AllChoices lists the choices that findings of a rule may have, job.Leave last: none
// where all are repaired unasked.
func (r *Rule) AllChoices() []string {
	if r.Repair == Auto && len(r.Choices) == 0 {
		return nil
	}
	return append(slices.Clone(r.Choices), job.Leave)
}

// Offer adds a choice that is made of edits, unless there is nothing to it.
func (f *Finding) Offer(name, words string, edits ...fix.Edit) {
	c := Way{Name: name, Words: words}
	fx := fix.Fix{Safety: fix.Choice}
	for _, e := range edits {
		if len(e.Ops) == 0 {
			return
		}
		c.Moves = max(c.Moves, e.Moved)
		fx.Edits = append(fx.Edits, e)
	}
	if len(fx.Edits) > 0 {
		c.Fixes = []fix.Fix{fx}
	}
	f.Choices = append(f.Choices, c)
}

// OfferLater adds a choice whose repairs are made only if it is taken.
func (f *Finding) OfferLater(name, words string, moves float64, fixes func() []fix.Fix) {
	f.Choices = append(f.Choices, Way{Name: name, Words: words, Moves: moves, later: fixes})
}

// Mind notes that a choice brings a finding of a rule, "" for none, in a few words; worse
// says that it is offered last for that.
func (w *Way) Mind(rule string, worse bool, words string) {
	if rule != "" && !slices.Contains(w.Brought, rule) {
		w.Brought = append(w.Brought, rule)
	}
	if !slices.Contains(w.minds, words) {
		w.minds = append(w.minds, words)
	}
	w.Worse = w.Worse || worse
}

// Does reports whether the choice changes the drawing by edits of its own.
func (w *Way) Does() bool { return len(w.Fixes) > 0 || w.later != nil || len(w.Aside) > 0 || w.Scale }

// taken returns the repairs of a choice as asked for by a person.
func (w *Way) taken(rule string) []fix.Fix {
	fixes := w.Fixes
	if w.later != nil {
		fixes = w.later()
	}
	fixes = slices.Clone(fixes)
	for i := range fixes {
		fixes[i].Edits = slices.Clone(fixes[i].Edits)
		for k := range fixes[i].Edits {
			fixes[i].Edits[k].Asked, fixes[i].Edits[k].Rule = true, rule
		}
	}
	return fixes
}

// Taken returns the way that a person has chosen for a finding, nil for none.
func (f *Finding) Taken() *Way {
	if f.Answer == "" {
		return nil
	}
	if k := f.choice(f.Answer); k >= 0 {
		return &f.Choices[k]
	}
	return nil
}

// choiceNames lists the choices of a finding.
func choiceNames(f *Finding) []string {
	names := make([]string, len(f.Choices))
	for i := range f.Choices {
		names[i] = f.Choices[i].Name
	}
	return names
}

// choice returns which choice of a finding an answer names, -1 for none of them. A
// choice that carries a figure may be answered with another figure.
func (f *Finding) choice(answer string) int {
	k := slices.IndexFunc(f.Choices, func(c Way) bool { return c.Name == answer })
	if _, ok := drawing.Scaled(answer); k < 0 && ok {
		k = slices.IndexFunc(f.Choices, func(c Way) bool { _, ok := drawing.Scaled(c.Name); return ok })
	}
	return k
}

// answered gives every finding that is not repaired unasked its choices, and takes
// those that a person has made: the finding is a note from then on, and carries the
// repairs of the choice. An act that several findings offer is taken once, and settles
// those of them that are not answered otherwise. again says that the drawing has been
// repaired: a finding that has no such choice any more is settled as it is. Before that, a choice which others of
// the rule have fits it no more: it is told with those that fit nothing.
func answered(all []Finding, a *job.Answers, again bool, rules []*Rule) error {
	known := func(rule, choice string) bool {
		i := slices.IndexFunc(rules, func(r *Rule) bool { return r.ID == rule })
		_, scaled := drawing.Scaled(choice)
		return i >= 0 && (scaled || slices.Contains(rules[i].AllChoices(), choice))
	}
	acts := map[string]string{} // taken, and by the answer to which finding
	for i := range all {
		f := &all[i]
		if f.Repair == Auto && len(f.Choices) == 0 {
			continue
		}
		f.Choices = append(inOrder(f.Choices), leave(f))
		x := a.Of(f.ID)
		if x == nil {
			continue
		}
		k := f.choice(x.Choice)
		if k < 0 && again {
			f.Answer, f.AnswerNote, f.Fixes, f.Severity = x.Choice, x.Note, nil, min(f.Severity, Note)
			continue
		}
		if k < 0 && known(f.Rule, x.Choice) {
			a.Unfit(x)
			continue
		}
		if k < 0 {
			return a.ChoiceError(x, f.Rule, choiceNames(f))
		}
		f.Answer, f.AnswerNote, f.Severity = x.Choice, x.Note, min(f.Severity, Note)
		if f.Fixes = nil; acts[f.Choices[k].Act] == "" {
			f.Fixes = f.Choices[k].taken(f.Rule)
		}
		if act := f.Choices[k].Act; act != "" {
			acts[act] = f.ID
		}
	}
	if len(acts) == 0 {
		return nil
	}
	for i := range all {
		f := &all[i]
		if f.Answer != "" {
			continue
		}
		for k := range f.Choices {
			if by := acts[f.Choices[k].Act]; by != "" {
				f.Answer, f.AnswerNote = f.Choices[k].Name, "settled with "+by
				f.Fixes, f.Severity = nil, min(f.Severity, Note)
				break
			}
		}
	}
	return nil
}
