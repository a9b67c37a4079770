package cli

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/report"
)

// askAnswers asks of a drawing, one after the other, what a person must decide, worst
// first, and writes down each answer at once, so that nothing is lost when the asking
// ends early. The job of the target has the answers then.
func (c *call) askAnswers(t *target) error {
	r := c.judge(t.in, t.job)
	if r.Err != nil {
		return r.Err
	}
	path := c.answersPath(t.in)
	a := t.job.Answers
	if a == nil {
		a = job.NewAnswers(path)
	}
	asked := lint.ToAsk(r.Findings)
	in := bufio.NewScanner(io.LimitReader(c.stdin, 1<<20))
	left := len(asked)
	for i := 0; i < len(asked); i++ {
		f := asked[i]
		if f.Answer != "" {
			left--
			continue
		}
		alike := alikeTo(f, asked[i+1:])
		c.question(f, left, len(alike))
		left--
		choice, all, ok := c.answerTo(f, in, len(alike))
		if !ok {
			break
		}
		if choice == "" {
			continue
		}
		settled := []*lint.Finding{f}
		if all {
			settled = append(settled, alike...)
		}
		for _, g := range settled {
			g.Answer = choice
			a.Add(job.Answer{Finding: g.ID, About: lint.AboutOf(g), Choice: choice})
		}
		if err := c.replace(file{path, a.Text()}); err != nil {
			return err
		}
	}
	own := *t.job
	if len(a.List) > 0 {
		own.Answers = a
	}
	t.job = &own
	return nil
}

// alikeTo returns what can be settled in one go with a finding.
func alikeTo(f *lint.Finding, rest []*lint.Finding) (alike []*lint.Finding) {
	key := lint.AlikeKey(f)
	for _, g := range rest {
		if g.Answer == "" && lint.AlikeKey(g) == key {
			alike = append(alike, g)
		}
	}
	return alike
}

// question shows a finding and its choices.
func (c *call) question(f *lint.Finding, left, alike int) {
	fmt.Fprintf(c.stderr, "\n%d to decide. %s, %s\n", left, f.Severity, oneLine(lint.AboutOf(f)))
	report.Hang(c.stderr, "  ", oneLine(lint.Plain(f.Message)))
	for i := range f.Choices {
		w := &f.Choices[i]
		mark := " "
		if w.Default {
			mark = "*"
		}
		report.Hang(c.stderr, fmt.Sprintf(" %s%2d %-9s ", mark, i+1, w.Name), oneLine(w.Words))
	}
	more := ""
	if alike > 0 {
		more = fmt.Sprintf("; with ! for the %d alike too", alike)
	}
	fmt.Fprintf(c.stderr, "number or name%s; Enter leaves it open, q ends the asking > ", more)
}

// answerTo reads an answer until it is one: "" leaves the finding open, ok is false at
// the end of the asking.
func (c *call) answerTo(f *lint.Finding, in *bufio.Scanner, alike int) (choice string, all, ok bool) {
	var names []string
	for i := range f.Choices {
		names = append(names, f.Choices[i].Name)
	}
	for in.Scan() {
		s, bang := strings.CutSuffix(strings.ToLower(strings.TrimSpace(in.Text())), "!")
		s = strings.TrimSpace(s)
		switch n, err := strconv.Atoi(s); {
		case s == "q":
			return "", false, false
		case s == "":
			return "", false, true
		case bang && alike == 0:
			fmt.Fprint(c.stderr, "there is none alike > ")
		case err == nil && n >= 1 && n <= len(names):
			return names[n-1], bang, true
		case slices.Contains(names, s):
			return s, bang, true
		default:
			fmt.Fprintf(c.stderr, "%q is none of them; did you mean %q? > ", oneLine(s), job.Nearest(s, names))
		}
	}
	fmt.Fprintln(c.stderr)
	return "", false, false
}
