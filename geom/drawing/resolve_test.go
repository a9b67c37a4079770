package drawing

import (
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"sluice/geom"
	"sluice/geom/curve"
)

// plate is a rectangle of that size at the origin, in drawing units.
func plate(insUnits, measurement int, w, h float64) *Drawing {
	d := &Drawing{InsUnits: insUnits, Measurement: measurement, Layers: []Layer{{Name: "0"}}, Entities: []Entity{{Type: "LWPOLYLINE", Kept: true, Place: 1}}}
	p := []geom.Point{{}, {X: w}, {X: w, Y: h}, {Y: h}}
	for i := range p {
		d.Strokes = append(d.Strokes, Stroke{Piece: geom.Line(p[i], p[(i+1)%4])})
	}
	return d
}

// slots adds n slots, each w wide and l long.
func slots(d *Drawing, n int, w, l float64) *Drawing {
	for i := range n {
		y := 2 * w * float64(i+1)
		p := []geom.Point{{X: w, Y: y}, {X: w + l, Y: y}, {X: w + l, Y: y + w}, {X: w, Y: y + w}}
		for i := range p {
			d.Strokes = append(d.Strokes, Stroke{Piece: geom.Line(p[i], p[(i+1)%4])})
		}
	}
	return d
}

var hints = UnitHints{
	Sheets:      []geom.Point{{X: 1000, Y: 2000}},
	Thicknesses: []float64{1, 1.5, 2, 3, 3.175, 4, 5, 6, 6.35, 8, 10, 12},
}

func TestUnit(t *testing.T) {
	texts := func(d *Drawing, s string) *Drawing {
		d.Texts = append(d.Texts, Text{Value: s})
		return d
	}
	for _, c := range []struct {
		name         string
		d            *Drawing
		forced       string
		unit, basis  string
		doubt, after string // parts of the doubt; "-" for none
	}{
		{"stated mm", plate(4, -1, 300, 200), "", "mm", "header", "-", ""},
		{"stated mm and metric", plate(4, 1, 300, 200), "auto", "mm", "header", "-", ""},
		{"stated inch and imperial", plate(1, 0, 12, 8), "", "in", "header", "-", ""},
		{"stated cm", plate(5, -1, 30, 20), "", "cm", "header", "-", ""},
		{"stated mil", plate(9, 0, 12000, 8000), "", "mil", "header", "-", ""},
		{"stated micron", plate(13, 1, 300e3, 200e3), "", "um", "header", "-", ""},
		{"headers contradict", plate(4, 0, 304.8, 210.8), "", "mm", "header", "$MEASUREMENT says imperial", "304.8 x 210.8 mm or 304.8 x 210.8 in? Read as mm"},
		{"headers contradict the other way", plate(1, 1, 12, 8.3), "", "in", "header", "$MEASUREMENT says metric", "12.0 x 8.3 in or 12.0 x 8.3 mm? Read as in, 304.8 x 210.8 mm"},
		{"stated inch, drawn in mm", plate(1, 0, 876, 500), "", "in", "header", "larger than any sheet", "876.0 x 500.0 in or 876.0 x 500.0 mm?"},
		{"stated km", plate(7, 1, 3, 2), "", "km", "header", "larger than any sheet", ""},
		{"stated mm, drawn in metres", plate(4, 1, 0.3, 0.2), "", "mm", "header", "smaller than a jet can cut", ""},
		{"stated mm, slots of inches", slots(plate(4, -1, 40, 30), 10, 0.125, 1), "", "mm", "header", "no common sheet is thick", ""},
		{"none stated, inch size", plate(-1, -1, 12, 8.3), "", "in", "guess", "no unit is stated", "12.0 x 8.3 in or 12.0 x 8.3 mm? Read as in, 304.8 x 210.8 mm"},
		{"none stated, mm size", plate(0, -1, 304.8, 210.8), "", "mm", "guess", "no unit is stated", "304.8 x 210.8 mm or 304.8 x 210.8 in?"},
		{"none stated, imperial, could be both", plate(0, 0, 48, 24), "", "in", "guess", "Read as in", ""},
		{"none stated, metric", plate(0, 1, 48, 24), "", "mm", "guess", "Read as mm", ""},
		{"none stated, slots of 1/8 in", slots(plate(-1, -1, 24, 18), 10, 0.125, 1), "", "in", "guess", "Read as in", ""},
		{"none stated, slots of 3 mm", slots(plate(-1, -1, 60, 50), 10, 3, 20), "", "mm", "guess", "Read as mm", ""},
		{"none stated, words", texts(plate(-1, -1, 30, 20), "ALL DIMENSIONS ARE IN INCHES"), "", "in", "guess", "Read as in", ""},
		{"none stated, metres by size", plate(-1, 1, 0.6, 0.4), "", "m", "guess", "Read as m, 600.0 x 400.0 mm", ""},
		{"unknown code", plate(99, -1, 300, 200), "", "mm", "guess", "$INSUNITS is 99", ""},
		{"nothing drawn", &Drawing{InsUnits: -1, Measurement: -1}, "", "mm", "guess", "-", ""},
		{"forced", plate(4, 0, 12, 8), "in", "in", "flag", "-", ""},
		{"forced in any case", plate(-1, -1, 300, 200), " MM ", "mm", "flag", "-", ""},
		{"forced against all sense", plate(4, 1, 876, 500), "in", "in", "flag", "larger than any sheet", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			before := c.d.Extents()
			if err := c.d.Resolve(c.forced, "flag", hints, 0.02); err != nil {
				t.Fatal(err)
			}
			u := c.d.Unit
			if u.Name != c.unit || u.Basis != c.basis {
				t.Errorf("read as %+v", u)
			}
			if c.doubt == "-" && u.Doubt != "" || c.doubt != "-" && !(strings.Contains(u.Doubt, c.doubt) && strings.Contains(u.Doubt, c.after)) {
				t.Errorf("doubt %q, want %q and %q", u.Doubt, c.doubt, c.after)
			}
			if !before.Empty() && abs(c.d.Extents().W()-before.W()*u.Factor) > 1e-9*before.W()*u.Factor {
				t.Errorf("scaled to %v", c.d.Extents())
			}
		})
	}
}

