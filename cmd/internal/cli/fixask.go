package cli

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"os"
	"slices"
	"strconv"
	"strings"

	"golang.org/x/term"

	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/report"
	"sluice/lint/settle"
)

// asking goes through what a person must decide of one drawing.
type asking struct {
	c       *call
	t       *target
	in      *bufio.Scanner
	path    string          // of the file of answers
	answers *job.Answers    // in force
	past    [][]string      // findings answered at once, the last ones last
	open    map[string]bool // left open for now
	stale   []job.Answer    // that fitted nothing when the drawing was last repaired
	asked   map[string]*lint.Finding
	plain   bool // the terminal shows no braille
}

// What a person does at a question.
type deed int

const (
	stop   deed = iota // end the asking
	pass               // leave it open
	take               // answer it
	back               // go back to the question before
	forget             // take the last answer out
)

// askAnswers asks of a drawing, one after the other, what a person must decide, worst
// first, and writes down each answer at once, so that nothing is lost when the asking
// ends early. What the answers bring is asked too, once all else is. The job of the
// target has the answers then.
func (c *call) askAnswers(t *target) error {
	a := &asking{
		c: c, t: t, in: bufio.NewScanner(io.LimitReader(c.stdin, 1<<20)), path: c.answersPath(t.in),
		answers: t.job.Answers, open: map[string]bool{}, asked: map[string]*lint.Finding{}, plain: !c.showsBraille(),
	}
	if a.answers == nil {
		a.answers = job.NewAnswers(a.path)
	}
	for more := true; more; {
		qs, err := a.questions()
		if err != nil {
			return err
		}
		if more, err = a.round(qs); err != nil {
			return err
		}
	}
	if err := a.tidy(); err != nil {
		return err
	}
	own := *t.job
	if !a.answers.Empty() {
		own.Answers = a.answers
	}
	t.job = &own
	return nil
}

// tidy takes those of the answers just given out that others have made needless.
func (a *asking) tidy() error {
	var needless []string
	for _, x := range a.stale {
		if slices.ContainsFunc(a.past, func(ids []string) bool { return slices.Contains(ids, x.Finding) }) {
			needless = append(needless, x.Finding)
		}
	}
	if len(needless) == 0 {
		return nil
	}
	return a.takeOut(needless)
}

// showsBraille reports whether standard error is a terminal that shows Unicode.
func (c *call) showsBraille() bool {
	f, ok := c.stderr.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) || os.Getenv("TERM") == "dumb" {
		return false
	}
	for _, name := range []string{"LC_ALL", "LC_CTYPE", "LANG"} {
		if v := strings.ToUpper(os.Getenv(name)); v != "" {
			return strings.Contains(v, "UTF-8") || strings.Contains(v, "UTF8")
		}
	}
	return false
}

// questions repairs the drawing as answered so far and returns what waits for a person
// and was not left open, worst first.
func (a *asking) questions() ([]settle.Question, error) {
	f, err := a.c.open(a.t.in)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	own := *a.t.job
	// What was met of the answers, and what was refused, is told by the repair that counts.
	if own.Answers, err = job.ParseAnswers(a.answers.Text(), a.path); err != nil {
		return nil, err
	}
	done, _, err := a.c.engine.fix(a.c.ctx, a.t.in.path, f, &own, a.c.fixOptions())
	if err != nil {
		return nil, err
	}
	a.stale = own.Answers.Stale()
	return slices.DeleteFunc(settle.Asked(done), func(q settle.Question) bool { return a.open[q.ID] }), nil
}

// round asks questions; more says that what the answers brought is to be asked yet.
func (a *asking) round(qs []settle.Question) (more bool, err error) {
	answered := false
	for i := 0; i < len(qs); {
		q := &qs[i]
		a.asked[q.ID] = &q.Finding
		if a.answers.Choice(q.ID) != "" {
			i++
			continue
		}
		alike := a.alike(q, qs[i+1:])
		a.show(q, left(a.answers, qs[i:]), len(alike))
		choice, all, d := a.reply(&q.Finding, len(alike), i > 0, len(a.past) > 0)
		switch d {
		case stop:
			return false, nil
		case pass:
			a.open[q.ID] = true
			i++
		case back:
			i--
			delete(a.open, qs[i].ID)
			if err := a.takeOut([]string{qs[i].ID}); err != nil {
				return false, err
			}
		case forget:
			last := a.past[len(a.past)-1]
			a.past = a.past[:len(a.past)-1]
			if err := a.takeOut(last); err != nil {
				return false, err
			}
			if k := slices.IndexFunc(qs, func(o settle.Question) bool { return o.ID == last[0] }); k >= 0 {
				i = k
			} else {
				return true, nil // it was asked before what it brought
			}
		case take:
			settled := []settle.Question{*q}
			if all {
				settled = append(settled, alike...)
			}
			if err := a.take(settled, choice); err != nil {
				return false, err
			}
			answered = true
			i++
		}
	}
	return answered, nil
}

