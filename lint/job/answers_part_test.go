package job

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom"
)

func TestParseParts(t *testing.T) {
	const file = `[[part]]
part  = "12"
count = 3
tabs  = "none"
label = ["118mm,40mm"]
name  = "boom side"

[[part]] # by number
part = 7
count = 0

[[part]]
part = "A3"
tabs = ["1in,33mm", "-2,0.5cm"]
corner = "1mm,2mm"
face = "Back"

[[part]]
part = "9"
tabs = 4
label = "1,2"
`
	a, err := ParseAnswers([]byte(file), "k")
	if err != nil {
		t.Fatal(err)
	}
	at := geom.Pt(1, 2)
	want := []PartAnswer{
		{Part: "12", Count: 3, Tabs: TabWish{Set: true}, Label: []geom.Point{geom.Pt(118, 40)}, Name: "boom side", Line: 1},
		{Part: "7", Count: 0, Line: 8},
		{Part: "A3", Count: AsDrawn, Tabs: TabWish{Set: true, Number: 2, At: []geom.Point{geom.Pt(25.4, 33), geom.Pt(-2, 5)}}, Corner: &at, Face: "back", Line: 12},
		{Part: "9", Count: AsDrawn, Tabs: TabWish{Set: true, Number: 4}, Label: []geom.Point{at}, Line: 18},
	}
	if diff := cmp.Diff(want, a.Parts); diff != "" {
		t.Error(diff)
	}
	// What is written reads back as the same.
	back, err := ParseAnswers(a.Text(), "k")
	if err != nil {
		t.Fatal(err)
	}
	noLines := func(ps []PartAnswer) []PartAnswer {
		for i := range ps {
			ps[i].Line = 0
		}
		return ps
	}
	if diff := cmp.Diff(noLines(want), noLines(back.Parts)); diff != "" {
		t.Error(diff)
	}
	if a.OfPart("7") == nil || a.OfPart("8") != nil || a.Empty() {
		t.Error("parts are not found by number")
	}
	a.SetPart(PartAnswer{Part: "7", Count: AsDrawn})
	if a.OfPart("7") != nil {
		t.Error("what decides nothing is kept")
	}
	for _, tt := range []struct{ file, want string }{
		{"[[part]]\ncount = 1\n", "k:1: part: the number is missing"},
		{"\n[[part]]\npart = \"1\"\ncount = -1\n", "k:2: count: -1 is no count"},
		{"[[part]]\npart = \"1\"\ntabs = \"nun\"\n", "k:1: tabs: \"nun\" is not understood"},
		{"[[part]]\npart = \"1\"\ntabs = [\"1,2,3\"]\n", "k:1: tabs: \"1,2,3\" is no place"},
		{"[[part]]\npart = \"1\"\nlabel = [3]\n", "k:1: label: 3 is no place"},
		{"[[part]]\npart = \"1\"\nlabel = [\"a,b\"]\n", "k:1: label: "},
		{"[[part]]\npart = \"1\"\nface = \"bak\"\n", "did you mean \"back\"?"},
		{"[[part]]\npart = \"1\"\ncunt = 1\n", "k:3: part.cunt: unknown key; did you mean \"count\"?"},
		{"[[part]]\npart = \"1\"\n[[part]]\npart = 1\n", "k:3: part 1 is answered on line 1 already"},
		{"[[prt]]\npart = \"1\"\n", "did you mean \"part\"?"},
	} {
		if _, err := ParseAnswers([]byte(tt.file), "k"); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%q gives %v, want %s", tt.file, err, tt.want)
		}
	}
}
