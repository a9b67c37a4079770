package report

import (
	"slices"

	"sluice/lint"
	"sluice/lint/job"
)

// AboutOf returns what reports say of a program of a version and of its rules, with
// the severities that a job sets; without one (nil) with their own.
func AboutOf(version string, rules []Rule, j *job.Job) About {
	rules = slices.Clone(rules)
	for i := range rules {
		if j != nil && j.Rules[rules[i].ID] != "" {
			rules[i].Severity = j.Rules[rules[i].ID]
		}
	}
	return About{Version: version, Rules: rules}
}

// RulesOf returns the rules as reports tell them.
func RulesOf(rules []*lint.Rule) []Rule {
	var texts []Rule
	for _, r := range rules {
		d := &r.Doc
		texts = append(texts, Rule{
			ID: r.ID, Title: d.Title, Severity: r.Severity.String(), Limit: d.Limit,
			What: d.What, Why: d.Why, Bad: d.Bad, Good: d.Good, Exceptions: d.Exceptions,
			Repair: string(r.Repair), Choices: r.AllChoices(), Fix: d.Fix, Reason: d.Reason, Since: d.Since,
		})
	}
	return texts
}
