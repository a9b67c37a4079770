package job

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom"
)

func TestPins(t *testing.T) {
	for text, want := range map[string][]*Pin{
		"at = \"120mm,33mm\"":                                 {{At: geom.Pt(120, 33), Sheet: 1}},
		"at = \"1in,33.125mm\"\nturn = 90\nsheet = 2":         {{At: geom.Pt(25.4, 33.125), Turn: 90, Sheet: 2}},
		"at = \"5mm, 5mm\"\nturn = -22.5":                     {{At: geom.Pt(5, 5), Turn: -22.5, Sheet: 1}},
		"count = 3":                                           nil,
		"name = \"lid\"\nat = \"5mm,5mm\"\ntabs = \"none\"\n": {{At: geom.Pt(5, 5), Sheet: 1}},
	} {
		a, err := ParseAnswers([]byte("[[part]]\npart = 7\n"+text+"\n"), "x.toml")
		if err != nil {
			t.Errorf("%s: %v", text, err)
			continue
		}
		if d := cmp.Diff(want, a.Parts[0].Pins); d != "" {
			t.Errorf("%s: %s", text, d)
		}
		again, err := ParseAnswers(a.Text(), "x.toml")
		if err != nil || cmp.Diff(want, again.Parts[0].Pins) != "" {
			t.Errorf("%s: written and read again it is %+v, %v", text, again, err)
		}
		b := NewAnswers("x.toml")
		b.SetPart(PartAnswer{Part: "7", Count: AsDrawn, Pins: want})
		if (len(b.Parts) == 1) != (len(want) > 0) {
			t.Errorf("%s: a pin alone is kept as %+v", text, b.Parts)
		}
	}
	for text, want := range map[string]string{
		"turn = 90":                                       "at: the place is missing",
		"sheet = 1":                                       "at: the place is missing",
		"at = \"120mm\"":                                  "at: \"120mm\" is no place",
		"at = [\"120mm\", \"33mm\"]":                      "is no place",
		"at = \"1mm,1mm\"\nturn = \"up\"":                 "turn: up is no turn",
		"at = \"1mm,1mm\"\nturn = 361":                    "turn: 361 is no turn",
		"at = \"1mm,1mm\"\nturn = nan":                    "turn: NaN is no turn",
		"at = \"1mm,1mm\"\nsheet = 0":                     "sheet: 0 is no number of a sheet",
		"at = \"1mm,1mm\"\nrotation = 90":                 "unknown key",
		"at = \"99999999mm,1mm\"":                         "longer than any table",
		"at = \"1mm,1mm\"\nsheet = 10001":                 "sheet: 10001",
		"at = \"1mm,1mm\"\nturn = \"90\"":                 "turn: 90 is no turn",
		"at = [\"1mm,1mm\", 5]":                           "at: 5 is no place",
		"at = [\"1mm,1mm\", \"2mm,2mm\"]\nturn = [90]":    "turn: 1 of them for 2 places",
		"at = [\"1mm,1mm\", \"2mm,2mm\"]\nsheet = [1, 0]": "sheet: 0 is no number of a sheet",
		"at = \"1mm,1mm,1mm\"\nturn = 180":                "is no place",
	} {
		_, err := ParseAnswers([]byte("[[part]]\npart = 7\n"+text+"\n"), "x.toml")
		if err == nil || !strings.Contains(err.Error(), want) || !strings.HasPrefix(err.Error(), "x.toml:") {
			t.Errorf("%s: %v, want %s", text, err, want)
		}
	}
}
