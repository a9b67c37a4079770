package rules_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/rules"
)

// change is a way to draw the same parts differently.
type change struct {
	name   string
	stroke func(rng *rand.Rand, s drawing.Stroke) []drawing.Stroke
	shuf   bool
	place  geom.Transform // where a place of the original comes to lie
	turns  bool           // rules that look at the table or the axes no longer agree
}

func moved(name string, t geom.Transform, turns bool) change {
	return change{name: name, place: t, turns: turns, stroke: func(_ *rand.Rand, s drawing.Stroke) []drawing.Stroke {
		s.Piece = s.Piece.Transform(t)
		return []drawing.Stroke{s}
	}}
}

func changes() []change {
	return []change{
		{name: "shuffled", place: geom.Identity(), shuf: true, stroke: func(_ *rand.Rand, s drawing.Stroke) []drawing.Stroke { return []drawing.Stroke{s} }},
		{name: "reversed", place: geom.Identity(), stroke: func(rng *rand.Rand, s drawing.Stroke) []drawing.Stroke {
			if rng.IntN(2) == 0 {
				s.Piece = s.Piece.Reverse()
			}
			return []drawing.Stroke{s}
		}},
		{name: "split in two", place: geom.Identity(), stroke: func(rng *rand.Rand, s drawing.Stroke) []drawing.Stroke {
			if s.Length() < 3 || s.IsCircle() { // the lines of exploded curves stay
				return []drawing.Stroke{s}
			}
			t := 0.3 + 0.4*rng.Float64()
			a, b := s, s
			a.Piece, b.Piece = s.Piece.Sub(0, t), s.Piece.Sub(t, 1)
			return []drawing.Stroke{a, b}
		}},
		moved("shifted by 1e5 mm", geom.Shift(geom.Pt(1e5, -1e5)), false),
		moved("turned", geom.Turn(geom.Pt(100, 50), 0.7), true),
		moved("turned by a quarter", geom.Turn(geom.Pt(0, 0), math.Pi/2), true),
		moved("mirrored", geom.MirrorX(300), true),
	}
}

// rough gives a finding's rule, place and measure in steps coarse enough for
// rounding: which of two copies is named may differ, what is wrong where may not.
func told(fs []lint.Finding, c change) []string {
	skip := map[string]bool{"unit-doubt": true, "live-text": true, "unread-entity": true, "not-flat": true, "curve-kind": true, "unnumbered-part": true}
	if c.turns {
		skip["small-part"], skip["loose-slug"] = true, true
	}
	var out []string
	var twice float64 // the length drawn twice, in however many pieces
	for _, f := range fs {
		if f.Rule == "duplicate-segment" {
			twice += f.Measure.Value
			continue
		}
		if skip[f.Rule] {
			continue
		}
		m := 0.0
		if f.Measure != nil {
			m = f.Measure.Value
		}
		out = append(out, fmt.Sprintf("%s measure %.2f", f.Rule, m))
	}
	slices.Sort(out)
	return append(out, fmt.Sprintf("~ %.1f mm drawn twice", twice))
}

// TestSameHoweverDrawn judges the demo drawn in other ways: the same parts and
// the same findings must come.
func TestSameHoweverDrawn(t *testing.T) {
	f, err := os.Open("../../fixtures/harbour-crane.dxf")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	o := lint.Options{Rules: rules.All()}
	j := job.Default()
	ctx := context.Background()
	d, err := lint.Load(ctx, f, j, o)
	if err != nil {
		t.Fatal(err)
	}
	base, err := lint.Judge(ctx, "base", d, j, o)
	if err != nil {
		t.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(1, 23))
	for _, c := range changes() {
		t.Run(c.name, func(t *testing.T) {
			e := *d
			e.Strokes, e.Curves = nil, nil
			for _, s := range d.Strokes {
				e.Strokes = append(e.Strokes, c.stroke(rng, s)...)
			}
			if c.shuf {
				rng.Shuffle(len(e.Strokes), func(i, j int) { e.Strokes[i], e.Strokes[j] = e.Strokes[j], e.Strokes[i] })
			}
			got, err := lint.Judge(ctx, c.name, &e, j, o)
			if err != nil {
				t.Fatal(err)
			}
			if a, b := base.Counts(), got.Counts(); a.Parts != b.Parts || a.Holes != b.Holes || a.Outlines != b.Outlines {
				t.Errorf("%+v, want %+v", b, a)
			}
			for _, f := range got.Findings {
				if f.Rule == "thin-web" {
					t.Log(f.At, f.Message)
				}
			}
			compareTold(t, told(base.Findings, c), told(got.Findings, c))
			places(t, base.Findings, got.Findings, c)
		})
	}
}

func compareTold(t *testing.T, want, got []string) {
	t.Helper()
	for len(want) > 0 || len(got) > 0 {
		switch {
		case len(got) == 0 || len(want) > 0 && want[0] < got[0]:
			t.Errorf("missing: %s", want[0])
			want = want[1:]
		case len(want) == 0 || got[0] < want[0]:
			t.Errorf("new: %s", got[0])
			got = got[1:]
		default:
			want, got = want[1:], got[1:]
		}
	}
}

// places checks that every finding lies where the change takes it.
func places(t *testing.T, base, got []lint.Finding, c change) {
	t.Helper()
	for _, f := range base {
		switch f.Rule {
		case "unit-doubt", "live-text", "unread-entity", "not-flat", "curve-kind", "duplicate-segment", "unnumbered-part":
			continue // not of strokes, or either copy may be named
		case "small-part", "loose-slug":
			if c.turns {
				continue
			}
		}
		want := c.place.Apply(f.At)
		ok := false
		for _, g := range got {
			ok = ok || g.Rule == f.Rule && g.At.Dist(want) < 0.05
		}
		if !ok {
			t.Errorf("%s at %v should be at %v", f.Rule, f.At, want)
		}
	}
}
