package cli

import (
	"errors"
	"fmt"

	"sluice/cmd/internal/system"
	"sluice/lint"
	"sluice/lint/baseline"
	"sluice/lint/job"
)

// mostTold is how many lines are told of what is of no more use.
const mostTold = 20

// openBaseline reads the file of --baseline, nil without one.
func (c *call) openBaseline(inputs []input) (*baseline.Baseline, error) {
	if c.baseline == "" {
		if c.writeBaseline {
			return nil, errors.New("--write-baseline needs a file; write --baseline FILE as well")
		}
		return nil, nil
	}
	b, err := baseline.Read(c.baseline, c.writeBaseline)
	if err != nil || !c.writeBaseline {
		return b, err
	}
	for _, taken := range append(paths(inputs), c.job, c.out) {
		if taken != "" && taken != "-" && system.SameFile(c.baseline, taken) {
			return nil, fmt.Errorf("--baseline %s: is another file of this run; name one of its own", c.baseline)
		}
	}
	return b, nil
}

// acceptKnown takes the findings of the baseline out of the results, after
// writing it where that is asked for, and tells what it lists in vain.
func (c *call) acceptKnown(b *baseline.Baseline, results []*lint.Result) (status int) {
	if b == nil {
		return statusOK
	}
	if c.writeBaseline {
		b.Accept(results, c.engine.ran)
		data, err := b.Bytes()
		if err == nil {
			err = c.replace(file{b.Path, data})
		}
		if err != nil {
			return c.failf("%v", err)
		}
	}
	count, stale := b.Apply(results, c.engine.ran, c.shard.of < 2)
	if c.acceptedCount = count; c.quiet {
		return statusOK
	}
	for i, s := range stale {
		if i == mostTold {
			c.tellf("%s: and %d more", b.Path, len(stale)-i)
			break
		}
		c.tellf("%s: stale: %s", b.Path, s)
	}
	if len(stale) > 0 {
		c.tellf("%s: --write-baseline drops what is stale", b.Path)
	}
	return statusOK
}

// acceptedText says how many findings the baseline accepts, "" without one.
func (c *call) acceptedText() string {
	if c.baseline == "" {
		return ""
	}
	return fmt.Sprintf("%d accepted by %s", c.acceptedCount, c.baseline)
}

// ran tells whether a rule was run over a drawing. One that is not known did not
// find anything and never will.
func (e *engine) ran(r *lint.Result, rule string) bool {
	if r.Job != nil && r.Job.Rules[rule] != "" {
		return r.Job.Rules[rule] != lint.Off.String()
	}
	for i := range e.rules {
		if e.rules[i].ID == rule {
			return e.rules[i].Severity != lint.Off.String()
		}
	}
	return true
}

// tellUseless tells the suppressions of job files that took out nothing. It says
// so only of job files all of whose drawings here could be read, of rules that
// ran, and if these are not a share of the drawings.
func (c *call) tellUseless(results []*lint.Result) {
	if c.quiet || c.shard.of > 1 {
		return
	}
	var order []*job.Job
	used := map[*job.Job][]bool{}
	for _, r := range results {
		j := r.Job
		if j == nil || len(j.Suppress) == 0 {
			continue
		}
		if used[j] == nil {
			order = append(order, j)
			used[j] = make([]bool, len(j.Suppress))
		}
		for i, s := range j.Suppress {
			unsure := r.Err != nil || len(r.Accepted) != len(j.Suppress) || s.Rule != "" && !c.engine.ran(r, s.Rule)
			if unsure || r.Accepted[i] > 0 {
				used[j][i] = true
			}
		}
	}
	told := 0
	for _, j := range order {
		for i, s := range j.Suppress {
			if used[j][i] {
				continue
			}
			if told++; told > mostTold {
				c.tellf("and more suppressions that accept nothing")
				return
			}
			c.tellf("%s:%d: this suppression accepts nothing in the drawings checked; drop it once it is of no use to others (%s)", j.Path, s.Line, s.Reason)
		}
	}
}
