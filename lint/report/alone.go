package report

import (
	"bytes"
	"compress/gzip"
	_ "embed"
	"encoding/base64"
	"errors"
	"html/template"
	"io"
	"strings"
)

//go:embed assets/start.html
var startBody string

//go:embed assets/start.css
var startCSS string

//go:embed assets/held.js
var heldJS string

//go:embed assets/start.js
var startJS string

//go:embed assets/worker.js
var workerJS string

//go:embed assets/go_license.txt
var goLicense string

func aloneScript() string { return deskScript() + heldJS + startJS }

// Engine is the program as a page can hold it.
type Engine struct {
	Wasm []byte // built for js and wasm
	Exec []byte // the script that comes with the compiler to run it
}

// AlonePage writes the page on which a drawing is settled without anything else: it
// holds the program, which runs in a thread of the page's own, and asks nobody.
func AlonePage(w io.Writer, version string, e *Engine) error {
	blocks, err := e.blocks()
	if err != nil {
		return err
	}
	p := reviewPage{shell: newShell("Make a drawing ready for the jet", version, aloneScript(), boardCSS, reviewCSS, layCSS, dropCSS, startCSS), Alone: true, Blocks: blocks}
	p.Class = "start"
	// Nothing may be fetched at all; the thread is made of what stands in the page.
	p.CSP = strings.Replace(p.CSP, "script-src ", "script-src 'wasm-unsafe-eval' ", 1) + "; worker-src blob:; img-src data:"
	return writePage(w, reviewTemplate, p)
}

// blocks writes the program, packed, and the script of its thread as blocks of data.
// They are not run as they stand, and no drawing has a part in them.
func (e *Engine) blocks() (template.HTML, error) {
	script := "/*\n" + goLicense + "*/\n" + string(e.Exec) + workerJS
	if strings.Contains(strings.ToLower(script), "</script") || strings.Contains(script, "<!--") {
		return "", errors.New("the script that runs the program cannot stand in a page")
	}
	var packed bytes.Buffer
	z, err := gzip.NewWriterLevel(&packed, gzip.BestCompression)
	if err != nil {
		return "", err
	}
	if _, err := z.Write(e.Wasm); err != nil {
		return "", err
	}
	if err := z.Close(); err != nil {
		return "", err
	}
	return template.HTML("<script type=\"text/plain\" id=\"worker\">" + script + "</script>\n" +
		"<script type=\"text/plain\" id=\"engine\">" + base64.StdEncoding.EncodeToString(packed.Bytes()) + "</script>\n"), nil
}
