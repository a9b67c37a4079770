package cli

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"strings"

	"sluice/lint/job"
)

// plates are sheets that are sold everywhere, by the unit of the shop: their names
// and sizes (common practice, no source).
var plates = map[string][]struct{ name, size string }{
	"mm": {{"small", "1000mm x 2000mm"}, {"medium", "1250mm x 2500mm"}, {"large", "1500mm x 3000mm"}},
	"in": {{"quarter", "24in x 48in"}, {"half", "48in x 48in"}, {"full", "48in x 96in"}, {"long", "60in x 120in"}},
}

// question is one thing asked about the shop. take puts the answer into the job;
// what it says is wrong is told, and the question asked again.
type question struct {
	ask, about string
	fallback   func(j *job.Job) string // what an empty answer means
	keeps      bool                    // that is the setting as it stands
	take       func(j *job.Job, answer string) error
}

// shopUnit is the unit in which a bare number is meant.
type shopUnit struct{ name string }

// length adds the shop's unit to a bare number.
func (u *shopUnit) length(s string) string {
	s = strings.TrimSpace(s)
	if s == "" || strings.ContainsAny(s[len(s)-1:], "0123456789.") {
		return s + u.name
	}
	return s
}

// shown writes a length in the shop's unit.
func (u *shopUnit) shown(mm float64) string {
	if u.name == "in" {
		return fmt.Sprintf("%.4gin", mm/25.4)
	}
	return job.FormatLength(mm)
}

// aboutShop lists the questions.
func aboutShop(u *shopUnit) []question {
	set := func(name string) func(*job.Job, string) error {
		return func(j *job.Job, s string) error { return j.Set(name, u.length(s)) }
	}
	return []question{
		{"millimetres or inches", "mm or in: what a bare number below means",
			func(*job.Job) string { return "mm" }, false,
			func(_ *job.Job, s string) error {
				switch strings.ToLower(s) {
				case "mm", "in":
					u.name = strings.ToLower(s)
					return nil
				}
				return fmt.Errorf("%q is neither mm nor in", s)
			}},
		{"plate", "width x height; or one of those that are sold everywhere:",
			func(*job.Job) string { return plates[u.name][len(plates[u.name])-2].name }, false,
			u.plate},
		{"material", "such as aluminium 5052, mild steel, stainless 304, glass; - if that is open",
			func(*job.Job) string { return "-" }, false,
			func(j *job.Job, s string) error {
				if s == "-" {
					return nil
				}
				return j.Set("sheet.material", s)
			}},
		{"thickness", "as measured with a caliper if you can: sheet is seldom as thick as its name", nil, false, set("sheet.thickness")},
		{"kerf", "the width that the stream removes: cut a trial (sluice coupon) to measure it",
			func(j *job.Job) string { return u.shown(j.Jet.Kerf) }, true, set("jet.kerf")},
		{"from slat to slat", "the distance between the slats that carry the sheet",
			func(j *job.Job) string { return u.shown(j.Table.SlatPitch) }, true, set("table.slat_pitch")},
		{"slats run along", "x or y of the drawing, or both: parts must stand either way",
			func(j *job.Job) string { return j.Table.SlatsAlong }, true,
			func(j *job.Job, s string) error { return j.Set("table.slats_along", strings.ToLower(s)) }},
	}
}

// plate sets the size of the sheet by name or as width x height.
func (u *shopUnit) plate(j *job.Job, s string) error {
	for _, p := range plates[u.name] {
		if strings.EqualFold(s, p.name) {
			s = p.size
		}
	}
	w, h, ok := strings.Cut(strings.ToLower(s), "x")
	if !ok {
		return fmt.Errorf("%q is no size; write width x height, such as %s", s, plates[u.name][0].size)
	}
	var size []float64
	for _, side := range []string{w, h} {
		mm, err := job.ParseLength(u.length(side))
		switch {
		case err != nil:
			return err
		case !(mm > 0):
			return fmt.Errorf("%q is no side of a plate", strings.TrimSpace(side))
		}
		size = append(size, mm)
	}
	j.Sheet.Size = size
	return nil
}

// errNoAnswer ends the asking: the input is at its end.
var errNoAnswer = errors.New("no answer to the last question: nothing is written")

// askJob asks about the plate, the stream and the table, and writes a job file.
func (c *call) askJob() int {
	out := c.out
	if out == "" {
		out = "sluice.toml"
	}
	if out != "-" {
		if err := c.checkOutput(out); err != nil {
			return c.failf("%v", err)
		}
	}
	s, err := c.newJobs()
	if err != nil {
		return c.failf("%v", err)
	}
	j, err := s.load(c.job)
	if err != nil {
		return c.failf("%v", err)
	}
	own := *j
	if err := c.askAll(&own); err != nil {
		return c.failf("%v", err)
	}
	c.out = out
	if status := c.render(func(w io.Writer) error { return c.engine.withRules(&own).Write(w) }); status != statusOK {
		return status
	}
	if out != "-" {
		fmt.Fprintf(c.stderr, "%s is written. Keep it beside the drawings: lint, fix, parts and estimate go by it.\n", out)
	}
	return statusOK
}

// askAll asks all questions in turn, on standard error, since standard output may
// take the job file.
func (c *call) askAll(j *job.Job) error {
	in := bufio.NewScanner(io.LimitReader(c.stdin, 1<<20))
	u := &shopUnit{name: "mm"}
	for _, q := range aboutShop(u) {
		for {
			fmt.Fprintf(c.stderr, "\n%s: %s\n", q.ask, q.about)
			if q.ask == "plate" {
				for _, p := range plates[u.name] {
					fmt.Fprintf(c.stderr, "  %-8s %s\n", p.name, p.size)
				}
			}
			fallback := ""
			if q.fallback != nil {
				fallback = q.fallback(j)
				fmt.Fprintf(c.stderr, "[%s] ", fallback)
			}
			fmt.Fprint(c.stderr, "> ")
			if !in.Scan() {
				fmt.Fprintln(c.stderr)
				return errNoAnswer
			}
			answer := strings.TrimSpace(in.Text())
			if answer == "" && q.keeps {
				break
			}
			if answer == "" {
				answer = fallback
			}
			err := c.answer(j, &q, answer)
			if err == nil {
				break
			}
			fmt.Fprintf(c.stderr, "%s\n", oneLine(err.Error()))
		}
	}
	return nil
}

// answer takes an answer, unless it is wrong or was likely meant in another unit.
func (c *call) answer(j *job.Job, q *question, answer string) error {
	if answer == "" {
		return errors.New("an answer is needed here")
	}
	tried := *j
	if err := q.take(&tried, answer); err != nil {
		return err
	}
	if doubts := tried.Doubts(); len(doubts) > len(j.Doubts()) {
		return errors.New(doubts[len(doubts)-1])
	}
	*j = tried
	return nil
}
