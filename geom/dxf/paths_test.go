package dxf

import (
	"bytes"
	"strings"
	"testing"

	"sluice/geom"
)

// TestPathsAreKnown: a drawing of paths says what it is, and is none of parts; layers
// of the one kind are refused in the other.
func TestPathsAreKnown(t *testing.T) {
	line := geom.Path{geom.Line(geom.Pt(0, 0), geom.Pt(10, 0))}
	for _, tt := range []struct {
		layer string
		paths bool
		ok    bool
	}{
		{LayerOutside, false, true}, {LayerNote, false, true}, {LayerRunOutside, false, false}, {LayerWay, false, false},
		{LayerRunOutside, true, true}, {LayerWayRaised, true, true}, {LayerNote, true, true}, {LayerOutside, true, false}, {LayerTab, true, false},
	} {
		var b bytes.Buffer
		err := Write(&b, &Output{Paths: tt.paths, Factor: 1, InsUnits: 4, Items: []Item{{Layer: tt.layer, Path: line}}})
		if (err == nil) != tt.ok {
			t.Errorf("%s, paths %v: %v", tt.layer, tt.paths, err)
		}
		if err != nil {
			continue
		}
		d, err := Read(t.Context(), &b, Options{})
		if err != nil || d.Paths != tt.paths || d.Own == tt.paths || len(d.Strokes) != 1 {
			t.Errorf("%s, paths %v: read as own %v, of paths %v, %v", tt.layer, tt.paths, d.Own, d.Paths, err)
		}
	}
	// A layer of that name in another drawing says nothing.
	file := "0\nSECTION\n2\nTABLES\n0\nTABLE\n2\nLAYER\n0\nLAYER\n2\nRUN-OUTSIDE\n70\n0\n62\n7\n6\nCONTINUOUS\n0\nENDTAB\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n" +
		"0\nLINE\n8\nRUN-OUTSIDE\n10\n0\n20\n0\n11\n9\n21\n0\n0\nENDSEC\n0\nEOF\n"
	if d, err := Read(t.Context(), strings.NewReader(file), Options{}); err != nil || d.Paths || d.Own {
		t.Errorf("a foreign layer: %v, own %v, of paths %v", err, d.Own, d.Paths)
	}
}
