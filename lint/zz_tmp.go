package lint

import (
	"fmt"

	"sluice/fix"
)

func (w *Way) Edits(rule string) (all []fix.Edit) {
	for _, f := range w.taken(rule) {
		all = append(all, f.Edits...)
	}
	return all
}
func ToAsk(all []Finding) []*Finding {
	var out []*Finding
	for s := Error; s >= Note; s-- {
		for i := range all {
			if f := &all[i]; f.Severity == s && len(f.Choices) > 0 && f.Answer == "" && (len(f.Choices) > 1 || f.Severity >= Warning) {
				out = append(out, f)
			}
		}
	}
	return out
}
func AlikeKey(f *Finding) string {
	s := f.Rule + f.Fact.Many + f.Fact.Why
	for i := range f.Choices {
		s += " " + f.Choices[i].Name
	}
	return s
}
func AboutOf(f *Finding) string {
	s := fmt.Sprintf("%s at %.2f, %.2f", f.Rule, f.At.X, f.At.Y)
	if f.Part != "" {
		s += ", part " + f.Part
	}
	return s
}