// alike returns which of the rest can be settled in one go with a question.
func (a *asking) alike(q *settle.Question, rest []settle.Question) (alike []settle.Question) {
	key := lint.AlikeKey(&q.Finding)
	for i := range rest {
		if o := &rest[i]; a.answers.Choice(o.ID) == "" && lint.AlikeKey(&o.Finding) == key {
			alike = append(alike, *o)
		}
	}
	return alike
}

// left counts what is not answered.
func left(a *job.Answers, qs []settle.Question) (n int) {
	for i := range qs {
		if a.Choice(qs[i].ID) == "" {
			n++
		}
	}
	return n
}

// take writes down an answer to questions.
func (a *asking) take(qs []settle.Question, choice string) error {
	var ids []string
	for i := range qs {
		a.answers.Add(qs[i].Answered(choice, ""))
		ids = append(ids, qs[i].ID)
	}
	a.past = append(a.past, ids)
	return a.keep()
}

// takeOut takes answers out again.
func (a *asking) takeOut(ids []string) error {
	for _, id := range ids {
		a.answers.Remove(id)
	}
	a.past = slices.DeleteFunc(a.past, func(p []string) bool { return slices.Contains(p, ids[0]) })
	return a.keep()
}

func (a *asking) keep() error {
	if a.answers.Empty() {
		return a.c.keepAnswers(a.path, nil)
	}
	return a.c.keepAnswers(a.path, a.answers.Text())
}

// show shows a question, a picture of its place, and its choices.
func (a *asking) show(q *settle.Question, left, alike int) {
	w, f := a.c.stderr, &q.Finding
	fmt.Fprintf(w, "\n%d to decide. %s, %s\n", left, f.Severity, oneLine(lint.AboutOf(f)))
	report.Hang(w, "  ", oneLine(lint.Plain(f.Message)))
	if q.On != nil && q.On.Drawing != nil && f.Rule != "unit-doubt" {
		var picture bytes.Buffer
		report.Glance(&picture, q.On.Drawing, f.At, f.Box, a.plain)
		_, _ = picture.WriteTo(w)
	}
	for i := range f.Choices {
		c := &f.Choices[i]
		mark := " "
		if c.Default {
			mark = "*"
		}
		report.Hang(w, fmt.Sprintf(" %s%2d %-9s ", mark, i+1, c.Name), oneLine(c.Words))
	}
	more := ""
	if alike > 0 {
		more = fmt.Sprintf("; with ! for the %d alike too", alike)
	}
	fmt.Fprintf(w, "number or name%s; Enter leaves it open, b goes back, u takes the last answer out, q ends > ", more)
}

const noneBefore = "there is none before"

// reply reads what a person does, until it is something that can be done.
func (a *asking) reply(f *lint.Finding, alike int, before, past bool) (choice string, all bool, d deed) {
	w := a.c.stderr
	var names []string
	for i := range f.Choices {
		names = append(names, f.Choices[i].Name)
	}
	for a.in.Scan() {
		s, bang := strings.CutSuffix(strings.ToLower(strings.TrimSpace(a.in.Text())), "!")
		s = strings.TrimSpace(s)
		n, err := strconv.Atoi(s)
		switch {
		case s == "q":
			return "", false, stop
		case s == "b" && before:
			return "", false, back
		case s == "u" && past:
			return "", false, forget
		case s == "b" || s == "u":
			fmt.Fprintf(w, "%s > ", noneBefore)
		case s == "":
			return "", false, pass
		case bang && alike == 0:
			fmt.Fprint(w, "there is none alike > ")
		case err == nil && n >= 1 && n <= len(names):
			return names[n-1], bang, take
		case slices.Contains(names, s):
			return s, bang, take
		default:
			fmt.Fprintf(w, "%q is none of them; did you mean %q? > ", oneLine(s), job.Nearest(s, names))
		}
	}
	fmt.Fprintln(w)
	return "", false, stop
}
