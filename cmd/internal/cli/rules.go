package cli

import (
	"sluice/lint"
	"sluice/lint/report"
)

// ruleTexts returns the rules as explain tells them.
func ruleTexts(rules []*lint.Rule) []report.Rule {
	var texts []report.Rule
	for _, r := range rules {
		d := &r.Doc
		texts = append(texts, report.Rule{
			ID: r.ID, Title: d.Title, Severity: r.Severity.String(), Limit: d.Limit,
			What: d.What, Why: d.Why, Bad: d.Bad, Good: d.Good, Exceptions: d.Exceptions,
			Repair: string(r.Repair), Choices: r.AllChoices(), Fix: d.Fix, Reason: d.Reason, Since: d.Since,
		})
	}
	return texts
}
