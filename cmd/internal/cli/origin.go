package cli

import (
	"bytes"
	"fmt"
	"os"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"

	"sluice/lint/job"
)

// printOrigins prints the settings in force for a drawing as a job file, with
// where each comes from behind it: the line of the job file, the flag, or the
// default.
func (c *call) printOrigins(s *jobs) int {
	in := input{path: c.forFile}
	if st, err := os.Stat(c.forFile); c.forFile != "-" && (err != nil || st.IsDir()) {
		if err == nil {
			return c.failf("%s: is a folder; --for takes one drawing", c.forFile)
		}
		return c.failf("%s: %v", c.forFile, plainError(err))
	}
	j, err := s.of(in)
	if err != nil {
		return c.failf("%v", fileError(c.forFile, err))
	}
	var b bytes.Buffer
	fmt.Fprintf(&b, "# In force for %s.\n# Job file: %s.\n", oneLine(c.forFile), c.jobFileText(j))
	var plain bytes.Buffer
	if err := c.engine.withRules(j).Write(&plain); err != nil {
		return c.failf("%v", err)
	}
	origin := map[string]string{}
	if j.Path != "" {
		data, err := os.ReadFile(j.Path)
		if err != nil {
			return c.failf("%s: %v", j.Path, plainError(err))
		}
		for name, line := range settingLines(data) {
			origin[name] = fmt.Sprintf("%s:%d", oneLine(j.Path), line)
		}
	}
	for _, set := range c.sets {
		origin[set.name] = "--" + set.flag
	}
	annotate(&b, plain.String(), j, origin)
	return c.emit(b.Bytes())
}

// jobFileText says which job file counts, and why.
func (c *call) jobFileText(j *job.Job) string {
	switch {
	case j.Path == "":
		return "none beside the drawing or above it up to the root of the repository"
	case c.job != "":
		return oneLine(j.Path) + ", by --job"
	}
	return oneLine(j.Path) + ", the nearest to the drawing"
}

// annotate writes a printed job file with a comment behind each setting.
func annotate(b *bytes.Buffer, text string, j *job.Job, origin map[string]string) {
	table := ""
	entries := map[string]int{} // met so far, by their table
	for line := range strings.Lines(text) {
		line = strings.TrimSuffix(line, "\n")
		key, _, is := strings.Cut(line, " = ")
		switch {
		case strings.HasPrefix(line, "#"):
		case strings.HasPrefix(line, "[["):
			table = "-"
			name := strings.Trim(line, "[]")
			line += fmt.Sprintf("  # %s:%d", oneLine(j.Path), j.EntryLine(name, entries[name]))
			entries[name]++
		case strings.HasPrefix(line, "["):
			table = strings.Trim(line, "[]") + "."
		case is && table != "-":
			from := origin[table+strings.Trim(key, `"`)]
			if from == "" {
				from = "default"
			}
			line += "  # " + from
		}
		b.WriteString(line + "\n")
	}
}

// settingLines returns the line on which each setting of a sound job file
// stands, by "table.key".
func settingLines(data []byte) map[string]int {
	data = slices.Clip(bytes.TrimPrefix(data, []byte("\xef\xbb\xbf")))
	lines := map[string]int{}
	var p unstable.Parser
	p.Reset(data)
	var table []string
	keyOf := func(it unstable.Iterator) (key []string, line int) {
		for it.Next() {
			n := it.Node()
			if line == 0 {
				line = p.Shape(n.Raw).Start.Line
			}
			key = append(key, string(n.Data))
		}
		return key, line
	}
	var take func(table []string, n *unstable.Node)
	take = func(table []string, n *unstable.Node) {
		key, line := keyOf(n.Key())
		full := append(slices.Clone(table), key...)
		if n.Value().Kind != unstable.InlineTable {
			lines[strings.Join(full, ".")] = line
			return
		}
		for it := n.Value().Children(); it.Next(); {
			take(full, it.Node())
		}
	}
	for p.NextExpression() {
		switch n := p.Expression(); n.Kind {
		case unstable.Table, unstable.ArrayTable:
			table, _ = keyOf(n.Key())
		case unstable.KeyValue:
			take(table, n)
		}
	}
	return lines
}
