package report

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"sluice/lint"
)

// lintGitHub writes one workflow command for each finding and each drawing that
// could not be read. The line is that of the first entity concerned.
func lintGitHub(w io.Writer, c *Check) error {
	b := bufio.NewWriter(w)
	for i := range c.Files {
		r := c.Files[i].Result
		file := workflowProperty(strings.ReplaceAll(clean(r.Path), "\\", "/"))
		if r.Err != nil {
			fmt.Fprintf(b, "::error file=%s,title=sluice::%s\n", file, workflowMessage(clean(r.Err.Error())))
			continue
		}
		placeOf := lint.PlacesIn(r)
		for k := range c.Files[i].Findings {
			f := &c.Files[i].Findings[k]
			command := map[lint.Severity]string{lint.Error: "error", lint.Warning: "warning"}[f.Severity]
			if command == "" {
				command = "notice"
			}
			line := ""
			if n := placeOf(f).Line; n > 0 {
				line = fmt.Sprintf(",line=%d", n)
			}
			msg := clean(f.Message) + " (at " + xy(seen(f.At)) + " mm" + commaPart(f.Part) + ")"
			fmt.Fprintf(b, "::%s file=%s%s,title=%s::%s\n", command, file, line, workflowProperty(clean(f.Rule)), workflowMessage(msg))
		}
	}
	return b.Flush()
}

var (
	workflowMessageEscapes  = strings.NewReplacer("%", "%25", "\r", "%0D", "\n", "%0A")
	workflowPropertyEscapes = strings.NewReplacer("%", "%25", "\r", "%0D", "\n", "%0A", ":", "%3A", ",", "%2C")
)

// workflowMessage escapes the text of a workflow command, workflowProperty the
// value of one of its properties.
func workflowMessage(s string) string  { return workflowMessageEscapes.Replace(s) }
func workflowProperty(s string) string { return workflowPropertyEscapes.Replace(s) }
