package report

import (
	_ "embed"
	"io"
)

//go:embed assets/choose.html
var chooseBody string

//go:embed assets/drop.css
var dropCSS string // of all pages that take a drawing

//go:embed assets/choose.css
var chooseCSS string

//go:embed assets/choose.js
var chooseJS string

// Choose is what the page on which a drawing is chosen says.
type Choose struct {
	First  string // path of a drawing that the page has opened at once
	Told   string // what keeps it from being opened
	ByPath bool   // a file of this machine may be named by its path
}

type choosePage struct {
	shell
	Choose
}

var chooseTemplate = pageOf(chooseBody)

// ChoosePage writes the page on which a drawing is chosen. It hands it to the server that
// it came from, and to nobody else.
func ChoosePage(w io.Writer, version string, c *Choose) error {
	p := choosePage{shell: newShell("Choose a drawing", version, chooseJS, dropCSS, chooseCSS), Choose: *c}
	p.First, p.Told = clean(c.First), clean(c.Told)
	p.CSP += "; connect-src 'self'"
	return writePage(w, chooseTemplate, p)
}

// ChooseCSP is the content policy of that page, as its header says it too.
func ChooseCSP() string {
	return newShell("", "", chooseJS).CSP + "; connect-src 'self'; frame-ancestors 'none'"
}
