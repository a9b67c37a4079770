package report

import (
	"bytes"
	_ "embed"
	"errors"
	"html/template"
	"io"
)

//go:embed assets/rules.html
var rulesBody string

//go:embed assets/rules.css
var rulesCSS string

// rulePage is a rule as the manual tells it.
type rulePage struct {
	ID, Title, Severity string
	Says                []fact
	Flaw, Near          template.HTML // pictures, whose text is escaped; empty: none
}

type manualPage struct {
	shell
	Rules []rulePage
}

var rulesTemplate = pageOf(rulesBody)

// explainHTML writes the manual of the rules as one page that stands alone,
// without any script.
func explainHTML(w io.Writer, m *Manual) error {
	title := "Rules"
	if len(m.Chosen) == 1 {
		title = m.Chosen[0].Title
	}
	page := manualPage{shell: newShell(title, m.Version, "", rulesCSS)}
	page.Class = "manual"
	for i := range m.Chosen {
		r := &m.Chosen[i]
		p := rulePage{ID: r.ID, Title: r.Title, Severity: r.Severity}
		for _, f := range r.says() {
			if n := len(p.Says); f.Name == "" && n > 0 {
				p.Says[n-1].Value += ". " + f.Value
				continue
			}
			p.Says = append(p.Says, f)
		}
		if x := m.Flaw(r.ID); x != nil {
			var bad, good bytes.Buffer
			if err := errors.Join(x.draw(&bad, x.Bad, r.ID+": the flaw"), x.draw(&good, x.Good, r.ID+": a near miss, which passes")); err != nil {
				return err
			}
			p.Flaw, p.Near = template.HTML(bad.String()), template.HTML(good.String())
		}
		page.Rules = append(page.Rules, p)
	}
	return writePage(w, rulesTemplate, page)
}
