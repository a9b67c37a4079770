package dxf

import (
	"bytes"
	"context"
	"io"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"sluice/geom"
	"sluice/geom/drawing"
)

// back turns a drawing that was written and read again into items, entity by
// entity.
func back(d *drawing.Drawing) []Item {
	items := make([]Item, len(d.Entities))
	for i, e := range d.Entities {
		items[i].Layer = d.LayerName(e.Layer)
	}
	for _, s := range d.Strokes {
		it := &items[s.Entity]
		it.Path = append(it.Path, s.Piece)
	}
	for i := range items {
		if p := items[i].Path; len(p) > 1 {
			items[i].Closed = p[0].A == p[len(p)-1].B
		}
	}
	for _, t := range d.Texts {
		items[t.Entity].Text = &OutText{At: t.At, Height: t.Height, Angle: t.Angle, Value: t.Value, Centered: t.Centered}
	}
	for _, p := range d.Points {
		at := p.At
		items[p.Entity].Point = &at
	}
	return items
}

func writeBytes(t testing.TB, out *Output) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, out); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func readMM(t testing.TB, file []byte) *drawing.Drawing {
	t.Helper()
	d, err := ReadStrict(context.Background(), bytes.NewReader(file), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := d.Resolve("", "", drawing.UnitHints{}, 0.02); err != nil {
		t.Fatal(err)
	}
	return d
}

// square is a closed square with one rounded corner.
func square(at geom.Point, a float64) geom.Path {
	p := []geom.Point{{X: 0, Y: 0}, {X: a, Y: 0}, {X: a, Y: a / 2}, {X: a / 2, Y: a}, {X: 0, Y: a}}
	var path geom.Path
	for i := range p {
		bulge := 0.0
		if i == 2 {
			bulge = math.Sqrt2 - 1
		}
		path = append(path, geom.Bulge(p[i].Add(at), p[(i+1)%len(p)].Add(at), bulge))
	}
	return path
}

func sample() []Item {
	mark := geom.Pt(3, 4)
	return []Item{
		{Layer: LayerOutside, Path: square(geom.Pt(10, 20), 50), Closed: true},
		{Layer: LayerInside, Path: geom.Path{geom.Circle(geom.Pt(20, 30), 3.3)}, Closed: true},
		{Layer: LayerInside, Path: geom.Path{
			geom.Bulge(geom.Pt(40, 30), geom.Pt(42, 30), 1), geom.Bulge(geom.Pt(42, 30), geom.Pt(40, 30), 1)}, Closed: true},
		{Layer: LayerTab, Path: geom.Path{geom.Line(geom.Pt(1.0/3, 2.0/3), geom.Pt(5, 2.0/3))}},
		{Layer: LayerEtch, Path: geom.Path{geom.Arc(geom.Pt(5, 5), 2, 0.3, 1.1)}},
		{Layer: LayerEtch, Path: geom.Path{geom.Arc(geom.Pt(5, 5), 2, 0.3, -6.28)}},
		{Layer: LayerNote, Text: &OutText{At: geom.Pt(7, 8), Height: 6, Angle: math.Pi / 6, Value: `part 3, Ø5 ±0.1 \U+0041 100%% 日本 🙂`}},
		{Layer: LayerNote, Text: &OutText{At: geom.Pt(17, 8), Height: 6, Angle: -1, Value: "part 4", Centered: true}},
		{Layer: LayerNote, Point: &mark},
	}
}

func TestWriteReadsBack(t *testing.T) {
	for _, u := range []struct {
		code     int
		factor   float64
		imperial bool
	}{{4, 1, false}, {1, 25.4, true}, {6, 1000, false}, {5, 10, false}, {2, 304.8, true}} {
		out := &Output{Items: sample(), Factor: u.factor, InsUnits: u.code, Imperial: u.imperial}
		file := writeBytes(t, out)
		d := readMM(t, file)
		if d.Unit.Factor != u.factor || d.Unit.Basis != "header" || d.Unit.Doubt != "" {
			t.Errorf("unit %d: read as %+v", u.code, d.Unit)
		}
		items := back(d)
		want := sample()
		want[2].Path = geom.Path{geom.Circle(geom.Pt(41, 30), 1)} // two arcs that make a circle
		want[2].Closed, want[1].Closed = false, false
		// The almost full circle is cut in two.
		want[5].Path = geom.Path{want[5].Path[0].Sub(0, 0.5), want[5].Path[0].Sub(0.5, 1)}
		near := cmpopts.EquateApprox(0, 2e-7)
		lines := cmp.FilterPath(func(p cmp.Path) bool { return p.Last().String() == ".C" }, cmp.Ignore())
		if diff := cmp.Diff(want, items, near, lines); diff != "" {
			t.Errorf("unit %d (-want +got):\n%s", u.code, diff)
		}
		again := writeBytes(t, &Output{Items: items, Factor: u.factor, InsUnits: u.code, Imperial: u.imperial})
		if !bytes.Equal(file, again) {
			t.Errorf("unit %d: reading and writing again changes the bytes:\n%s", u.code, cmp.Diff(string(file), string(again)))
		}
	}
}

// randomItems returns paths of lines and arcs of any size, some closed.
func randomItems(r *rand.Rand) (items []Item) {
	for range 40 {
		n := 1 + r.IntN(6)
		p := make([]geom.Point, n+1)
		size := math.Pow(10, -4+8*r.Float64())
		for i := range p {
			p[i] = geom.Pt(1000*r.NormFloat64()+size*r.Float64(), 1000*r.NormFloat64()+size*r.Float64())
			if i > 0 && r.IntN(8) == 0 {
				p[i] = p[i-1].Add(geom.Pt(1e-9*r.NormFloat64(), 0)) // vanishes when rounded
			}
		}
		closed := r.IntN(2) == 0 && n > 1
		if closed {
			p[n] = p[0]
		}
		var path geom.Path
		for i := range n {
			bulge := 0.0
			switch r.IntN(4) {
			case 0:
				bulge = math.Tan((r.Float64()*2 - 1) * 1.55)
			case 1:
				bulge = math.Pow(10, -16+16*r.Float64())
			}
			path = append(path, geom.Bulge(p[i], p[i+1], bulge))
		}
		items = append(items, Item{Layer: LayerOutside, Path: path, Closed: closed})
	}
	return items
}

// Property: random paths keep their bytes through read and write, in any unit.
func TestWriteIsStable(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 30 {
		factor := []float64{1, 25.4, 10, 1000, 304.8, 0.001}[r.IntN(6)]
		code := map[float64]int{1: 4, 25.4: 1, 10: 5, 1000: 6, 304.8: 2, 0.001: 13}[factor]
		items := randomItems(r)
		out := &Output{Items: items, Factor: factor, InsUnits: code}
		first := writeBytes(t, out)
		d, err := Read(context.Background(), bytes.NewReader(first), Options{})
		if err != nil {
			t.Fatal(err)
		}
		if err := d.Resolve("", "", drawing.UnitHints{}, 0.02); err != nil {
			t.Fatal(err)
		}
		got := back(d)
		for i := range got {
			got[i].Closed = len(got[i].Path) > 1 && items[i].Closed
		}
		second := writeBytes(t, &Output{Items: got, Factor: factor, InsUnits: code})
		if !bytes.Equal(first, second) {
			t.Fatalf("factor %g: %s", factor, cmp.Diff(strings.Split(string(first), "\n"), strings.Split(string(second), "\n")))
		}
	}
}

func TestWriteAtOnce(t *testing.T) {
	out := &Output{Items: sample(), Factor: 1, InsUnits: 4}
	want := writeBytes(t, out)
	var wg sync.WaitGroup
	for range 4 {
		wg.Go(func() {
			var b bytes.Buffer
			if err := Write(&b, out); err != nil || !bytes.Equal(b.Bytes(), want) {
				t.Errorf("not the same bytes, err %v", err)
			}
		})
	}
	wg.Wait()
}

func TestWriteRefuses(t *testing.T) {
	nan := math.NaN()
	bad := geom.Pt(nan, 0)
	for name, out := range map[string]*Output{
		"layer":        {Factor: 1, Items: []Item{{Layer: "OTHER", Path: square(geom.Point{}, 1)}}},
		"factor":       {Factor: 0},
		"nan":          {Factor: 1, Items: []Item{{Layer: LayerEtch, Path: geom.Path{geom.Line(bad, bad)}}}},
		"nan point":    {Factor: 1, Items: []Item{{Layer: LayerEtch, Point: &bad}}},
		"nan text":     {Factor: 1, Items: []Item{{Layer: LayerEtch, Text: &OutText{At: bad, Value: "x"}}}},
		"inner circle": {Factor: 1, Items: []Item{{Layer: LayerEtch, Path: geom.Path{geom.Circle(geom.Point{}, 1), geom.Line(geom.Pt(1, 0), geom.Pt(2, 0))}}}},
	} {
		if err := Write(&bytes.Buffer{}, out); err == nil {
			t.Errorf("%s: written", name)
		}
	}
}

// manyItems returns n items to write: polylines with an arc, and circles.
func manyItems(n int) *Output {
	out := &Output{Factor: 1, InsUnits: 4}
	for i := range n {
		at := geom.Pt(float64(i%300)*11.1, float64(i/300)*11.1)
		p := square(at, 10)
		if i%3 == 0 {
			p = geom.Path{geom.Circle(at, 4)}
		}
		out.Items = append(out.Items, Item{Layer: LayerOutside, Path: p, Closed: true})
	}
	return out
}

func BenchmarkWrite(b *testing.B) {
	for _, n := range []int{10_000, 100_000} {
		b.Run(strconv.Itoa(n), func(b *testing.B) {
			out := manyItems(n)
			b.ReportAllocs()
			for b.Loop() {
				if err := Write(io.Discard, out); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkWriteFolder writes drawings of 1000 entities on all cores.
func BenchmarkWriteFolder(b *testing.B) {
	out := manyItems(1000)
	b.RunParallel(func(pb *testing.PB) {
		for pb.Next() {
			if err := Write(io.Discard, out); err != nil {
				b.Error(err)
			}
		}
	})
}

// TestWriteJump checks that pieces that do not meet are refused, not joined by a
// chord.
func TestWriteJump(t *testing.T) {
	a, b, c := geom.Pt(0, 0), geom.Pt(10, 0), geom.Pt(10, 10)
	off := func(d float64) geom.Point { return geom.Pt(10+d, 0) }
	for _, tt := range []struct {
		name   string
		path   geom.Path
		closed bool
		want   string
	}{
		{"meets", geom.Path{geom.Line(a, b), geom.Line(b, c)}, false, ""},
		{"meets but for rounding", geom.Path{geom.Line(a, b), geom.Line(off(5e-7), c)}, false, ""},
		{"jumps", geom.Path{geom.Line(a, b), geom.Line(off(3), c)}, false, "jumps by 3 mm, from 10.00, 0.00 to 13.00, 0.00"},
		{"jumps a little", geom.Path{geom.Line(a, b), geom.Line(off(2e-6), c)}, false, "jumps by 2e-06 mm"},
		{"closes", geom.Path{geom.Line(a, b), geom.Line(b, c), geom.Line(c, a)}, true, ""},
		{"does not close", geom.Path{geom.Line(a, b), geom.Line(b, c)}, true, "jumps by 14.14 mm, from 10.00, 10.00 to 0.00, 0.00"},
	} {
		var w bytes.Buffer
		err := Write(&w, &Output{Items: []Item{{Layer: LayerOutside, Path: tt.path, Closed: tt.closed}}, Factor: 1})
		if tt.want == "" && err != nil || tt.want != "" && (err == nil || !strings.Contains(err.Error(), tt.want)) {
			t.Errorf("%s: %v", tt.name, err)
		}
	}
}
