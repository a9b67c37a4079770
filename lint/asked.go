package lint

import (
	"fmt"
	"slices"
	"strings"

	"sluice/fix"
)

// ToAsk returns the findings that wait for a person, worst first; those alike in
// gravity keep their order.
func ToAsk(all []Finding) []*Finding {
	var out []*Finding
	for i := range all {
		if f := &all[i]; len(f.Choices) > 0 && f.Answer == "" && (len(f.Choices) > 1 || f.Severity >= Warning) {
			out = append(out, f)
		}
	}
	slices.SortStableFunc(out, func(x, y *Finding) int { return int(y.Severity) - int(x.Severity) })
	return out
}

// AlikeKey is the same for findings that can be settled in one go: they say the same
// and have the same choices.
func AlikeKey(f *Finding) string {
	var b strings.Builder
	b.WriteString(f.Rule + "\x00" + f.Fact.Many + "\x00" + f.Fact.Why)
	for i := range f.Choices {
		b.WriteString("\x00" + f.Choices[i].Name)
	}
	return b.String()
}

// AboutOf says in the file of answers what an answer is about.
func AboutOf(f *Finding) string {
	s := fmt.Sprintf("%s at %.2f, %.2f", f.Rule, f.At.X, f.At.Y)
	if f.Part != "" {
		s += ", part " + f.Part
	}
	return s
}

// Edits returns what a choice changes, as asked for by a person.
func (w *Way) Edits(rule string) (all []fix.Edit) {
	for _, f := range w.taken(rule) {
		all = append(all, f.Edits...)
	}
	return all
}
