package cli

import (
	"slices"

	"sluice/lint/job"
	"sluice/lint/report"
)

// explain tells about rules: all of them in short, or those asked for in full.
func (c *call) explain() int {
	if slices.Equal(c.args, []string{"edge"}) {
		return c.explainEdge()
	}
	m := &report.Manual{About: c.about(nil), Flaw: c.flawOf}
	ids := c.engine.ruleIDs()
	for _, id := range c.args {
		i := slices.Index(ids, id)
		if i < 0 {
			return c.failf("no rule is called %q; did you mean %q? (sluice explain lists them)", id, job.Nearest(id, ids))
		}
		m.Chosen = append(m.Chosen, c.engine.rules[i])
	}
	if len(m.Chosen) == 0 {
		m.Chosen, m.Short = c.engine.rules, true
	}
	return c.write(m)
}

// explainEdge tells what the words for edges mean.
func (c *call) explainEdge() int {
	return c.render(report.ExplainEdges)
}
