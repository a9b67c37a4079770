package cli

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"sluice/geom/dxf"
	"sluice/lint"
	"sluice/lint/cutting"
	"sluice/lint/mend"
	"sluice/lint/report"
	"sluice/lint/units"
)

// estimate writes what a drawing takes to cut.
func (c *call) estimate() int {
	return c.withOne(func(s *jobs) int {
		r, err := c.judgeCounted(c.args[0], s)
		if err != nil {
			return c.failf("%v", err)
		}
		e, err := cutting.Of(r)
		if err != nil {
			return c.failf("%v", err)
		}
		return c.write(&report.Estimate{About: c.about(r.Job), Path: r.Path, Date: c.day(), Estimate: e})
	})
}

// day is the date to print on a quote: as given, or that of today where today is
// asked for.
func (c *call) day() string {
	if c.date == "today" {
		return time.Now().Format("2 January 2006")
	}
	return c.date
}

// drawPaths returns the paths that are ready to run of a corrected drawing, as a
// drawing or, where the file's name ends in .svg, as a picture;
// told says what they hold.
func drawPaths(r *lint.Repaired, path string) (data []byte, told string, err error) {
	after := r.After
	if after == nil || after.Sheet == nil {
		return nil, "", errors.New("there is no corrected drawing to make paths of")
	}
	j, u := after.Job, after.Drawing.Unit
	plan := cutting.Paths(after.Sheet, j, after.Extents)
	plan.Names = after.Names
	if told = plan.Told(); len(plan.Cuts) == 0 {
		// Written all the same: the corrected drawing is wanted, and paths of an
		// earlier run must not stay in its place.
		told = "none, nothing in the corrected drawing can be run"
	}
	var b bytes.Buffer
	if err := dxf.Write(&b, &dxf.Output{
		Paths: true, Items: plan.Items(j.Jet.Kerf), Factor: u.Written(), InsUnits: u.InsUnits(), Imperial: u.Imperial(),
	}); err != nil {
		return nil, "", fmt.Errorf("paths: %w", err)
	}
	near, err := mend.CheckPaths(context.Background(), after, b.Bytes())
	if err != nil {
		return nil, "", fmt.Errorf("paths: %w", err)
	}
	if near != "" && len(plan.InPart) == 0 { // else the plan tells it itself
		told += "; " + near
	}
	if strings.EqualFold(filepath.Ext(path), ".svg") {
		b.Reset()
		err = report.RoutesSVG(&b, &report.Routes{Title: r.Input, Sheet: after.Sheet, Plan: plan})
	}
	return b.Bytes(), units.Of(r.Before.Inches()).Words(told), err
}
