package job

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestParseAnswers(t *testing.T) {
	const file = `# decided on the phone
[[answer]]
finding = "3f2a9c"
about   = "open-outline at 300.00, 277.00, part 17"
choice  = "extend"
note    = "corner missing in the download"

[[answer]]  # as agreed
finding = "77"
choice = "leave"
`
	a, err := ParseAnswers([]byte(file), "kit.answers.toml")
	if err != nil {
		t.Fatal(err)
	}
	want := []Answer{
		{"3f2a9c", "open-outline at 300.00, 277.00, part 17", "extend", "corner missing in the download", "", 2},
		{"77", "", "leave", "", "", 8},
	}
	if diff := cmp.Diff(want, a.List); diff != "" {
		t.Error(diff)
	}
	if x := a.Of("77"); x == nil || x.Choice != "leave" || a.Of("78") != nil {
		t.Errorf("%v, %v", x, a.Of("78"))
	}
	if stale := a.Stale(); len(stale) != 1 || stale[0].Finding != "3f2a9c" {
		t.Errorf("stale: %v", stale)
	}
	var none *Answers
	if none.Of("x") != nil || none.Stale() != nil {
		t.Error("no answers answer")
	}
	for _, tt := range []struct{ file, want string }{
		{"[[answer]]\nchoice = \"leave\"\n", "k:1: answer: the finding is missing; add finding"},
		{"\n[[answer]]\nfinding = \"a\"\n", "k:2: answer: the choice is missing; add choice = \"leave\""},
		{"[[answer]]\nfinding = \"a\"\nchoice = \"x\"\n[[answer]]\nfinding = \"a\"\nchoice = \"x\"\n", "k:4: finding a is answered on line 1 already; take one out"},
		{"[[answer]]\nfindng = \"a\"\nchoice = \"x\"\n", "k:2: answer.findng: unknown key; did you mean \"finding\"?"},
		{"[[answer]]\nfinding = \"a\"\nchoice = \"x\"\nshows = \"late\"\n", "k:1: answer: shows = \"late\" is not known"},
		{"[[anser]]\nfinding = \"a\"\n", "did you mean \"answer\"?"},
		{"[[answer]]\nfinding = 3\nchoice = \"x\"\n", "k:2: "},
		{"[[answer\n", "k:1: "},
	} {
		if _, err := ParseAnswers([]byte(tt.file), "k"); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%q gives %v, want %s", tt.file, err, tt.want)
		}
	}
}

// FuzzAnswers feeds arbitrary bytes to the reader of answers.
func FuzzAnswers(f *testing.F) {
	f.Add([]byte("[[answer]]\nfinding = \"a\"\nchoice = \"leave\"\n"))
	f.Fuzz(func(t *testing.T, b []byte) {
		a, err := ParseAnswers(b, "x")
		if err != nil {
			if strings.Contains(err.Error(), "\n") {
				t.Errorf("%q is not one line", err)
			}
			return
		}
		for _, x := range a.List {
			if a.Of(x.Finding) == nil {
				t.Errorf("%+v is not found", x)
			}
		}
	})
}
