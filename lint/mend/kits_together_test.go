package mend_test

import (
	"slices"
	"testing"

	"sluice/lint/job"
)

// Of several kits none is split over sheets where it fits one.
func TestKitsTogether(t *testing.T) {
	data := ways(slices.Concat(box(0, 0, 100, 60), box(0, 80, 150, 100)))["as drawn"]
	j := job.Default()
	j.Sheet.Size, j.Sheet.Margin, j.Cost.Kits = []float64{240, 125}, 5, 4
	sheets, err := layOut(t, data, j)
	if err != nil {
		t.Fatal(err)
	}
	all := 0
	for i, s := range sheets {
		n := map[bool]int{}
		for _, p := range s.Repaired.After.Sheet.Parts {
			n[max(p.Box.W(), p.Box.H()) > 120]++
			all++
		}
		if n[true] != n[false] {
			t.Errorf("sheet %d has %d strips and %d plates", i+1, n[true], n[false])
		}
	}
	if len(sheets) < 2 || all != 8 {
		t.Errorf("%d parts on %d sheets", all, len(sheets))
	}
}
