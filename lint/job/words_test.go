package job

import (
	"strings"
	"testing"
	"unicode"

	"github.com/google/go-cmp/cmp"
)

func TestNameWords(t *testing.T) {
	for name, want := range map[string][]string{
		"":              nil,
		"0":             nil,
		"ETCH":          {"etch"},
		"EtchLines":     {"etch", "lines"},
		"bend_lines-2":  {"bend", "lines"},
		"CSKHoles":      {"csk", "holes"},
		"3mm mark.top":  {"mm", "mark", "top"},
		"Kit$0$ETCH":    {"kit", "etch"},
		"Sketch":        {"sketch"},
		"SKETCH":        {"sketch"},
		"Gravur-Größe1": {"gravur", "größe"},
		"印 mark":        {"印", "mark"},
	} {
		if diff := cmp.Diff(want, nameWords(name)); diff != "" {
			t.Errorf("%q (-want +got):\n%s", name, diff)
		}
	}
}

// What is a mark or left out by the name of its layer under the default job.
func TestTakeByDefault(t *testing.T) {
	l := &Default().Layers
	for taken, names := range map[Taken][]string{
		TakenEtch: {
			"etch", "Etched", "ETCHING 2", "laser-engrave", "Engraved", "Engraving", "score", "Scored lines", "scoring", "MARK", "marks",
			"Marking", "bend", "BENDS", "bending", "Bendlines", "UpBend", "Fold", "folds", "foldline", "CSK", "M4CSK", "countersink",
			"Counter-Sink", "COUNTERSUNK", "center mark",
		},
		TakenIgnore: {
			"dim", "DIMS", "Dimension", "dimensions_2", "Reference", "Construction lines", "hidden", "HIDDEN-LINES", "Center line",
			"centerlines", "CENTRE_LINES", "CenterLine", "dim marks",
		},
		TakenCut: {
			"0", "", "OUTSIDE", "Sketch", "SKETCHES", "Stretch", "Benchmark", "Bookmark", "Remark", "Scoreboard", "underscore", "Dimmer",
			"dimple", "Bender", "F_old", "B-End", "Markus", "Unhidden", "center", "Line", "fetch", "NOTE", "TAB", "preference",
		},
	} {
		for _, n := range names {
			if got, by := l.Take(n, 7, false); got != taken || (by == "") != (taken == TakenCut) {
				t.Errorf("%q: taken for %d by %q, want %d", n, got, by, taken)
			}
		}
	}
	if got, by := l.Take("holes", 7, true); got != TakenIgnore || by != "plot:never" {
		t.Errorf("never plotted: %d by %q", got, by)
	}
}

// What a person writes goes before words and plotting.
func TestTakeWritten(t *testing.T) {
	l := &Layers{Etch: []string{"Reference", "color:3", "word:mark"}, Ignore: []string{"plot:never", "word:reference", "Mark*"}}
	for _, c := range []struct {
		name   string
		color  int
		noPlot bool
		want   Taken
		by     string
	}{
		{"reference", 7, false, TakenEtch, "Reference"},
		{"reference 2", 7, false, TakenIgnore, "word:reference"},
		{"marks", 7, false, TakenIgnore, "Mark*"},
		{"my mark", 7, false, TakenEtch, "word:mark"},
		{"cut", 3, true, TakenEtch, "color:3"},
		{"cut", 2, true, TakenIgnore, "plot:never"},
		{"cut", 2, false, TakenCut, ""},
	} {
		if got, by := l.Take(c.name, c.color, c.noPlot); got != c.want || by != c.by {
			t.Errorf("%q, color %d, never plotted %v: %d by %q, want %d by %q", c.name, c.color, c.noPlot, got, by, c.want, c.by)
		}
	}
	for p, want := range map[string]bool{"Etch*": true, "color:2": true, "word:etch": false, "Plot:Never": false} {
		if Written(p) != want {
			t.Errorf("Written(%q) = %v", p, !want)
		}
	}
}

func TestCheckPattern(t *testing.T) {
	for p, ok := range map[string]bool{
		"word:etch": true, "word:center line": true, "word:": false, "word:12": false, "plot:never": true, "plot:always": false,
		"Etch*": true, "color:2": true, "color:0": false, "[a": false,
	} {
		if err := checkPattern(p); (err == nil) != ok {
			t.Errorf("%q: %v", p, err)
		}
	}
}

func FuzzNameWords(f *testing.F) {
	for _, s := range []string{"EtchLines2", "", "\xff mark", "ǅungla BEND"} {
		f.Add(s)
	}
	l := &Default().Layers
	f.Fuzz(func(t *testing.T, name string) {
		for _, w := range nameWords(name) {
			odd := strings.IndexFunc(w, func(r rune) bool {
				return !unicode.IsLetter(r) && !unicode.IsMark(r) || unicode.IsUpper(r) && unicode.ToLower(r) != r
			})
			if w == "" || odd >= 0 {
				t.Fatalf("%q: word %q", name, w)
			}
		}
		l.Take(name, 7, false)
	})
}
