package dxf_test

import (
	"fmt"
	"math"
	"os"
	"slices"
	"testing"

	"github.com/yofu/dxf"
	"github.com/yofu/dxf/entity"

	"sluice/geom/drawing"
	ourdxf "sluice/geom/dxf"
)

// byYofu counts lines, arcs, circles and polylines as yofu/dxf reads them, and
// adds up the lines; it fails where yofu/dxf does, or panics.
func byYofu(path string) (counts map[string]int, lines float64, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("panic: %v", p)
		}
	}()
	d, err := dxf.Open(path)
	if err != nil {
		return nil, 0, err
	}
	counts = map[string]int{}
	for _, e := range d.Entities() {
		switch e := e.(type) {
		case *entity.Line:
			counts["LINE"]++
			lines += math.Hypot(e.End[0]-e.Start[0], e.End[1]-e.Start[1])
		case *entity.Circle:
			counts["CIRCLE"]++
		case *entity.Arc:
			counts["ARC"]++
		case *entity.LwPolyline:
			counts["LWPOLYLINE"]++
		}
	}
	return counts, lines, nil
}

// TestAgainstYofu compares counts and the length of all lines with yofu/dxf
// where it reads the file; bulges are left out, since its reader keeps each one
// vertex late.
func TestAgainstYofu(t *testing.T) {
	read := 0
	why := explained(t)
	files := comparedFiles(t)
	for name, path := range files {
		want, lines, err := byYofu(path)
		if err != nil || len(want) == 0 {
			continue
		}
		read++
		f, err := os.Open(path)
		if err != nil {
			t.Fatal(err)
		}
		d, err := ourdxf.Read(t.Context(), f, ourdxf.Options{})
		f.Close()
		if err != nil {
			t.Errorf("%s: yofu/dxf reads it, but %v", name, err)
			continue
		}
		got := map[string]int{}
		for i := range d.Entities {
			if typ := d.Entities[i].Type; slices.Contains([]string{"LINE", "CIRCLE", "ARC", "LWPOLYLINE"}, typ) {
				got[typ]++
			}
		}
		if x, y := typeList(got), typeList(want); x != y {
			t.Errorf("%s: %s, yofu/dxf %s", name, x, y)
		}
		l := lineLength(d)
		if same, told := math.Abs(l-lines) <= 1e-6*max(1, lines), why["yofu "+name+" length"] != ""; same == told {
			t.Errorf("%s: lines of %.6f, yofu/dxf %.6f, explained: %v", name, l, lines, told)
		}
	}
	if read < 5 {
		t.Errorf("yofu/dxf reads %d of %d files", read, len(files))
	}
	t.Logf("yofu/dxf reads %d of %d files", read, len(files))
}

// lineLength adds up what the LINE entities of a drawing draw.
func lineLength(d *drawing.Drawing) float64 {
	sum := 0.0
	for i := range d.Strokes {
		if s := &d.Strokes[i]; d.Entities[s.Entity].Type == "LINE" {
			sum += s.Length()
		}
	}
	return sum
}
