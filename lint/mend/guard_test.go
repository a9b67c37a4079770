package mend

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"sluice/fix"
	"sluice/fix/guard"
	"sluice/fix/layout"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/dxf"
	"sluice/geom/geomtest"
	"sluice/lint"
	"sluice/lint/cutting"
	"sluice/lint/cutting/paths"
	"sluice/lint/job"
	"sluice/lint/rules"
)

// TestSabotagedMoves breaks movements of parts.
func TestSabotagedMoves(t *testing.T) {
	shift := geom.Shift(geom.Pt(10, 5))
	for _, tt := range []struct {
		name  string
		want  guard.What
		told  func(moves []layout.Move)
		drawn func(d *drawing.Drawing)
	}{
		{name: "as told", want: 255},
		{name: "a hole left behind", want: guard.Misplaced, drawn: func(d *drawing.Drawing) {
			for i := range d.Strokes {
				if s := &d.Strokes[i]; s.IsCircle() && s.R == 4 {
					s.Piece = s.Transform(geom.Shift(geom.Pt(-10, -5)))
				}
			}
		}},
		{name: "a hole lost", want: guard.Misplaced, drawn: func(d *drawing.Drawing) {
			d.Strokes = slices.DeleteFunc(d.Strokes, func(s drawing.Stroke) bool { return s.IsCircle() && s.R == 4 })
		}},
		{name: "a part mirrored", want: guard.Misplaced, told: func(moves []layout.Move) { moves[1].T = geom.MirrorX(256) }},
		{name: "a part sized", want: guard.Misplaced, told: func(moves []layout.Move) { moves[1].T = geom.Scaling(1.001) }},
		{name: "a part not moved as told", want: guard.Misplaced, told: func(moves []layout.Move) { moves[1].T = geom.Shift(geom.Pt(10, 5.1)) }},
		{name: "a mark left behind", want: guard.Misplaced, drawn: func(d *drawing.Drawing) {
			for i := range d.Strokes {
				if s := &d.Strokes[i]; d.LayerName(s.Layer) == "engrave" {
					s.Piece = s.Transform(geom.Shift(geom.Pt(-10, -5)))
				}
			}
		}},
		{name: "a line invented", want: guard.Invented, drawn: func(d *drawing.Drawing) {
			s := d.Strokes[0]
			s.Piece = geom.Line(geom.Pt(20, 300), geom.Pt(40, 320))
			d.Strokes = append(d.Strokes, s)
		}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			b := newBench(t, sabotagedKit(), job.Default())
			var moves []layout.Move
			for k := range b.res.Sheet.Parts {
				moves = append(moves, layout.Move{Part: k, T: shift})
			}
			edits := layout.Edits(b.res.Drawing, b.res.Sheet, moves, besides, true, func(*layout.Move) fix.Edit { return fix.Edit{} })
			d, err := b.m.rearranged(b.res, fix.Fix{Edits: edits})
			if err != nil {
				t.Fatal(err)
			}
			if tt.drawn != nil {
				tt.drawn(d)
			}
			if tt.told != nil {
				tt.told(moves)
			}
			err = b.m.guardMoved(b.res, d, moves, true)
			if tt.want == 255 {
				if err != nil {
					t.Error(err)
				}
				return
			}
			caught(t, err, tt.want)
		})
	}
}

