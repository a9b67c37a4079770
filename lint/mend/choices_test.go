package mend_test

import (
	"bytes"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"sluice/fix"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/mend"
	"sluice/lint/rules"
)

// TestEveryChoice takes every choice of every finding of small drawings, each by itself,
// and checks what came of it: see trial.
func TestEveryChoice(t *testing.T) {
	tried := map[string]int{} // by rule and choice
	for _, c := range slices.Concat(choiceCases(), flawCases(t)) {
		t.Run(strings.ReplaceAll(c.name, " ", "-"), func(t *testing.T) {
			j := job.Default()
			if c.job != nil {
				c.job(j)
			}
			first := lint.Check(t.Context(), c.name, bytes.NewReader(c.data), j, lint.Options{Rules: rules.All()})
			if first.Err != nil {
				t.Fatal(first.Err)
			}
			plain, bare := repair(t, c.name, c.data, j)
			asked := 0
			for i := range first.Findings {
				f := &first.Findings[i]
				for k := range f.Choices {
					tried[f.Rule+" "+f.Choices[k].Name]++
					asked++
					tr := &trial{t: t, c: &c, j: j, plain: plain, bare: bare, f: f, way: &f.Choices[k]}
					tr.run()
				}
				better := slices.ContainsFunc(f.Choices[:max(0, len(f.Choices)-1)], func(w lint.Way) bool { return !w.Worse })
				if better && f.Choices[0].Worse {
					t.Errorf("%s at %v: the first choice, %s, brings %v", f.Rule, f.At, f.Choices[0].Name, f.Choices[0].Brought)
				}
			}
			alike(t, &c, j, first)
			for _, want := range c.offers {
				if !slices.ContainsFunc(first.Findings, func(f lint.Finding) bool { return offers(&f, want) }) {
					t.Errorf("%s is not offered; there are%s", want, offered(first))
				}
			}
			for _, no := range c.not {
				if slices.ContainsFunc(first.Findings, func(f lint.Finding) bool { return offers(&f, no) }) {
					t.Errorf("%s is offered", no)
				}
			}
			if asked == 0 {
				t.Errorf("nothing to choose")
			}
		})
	}
	for _, r := range rules.All() {
		for _, name := range r.AllChoices() {
			if name != "scale:F" && len(r.Choices) > 0 && tried[r.ID+" "+name] == 0 {
				t.Errorf("%s %s was not tried", r.ID, name)
			}
		}
	}
}

// offers reports whether a finding offers "rule choice".
func offers(f *lint.Finding, want string) bool {
	rule, name, _ := strings.Cut(want, " ")
	return f.Rule == rule && slices.ContainsFunc(f.Choices, func(w lint.Way) bool { return w.Name == name })
}

func offered(r *lint.Result) string {
	var b strings.Builder
	for i := range r.Findings {
		f := &r.Findings[i]
		fmt.Fprintf(&b, "\n  %s at %.2f, %.2f (%s):", f.Rule, f.At.X, f.At.Y, f.Message)
		for k := range f.Choices {
			fmt.Fprintf(&b, " %s", f.Choices[k].Name)
		}
	}
	return b.String()
}

// trial is one choice of one finding, taken by itself.
type trial struct {
	t     *testing.T
	c     *choiceCase
	j     *job.Job
	plain *lint.Repaired // what fix makes of the drawing without answers
	bare  []byte         // as written
	f     *lint.Finding
	way   *lint.Way
}

func (tr *trial) errorf(format string, args ...any) {
	tr.t.Helper()
	tr.t.Errorf("%s at %.2f, %.2f: %s (%s): %s", tr.f.Rule, tr.f.At.X, tr.f.At.Y, tr.way.Name, tr.way.Words, fmt.Sprintf(format, args...))
}

