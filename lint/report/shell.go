package report

import (
	"bufio"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"strings"
	"sync"

	"sluice/lint"
)

//go:embed assets/shell.html
var shellHTML string

//go:embed assets/page.html
var pageBody string

//go:embed assets/page.css
var pageCSS string

//go:embed assets/board.css
var boardCSS string

//go:embed assets/print.css
var printCSS string

//go:embed assets/board.js
var boardJS string

//go:embed assets/page.js
var pageJS string

// shell is what all pages have in common: head, look, script, and what to mind
// before cutting.
type shell struct {
	Title, Version string
	Class          string // of the body
	CSP            string
	CSS            template.CSS
	Script         template.JS
	Cautions       []string
	Deference      string
}

// newShell starts a page. Looks are the style sheets besides the common one, in
// order; paper comes last.
func newShell(title, version, script string, looks ...string) shell {
	// Nothing is fetched, and no script runs but the one whose digest is named
	// here: a name in a drawing could not become code even if it came through the
	// escaping.
	run := ""
	if script != "" {
		digest := sha256.Sum256([]byte(script))
		run = "script-src 'sha256-" + base64.StdEncoding.EncodeToString(digest[:]) + "'; "
	}
	return shell{
		Title: clean(title), Version: clean(version),
		CSP:    "default-src 'none'; style-src 'unsafe-inline'; " + run + "base-uri 'none'; form-action 'none'",
		CSS:    template.CSS(pageCSS + strings.Join(looks, "")),
		Script: template.JS(script), Cautions: cautions, Deference: deference,
	}
}

// pageOf parses the body of a page, which may be in several files, into the shell.
// It is parsed when the first page is written: most commands write none.
func pageOf(body ...string) func() *template.Template {
	return sync.OnceValue(func() *template.Template {
		return template.Must(template.Must(template.New("shell").Funcs(template.FuncMap{
			"plural": plural, "clean": clean, "plain": lint.Plain, "plainType": lint.PlainType,
			"rest": func(g rowGroup) int { return g.Count - len(g.Rows) },
		}).Parse(shellHTML)).Parse(strings.Join(body, "")))
	})
}

// writePage writes a page: all of it, or an error.
func writePage(w io.Writer, t func() *template.Template, page any) error {
	return writeParts(w, t, page, "shell")
}

// writeParts writes some of the templates of which a page is made.
func writeParts(w io.Writer, t func() *template.Template, page any, parts ...string) error {
	b := bufio.NewWriter(w)
	for _, name := range parts {
		if err := t().ExecuteTemplate(b, name, page); err != nil {
			return fmt.Errorf("writing the page: %w", err)
		}
	}
	return b.Flush()
}
