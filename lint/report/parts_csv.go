package report

import (
	"encoding/csv"
	"fmt"
	"io"
	"strings"
)

// partsCSV writes the schedule as comma-separated values with a heading line. A
// layer or name that a spreadsheet would take for a formula gets an apostrophe
// before it.
func partsCSV(w io.Writer, s *Parts) error {
	c := csv.NewWriter(w)
	c.Write([]string{"number", "count", "width_mm", "height_mm", "area_mm2", "cut_mm", "pierces", "tabs", "layer", "name", "at", "goes_into", "takes"})
	for i := range s.Rows {
		p := &s.Rows[i]
		var at []string
		for _, q := range p.At {
			q = seen(q)
			at = append(at, figure(q.X, 3)+" "+figure(q.Y, 3))
		}
		c.Write([]string{cell(p.Number), fmt.Sprint(p.Count), csvNumber(p.Width), csvNumber(p.Height), csvNumber(p.Area),
			csvNumber(p.CutLength), fmt.Sprint(p.Pierces), fmt.Sprint(p.Tabs), cell(p.Layer), cell(p.Name), strings.Join(at, "; "),
			cell(names(p.GoesInto)), cell(names(p.Takes))})
	}
	c.Flush()
	return c.Error()
}

func csvNumber(v float64) string { return figure(finite(v), 6) }

func cell(s string) string {
	s = clean(s)
	if s != "" && strings.ContainsRune("=+-@", rune(s[0])) {
		return "'" + s
	}
	return s
}
