package dxf

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"
	ydxf "github.com/yofu/dxf"
	"github.com/yofu/dxf/color"
	ydrawing "github.com/yofu/dxf/drawing"
	"github.com/yofu/dxf/entity"
	"github.com/yofu/dxf/table"

	"sluice/geom"
)

// yofu/dxf, asked for the same layers and entities, writes the same groups:
// tables, blocks, entities with their handles, and objects. Its header lacks
// what ours says, and it has no extended data.
func TestWriteAsYofu(t *testing.T) {
	corner, mark := geom.Pt(10, 0), geom.Pt(3, 4.5)
	ours := writeBytes(t, &Output{Factor: 1, InsUnits: 4, Items: []Item{
		{Layer: LayerInside, Path: geom.Path{geom.Line(geom.Pt(1, 2.25), geom.Pt(-3, 4))}},
		{Layer: LayerOutside, Path: geom.Path{geom.Circle(geom.Pt(7, 8), 2.5)}},
		{Layer: LayerTab, Path: geom.Path{geom.Bulge(geom.Pt(0, 0), corner, 0.5), geom.Line(corner, geom.Pt(0, 5)), geom.Line(geom.Pt(0, 5), geom.Pt(0, 0))}, Closed: true},
		{Layer: LayerNote, Text: &OutText{At: geom.Pt(7, 8), Height: 6, Value: "left"}},
		{Layer: LayerNote, Text: &OutText{At: geom.Pt(1, 1), Height: 3, Value: "middle", Centered: true}},
		{Layer: LayerEtch, Point: &mark},
	}})
	y := ydxf.NewDrawing()
	tables := y.Sections[ydrawing.TABLES].(table.Tables)
	own := table.NewLineType(OwnMark, markNote)
	tables[table.LTYPE].Add(own)
	tables[table.APPID].Add(table.NewAppID(OwnMark))
	for _, l := range writtenLayers {
		if _, err := y.AddLayer(l.name, color.ColorNumber(l.color), own, false); err != nil {
			t.Fatal(err)
		}
	}
	on := func(layer string) *ydrawing.Drawing {
		if err := y.ChangeLayer(layer); err != nil {
			t.Fatal(err)
		}
		return y
	}
	on(LayerInside).Line(1, 2.25, 0, -3, 4, 0)
	on(LayerOutside).Circle(7, 8, 0, 2.5)
	l, _ := on(LayerTab).LwPolyline(true, []float64{0, 0}, []float64{10, 0}, []float64{0, 5})
	l.Bulges[0] = 0.5
	on(LayerNote).Text("left", 7, 8, 0, 6)
	middle, _ := y.Text("middle", 1, 1, 0, 3)
	middle.Anchor(entity.CENTER_CENTER)
	for _, e := range y.Entities() {
		if e, ok := e.(*entity.Text); ok {
			e.WidthFactor = 1
		}
	}
	on(LayerEtch).Point(3, 4.5, 0)
	y.CurrentStyle.LastHeightUsed = 100 // a package variable, which texts set
	var theirs bytes.Buffer
	if _, err := y.WriteTo(&theirs); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(behindHeader(t, theirs.Bytes()), behindHeader(t, ours)); diff != "" {
		t.Errorf("groups (-yofu/dxf +ours):\n%s", diff)
	}
}

// behindHeader returns the groups of all sections but the header, without
// extended data; numbers as values.
func behindHeader(t *testing.T, file []byte) []string {
	t.Helper()
	_, body, ok := bytes.Cut(file, []byte("CLASSES\n"))
	if !ok {
		t.Fatal("no CLASSES")
	}
	var list []string
	s := newASCIISource(bytes.NewReader(body), nil, 1<<20)
	for g := (group{}); s.next(&g); {
		switch v, _ := g.float(); {
		case g.code >= 1000:
		case kindOf(g.code) == doubleValue:
			list = append(list, fmt.Sprintf("%d %g", g.code, v))
		default:
			list = append(list, fmt.Sprintf("%d %s", g.code, g.val))
		}
	}
	return list
}

// yofu/dxf reads what was written. Its reader keeps each LWPOLYLINE bulge one
// vertex late, so bulges are looked for anywhere.
func TestWriteIsReadByYofu(t *testing.T) {
	file := writeBytes(t, &Output{Items: sample(), Factor: 1, InsUnits: 4})
	d, err := ydxf.FromReader(bytes.NewReader(file))
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]int{}
	for _, e := range d.Entities() {
		switch v := e.(type) {
		case *entity.LwPolyline:
			got["LWPOLYLINE"]++
			if v.Closed {
				got["closed"]++
			}
			got["vertices"] += len(v.Vertices)
		case *entity.Circle:
			got["CIRCLE"]++
			if v.Radius != 3.3 && v.Radius != 1 {
				t.Errorf("circle with radius %g", v.Radius)
			}
		case *entity.Line:
			got["LINE"]++
			if diff := cmp.Diff([]float64{0.33333333, 0.66666667, 0}, v.Start); diff != "" {
				t.Error(diff)
			}
		case *entity.Text:
			got["TEXT"]++
		case *entity.Point:
			got["POINT"]++
		}
	}
	want := map[string]int{"LWPOLYLINE": 3, "closed": 1, "vertices": 5 + 2 + 3, "CIRCLE": 2, "LINE": 1, "TEXT": 2, "POINT": 1}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	for _, name := range []string{"OUTSIDE", "INSIDE", "ETCH", "TAB", "NOTE"} {
		if _, err := d.Layer(name, false); err != nil {
			t.Error(err)
		}
	}
}

// yofu/dxf reads random drawings as they were written: as many entities of each
// type, with vertices that lie as far apart.
func TestWriteIsReadByYofuAtRandom(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 20 {
		items := randomItems(r)
		file := writeBytes(t, &Output{Items: items, Factor: 1, InsUnits: 4})
		y, err := ydxf.FromReader(bytes.NewReader(file))
		if err != nil {
			t.Fatal(err)
		}
		got, want := map[string]int{}, map[string]int{}
		box, lies := geom.NoBox(), geom.NoBox()
		for _, e := range y.Entities() {
			var ends [][]float64
			switch e := e.(type) {
			case *entity.Line:
				got["LINE"]++
				ends = [][]float64{e.Start, e.End}
			case *entity.LwPolyline:
				got["LWPOLYLINE"]++
				ends = e.Vertices
			}
			for _, p := range ends {
				box = box.Add(geom.Pt(p[0], p[1]))
			}
		}
		d := readMM(t, file)
		for _, e := range d.Entities {
			want[e.Type]++
		}
		for _, s := range d.Strokes {
			lies = lies.Add(s.A).Add(s.B)
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("entities (-written +read by yofu/dxf):\n%s", diff)
		}
		if diff := cmp.Diff(lies, box, near); diff != "" {
			t.Errorf("extents (-written +read by yofu/dxf):\n%s", diff)
		}
	}
}