func abs(v float64) float64 { return math.Abs(v) }

// The factors of the DXF reference's table, by another way.
func TestUnitFactors(t *testing.T) {
	for code, want := range map[int]float64{1: 25.4, 2: 12 * 25.4, 3: 5280 * 12 * 25.4, 8: 25.4e-6, 9: 25.4e-3, 10: 36 * 25.4,
		11: 1e-7, 12: 1e-6, 13: 1e-3, 14: 100, 21: 304.8006096012192, 22: 25.400050800101603, 23: 914.4018288036576, 24: 1609347.2186944373} {
		r, ok := unitByCode(code)
		if !ok || abs(r.factor-want) > 1e-12*want {
			t.Errorf("%d: %v, want %v", code, r.factor, want)
		}
		if got := (Unit{Name: r.name}).InsUnits(); got != code {
			t.Errorf("%s: code %d, want %d", r.name, got, code)
		}
	}
}

func TestResolveRefuses(t *testing.T) {
	if err := plate(4, -1, 1, 1).Resolve("parsec", "flag", hints, 0.02); err == nil {
		t.Error("parsec taken")
	}
	if err := plate(4, -1, 1, 1).Resolve("", "", hints, 0); err == nil {
		t.Error("tolerance 0 taken")
	}
}

// Curves become strokes of their entities, in the order of entities, and those
// that cannot are told.
func TestResolveFitsCurves(t *testing.T) {
	d := plate(1, -1, 12, 8)
	d.Entities = append(d.Entities, Entity{Type: "ELLIPSE", Kept: true, Place: 2, Line: 50}, Entity{Type: "LINE", Kept: true, Place: 3}, Entity{Type: "SPLINE", Kept: true, Place: 4, Line: 90}, Entity{Type: "POLYLINE", Kept: true})
	d.Curves = []Curve{
		{Entity: 3, Kind: "SPLINE", Spline: &curve.Spline{Degree: 3, Ctrl: []geom.Point{{}}}},
		{Entity: 1, Layer: 0, Color: 5, Kind: "ELLIPSE", Ellipse: &curve.Ellipse{Center: geom.Pt(5, 4), Major: geom.Pt(2, 0), Ratio: 0.5, End: 2 * math.Pi}},
		{Entity: 4, Kind: "POLYLINE", First: 4, Count: 1},
	}
	d.Strokes = append(d.Strokes, Stroke{Piece: geom.Line(geom.Pt(9, 0), geom.Pt(9, 1)), Entity: 4}, Stroke{Piece: geom.Line(geom.Pt(0, 0), geom.Pt(1, 1)), Entity: 2})
	if err := d.Resolve("", "", UnitHints{}, 0.02); err != nil {
		t.Fatal(err)
	}
	var order []int32
	for i := range d.Strokes {
		order = append(order, d.Strokes[i].Entity)
		if (d.Strokes[i].Made == Fitted) != (d.Strokes[i].Entity == 1) {
			t.Errorf("stroke %d of entity %d: made %d", i, d.Strokes[i].Entity, d.Strokes[i].Made)
		}
	}
	n := len(d.Strokes) - 6
	want := append([]int32{0, 0, 0, 0}, make([]int32, n)...)
	for i := range n {
		want[4+i] = 1
	}
	if diff := cmp.Diff(append(want, 2, 4), order); diff != "" {
		t.Error(diff)
	}
	if len(d.Curves) != 2 || d.Entities[3].Kept || !d.Entities[1].Kept || len(d.Problems) != 1 || d.Problems[0].Line != 90 || !d.Problems[0].Lost {
		t.Errorf("curves %+v, problems %+v", d.Curves, d.Problems)
	}
	e, p := d.Curves[0], d.Curves[1]
	if int(e.First) != 4 || int(e.Count) != n || !(e.Deviation > 0 && e.Deviation <= 0.02) {
		t.Errorf("ellipse: %+v", e)
	}
	if int(p.First) != 4+n+1 || p.Count != 1 || d.Strokes[p.First].A != geom.Pt(9*25.4, 0) {
		t.Errorf("polyline: %+v", p)
	}
	// Half axes 2 and 1 inch about (5, 4) inch.
	box := geom.NoBox()
	for i := 4; i < 4+n; i++ {
		box = box.Union(d.Strokes[i].Box())
	}
	wantBox := geom.Box{Min: geom.Pt(3, 3).Mul(25.4), Max: geom.Pt(7, 5).Mul(25.4)}
	if diff := cmp.Diff(wantBox, box, cmpopts.EquateApprox(0, 0.021)); diff != "" {
		t.Error(diff)
	}
}

