package job

import (
	"bytes"
	"fmt"
	"io"
	"maps"
	"slices"
	"strconv"
	"strings"
)

// Write prints the job as a complete, commented job file: every setting with its
// value, the rules that are set and the suppressions. Parse reads it back.
func (j *Job) Write(w io.Writer) error {
	var b bytes.Buffer
	comment(&b, headAbout)
	for _, t := range tables {
		if several := entriesOf(t.name); several != nil && len(several.lines(j)) > 0 {
			continue // printed below, in the place of the one
		}
		b.WriteByte('\n')
		if t.name != "" {
			comment(&b, t.about)
			fmt.Fprintf(&b, "[%s]\n", t.name)
		}
		for i := range settings {
			if s := &settings[i]; s.table == t.name {
				comment(&b, s.about)
				fmt.Fprintf(&b, "%s = %s\n", s.key, s.printed(j))
			}
		}
	}
	b.WriteByte('\n')
	comment(&b, rulesAbout)
	b.WriteString("[rules]\n")
	for _, id := range slices.Sorted(maps.Keys(j.Rules)) {
		fmt.Fprintf(&b, "%s = %s\n", tomlKey(id), tomlString(j.Rules[id]))
	}
	for i := range entryTables {
		t := &entryTables[i]
		b.WriteByte('\n')
		comment(&b, t.about)
		for n := range t.lines(j) {
			fmt.Fprintf(&b, "\n[[%s]]\n", t.name)
			for _, k := range t.keys {
				if v := k.printed(j, n); v != "" {
					fmt.Fprintf(&b, "%s = %s\n", k.name, v)
				}
			}
		}
	}
	_, err := w.Write(b.Bytes())
	return err
}

func comment(b *bytes.Buffer, about string) {
	if about == "" {
		return
	}
	for line := range strings.SplitSeq(about, "\n") {
		fmt.Fprintf(b, "# %s\n", line)
	}
}

// printed is the setting's value in TOML.
func (s *setting) printed(j *Job) string {
	switch p := s.at(j).(type) {
	case *float64:
		switch {
		case s.kind == share:
			return tomlFloat(*p)
		case s.kind == number:
			return strconv.FormatFloat(*p, 'f', -1, 64)
		case s.kind == edge:
			return printedEdge(*p)
		case s.kind == amount:
			return tomlString(s.measure.format(*p))
		case s.kind == optional && *p == 0:
			return `""`
		case *p == Auto:
			return `"auto"`
		}
		return tomlString(FormatLength(*p))
	case *bool:
		return strconv.FormatBool(*p)
	case *string:
		return tomlString(*p)
	case *[]float64:
		return tomlLengths(s.key, *p)
	case *[]string:
		var items []string
		for _, t := range *p {
			items = append(items, tomlString(t))
		}
		return tomlList(s.key, items)
	}
	return ""
}

// tomlLengths writes a list of lengths, mm, behind its key.
func tomlLengths(key string, mm []float64) string {
	var items []string
	for _, l := range mm {
		items = append(items, tomlString(FormatLength(l)))
	}
	return tomlList(key, items)
}

// mostColumns is how long a printed line may be.
const mostColumns = 100

// tomlList writes a list behind its key, over several lines where one is too long.
func tomlList(key string, items []string) string {
	var b strings.Builder
	column := len(key) + len(" = [")
	b.WriteByte('[')
	for i, item := range items {
		n := len([]rune(item)) + len(", ")
		switch {
		case i > 0 && column+n >= mostColumns:
			b.WriteString(",\n    ")
			column = 4
		case i > 0:
			b.WriteString(", ")
		}
		b.WriteString(item)
		column += n
	}
	b.WriteByte(']')
	return b.String()
}

// tomlFloat writes a number that TOML takes for a float.
func tomlFloat(f float64) string {
	t := strconv.FormatFloat(f, 'f', -1, 64)
	if !strings.Contains(t, ".") {
		t += ".0"
	}
	return t
}

// tomlString writes a basic string. Settings hold no control characters.
func tomlString(s string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(s) + `"`
}

// tomlKey quotes a key where it must be.
func tomlKey(k string) string {
	plain := k != "" && !strings.ContainsFunc(k, func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '-' || r == '_')
	})
	if plain {
		return k
	}
	return tomlString(k)
}
