package guard

import (
	"bytes"
	"fmt"
	"testing"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/dxf"
	"sluice/geom/geomtest"
)

// BenchmarkWritten compares sheets of plates of 40 entities each with themselves
// as written, and awkward drawings.
func BenchmarkWritten(b *testing.B) {
	for _, parts := range []int{250, 2500} {
		var sheet bytes.Buffer
		if err := geomtest.WriteSheet(&sheet, parts); err != nil {
			b.Fatal(err)
		}
		d, err := readDrawing(b.Context(), sheet.Bytes())
		if err != nil {
			b.Fatal(err)
		}
		b.Run(fmt.Sprintf("%d entities", parts*geomtest.EntitiesPerPart), func(b *testing.B) {
			benchWritten(b, Strokes(d, func(*drawing.Stroke) Role { return Cut }))
		})
	}
	for _, a := range geomtest.Awkwards(20000) {
		b.Run(a.Name, func(b *testing.B) {
			strokes := make([]Stroke, len(a.Pieces))
			for i, p := range a.Pieces {
				strokes[i].Piece = p
			}
			benchWritten(b, strokes)
		})
	}
}

func benchWritten(b *testing.B, strokes []Stroke) {
	var items []dxf.Item
	for i, s := range strokes {
		// Some cut in two, so that they have no partner with the same ends.
		if i%8 == 0 {
			items = append(items, dxf.Item{Layer: dxf.LayerOutside, Path: geom.Path{s.Sub(0, 0.3), s.Sub(0.3, 1)}})
			continue
		}
		items = append(items, dxf.Item{Layer: dxf.LayerOutside, Path: geom.Path{s.Piece}})
	}
	var data bytes.Buffer
	if err := dxf.Write(&data, &dxf.Output{Items: items, Factor: 1, InsUnits: 4}); err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if err := New(strokes, Limits{Kerf: 1, DrawnGap: 1.8}).Written(b.Context(), data.Bytes()); err != nil {
			b.Fatal(err)
		}
	}
}
