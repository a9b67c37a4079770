package cli

import (
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strings"

	"sluice/lint/job"
)

// explain tells about rules: all of them in short, or those asked for in full.
func (c *call) explain() int {
	var chosen []ruleText
	ids := c.engine.ruleIDs()
	for _, id := range c.args {
		i := slices.Index(ids, id)
		if i < 0 {
			return c.failf("no rule is called %q; did you mean %q? (sluice explain lists them)", id, job.Nearest(id, ids))
		}
		chosen = append(chosen, c.engine.rules[i])
	}
	if c.format == "json" {
		if len(chosen) == 0 {
			chosen = c.engine.rules
		}
		return c.render(func(w io.Writer) error {
			enc := json.NewEncoder(w)
			enc.SetEscapeHTML(false)
			enc.SetIndent("", "  ")
			return enc.Encode(map[string]any{"tool": "sluice", "version": Version, "rules": chosen})
		})
	}
	if c.format == "svg" || c.format == "html" {
		if len(chosen) == 0 {
			chosen = c.engine.rules
		}
		return c.explainDrawn(chosen)
	}
	var b strings.Builder
	if len(chosen) == 0 {
		listRules(&b, c.engine.rules)
	}
	for i := range chosen {
		if i > 0 {
			b.WriteByte('\n')
		}
		chosen[i].tell(&b)
		if x := c.flawOf(chosen[i].ID); x != nil {
			b.WriteByte('\n')
			x.sketch(&b)
		}
	}
	return c.emit([]byte(b.String()))
}

// listRules writes a line for each rule.
func listRules(b *strings.Builder, rules []ruleText) {
	width := 0
	for i := range rules {
		width = max(width, len(rules[i].ID))
	}
	for i := range rules {
		r := &rules[i]
		hang(b, fmt.Sprintf("%-*s  %-7s  ", width, r.ID, r.Severity), r.Title)
	}
}

// repairWords say who makes a repair.
var repairWords = map[string]string{
	"auto":   "made by fix unasked",
	"choice": "made by fix when a flag or the job file asks for it",
	"none":   "none; a person must redraw",
}

// tell writes all that is to be said about a rule.
func (r *ruleText) tell(b *strings.Builder) {
	fmt.Fprintf(b, "%s: %s\n\n", r.ID, r.Title)
	for _, f := range r.fields() {
		hang(b, fmt.Sprintf("  %-11s ", f.head), f.words)
	}
}

// said is something said about a rule; what goes on has no head.
type said struct{ head, words string }

// fields lists what there is to say.
func (r *ruleText) fields() []said {
	return slices.DeleteFunc([]said{
		{"severity", r.Severity}, {"limit", r.Limit}, {"what", r.What}, {"why", r.Why}, {"bad", r.Bad}, {"good", r.Good},
		{"exceptions", r.Exceptions}, {"repair", repairWords[r.Repair]}, {"", r.Fix}, {"reason", r.Reason}, {"since", r.Since},
	}, func(f said) bool { return f.words == "" })
}
