package dxf

import (
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom"
	"sluice/geom/drawing"
)

// examples are an entity of each type that draws something, flat and without a
// group that it could do without.
var examples = map[string]string{
	"LINE": "10 1 20 2 11 3 21 4", "3DLINE": "10 1 20 2 11 3 21 4", "POINT": "10 1 20 2",
	"ARC": "10 1 20 2 40 3 50 10 51 350", "CIRCLE": "10 1 20 2 40 3", "ELLIPSE": "10 1 20 2 11 3 21 0 40 0.5 41 0 42 6.283185307179586",
	"SPLINE":     "70 8 71 3 72 8 73 4 40 0 40 0 40 0 40 0 40 1 40 1 40 1 40 1 10 1 20 2 10 2 20 3 10 4 20 3 10 5 20 2",
	"LWPOLYLINE": "90 3 70 1 10 1 20 2 42 0.5 10 4 20 2 42 0.1 10 4 20 5 42 0.2",
	"POLYLINE":   "66 1 70 1 0 VERTEX 8 A 10 1 20 2 0 VERTEX 8 A 10 4 20 2 0 VERTEX 8 A 10 4 20 5 0 SEQEND 8 A",
	"MLINE":      "71 1 72 2 73 1 10 1 20 2 11 1 21 2 12 1 22 0 13 0 23 1 74 2 41 0.5 41 0 11 5 21 2 12 1 22 0 13 0 23 1 74 2 41 0.5 41 0",
	"SOLID":      "10 1 20 2 11 3 21 2 12 1 22 4 13 3 23 4", "TRACE": "10 1 20 2 11 3 21 2 12 1 22 4 13 3 23 4",
	"3DFACE": "10 1 20 2 11 3 21 2 12 3 22 4 13 1 23 4", "HATCH": "91 1 92 2 72 0 73 1 93 3 10 1 20 2 10 4 20 2 10 4 20 5",
	"TEXT": "10 1 20 2 40 3 1 word", "MTEXT": "10 1 20 2 40 3 1 word", "ATTRIB": "10 1 20 2 40 3 1 word",
	"INSERT": "2 B 10 1 20 2",
}

// typed returns a file with one entity on layer A, whose flags are given (70),
// and a block B to refer to.
func typed(name, body string, flags int) string {
	return file("0 LAYER 2 A 70 "+strconv.Itoa(flags), "0 BLOCK 2 B 10 0 20 0 0 LINE 8 A 10 1 20 1 11 2 21 2 0 ENDBLK", "0 "+name+" 8 A "+body)
}

func readTyped(t *testing.T, f string) *drawing.Drawing {
	t.Helper()
	d, err := Read(t.Context(), strings.NewReader(f), Options{HatchOutlines: true})
	if err != nil {
		t.Fatal(err)
	}
	checkDrawing(t, d)
	return d
}

// covered is the box of all that a drawing draws.
func covered(d *drawing.Drawing) geom.Box {
	b := d.Extents()
	for i := range d.Texts {
		b = b.Add(d.Texts[i].Insert)
	}
	for i := range d.Points {
		b = b.Add(d.Points[i].At)
	}
	return b
}

// What the table says of a type is what reading makes of it.
func TestEntityTypes(t *testing.T) {
	for name, typ := range entityTypes {
		if typ.leftOut() {
			d := readTyped(t, typed(name, "10 1 20 2", 0))
			if got := noticeTexts(d); typ.why == "" || !slices.Equal(got, []string{"unread: " + name + typ.why}) {
				t.Errorf("%s: told %q", name, got)
			}
			continue
		}
		if typ.part && typ.draw == nil {
			continue
		}
		body, ok := examples[name]
		if !ok {
			t.Errorf("%s: no example", name)
			continue
		}
		whole := readTyped(t, typed(name, body, 0))
		if !whole.Entities[0].Kept || len(whole.Notices)+len(whole.Problems) > 0 {
			t.Errorf("%s: drawn %v, told %q %q", name, whole.Entities[0].Kept, noticeTexts(whole), problemCodes(whole))
		}
		t.Run(name+"/needs", func(t *testing.T) { typeNeeds(t, name, typ, body) })
		t.Run(name+"/coords", func(t *testing.T) { typeCoords(t, name, typ, body, covered(whole)) })
		t.Run(name+"/hidden", func(t *testing.T) { typeHidden(t, name, body, covered(whole)) })
		t.Run(name+"/cut short", func(t *testing.T) { typeCut(t, name, body) })
	}
}

