package job

import (
	"bytes"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

const threeSheets = `
[[sheet]]
name = "thick"
thickness = "5mm"
size = ["600mm", "300mm"]
parts = ["1-6", 12, "B7"]
count = 1
price = 90

[[sheet]]
material = "aluminium 5052"
thickness = "3mm"
size = ["1220mm", "610mm"]
margin = "8mm"
price = 60

[[sheet]]
parts = ["20", "30-32"]
`

// Of several sheets the one without parts is that of the job; what others leave out
// is as there, but for the price.
func TestSheets(t *testing.T) {
	j, err := Parse([]byte(threeSheets), "s.toml", nil)
	if err != nil {
		t.Fatal(err)
	}
	want := []SheetKind{
		{Name: "thick", Material: "aluminium 5052", Thickness: 5, Size: []float64{600, 300}, Margin: 8, Count: 1, Price: 90, Parts: []string{"1-6", "12", "B7"}, Line: 2},
		{Material: "aluminium 5052", Thickness: 3, Size: []float64{1220, 610}, Origin: "zero", Margin: 8, Price: 60, Line: 10},
		{Material: "aluminium 5052", Thickness: 3, Size: []float64{1220, 610}, Margin: 8, Parts: []string{"20", "30-32"}, Line: 17},
	}
	if d := cmp.Diff(want, j.Sheets()); d != "" {
		t.Errorf("(-want +got)\n%s", d)
	}
	if d := cmp.Diff(Sheet{"aluminium 5052", 3, []float64{1220, 610}, "zero", 8}, j.Sheet); d != "" || j.Cost.SheetPrice != 60 {
		t.Errorf("the main sheet costs %g (-want +got)\n%s", j.Cost.SheetPrice, d)
	}
	for part, want := range map[string]int{"1": 0, "6": 0, "7": 1, "12": 0, "b7": 0, "20": 2, "31": 2, "31.1": 1, "": 1} {
		if got := j.SheetOf(part); got != want {
			t.Errorf("part %q is cut from sheet %d, want %d", part, got, want)
		}
	}
	if err := j.Set("sheet.thickness", "4mm"); err != nil {
		t.Fatal(err)
	}
	if a, b, c := j.ThicknessOf("3"), j.ThicknessOf("8"), j.ThicknessOf("30"); a != 5 || b != 4 || c != 3 {
		t.Errorf("thicknesses %g, %g, %g", a, b, c)
	}
	if d := cmp.Diff([]float64{3, 4, 5}, j.Thicknesses()); d != "" {
		t.Error(d)
	}
	if own := j.OnSheet(0); own.Sheet.Thickness != 5 || own.Cost.SheetPrice != 90 || len(own.Sheets()) != 1 || own.LeadLength() != 3.5 {
		t.Errorf("on the thick sheet: %+v, lead %g", own.Sheet, own.LeadLength())
	}
	var b bytes.Buffer
	if err := j.Write(&b); err != nil {
		t.Fatal(err)
	}
	again, err := Parse(b.Bytes(), "", nil)
	if err != nil {
		t.Fatalf("%v in\n%s", err, &b)
	}
	lines := cmp.FilterPath(func(p cmp.Path) bool { return p.Last().String() == ".Line" }, cmp.Ignore())
	if d := cmp.Diff(j.Sheets(), again.Sheets(), lines); d != "" {
		t.Errorf("printed and read back (-want +got)\n%s", d)
	}
}

func TestOneSheet(t *testing.T) {
	j, err := Parse([]byte("[sheet]\nthickness = 3\n[cost]\nsheet_price = 40"), "", nil)
	if err != nil {
		t.Fatal(err)
	}
	want := []SheetKind{{Thickness: 3, Origin: "zero", Margin: 10, Price: 40}}
	if d := cmp.Diff(want, j.Sheets()); d != "" || j.SheetOf("5") != 0 || j.ThicknessOf("5") != 3 {
		t.Errorf("(-want +got)\n%s", d)
	}
}

func TestSheetFaults(t *testing.T) {
	for name, c := range map[string]struct{ toml, want string }{
		"both":      {"[[sheet]]\nname='a'\nparts=['1-6']\n[[sheet]]\nname='b'\nparts=['9',5]\n", `j:4: sheet.parts: part 5 is listed by "a" on line 1 and by "b"`},
		"rest":      {"[[sheet]]\nname='a'\n[[sheet]]\nthickness=5\n", `j:3: sheet: "a" on line 1 and "sheet 2" both take all other parts`},
		"key":       {"[[sheet]]\nthicknes=3\n", `j:2: sheet.thicknes: unknown setting; did you mean "thickness"? (name, material,`},
		"single":    {"[sheet]\nparts=['1']\n", `j:2: sheet.parts: unknown setting; parts stands in [[sheet]]`},
		"mixed":     {"[sheet]\nthickness=3\n[[sheet]]\nthickness=5\n", `j:3: [sheet] and [[sheet]] cannot both stand`},
		"backwards": {"[[sheet]]\nparts=['6-1']\n", `j:2: sheet.parts: "6-1" runs backwards; write "1-6"`},
		"empty":     {"[[sheet]]\nparts=[]\n", `j:2: sheet.parts: is empty`},
		"twice":     {"[[sheet]]\nparts=['a',7,'7']\n", `j:2: sheet.parts: "7" stands twice`},
		"no list":   {"[[sheet]]\nparts='7'\n", `j:2: sheet.parts: "7" is no list`},
		"number":    {"[[sheet]]\nparts=[7.5]\n", `j:2: sheet.parts: 7.5 is no text`},
		"margin":    {"[[sheet]]\nsize=[900,900]\n[[sheet]]\nparts=[1]\nsize=[15,900]\n", `j:3: sheet.margin: leaves nothing`},
		"origin":    {"[[sheet]]\n[[sheet]]\nparts=[1]\norigin='drawing'\n", `j:2: sheet: origin stands with the main sheet alone, on line 1`},
		"inline":    {"sheet = [{thickness=3}, {parts=[1], thicknes=5}]", `j:1: sheet.thicknes: unknown setting`},
	} {
		_, err := Parse([]byte(c.toml), "j", nil)
		if err == nil || !strings.HasPrefix(err.Error(), c.want) {
			t.Errorf("%s: %v, want %s", name, err, c.want)
		}
	}
}