func TestScale(t *testing.T) {
	d := &Drawing{
		Strokes: []Stroke{{Piece: geom.Arc(geom.Pt(1, 2), 3, 0, 1)}},
		Curves: []Curve{{Deviation: 1, Spline: &curve.Spline{Ctrl: []geom.Point{{X: 1, Y: 2}}, Fit: []geom.Point{{X: 3, Y: 4}}, StartTan: geom.Pt(1, 1), Knots: []float64{7}}},
			{Ellipse: &curve.Ellipse{Center: geom.Pt(1, 2), Major: geom.Pt(3, 4), Ratio: 0.5, End: 1}}},
		Texts:   []Text{{At: geom.Pt(1, 2), Height: 3, Angle: 4}},
		Points:  []Mark{{At: geom.Pt(1, 2)}},
		Notices: []Notice{{At: geom.Pt(1, 2), Box: geom.NoBox()}, {Box: geom.BoxOf(geom.Pt(1, 2), geom.Pt(3, 4))}},
	}
	d.Scale(2)
	want := &Drawing{
		Strokes: []Stroke{{Piece: geom.Arc(geom.Pt(2, 4), 6, 0, 1)}},
		Curves: []Curve{{Deviation: 2, Spline: &curve.Spline{Ctrl: []geom.Point{{X: 2, Y: 4}}, Fit: []geom.Point{{X: 6, Y: 8}}, StartTan: geom.Pt(2, 2), Knots: []float64{7}}},
			{Ellipse: &curve.Ellipse{Center: geom.Pt(2, 4), Major: geom.Pt(6, 8), Ratio: 0.5, End: 1}}},
		Texts:   []Text{{At: geom.Pt(2, 4), Height: 6, Angle: 4}},
		Points:  []Mark{{At: geom.Pt(2, 4)}},
		Notices: []Notice{{At: geom.Pt(2, 4), Box: geom.NoBox()}, {Box: geom.BoxOf(geom.Pt(2, 4), geom.Pt(6, 8))}},
	}
	if diff := cmp.Diff(want, d, cmpopts.EquateApprox(0, 1e-12)); diff != "" {
		t.Error(diff)
	}
}

func TestEntityID(t *testing.T) {
	for want, e := range map[string]Entity{"2F": {Handle: 0x2f, Place: 3}, "#3": {Place: 3}} {
		if got := e.ID(); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
