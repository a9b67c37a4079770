package report

import (
	"errors"
	"io"

	"sluice/geom"
	"sluice/lint"
)

// lintSVG draws the one drawing that was judged, with a dot for each finding
// above a note that has a place of its own.
func lintSVG(w io.Writer, c *Check) error {
	if len(c.Files) != 1 || c.Files[0].Err != nil {
		return errors.New("--format svg draws one drawing that can be read")
	}
	f := &c.Files[0]
	var shown []lint.Finding
	for _, x := range f.Result.Findings {
		if x.Severity > lint.Note && x.Rule != "small-part" {
			shown = append(shown, x)
		}
	}
	return sheetSVG(w, f.Sheet, geom.NoBox(), shown, 1000, f.Path)
}
