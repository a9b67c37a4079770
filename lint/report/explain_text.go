package report

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"strings"
)

// repairWords say who makes a repair.
var repairWords = map[string]string{
	"auto":   "made by fix unasked",
	"choice": "made by fix when a flag or the job file asks for it",
	"none":   "none; a person must redraw",
}

// says lists what there is to say of a rule; what goes on has no name.
func (r *Rule) says() []fact {
	return slices.DeleteFunc([]fact{
		{"severity", r.Severity}, {"limit", r.Limit}, {"what", r.What}, {"why", r.Why}, {"bad", r.Bad}, {"good", r.Good},
		{"exceptions", r.Exceptions}, {"repair", repairWords[r.Repair]}, {"", r.Fix}, {"choices", strings.Join(r.Choices, ", ")}, {"reason", r.Reason}, {"since", r.Since},
	}, func(f fact) bool { return f.Value == "" })
}

// explainText tells about rules: all of them in short, or those asked for in full,
// with a sketch of the flaw and of a near miss.
func explainText(w io.Writer, m *Manual) error {
	b := bufio.NewWriter(w)
	width := 0
	for i := range m.Chosen {
		width = max(width, len(m.Chosen[i].ID))
	}
	for i := range m.Chosen {
		r := &m.Chosen[i]
		if m.Short {
			Hang(b, fmt.Sprintf("%-*s  %-7s  ", width, r.ID, r.Severity), r.Title)
			continue
		}
		if i > 0 {
			b.WriteByte('\n')
		}
		fmt.Fprintf(b, "%s: %s\n\n", r.ID, r.Title)
		for _, f := range r.says() {
			Hang(b, fmt.Sprintf("  %-11s ", f.Name), f.Value)
		}
		if x := m.Flaw(r.ID); x != nil {
			b.WriteByte('\n')
			x.sketch(b)
		}
	}
	return b.Flush()
}

// TextWidth is the widest line of texts that are broken, columns.
const TextWidth = 100

// Hang writes words after a head, broken before the last column and aligned
// below the first word.
func Hang(w io.Writer, head, words string) {
	line, indent := head, len(head)
	for _, word := range strings.Fields(words) {
		if len([]rune(line))+len([]rune(word)) > TextWidth && strings.TrimSpace(line) != "" {
			fmt.Fprintln(w, strings.TrimRight(line, " "))
			line = strings.Repeat(" ", indent)
		}
		line += word + " "
	}
	fmt.Fprintln(w, strings.TrimRight(line, " "))
}
