package cli

import "sluice/lint"

// ruleTexts returns the rules as explain tells them.
func ruleTexts(rules []*lint.Rule) []ruleText {
	var texts []ruleText
	for _, r := range rules {
		d := &r.Doc
		texts = append(texts, ruleText{
			ID: r.ID, Title: d.Title, Severity: r.Severity.String(), Limit: d.Limit,
			What: d.What, Why: d.Why, Bad: d.Bad, Good: d.Good, Exceptions: d.Exceptions,
			Repair: string(r.Repair), Fix: d.Fix, Reason: d.Reason, Since: d.Since,
		})
	}
	return texts
}
