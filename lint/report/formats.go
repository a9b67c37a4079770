package report

import (
	"fmt"
	"io"
)

// Reader is who a form of output is made for.
type Reader string

// Readers of output.
const (
	Person  Reader = "a person"
	Machine Reader = "a program"
)

// Format is one form of output of one command.
type Format struct {
	Command string
	Name    string // as --format takes it; the first of a command is its default
	Media   string // media type of what is written
	For     Reader
	Drawn   bool // of lint: it shows the drawings, not only what was found in them
	Write   Writer
}

// Writer writes what a command has to say: a *Check for lint, a *Repair for fix,
// *Changes for diff, *Parts, an *Estimate, a *Manual for explain.
type Writer func(w io.Writer, content any) error

// Formats is every form of output: help, completion, what --format and --report
// take, and the table in the README are made from it, and a test asks of each
// what TestFormats says.
var Formats = []Format{
	{"lint", "text", "text/plain", Person, false, of(lintText)},
	{"lint", "json", "application/json", Machine, false, of(lintJSON)},
	{"lint", "sarif", "application/sarif+json", Machine, false, of(lintSARIF)},
	{"lint", "junit", "application/xml", Machine, false, of(lintJUnit)},
	{"lint", "github", "text/plain", Machine, false, of(lintGitHub)},
	{"lint", "html", "text/html", Person, true, of(lintHTML)},
	{"lint", "svg", "image/svg+xml", Person, true, of(lintSVG)},

	{"fix", "html", "text/html", Person, true, of(fixHTML)},
	{"fix", "json", "application/json", Machine, false, of(fixJSON)},
	{"fix", "text", "text/plain", Person, false, of(fixText)},

	{"diff", "text", "text/plain", Person, false, of(diffText)},
	{"diff", "json", "application/json", Machine, false, of(diffJSON)},
	{"diff", "html", "text/html", Person, true, of(diffHTML)},
	{"diff", "svg", "image/svg+xml", Person, true, of(diffSVG)},

	{"parts", "text", "text/plain", Person, false, of(partsText)},
	{"parts", "csv", "text/csv", Machine, false, of(partsCSV)},
	{"parts", "json", "application/json", Machine, false, of(partsJSON)},
	{"parts", "html", "text/html", Person, true, of(partsHTML)},
	{"parts", "assembly", "text/html", Person, true, of(partsAssembly)},
	{"parts", "labels", "text/html", Person, true, of(partsLabels)},

	{"assemble", "text", "text/plain", Person, false, of(assembleText)},
	{"assemble", "json", "application/json", Machine, false, of(assembleJSON)},
	{"assemble", "html", "text/html", Person, true, of(assembleHTML)},
	{"assemble", "svg", "image/svg+xml", Person, true, of(assembleSVG)},
	{"assemble", "steps", "image/svg+xml", Person, true, of(assembleSteps)},
	{"assemble", "glb", "model/gltf-binary", Machine, false, of(assembleGLB)},

	{"estimate", "text", "text/plain", Person, false, of(estimateText)},
	{"estimate", "json", "application/json", Machine, false, of(estimateJSON)},
	{"estimate", "html", "text/html", Person, false, of(estimateHTML)},

	{"explain", "text", "text/plain", Person, false, of(explainText)},
	{"explain", "json", "application/json", Machine, false, of(explainJSON)},
	{"explain", "svg", "image/svg+xml", Person, true, of(explainSVG)},
	{"explain", "html", "text/html", Person, true, of(explainHTML)},
}

// of makes a writer of one content a writer of any.
func of[C any](write func(io.Writer, *C) error) Writer {
	return func(w io.Writer, content any) error {
		c, ok := content.(*C)
		if !ok {
			return fmt.Errorf("internal error: this form writes a %T, not a %T", c, content)
		}
		return write(w, c)
	}
}

// FormatsOf returns the forms of a command, its default first, and their names.
func FormatsOf(command string) (list []Format, names []string) {
	for _, f := range Formats {
		if f.Command == command {
			list, names = append(list, f), append(names, f.Name)
		}
	}
	return list, names
}

// FormatOf returns the form of a command by its name, "" for the default; false if
// there is none of that name.
func FormatOf(command, name string) (Format, bool) {
	for _, f := range Formats {
		if f.Command == command && (f.Name == name || name == "") {
			return f, true
		}
	}
	return Format{}, false
}

// Endings returns the endings of file names that ask for the form, the usual one
// first.
func (f *Format) Endings() []string {
	switch f.Name {
	case "text":
		return []string{".txt"}
	case "html":
		return []string{".html", ".htm"}
	}
	return []string{"." + f.Name}
}
