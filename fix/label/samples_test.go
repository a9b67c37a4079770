package label

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"sluice/fix/tab"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/dxf"
	"sluice/geom/outline"
)

// samples returns the drawings to try on, none where there are none.
func samples() []string {
	dir := os.Getenv("SLUICE_SAMPLES")
	if dir == "" {
		dir = filepath.Join("..", "..", "..", "shared", "samples")
	}
	files, _ := filepath.Glob(filepath.Join(dir, "*.dxf"))
	return files
}

func read(t *testing.T, file string) *outline.Sheet {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	d, err := dxf.Read(t.Context(), f, dxf.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := d.Resolve("", "", drawing.UnitHints{}, 0.02); err != nil {
		t.Fatal(err)
	}
	all := func(*drawing.Stroke) outline.Role { return outline.Cut }
	s, err := outline.Build(context.Background(), d.Strokes, all, outline.Options{Join: 0.001, Gap: 0.5, Same: 0.01, Search: 10, Kerf: 1})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// On real drawings every number is clear of every cut and of every other
// number, and every gap is as long as it should be and keeps clear of them.
func TestSamples(t *testing.T) {
	files := samples()
	if len(files) == 0 {
		t.Skip("no samples here")
	}
	p := tab.Params{Width: 0.8, Kerf: 1, Support: tab.Support{Pitch: 50, Along: tab.AlongX}}
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			s := read(t, file)
			pl, tabs := NewPlacer(s, 1), tab.NewPlacer(s)
			var boxes [][4]geom.Point
			missing := 0
			for i := range s.Parts {
				l, ok := pl.Place(i, request(fmt.Sprint(i+1)))
				if !ok {
					missing++
					continue
				}
				pl.TakeLabel(l)
				boxes = append(boxes, l.Box)
				if i < 40 {
					checkClear(t, fmt.Sprint("part ", i+1), s, i, l, 1)
				}
			}
			if missing*20 > len(s.Parts) {
				t.Errorf("%d of %d parts without a number", missing, len(s.Parts))
			}
			for i := range s.Parts {
				o := &s.Outlines[s.Parts[i].Outer]
				ts, reason := tabs.Place(i, p, boxes...)
				if len(ts) < 2 && reason == "" {
					t.Errorf("part %d: %d tabs without a reason", i+1, len(ts))
				}
				for _, tb := range ts {
					if gap := tab.Stretch(o.Path, tb.S0, tb.S1).Pieces.Length(); gap < 1.8-1e-8 || gap > 1.8+1e-8 {
						t.Errorf("part %d: gap of %.9f", i+1, gap)
					}
				}
			}
		})
	}
}