// answers returns the job with the one answer. The file of the answers is written and
// read, as a person's is.
func (tr *trial) answers() *job.Job {
	a := job.NewAnswers("kit.answers.toml")
	a.Add(job.Answer{Finding: tr.f.ID, About: lint.AboutOf(tr.f), Choice: tr.way.Name, Note: "tried"})
	a, err := job.ParseAnswers(a.Text(), a.Path)
	if err != nil {
		tr.t.Fatal(err)
	}
	own := *tr.j
	own.Answers = a
	return &own
}

// fixed repairs a drawing.
func fixed(t *testing.T, name string, data []byte, j *job.Job) (*lint.Repaired, []byte, error) {
	return mend.Fix(t.Context(), name, bytes.NewReader(data), j, mend.Options{Options: lint.Options{Rules: rules.All()}})
}

// alike takes each choice for all findings that have it at once: what comes of that is
// written without error, nothing is held back, and it stays as it is.
func alike(t *testing.T, c *choiceCase, j *job.Job, first *lint.Result) {
	t.Helper()
	for _, r := range rules.All() {
		for _, name := range r.Choices {
			a, n := job.NewAnswers("kit.answers.toml"), 0
			for i := range first.Findings {
				if f := &first.Findings[i]; offers(f, r.ID+" "+name) {
					a.Add(job.Answer{Finding: f.ID, Choice: name})
					n++
				}
			}
			if n < 2 {
				continue // tried by itself
			}
			own := *j
			own.Answers = a
			rep, out, err := fixed(t, c.name, c.data, &own)
			if err != nil {
				t.Errorf("all %s %s: %v", r.ID, name, err)
				continue
			}
			if rep.Lesser {
				t.Errorf("all %s %s: held back: %s", r.ID, name, rep.Held)
			}
			for what, again := range map[string]*job.Job{"the answers": &own, "no answers": j} {
				if _, twice, err := fixed(t, c.name, out, again); err != nil || !bytes.Equal(out, twice) {
					t.Errorf("all %s %s: fixed again with %s: %v %s", r.ID, name, what, err, firstDifference(out, twice))
				}
			}
		}
	}
}

// run takes the choice: it is made without error, the guard accepts what is written,
// the finding waits no more, nothing new of warning or graver comes of it untold, what
// it did is told as asked for, what is no longer cut is told, and the corrected drawing
// stays as it is under the same answers, and without them.
func (tr *trial) run() {
	tr.t.Helper()
	own := tr.answers()
	rep, out, err := fixed(tr.t, tr.c.name, tr.c.data, own)
	if err != nil {
		tr.errorf("%v", err)
		return
	}
	if stale := own.Answers.Stale(); len(stale) > 0 {
		tr.errorf("the answer fits nothing")
	}
	for _, g := range lint.ToAsk(rep.Left) {
		if g.ID == tr.f.ID {
			tr.errorf("still asked: %s", g.Message)
		}
	}
	tr.nothingNew(rep)
	tr.told(rep)
	lost, _ := uncovered(tr.t, tr.c.data, out)
	if before, _ := uncovered(tr.t, tr.c.data, tr.bare); lost > before+1 && !tr.toldGone(rep) {
		tr.errorf("%.1f mm are gone untold", lost-before)
	}
	if rep.Lesser {
		tr.errorf("held back: %s", rep.Held)
	}
	_, twice, err := fixed(tr.t, tr.c.name, out, tr.answers())
	if err != nil {
		tr.errorf("fixed again: %v", err)
	} else if !bytes.Equal(out, twice) {
		tr.errorf("fixed again with the answer it differs: %s", firstDifference(out, twice))
	}
	_, twice, err = fixed(tr.t, tr.c.name, out, tr.j)
	if err != nil {
		tr.errorf("fixed again without the answer: %v", err)
	} else if !bytes.Equal(out, twice) {
		tr.errorf("fixed again without the answer it differs: %s", firstDifference(out, twice))
	}
}