// TestSabotagedPaths breaks the paths of the stream.
func TestSabotagedPaths(t *testing.T) {
	rep, _, err := Fix(t.Context(), "kit", bytes.NewReader(sabotagedKit()), job.Default(), Options{Options: lint.Options{Rules: rules.All()}})
	if err != nil {
		t.Fatal(err)
	}
	after := rep.After
	const fine = guard.What(255)
	shifted := func(c *paths.Cut, by geom.Point) {
		for _, p := range []*geom.Path{&c.In, &c.Run, &c.Over, &c.Out} {
			*p = p.Transform(geom.Shift(by))
		}
	}
	for _, tt := range []struct {
		name  string
		want  guard.What
		spoil func(pl *paths.Plan)
	}{
		{name: "as planned", want: fine, spoil: func(*paths.Plan) {}},
		{name: "a hole's path 0.05 mm aside", want: guard.Entered, spoil: func(pl *paths.Plan) { shifted(runNear(pl, 58, 60), geom.Pt(0.05, 0)) }},
		{name: "a hole's path 0.005 mm aside", want: fine, spoil: func(pl *paths.Plan) { shifted(runNear(pl, 58, 60), geom.Pt(0.005, 0)) }},
		{name: "a path on the wrong side", want: guard.Entered, spoil: func(pl *paths.Plan) {
			c := runNear(pl, 58, 60)
			c.In, c.Over, c.Out, c.Run = nil, nil, nil, geom.Path{geom.Circle(geom.Pt(50, 60), 12.5).Reverse()}
		}},
		{name: "a path on the line itself", want: guard.Entered, spoil: func(pl *paths.Plan) {
			c := runNear(pl, 58, 60)
			c.In, c.Over, c.Out, c.Run = nil, nil, nil, geom.Path{geom.Circle(geom.Pt(50, 60), 12).Reverse()}
		}},
		{name: "a lead through the part", want: guard.Entered, spoil: func(pl *paths.Plan) {
			c := runNear(pl, 58, 60)
			c.In = geom.Path{geom.Line(geom.Pt(50, 90), c.Run[0].A)}
		}},
		{name: "a path through a tab", want: guard.TabWrong, spoil: func(pl *paths.Plan) {
			pl.Cuts = append(pl.Cuts, paths.Cut{Kind: paths.Outside, Run: geom.Path{geom.Line(geom.Pt(282, 24.5), geom.Pt(299, 24.5))}})
		}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			pl := cutting.Paths(after.Sheet, after.Job, after.Extents)
			tt.spoil(pl)
			var b bytes.Buffer
			if err := dxf.Write(&b, &dxf.Output{Paths: true, Items: pl.Items(after.Job.Jet.Kerf), Factor: after.Drawing.Unit.Factor, InsUnits: after.Drawing.Unit.InsUnits()}); err != nil {
				t.Fatal(err)
			}
			data := b.Bytes()
			told, err := CheckPaths(t.Context(), after, data)
			if tt.want == fine {
				if err != nil || told != "" {
					t.Errorf("%q, %v", told, err)
				}
				return
			}
			caught(t, err, tt.want)
		})
	}
}

