package cli

import (
	"io"

	"sluice/lint"
	"sluice/lint/report"
)

// diff compares two drawings.
func (c *call) diff() int {
	if c.args[0] == "-" && c.args[1] == "-" {
		return c.failf("standard input can be read only once; name one of the two drawings")
	}
	return c.withOne(func(s *jobs) int {
		var both [2]*lint.Result
		for i, arg := range c.args {
			r, err := c.judgeOne(arg, s)
			if err != nil {
				return c.failf("%v", err)
			}
			both[i] = r
		}
		status := statusOK
		written := c.render(func(w io.Writer) error {
			same, err := c.engine.compare(w, c.formatName(), c.all, both[0], both[1])
			if !same {
				status = statusFound
			}
			return err
		})
		return max(status, written)
	})
}

// compareDrawings writes what differs between two judged drawings, in text all of
// it or the first of each kind. Parts are the
// same within the tolerance to which the job has curves refitted, so that a
// repair that only does that leaves the same shapes.
func compareDrawings(w io.Writer, format string, all bool, before, after *lint.Result) (same bool, err error) {
	d := report.Compare(before, after, before.Job.Limits.Curve)
	switch format {
	case "json":
		err = report.DiffJSON(w, Version, d)
	case "svg":
		err = report.DiffSVG(w, d)
	case "html":
		err = report.DiffHTML(w, Version, d)
	default:
		err = report.DiffText(w, d, all)
	}
	return d.Same, err
}
