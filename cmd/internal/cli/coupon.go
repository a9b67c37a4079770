package cli

import (
	"bytes"
	"fmt"
	"io"

	"sluice/lint"
	"sluice/lint/coupon"
)

func couponCommand() *command {
	return &command{
		name: "coupon", args: "-o OUT.dxf", needs: "no argument", least: 0, most: 0,
		title: "draw a trial to cut first, or turn what was measured on it into settings",
		about: "Draws a small trial to cut first from the kit's own sheet: slots in steps about its thickness with\n" +
			"a tongue to try in them, a square and a hole to measure the kerf, parts with tabs to break off.\n" +
			"With --measured it prints what was measured on the trial as lines for the job file; give the same\n" +
			"--thickness and --kerf as for the drawing.",
		only: "dxf", outputs: true, judges: true,
		flags: []*flagDef{
			{name: "out", short: "o", arg: "OUT", about: "the drawing of the trial; of --measured the file for its lines",
				at: func(o *options) any { return &o.out }},
			{name: "measured", arg: "LIST", about: "what was measured: square, hole, slot, tab, thickness, square_bottom, hole_bottom",
				at: func(o *options) any { return &o.measured }},
		},
		examples: []example{
			{"sluice coupon --thickness 3/16in -o coupon.dxf", "draw it"},
			{"sluice coupon --thickness 3/16in --measured square=39.92mm,slot=4.95mm", "lines for the job file"},
		},
		run: (*call).coupon,
	}
}

// coupon draws a trial, or turns what was measured on one into settings.
func (c *call) coupon() int {
	s, err := c.newJobs()
	if err != nil {
		return c.failf("%v", err)
	}
	j, err := s.of(input{path: "-"})
	if err != nil {
		return c.failf("%v", err)
	}
	o := coupon.For(j)
	if c.measured != "" {
		m, err := coupon.ParseMeasured(c.measured)
		if err != nil {
			return c.failf("--measured: %v", err)
		}
		found, err := coupon.Find(o, m)
		if err != nil {
			return c.failf("--measured: %v", err)
		}
		return c.render(func(w io.Writer) error { _, err := io.WriteString(w, found.Lines()); return err })
	}
	if c.out == "" {
		return c.failf("coupon needs the place to write to; write sluice coupon --thickness 3mm -o coupon.dxf")
	}
	var drawn bytes.Buffer
	if err := coupon.Write(&drawn, o); err != nil {
		return c.failf("%v", err)
	}
	done, data, err := c.engine.fix(c.ctx, "coupon", &drawn, coupon.Job(j), fixOptions{cores: c.cores})
	if err != nil {
		return c.failf("%v", err)
	}
	for i := range done.Left {
		if f := &done.Left[i]; f.Severity == lint.Error {
			return c.failf("a trial of this sheet cannot be cut with this kerf: %s", f.Message)
		}
	}
	status := c.emit(data)
	if status == statusOK && !c.quiet && c.out != "-" {
		fmt.Fprintf(c.stderr, "%s: %s", c.out, coupon.About(o))
	}
	return status
}