// TestPathsBesideCommonEdges: between two holes with a common edge there is nothing
// but waste, and both are run.
func TestPathsBesideCommonEdges(t *testing.T) {
	tri := func(turn float64) string {
		var b strings.Builder
		b.WriteString("  0\nSECTION\n  2\nHEADER\n  9\n$INSUNITS\n 70\n4\n  0\nENDSEC\n  0\nSECTION\n  2\nENTITIES\n")
		lines := geom.Path{}
		for _, c := range [][]geom.Point{
			{geom.Pt(0, 0), geom.Pt(100, 0), geom.Pt(100, 80), geom.Pt(0, 80)},
			{geom.Pt(30, 30), geom.Pt(50, 30), geom.Pt(50, 40), geom.Pt(30, 40)},
		} {
			for i := range c {
				lines = append(lines, geom.Line(c[i], c[(i+1)%4]))
			}
		}
		lines = append(lines, geom.Line(geom.Pt(30, 30), geom.Pt(50, 40)))
		for _, l := range lines.Transform(geom.Turn(geom.Pt(40, 35), turn)) {
			fmt.Fprintf(&b, "  0\nLINE\n  8\n0\n 10\n%.9f\n 20\n%.9f\n 11\n%.9f\n 21\n%.9f\n", l.A.X, l.A.Y, l.B.X, l.B.Y)
		}
		b.WriteString("  0\nENDSEC\n  0\nEOF\n")
		return b.String()
	}
	j := job.Default()
	j.Labels.Parts, j.Tabs.Parts = "none", "none"
	for _, turn := range []float64{0, 0.5, 1.2, 2.9} {
		rep, _, err := Fix(t.Context(), "two.dxf", strings.NewReader(tri(turn)), j, Options{Options: lint.Options{Rules: rules.All()}})
		if err != nil {
			t.Fatal(err)
		}
		if n := len(rep.Left); n > 1 { // the part can tip
			t.Errorf("turned by %g: left %v", turn, rep.Left)
		}
		after := rep.After
		pl := cutting.Paths(after.Sheet, after.Job, after.Extents)
		if len(pl.Cuts) != 3 || len(pl.Left) > 0 {
			t.Errorf("turned by %g: %s", turn, pl.Told())
		}
		var b bytes.Buffer
		if err := dxf.Write(&b, &dxf.Output{Paths: true, Items: pl.Items(after.Job.Jet.Kerf), Factor: 1, InsUnits: after.Drawing.Unit.InsUnits()}); err != nil {
			t.Fatal(err)
		}
		if told, err := CheckPaths(t.Context(), after, b.Bytes()); err != nil || told != "" {
			t.Errorf("turned by %g: %q, %v", turn, told, err)
		}
	}
}

// runNear returns the cut whose run comes nearest to a place.
func runNear(pl *paths.Plan, x, y float64) *paths.Cut {
	best, at := math.Inf(1), 0
	for i := range pl.Cuts {
		if d, _ := pl.Cuts[i].Run.Dist(geom.Pt(x, y)); d < best {
			best, at = d, i
		}
	}
	return &pl.Cuts[at]
}

// TestUntouched repairs drawings with nothing broken: the demo, those of the
// rules, random kits with flaws, and real ones where they are at hand.
func TestUntouched(t *testing.T) {
	kits := map[string][]byte{}
	gather := func(pattern string) {
		names, err := filepath.Glob(pattern)
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range names {
			data, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			kits[name] = data
		}
	}
	gather("../../fixtures/*.dxf")
	gather("../rules/flaws/*/*.dxf")
	if len(kits) < 20 {
		t.Fatalf("only %d drawings", len(kits))
	}
	if dir := os.Getenv("SLUICE_SAMPLES"); dir != "" {
		gather(filepath.Join(dir, "*.dxf"))
	}
	for seed := range 8 {
		rng := rand.New(rand.NewPCG(uint64(seed), 12))
		kits[fmt.Sprintf("random kit %d", seed)] = geomtest.RandomKit(rng).Flaw(rng).DXF
	}
	asked := job.Default()
	for key, value := range map[string]string{"repair.narrow_slot": "widen", "repair.loose_marks": "etch", "repair.small_hole": "etch", "fit.corner": "dogbone"} {
		if err := asked.Set(key, value); err != nil {
			t.Fatal(err)
		}
	}
	for name, data := range kits {
		t.Run(name, func(t *testing.T) {
			for _, tt := range []struct {
				j *job.Job
				o Options
			}{{job.Default(), Options{}}, {asked, Options{}}, {job.Default(), Options{Spread: true}}} {
				tt.o.Options = lint.Options{Rules: rules.All()}
				_, out, err := Fix(t.Context(), name, bytes.NewReader(data), tt.j, tt.o)
				if f := (*guard.Fault)(nil); errors.As(err, &f) {
					t.Error(err)
				} else if err != nil {
					t.Skip(err)
				}
				tt.o.Spread, tt.o.Untab = false, true
				if _, _, err := Fix(t.Context(), name, bytes.NewReader(out), tt.j, tt.o); err != nil {
					t.Errorf("tabs closed: %v", err)
				}
			}
		})
	}
}
