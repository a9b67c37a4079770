package report

import (
	"strings"
	"testing"

	"sluice/lint/figures"
)

func TestHoldingWords(t *testing.T) {
	for _, c := range []struct {
		name    string
		h       figures.Holding
		want    []string // in what is said, in order
		caution bool
	}{
		{"nothing", figures.Holding{}, nil, false},
		{"turned", figures.Holding{Slats: "parts stand on slats along x, 50 mm apart", Turned: []string{"2", "7"}},
			[]string{"slats along x", "held if the slats ran the other way: parts 2, 7"}, false},
		{"pushed", figures.Holding{Push: 46.5, Pushed: []string{"3"}}, []string{"46 N", "part 3"}, false},
		{"by hand", figures.Holding{Width: 0.8, Thickness: 3, Force: 331.2, Shear: 138, Auto: 0.8}, []string{"about 331 N", "138 MPa x 0.8 mm x 3 mm"}, false},
		{"too strong", figures.Holding{Width: 0.8, Thickness: 25, Force: 2760, Shear: 138, Auto: 0.3}, []string{"about 2760 N", "400 N of hands", "makes them 0.3 mm"}, true},
		{"too strong however narrow", figures.Holding{Width: 0.3, Thickness: 25, Force: 1035, Shear: 138, Auto: 0.3}, []string{"hands: saw them"}, true},
		{"too wide", figures.Holding{Width: 0.8, Thickness: 1, Force: 110.4, Shear: 138, Auto: 0.5}, []string{"about 110 N", "more than half as wide", "makes them 0.5 mm"}, true},
		{"too wide, strength not known", figures.Holding{Width: 0.8, Thickness: 1, Auto: 0.5}, []string{"tabs of 0.8 mm are more than half"}, true},
		{"not known", figures.Holding{Width: 0.8, Thickness: 3, Auto: 0.8}, []string{"not reckoned"}, false},
	} {
		said := strings.Join(holdingWords(&c.h), ". ")
		rest := said
		for _, w := range c.want {
			_, after, ok := strings.Cut(rest, w)
			if !ok {
				t.Errorf("%s: %q is missing in %q", c.name, w, said)
				break
			}
			rest = after
		}
		if len(c.want) == 0 && said != "" {
			t.Errorf("%s: %q", c.name, said)
		}
		if got := holdingCaution(&c.h); (got != "") != c.caution || got != "" && !strings.Contains(said, got) {
			t.Errorf("%s: caution %q", c.name, got)
		}
	}
}