// typeNeeds takes each group in turn that the type needs.
func typeNeeds(t *testing.T, name string, typ *entityType, body string) {
	f := strings.Fields(body)
	for _, code := range typ.needs {
		i := 2 * slices.Index(evens(f), strconv.Itoa(int(code)))
		if i < 0 {
			t.Fatalf("the example has no group %d", code)
		}
		d := readTyped(t, typed(name, strings.Join(slices.Concat(f[:i], f[i+2:]), " "), 0))
		if got := problemCodes(d); len(got) == 0 || !strings.HasPrefix(got[0], "missing-group:") {
			t.Errorf("without group %d: %q", code, got)
		}
	}
}

// evens returns the codes of tags.
func evens(f []string) (codes []string) {
	for i := 0; i < len(f); i += 2 {
		codes = append(codes, f[i])
	}
	return codes
}

// typeCoords looks at the entity from below: in object coordinates it is
// mirrored, in those of the world it stays.
func typeCoords(t *testing.T, name string, typ *entityType, body string, want geom.Box) {
	below := "210 0 220 0 230 -1 " + body
	if typ.coords == objectCoords {
		want.Min.X, want.Max.X = -want.Max.X, -want.Min.X
	}
	got := covered(readTyped(t, typed(name, below, 0)))
	if diff := cmp.Diff(want, got, near); diff != "" {
		t.Errorf("seen from below (-want +got):\n%s", diff)
	}
	typeHidden(t, name, below, got)
}

// typeHidden freezes the entity's layer: it is told of where it lies.
func typeHidden(t *testing.T, name, body string, lies geom.Box) {
	d := readTyped(t, typed(name, body, 1))
	if len(d.Notices) != 1 || d.Notices[0].Kind != drawing.Hidden || d.Entities[0].Kept {
		t.Fatalf("told %q", noticeTexts(d))
	}
	lies = lies.Inflate(1.5) // points of a curve may lie beside it, a block's base beside what it holds
	if n := d.Notices[0]; !lies.Contains(n.At) || !n.Box.Empty() && !(lies.Contains(n.Box.Min) && lies.Contains(n.Box.Max)) {
		t.Errorf("told at %v, box %v, lies in %v", n.At, n.Box, lies)
	}
}

// typeCut ends the file behind each group in turn: what is left of the entity is
// drawn as the whole of it, or told as lost.
func typeCut(t *testing.T, name, body string) {
	lines := func(body string) string {
		f := file("0 LAYER 2 A 70 0", "0 BLOCK 2 B 10 0 20 0 0 LINE 8 A 10 1 20 1 11 2 21 2 0 ENDBLK", "0 LINE 8 A 10 7 20 7 11 8 21 8 0 "+name+" 8 A "+body)
		return strings.TrimSuffix(f, "0\nENDSEC\n0\nEOF\n")
	}
	whole := readTyped(t, lines(body)+"0\nENDSEC\n0\nEOF\n")
	f := strings.Fields(body)
	for n := 2; n <= len(f); n += 2 {
		d := readTyped(t, lines(strings.Join(f[:n], " ")))
		switch {
		case len(d.Entities) == 2:
			if diff := cmp.Diff([]any{whole.Strokes, whole.Curves, whole.Points}, []any{d.Strokes, d.Curves, d.Points}); diff != "" {
				t.Errorf("cut behind %q (-whole +cut):\n%s", strings.Join(f[:n], " "), diff)
			}
		case len(d.Problems) != 1 || d.Problems[0].Code != "cut-short" || !d.Problems[0].Lost:
			t.Errorf("cut behind %q: %q", strings.Join(f[:n], " "), problemCodes(d))
		}
	}
}

// Ranges of codes rise and do not overlap, so that every code has one kind.
func TestCodeRanges(t *testing.T) {
	last := minCode - 1
	for _, r := range codeRanges {
		if r.first <= last || r.last < r.first || r.last > maxCode || r.kind == noValue {
			t.Errorf("range %d to %d after %d", r.first, r.last, last)
		}
		last = r.last
		if kindOf(r.first) != r.kind || kindOf(r.last) != r.kind {
			t.Errorf("range %d to %d: kind %d and %d", r.first, r.last, kindOf(r.first), kindOf(r.last))
		}
	}
	for _, code := range []int{minCode - 1, maxCode + 1, 80, 106, 150, 240, 482, 998} {
		if k := kindOf(code); k != noValue {
			t.Errorf("code %d: kind %d", code, k)
		}
	}
}
