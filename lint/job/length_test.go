package job

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestParseLength(t *testing.T) {
	tests := []struct {
		in   string
		want float64 // mm; the inch is 25.4 mm by definition
	}{
		{"0.9mm", 0.9},
		{"0.9", 0.9},
		{" 3 ", 3},
		{"3.", 3},
		{".5 mm", 0.5},
		{"1e-3mm", 0.001},
		{"5cm", 50},
		{"1m", 1000},
		{"2ft", 609.6},
		{"0.035in", 0.889},
		{"0.035 IN", 0.889},
		{"3/16in", 4.7625},
		{"3/16 in", 4.7625},
		{`1/8"`, 3.175},
		{"1 1/8in", 28.575},
		{"1-1/8in", 28.575},
		{"1 1/2ft", 457.2},
		{"4 inches", 101.6},
		{"0", 0},
		{"100m", 100000},
	}
	for _, tt := range tests {
		got, err := ParseLength(tt.in)
		if err != nil || got != tt.want {
			t.Errorf("ParseLength(%q) = %v, %v; want %v", tt.in, got, err, tt.want)
		}
	}
}

func TestParseLengthErrors(t *testing.T) {
	tests := []struct{ in, want string }{
		{"", "is missing"},
		{"wide", "no length"},
		{"mm", "no length"},
		{"1.2.3mm", "no length"},
		{"0,9mm", "decimal sign is a point"},
		{"5mn", `did you mean "mm"`},
		{"5inn", `did you mean "in"`},
		{"3/16", "fraction without a unit"},
		{"3/0in", "divides by zero"},
		{"-1mm", "negative"},
		{"-3/16in", "negative"},
		{"NaN", "no length"},
		{"inf", "no length"},
		{"+Inf mm", "no length"},
		{"1e999mm", "out of range"},
		{"0x10", "no length"},
		{"101m", "over 100 m"},
		{"1\nmm", "no length"},
	}
	for _, tt := range tests {
		got, err := ParseLength(tt.in)
		switch {
		case err == nil:
			t.Errorf("ParseLength(%q) = %v, want an error", tt.in, got)
		case !strings.Contains(err.Error(), tt.want):
			t.Errorf("ParseLength(%q): %v; want it to say %q", tt.in, err, tt.want)
		case strings.Contains(err.Error(), "\n"):
			t.Errorf("ParseLength(%q): more than one line: %v", tt.in, err)
		}
	}
}

func TestFormatLengthReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := rapid.Float64Range(0, LongestLength).Draw(t, "mm")
		got, err := ParseLength(FormatLength(want))
		if err != nil || got != want {
			t.Fatalf("%v written as %q reads as %v, %v", want, FormatLength(want), got, err)
		}
	})
}

func TestNearest(t *testing.T) {
	tests := []struct {
		word, want string
		known      []string
	}{
		{"kref", "kerf", []string{"web", "kerf", "gap"}},
		{"kerff", "kerf", []string{"web", "kerf", "gap"}},
		{"KERF", "kerf", []string{"web", "kerf", "gap"}},
		{"slat-pitch", "slat_pitch", []string{"slats_along", "slat_pitch"}},
		{"thick", "thickness", []string{"size", "width", "thickness"}},
		{"open-outlines", "open-outline", []string{"crossing-outlines", "open-outline"}},
		{"lnit", "lint", []string{"fix", "lint", "diff"}},
		{"", "a", []string{"abc", "a"}},
		{"x", "", nil},
		{strings.Repeat("é", 5000), "a", []string{"a", "b"}},
	}
	for _, tt := range tests {
		if got := Nearest(tt.word, tt.known); got != tt.want {
			t.Errorf("Nearest(%.20q, %q) = %q, want %q", tt.word, tt.known, got, tt.want)
		}
	}
}

func TestSlipsIsADistance(t *testing.T) {
	word := rapid.StringMatching(`[ab_]{0,7}`)
	rapid.Check(t, func(t *rapid.T) {
		a, b := plain(word.Draw(t, "a")), plain(word.Draw(t, "b"))
		d := slips(a, b)
		if d != slips(b, a) {
			t.Fatalf("slips(%q, %q) depends on the order", string(a), string(b))
		}
		if (d == 0) != (string(a) == string(b)) {
			t.Fatalf("slips(%q, %q) = %d", string(a), string(b), d)
		}
		if d > max(len(a), len(b)) || d < len(a)-len(b) || d < len(b)-len(a) {
			t.Fatalf("slips(%q, %q) = %d, out of bounds", string(a), string(b), d)
		}
	})
}

func TestMatchLayer(t *testing.T) {
	etch := Default().Layers.Etch
	tests := []struct {
		patterns []string
		name     string
		color    int
		want     bool
	}{
		{etch, "ETCH", 7, true},
		{etch, "Laser Engraving", 7, true},
		{etch, "score-lines", 7, true},
		{etch, "kit/mark/top", 7, true},
		{etch, "0", 7, false},
		{etch, "OUTSIDE", 7, false},
		{nil, "etch", 1, false},
		{[]string{"color:2"}, "0", 2, true},
		{[]string{"Color: 2"}, "0", 2, true},
		{[]string{"color:2"}, "color:2", 3, false},
		{[]string{"color:x"}, "0", 0, false},
		{[]string{"{bend,fold}*"}, "Fold_up", 7, true},
		{[]string{"L[0-9]"}, "l7", 7, true},
		{[]string{"L?"}, "L12", 7, false},
		{[]string{"Größe"}, "GRÖSSE", 7, false},
		{[]string{"maß*"}, "Maße", 7, true},
		{[]string{"[a"}, "a", 7, false},
	}
	for _, tt := range tests {
		if got := MatchLayer(tt.patterns, tt.name, tt.color); got != tt.want {
			t.Errorf("MatchLayer(%q, %q, %d) = %v", tt.patterns, tt.name, tt.color, got)
		}
	}
}
