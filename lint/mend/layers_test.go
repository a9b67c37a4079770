package mend_test

import (
	"testing"

	"sluice/lint"
	"sluice/lint/job"
)

// TestLayerAnswers has layers that their names take from the cut taken otherwise.
func TestLayerAnswers(t *testing.T) {
	draw := func(layer string, x, y, w, h string) string {
		side := func(x0, y0, x1, y1 string) string {
			return "0\nLINE\n8\n" + layer + "\n10\n" + x0 + "\n20\n" + y0 + "\n11\n" + x1 + "\n21\n" + y1 + "\n"
		}
		return side(x, y, w, y) + side(w, y, w, h) + side(w, h, x, h) + side(x, h, x, y)
	}
	data := []byte("0\nSECTION\n2\nENTITIES\n" + draw("cut", "0", "0", "200", "100") + draw("Hidden lines", "20", "20", "60", "60") + draw("Etch", "120", "20", "160", "60") + "0\nENDSEC\n0\nEOF\n")
	j := job.Default()
	first := judged(t, data)
	of := map[string]*lint.Finding{}
	for i := range first.Findings {
		if f := &first.Findings[i]; f.Rule == "unread-entity" {
			of[f.Layer] = f
		}
	}
	for _, tt := range []struct {
		layer, choice string
		holes, etched int
	}{
		{"Hidden lines", "", 0, 1}, {"Hidden lines", "use", 1, 1}, {"Hidden lines", "etch", 0, 2}, {"Hidden lines", "drop", 0, 1},
		{"Etch", "use", 1, 0}, {"Etch", "drop", 0, 0}, {"Etch", "etch", 0, 1}, {"Etch", "leave", 0, 1},
	} {
		f := of[tt.layer]
		if f == nil {
			t.Fatalf("%s is not told", tt.layer)
		}
		own := *j
		own.Labels.Parts, own.Tabs.Parts = "none", "none"
		text := ""
		if tt.choice != "" {
			text = "[[answer]]\nfinding = \"" + f.ID + "\"\nchoice = \"" + tt.choice + "\"\n"
		}
		var err error
		if own.Answers, err = job.ParseAnswers([]byte(text), "a"); err != nil {
			t.Fatal(err)
		}
		rep, _ := repair(t, "plate", data, &own)
		etched := map[int]bool{}
		for i := range rep.After.Sheet.Etch {
			etched[int(rep.After.Sheet.Etch[i].Box.Center().X)/100] = true // by mark
		}
		if n := len(rep.After.Sheet.Parts[0].Holes); n != tt.holes || len(etched) != tt.etched {
			t.Errorf("%s %s: %d holes, %d etched, want %d and %d", tt.layer, tt.choice, n, len(etched), tt.holes, tt.etched)
		}
		for i := range rep.Left {
			if g := &rep.Left[i]; g.ID == f.ID && tt.choice != "" {
				t.Errorf("%s %s: it is asked still", tt.layer, tt.choice)
			}
		}
		if stale := own.Answers.Stale(); len(stale) > 0 {
			t.Errorf("%s %s: the answer is told as stale", tt.layer, tt.choice)
		}
	}
}
