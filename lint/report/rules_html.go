package report

import (
	"bufio"
	_ "embed"
	"fmt"
	"html/template"
	"io"
)

//go:embed assets/rules.html
var rulesHTML string

//go:embed assets/rules.css
var rulesCSS string

// RulePage is a rule as the manual tells it.
type RulePage struct {
	ID, Title, Severity string
	Says                []Saying
	Flaw, Near          []byte // pictures as SheetSVG writes them: the flaw, and a near miss; empty: none
}

// Saying is something said about a rule.
type Saying struct{ About, Text string }

var rulesTemplate = template.Must(template.New("rules").Funcs(template.FuncMap{
	"drawn": func(svg []byte) template.HTML { return template.HTML(svg) }, // SheetSVG escapes
}).Parse(rulesHTML))

// RulesHTML writes the manual of the rules as one page that stands alone, without
// any script.
func RulesHTML(w io.Writer, version string, rules []RulePage) error {
	b := bufio.NewWriter(w)
	err := rulesTemplate.Execute(b, map[string]any{
		"Version": clean(version), "Rules": rules, "CSS": template.CSS(pageCSS + rulesCSS),
		"CSP": "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'",
	})
	if err != nil {
		return fmt.Errorf("writing the page of rules: %w", err)
	}
	return b.Flush()
}
