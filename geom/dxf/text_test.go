package dxf

import (
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestDecode(t *testing.T) {
	for _, c := range []struct{ version, page, raw, want string }{
		{"AC1015", "", "plain", "plain"},
		{"AC1015", "ANSI_1252", "Gr\xf6\xdfe", "Größe"},
		{"AC1015", "", "Gr\xf6\xdfe", "Größe"}, // none declared means 1252
		{"AC1015", "", "Größe", "Größe"},       // but valid UTF-8 is taken for it
		{"AC1009", "dos850", "Gr\x94\xe1e", "Größe"},
		{"AC1018", "ANSI_1251", "\xcb\xe8\xf1\xf2", "Лист"},
		{"AC1015", "ANSI_932", "\x83v\x83\x89", "プラ"},
		{"AC1015", "ANSI_936", "\xb0\xe5", "板"},
		{"AC1021", "ANSI_1252", "Größe", "Größe"}, // UTF-8 from R2007 on, whatever the page
		{"AC1032", "", "Gr\xf6\xdfe", "Größe"},    // unless it is not
		{"AC1015", "", `\U+00D8 5`, "Ø 5"},
		{"AC1015", "", `\U+D83D\U+DE42`, "🙂"},
		{"AC1015", "", `\M+18376\M+18389`, "プラ"},
		{"AC1015", "", `\M+59999`, doubleByte('5', 0x9999)},
		{"AC1015", "", `\U+00Z`, `\U+00Z`},
	} {
		var d decoder
		d.version(c.version)
		if c.page != "" {
			d.codePage(c.page)
		}
		if got := d.decode([]byte(c.raw)); got != c.want {
			t.Errorf("%s %s %q: %q, want %q", c.version, c.page, c.raw, got, c.want)
		}
	}
}

func TestPlainText(t *testing.T) {
	for s, want := range map[string]string{
		"%%c5 %%p0.1 90%%d": "Ø5 ±0.1 90°", "100%%%": "100%", "%%uunder%%u": "under", "%%065": "A", "%%": "%%", "a%%x": "a%%x",
		"a^Ib^ c": "a b^c", "^": "^",
	} {
		if got := plainText(s); got != want {
			t.Errorf("%q: %q, want %q", s, got, want)
		}
	}
	for s, want := range map[string]string{
		`{\fArial|b0|i0;Hello} \PWorld`: "Hello \nWorld", `\A1;\H2.5x;big\~one`: "big one", `\S1/2; in`: "1/2 in", `\S1^2;`: "1/2",
		`a\\b \{c\}`: `a\b {c}`, `\Lline\l`: "line", `\C1;red %%d`: "red °", `\`: `\`, `\pxqc;mid`: "mid", `\fopen`: "",
	} {
		if got := plainMText(s); got != want {
			t.Errorf("%q: %q, want %q", s, got, want)
		}
	}
}

func TestTexts(t *testing.T) {
	d := read1(t, file("", "", `0 TEXT 8 A 10 1 20 2 40 3 50 30 1 left
		0 TEXT 8 A 10 1 20 2 11 5 21 6 40 3 72 1 73 2 1 middle
		0 TEXT 8 A 10 1 20 2 11 5 21 6 40 3 72 2 1 right
		0 TEXT 8 A 10 0 20 0 11 50 21 6 40 10 72 2 1 ab
		0 MTEXT 8 A 10 1 20 10 40 2 71 1 1 tail 3 head~
		0 MTEXT 8 A 10 1 20 10 40 2 71 5 11 0 21 1 1 mid
		0 TEXT 8 A 10 1 20 2 40 3 1 -
		0 ATTDEF 8 A 10 1 20 2 40 3 1 def 2 TAG`))
	type got struct {
		Value, At     string
		Height, Angle float64
		Mid           bool
	}
	var have []got
	for _, x := range d.Texts {
		have = append(have, got{x.Value, ftoa(x.At.X) + "," + ftoa(x.At.Y), x.Height, x.Angle, x.Centered})
	}
	want := []got{
		{"left", "1,2", 3, math.Pi / 6, false},
		{"middle", "5,6", 3, 0, true},
		{"right", "1,2", 3, 0, false}, // the first point is the left end
		{"ab", "34,6", 10, 0, false},  // unless it is not given: two letters of 0.8 heights
		{"tailhead", "1,8", 2, 0, false},
		{"mid", "1,10", 2, math.Pi / 2, true},
	}
	if diff := cmp.Diff(want, have, near); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff([]string{"unread: TEXT with nothing in it", "unread: ATTDEF, not cut"}, noticeTexts(d)); diff != "" {
		t.Error(diff)
	}
}

// Layers whose names differ in case or in spelling are one.
func TestLayerNames(t *testing.T) {
	f := strings.ReplaceAll(file("0 LAYER 2 Größe 70 0 62 3", "", "0 LINE 8 GRÖSSE 10 0 20 0 11 1 21 0 0 LINE 8 größe 10 0 20 0 11 1 21 0 0 LINE 8 Gr\\U+00F6\\U+00DFe 10 0 20 0 11 1 21 0 0 LINE 10 0 20 0 11 1 21 0"), "GRÖSSE", "GRÖßE")
	d := read1(t, f)
	var names []string
	for _, s := range d.Strokes {
		names = append(names, d.LayerName(s.Layer))
	}
	if diff := cmp.Diff([]string{"Größe", "Größe", "Größe", "0"}, names); diff != "" {
		t.Error(diff)
	}
	if len(d.Layers) != 2 || d.Strokes[2].Color != 3 {
		t.Errorf("layers %+v", d.Layers)
	}
}
