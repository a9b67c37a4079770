package mend

import (
	"bytes"
	"fmt"
	"math"

	"sluice/fix/offcut"
	"sluice/geom"
	"sluice/geom/dxf"
	"sluice/lint"
	"sluice/lint/job"
)

// offcuts finds what is left of the last sheet of each kind.
func offcuts(sheets []laidOn, report *lint.Layout) {
	for i := range sheets {
		if report.Sheets[i].Last = sheets[i].last; sheets[i].last {
			report.Sheets[i].Offcut = sheets[i].offcut(report.Gap)
		}
	}
}

// offcut returns what is kept of a sheet, nil for nothing.
func (l *laidOn) offcut(gap float64) *lint.Offcut {
	p := &l.piece
	s := offcut.Sheet{Width: p.Width, Height: p.Height, Margin: p.Margin, Outline: p.Outline, Holes: p.Holes}
	path := offcut.Of(&s, l.boxes, gap)
	if path == nil {
		return nil
	}
	return &lint.Offcut{Outline: path, Area: path.Area()}
}

// noteHeight is the height, mm, of notes that people read, below the stock.
const noteHeight = 5

// OffcutDrawing draws what is left of a sheet of a layout, its lower left corner at
// 0,0, so that it can be stock again. date is text to note, "" for none.
func OffcutDrawing(s *lint.LaidSheet, name, date string) ([]byte, error) {
	box := s.Offcut.Outline.Box()
	path := s.Offcut.Outline.Transform(geom.Shift(box.Min.Mul(-1)))
	notes := []string{offcutText(&s.Stock), fmt.Sprintf("%s x %s mm", trim(box.W()), trim(box.H()))}
	if name != "" {
		notes = append(notes, "left of "+lint.Clean(name))
	}
	if date != "" {
		notes = append(notes, "cut on "+lint.Clean(date))
	}
	items := []dxf.Item{{Layer: dxf.LayerOutside, Path: path, Closed: true}}
	at := -2.0 * noteHeight
	for _, n := range notes {
		if n != "" {
			items = append(items, dxf.Item{Layer: dxf.LayerNote, Text: &dxf.OutText{At: geom.Pt(0, at), Height: noteHeight, Value: n}})
			at -= 1.6 * noteHeight
		}
	}
	var b bytes.Buffer
	err := dxf.Write(&b, &dxf.Output{Items: items, Factor: 1, InsUnits: 4})
	return b.Bytes(), err
}

// trim writes a length, mm, to a tenth.
func trim(mm float64) string {
	t := job.FormatLength(math.Round(mm*10) / 10)
	return t[:len(t)-len("mm")]
}
