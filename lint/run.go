package lint

import (
	"slices"
	"sync"

	"sluice/lint/job"
)

// runRules runs every rule that is not off, several at a time, and returns the
// findings in their fixed order, and how many each suppression took out. weighed waits
// until the doubt of the unit is known.
func runRules(base Pass, o Options, weighed func()) ([]Finding, []int, error) {
	type task struct {
		rule *Rule
		sev  Severity
		pass Pass
	}
	var tasks []*task
	_, _, oneOf := OneOf(base.Drawing)
	for _, r := range o.Rules {
		sev := r.Severity
		if s, ok := base.Job.Rules[r.ID]; ok {
			sev, _ = ParseSeverity(s)
		}
		if sev == Off || base.Drawing.Paths && !r.Paths || oneOf && WholeKit(r.ID) {
			continue
		}
		t := &task{rule: r, sev: sev, pass: base}
		t.pass.rule = r
		tasks = append(tasks, t)
	}
	queue := make(chan *task, len(tasks))
	first := slices.IndexFunc(tasks, func(t *task) bool { return t.rule.Asks == Joints })
	if first >= 0 {
		queue <- tasks[first]
	}
	for _, asks := range []Asks{Nothing, Joints, UnitDoubt} {
		for i, t := range tasks {
			if t.rule.Asks == asks && i != first {
				queue <- t
			}
		}
	}
	close(queue)
	var wg sync.WaitGroup
	for range max(1, workers(o)) {
		wg.Go(func() {
			for t := range queue {
				if t.rule.Asks == UnitDoubt {
					weighed()
				}
				if base.Ctx.Err() == nil {
					t.rule.Check(&t.pass)
				}
			}
		})
	}
	wg.Wait()
	if err := base.Ctx.Err(); err != nil {
		return nil, nil, err
	}
	count := 0
	for _, t := range tasks {
		for _, some := range t.pass.found {
			count += len(some)
		}
	}
	all := slices.Grow([]Finding(nil), count)
	for _, t := range tasks {
		from := len(all)
		for _, some := range t.pass.found {
			all = append(all, some...)
		}
		for i := from; i < len(all); i++ {
			if all[i].Severity == Off {
				all[i].Severity = t.sev
			}
		}
		t.pass.found = nil
	}
	all, accepted := suppress(all, base.Job)
	SortFindings(all)
	identify(all, *base.corner, o.Told)
	return all, accepted, nil
}

// suppress takes out findings that the job file accepts, and counts those that
// each of its suppressions means. A finding that several mean counts for each,
// so that none of them is told to be of no use.
func suppress(all []Finding, j *job.Job) (left []Finding, accepted []int) {
	if len(j.Suppress) == 0 {
		return all, nil
	}
	accepted = make([]int, len(j.Suppress))
	left = slices.DeleteFunc(all, func(f Finding) bool {
		meant := false
		for i, s := range j.Suppress {
			if (s.Rule == "" || s.Rule == f.Rule) && (s.Part == "" || s.Part == f.Part) &&
				(s.Layer == "" || job.MatchLayer([]string{s.Layer}, f.Layer, 0)) {
				accepted[i]++
				meant = true
			}
		}
		return meant
	})
	return left, accepted
}

func workers(o Options) int {
	if o.Workers > 0 {
		return o.Workers
	}
	return 2
}
