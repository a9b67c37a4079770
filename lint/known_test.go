package lint_test

import (
	"bytes"
	"fmt"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom"
	"sluice/geom/geomtest"
	"sluice/lint"
	"sluice/lint/job"
)

// plates draws plates in a row, of as many shapes as there are letters in shapes
// (a letter is a width), and texts on them ("" for none).
func plates(layer, shapes string, texts []string) []byte {
	var d geomtest.Drafter
	for i, c := range shapes {
		x0, w := 100*float64(i), 30+10*float64(c-'a')
		d.Layer = ""
		corner := []geom.Point{geom.Pt(x0, 0), geom.Pt(x0+w, 0), geom.Pt(x0+w, 40), geom.Pt(x0, 40)}
		for k := range corner {
			d.Piece(geom.Line(corner[k], corner[(k+1)%4]), 0)
		}
		if i < len(texts) && texts[i] != "" {
			d.Layer = layer
			d.Text(geom.Pt(x0+5, 10), 4, texts[i])
		}
	}
	return d.Bytes()
}

// TestNamesRead: what is written on the parts of somebody else's drawing is their
// number where it can be nothing else.
func TestNamesRead(t *testing.T) {
	for _, tt := range []struct {
		name, shapes string
		texts        []string
		want         []string
	}{
		{"nothing written", "abac", nil, []string{"1", "2", "1", "3"}},
		{"numbers", "abc", []string{"7", "3", "12"}, []string{"7", "3", "12"}},
		{"words and letters", "abcd", []string{"part 7", "A3", "no. 12", "5b"}, []string{"7", "A3", "12", "5b"}},
		{"copies share one", "aab", []string{"4", "4", "9"}, []string{"4", "4", "9"}},
		{"copies have their own", "aab", []string{"4", "5", "9"}, []string{"4", "5", "9"}},
		{"one is bare: it gets a number of its own", "abcd", []string{"7", "3", "", "2"}, []string{"7", "3", "8", "2"}},
		{"a copy of one is bare", "aabc", []string{"7", "", "3", "2"}, []string{"7", "7", "3", "2"}},
		{"a thickness on every part", "abc", []string{"3", "3", "3"}, []string{"1", "2", "3"}},
		{"numbers on a few", "abcd", []string{"7", "3", "", ""}, []string{"1", "2", "3", "4"}},
		{"words", "abc", []string{"left", "right", "7"}, []string{"1", "2", "3"}},
		{"sizes", "abc", []string{"12.5", "R5", "40 mm"}, []string{"1", "2", "3"}},
	} {
		r := lint.Check(t.Context(), tt.name, bytes.NewReader(plates("TEXTS", tt.shapes, tt.texts)), job.Default(), lint.Options{})
		if r.Err != nil {
			t.Fatal(r.Err)
		}
		if diff := cmp.Diff(tt.want, r.Names); diff != "" {
			t.Errorf("%s (-want +got):\n%s", tt.name, diff)
		}
	}
}

// TestKnownParts: parts keep their name where they have moved a little or lost a
// little, each by the nearest; what is new gets a number that none has had.
func TestKnownParts(t *testing.T) {
	known := []lint.Named{
		{Name: "4", At: geom.Pt(115.2, 20), Area: 1250}, {Name: "9", At: geom.Pt(215.3, 19.8), Area: 1190},
		{Name: "2", At: geom.Pt(315, 20), Area: 3000}, // another shape stood here
		{Name: "7", At: geom.Pt(415, 120), Area: 1200},
	}
	o := lint.Options{Known: known}
	r := lint.Check(t.Context(), "moved", bytes.NewReader(plates("", "bacde", nil)), job.Default(), o)
	if r.Err != nil {
		t.Fatal(r.Err)
	}
	if diff := cmp.Diff([]string{"10", "4", "11", "12", "13"}, r.Names); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	back := lint.KnownParts(r)
	r2 := lint.Check(t.Context(), "again", bytes.NewReader(plates("", "bacde", nil)), job.Default(), lint.Options{Known: back})
	if diff := cmp.Diff(r.Names, r2.Names); diff != "" {
		t.Error(diff)
	}
}

// TestNotes: what notes of numbers say can be read back.
func TestNotes(t *testing.T) {
	for _, tt := range []struct{ note, name, text string }{
		{lint.LabelNote("3", "3"), "3", "3"}, {lint.LabelNote("3", "3 x2"), "3", "3 x2"}, {lint.NameNote("A7"), "A7", ""},
	} {
		name, text, ok := lint.ReadLabelNote(tt.note)
		if !ok || name != tt.name || text != tt.text {
			t.Errorf("%q: %s", tt.note, fmt.Sprint(name, text, ok))
		}
	}
	if _, _, ok := lint.ReadLabelNote("Part list"); ok {
		t.Error("what somebody wrote is taken for a note")
	}
}
