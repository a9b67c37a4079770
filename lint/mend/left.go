package mend

import (
	"slices"

	"sluice/lint"
)

// withLoss returns the judged corrected drawing with what is missing in it because
// the input's file was cut short or spoiled: no repair brings that back, so the
// error stands after it as it did before.
func withLoss(before, after *lint.Result) *lint.Result {
	var lost []lint.Finding
	for i := range before.Findings {
		if f := &before.Findings[i]; f.Rule == "unread-entity" && f.Severity == lint.Error {
			lost = append(lost, *f)
		}
	}
	if len(lost) == 0 {
		return after
	}
	with := *after
	with.Findings = append(slices.Clone(after.Findings), lost...)
	lint.SortFindings(with.Findings)
	return &with
}

// leftOf returns what is left for a person: what the corrected drawing still
// shows, and what only the input could tell, since it is not in the corrected
// drawing: content that was left out, problems met while reading, and a unit that
// was guessed.
func leftOf(before, after *lint.Result) []lint.Finding {
	left := slices.DeleteFunc(slices.Clone(after.Findings), func(f lint.Finding) bool { return f.Answer != "" })
	asBefore(left, before)
	for i := range before.Findings {
		f := &before.Findings[i]
		if f.Rule == "no-outline" { // it says what the input holds instead
			left = slices.DeleteFunc(left, func(g lint.Finding) bool { return g.Rule == f.Rule })
			left = append(left, *f)
			continue
		}
		if f.Rule != "unread-entity" && f.Rule != "unit-doubt" || f.Answer != "" {
			continue
		}
		if !slices.ContainsFunc(after.Findings, func(g lint.Finding) bool { return g.Rule == f.Rule && g.Message == f.Message }) {
			left = append(left, *f)
		}
	}
	return left
}

// asBefore gives findings that the input shows too the choices that they have there: an
// answer is taken in the input, in which what was drawn first may be another.
func asBefore(left []lint.Finding, before *lint.Result) {
	was := make(map[string]*lint.Finding, len(before.Findings))
	for i := range before.Findings {
		was[before.Findings[i].ID] = &before.Findings[i]
	}
	for i := range left {
		if f := was[left[i].ID]; f != nil && f.Rule == left[i].Rule && len(f.Choices) > 0 {
			left[i].Choices = f.Choices
		}
	}
}
