package rules

import (
	"context"
	"testing"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/lint"
	"sluice/lint/cutting"
	"sluice/lint/cutting/paths"
	"sluice/lint/job"
)

// sheetOf makes a drawing of circles about the origin of these radii and, where
// side is above 0, a square about them.
func sheetOf(side float64, radii ...float64) *drawing.Drawing {
	d := &drawing.Drawing{Layers: []drawing.Layer{{Name: "0"}}}
	add := func(p geom.Piece) {
		d.Entities = append(d.Entities, drawing.Entity{Type: "LINE", Kept: true})
		d.Strokes = append(d.Strokes, drawing.Stroke{Piece: p, Entity: int32(len(d.Entities) - 1)})
	}
	for _, r := range radii {
		add(geom.Circle(geom.Point{}, r))
	}
	if h := side / 2; h > 0 {
		c := []geom.Point{{X: -h, Y: -h}, {X: h, Y: -h}, {X: h, Y: h}, {X: -h, Y: h}}
		for i := range c {
			add(geom.Line(c[i], c[(i+1)%4]))
		}
	}
	return d
}

func TestNoLeadRoom(t *testing.T) {
	for _, tt := range []struct {
		name string
		d    *drawing.Drawing
		want int
	}{
		{"nested too tightly: the hole and the part in it", sheetOf(60, 12, 10), 2},
		{"nested with room", sheetOf(60, 16, 10), 0},
		{"a lone plate", sheetOf(60), 0},
		{"a small hole is told as that", sheetOf(60, 0.7), 0},
		{"a hole of three kerfs", sheetOf(60, 1.5), 0},
	} {
		t.Run(tt.name, func(t *testing.T) {
			res, err := lint.Judge(context.Background(), "x", tt.d, job.Default(), lint.Options{Rules: []*lint.Rule{noLeadRoom}})
			if err != nil {
				t.Fatal(err)
			}
			if len(res.Findings) != tt.want {
				t.Errorf("%d findings, want %d: %+v", len(res.Findings), tt.want, res.Findings)
			}
			for _, f := range res.Findings {
				if f.Rule != "no-lead-room" || f.Severity != lint.Warning || f.Part == "" {
					t.Errorf("%+v", f)
				}
			}
		})
	}
}

// TestRoomyAgrees checks that what is known cheaply to have room has room, on
// rings from far too close to wide apart.
func TestRoomyAgrees(t *testing.T) {
	j := job.Default()
	params := cutting.PathParams(j, geom.NoBox())
	known := 0
	for gap := 1.0; gap < 9; gap += 0.25 {
		d := sheetOf(0, 10, 10+gap, 10+2*gap, 10+3*gap, 10+4*gap)
		r, err := lint.Judge(context.Background(), "rings", d, j, lint.Options{})
		if err != nil {
			t.Fatal(err)
		}
		quick, f := newRoomy(r.Sheet, params), paths.NewFinder(r.Sheet, params)
		for i := range r.Sheet.Outlines {
			_, ok := f.Room(i)
			if quick.has(i) {
				known++
				if !ok {
					t.Errorf("gap %g, outline %d: room is claimed, none is found", gap, i)
				}
			}
		}
	}
	if known == 0 {
		t.Error("nothing is known cheaply")
	}
}