// nothingNew checks that no finding of warning or graver stands after the choice that
// stood neither in the drawing as read nor in what fix makes of it unasked, unless the
// choice says that it brings it.
func (tr *trial) nothingNew(rep *lint.Repaired) {
	tr.t.Helper()
	moves := len(tr.way.Aside) > 0 || tr.way.Scale
	stood := func(g *lint.Finding, in *lint.Result) bool {
		if g.Rule == "no-outline" { // wherever what there is instead lies
			return count(in.Findings, g.Rule) > 0
		}
		return slices.ContainsFunc(in.Findings, func(x lint.Finding) bool {
			return x.Rule == g.Rule && max(x.Severity, tr.gravity(&x)) >= g.Severity && (x.ID == g.ID || x.At.Dist(g.At) <= 2 || moves && x.Part == g.Part)
		})
	}
	for i := range rep.After.Findings {
		g := &rep.After.Findings[i]
		if g.Severity < lint.Warning || g.Answer != "" || stood(g, rep.Before) || stood(g, tr.plain.After) || slices.Contains(tr.way.Brought, g.Rule) {
			continue
		}
		tr.errorf("brings %s %s at %.2f, %.2f: %s", g.Severity, g.Rule, g.At.X, g.At.Y, g.Message)
	}
	for _, e := range rep.Undone {
		tr.errorf("taken back: %s %s", e.Kind, e.Note)
	}
}

// gravity is how grave a finding was before it was answered.
func (tr *trial) gravity(x *lint.Finding) lint.Severity {
	if x.ID == tr.f.ID {
		return tr.f.Severity
	}
	return x.Severity
}

// told checks that what the choice did is told as asked for, by its rule.
func (tr *trial) told(rep *lint.Repaired) {
	tr.t.Helper()
	if !tr.way.Does() {
		return
	}
	mine := func(e fix.Edit) bool { return e.Asked && e.Rule == tr.f.Rule && e.Note != "" }
	if !slices.ContainsFunc(rep.Edits, mine) {
		tr.errorf("no edit tells of it; skipped: %v", rep.Skipped)
	}
}

// toldGone reports whether an edit that was asked for tells that something is not cut
// where it was, or the choice was one of the whole drawing.
func (tr *trial) toldGone(rep *lint.Repaired) bool {
	_, sized := drawing.Scaled(tr.way.Name)
	return tr.way.Scale || sized || slices.ContainsFunc(rep.Edits, func(e fix.Edit) bool { return e.Asked && e.Note != "" && len(e.Entities) > 0 })
}

// flawCases are the drawings of one flaw each that the rules are tested by.
func flawCases(t *testing.T) (all []choiceCase) {
	paths, err := filepath.Glob("../rules/flaws/*/flaw.dxf")
	if err != nil || len(paths) < 20 {
		t.Fatalf("%d drawings, %v", len(paths), err)
	}
	for _, path := range paths {
		r := check(t, path, flawJob(t, path))
		if !slices.ContainsFunc(r.Findings, func(f lint.Finding) bool { return len(f.Choices) > 0 }) {
			continue
		}
		j := r.Job
		all = append(all, choiceCase{name: "flaw of " + filepath.Base(filepath.Dir(path)), data: readFile(t, path), job: func(own *job.Job) { *own = *j }})
	}
	return all
}

// flawJob returns the job of a drawing: that of the file beside it, if there is one.
func flawJob(t *testing.T, path string) *job.Job {
	if beside, err := filepath.Glob(filepath.Join(filepath.Dir(path), "job.toml")); err == nil && len(beside) == 1 {
		return loadJob(t, beside[0])
	}
	return job.Default()
}

// choiceCase is a small drawing with choices to take.
type choiceCase struct {
	name   string
	data   []byte
	job    func(*job.Job)
	offers []string // "rule choice" that must be offered
	not    []string // that must not
}

// drawn draws pieces.
func drawn(paths ...geom.Path) []byte { return ways(slices.Concat(paths...))["as drawn"] }
