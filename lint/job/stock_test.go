package job

import (
	"bytes"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestStock(t *testing.T) {
	const text = "[sheet]\nmargin = 4\n[[stock]]\nfile = 'rest.dxf'\n[[stock]]\nname = 'strip'\nsize = [1200, 180]\nmargin = 0\nprice = 12\ncount = 2\n" +
		"[[part]]\npart = '1-3'\nturns = 'half'\n[[part]]\npart = 'B7'\ngap = 6\n[[part]]\npart = '8-9'\ncount = 0\n[layout]\ngap = 5\nturns = 'none'"
	j, err := Parse([]byte(text), "", nil)
	if err != nil {
		t.Fatal(err)
	}
	want := []Stock{
		{File: "rest.dxf", Margin: 4, Count: 1, Line: 3},
		{Name: "strip", Size: []float64{1200, 180}, Count: 2, Price: 12, Line: 5},
	}
	if d := cmp.Diff(want, j.Stock); d != "" {
		t.Errorf("(-want +got)\n%s", d)
	}
	var b bytes.Buffer
	if err := j.Write(&b); err != nil {
		t.Fatal(err)
	}
	again, err := Parse(b.Bytes(), "", nil)
	if err != nil {
		t.Fatal(err)
	}
	lines := cmp.FilterPath(func(p cmp.Path) bool { return p.Last().String() == ".Line" }, cmp.Ignore())
	if d := cmp.Diff(j.Stock, again.Stock, lines) + cmp.Diff(j.Part, again.Part, lines); d != "" {
		t.Errorf("printed and read back (-want +got)\n%s", d)
	}
	if j.LayoutGap() != 5 || Default().LayoutGap() != Default().MovedSpacing() || j.Wish("b7").Gap != 6 || j.Wish("4") != nil {
		t.Errorf("gaps %g, %g", j.LayoutGap(), Default().LayoutGap())
	}
	for part, want := range map[string][]float64{"2": {0, 180}, "4": {0}, "B7": {0}} {
		if got, free := j.TurnsOf(part); cmp.Diff(want, got) != "" || free {
			t.Errorf("turns of part %s: %v, any: %v", part, got, free)
		}
	}
	j.Part[1].Turns = "free"
	if got, free := j.TurnsOf("B7"); !free || len(got) != 4 {
		t.Errorf("turns at will: %v, any: %v", got, free)
	}
	if j.CountAsked("2") != nil || j.CountAsked("9") == nil || j.CountAsked("9").Count != 0 || !j.CountAsked("9").OfJob {
		t.Errorf("counts of parts 2 and 9: %v, %v", j.CountAsked("2"), j.CountAsked("9"))
	}
	j.Answers = NewAnswers("a")
	j.Answers.SetPart(PartAnswer{Part: "9", Count: 4})
	if p := j.CountAsked("9"); p == nil || p.Count != 4 || p.OfJob {
		t.Errorf("the answers do not go before the job: %v", p)
	}
	j.Layout.Grain = "x"
	for part, want := range map[string][]float64{"2": nil, "4": {0}, "B7": nil} {
		if got, free := j.TurnsOf(part); cmp.Diff(want, got) != "" || free {
			t.Errorf("turns of part %s along the grain: %v, any: %v", part, got, free)
		}
	}
	j.Part[0].Grain, j.Part[1].Grain = "none", "y"
	if got, _ := j.TurnsOf("2"); cmp.Diff([]float64{0, 180}, got) != "" {
		t.Errorf("turns of a part without a grain: %v", got)
	}
	for part, want := range map[string]float64{"2": -1, "4": 0, "B7": 90} {
		got, ok := j.GrainOf(part)
		if !ok {
			got = -1
		}
		if got != want {
			t.Errorf("grain of part %s: %v, want %v", part, got, want)
		}
	}
}

func TestStockFaults(t *testing.T) {
	for name, c := range map[string]struct{ toml, want string }{
		"no form":  {"[[stock]]\nprice=3", "j:1: stock: its form is missing"},
		"both":     {"[[stock]]\nfile='a'\nsize=[200,200]", "j:1: stock: the file says its size"},
		"margin":   {"[[stock]]\nsize=[200,20]", "j:1: stock.margin: leaves nothing"},
		"key":      {"[[stock]]\nfle='a'", `j:2: stock.fle: unknown setting; did you mean "file"?`},
		"single":   {"[stock]\nfile='a'", "j:1: [stock] needs double brackets"},
		"count":    {"[[stock]]\nsize=[200,200]\ncount=0", "j:3: stock.count: 0 is out of range"},
		"nothing":  {"[[part]]\npart='7'", "j:1: part: says nothing of part 7"},
		"no part":  {"[[part]]\nturns='half'", "j:1: part: its number is missing"},
		"turns":    {"[[part]]\npart='7'\nturns='haf'", `j:3: part.turns: "haf" is not allowed; did you mean "half"?`},
		"gap":      {"[[part]]\npart='7'\ngap=0.5", "j:1: part.gap: less than the kerf"},
		"overlap":  {"[[part]]\npart='1-7'\ngap=5\n[[part]]\npart='3'\ngap=5", "j:4: part: part 3 stands on line 1 already"},
		"gap all":  {"[layout]\ngap=0.2", "j:2: layout.gap: less than the kerf"},
		"gap zero": {"[layout]\ngap=0", "j:2: layout.gap: 0 is no thickness or width"},
	} {
		_, err := Parse([]byte(c.toml), "j", nil)
		if err == nil || !strings.HasPrefix(err.Error(), c.want) {
			t.Errorf("%s: %v, want %s", name, err, c.want)
		}
	}
}
