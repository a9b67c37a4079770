package report

import (
	"bytes"
	"math/rand/v2"
	"strings"
	"testing"

	"sluice/geom/geomtest"
	"sluice/lint"
	"sluice/lint/assembly"
	"sluice/lint/job"
)

// TestLeafletAngles: where plates meet at another angle than square, text and leaflet say at
// which, step by step.
func TestLeafletAngles(t *testing.T) {
	stand := geomtest.AskewStand(rand.New(rand.NewPCG(1, 71)), "lean-to", 7)
	var d geomtest.Drafter
	for part := range stand.Parts {
		for _, path := range stand.Paths(part) {
			for _, p := range path {
				d.Piece(p, 0)
			}
		}
	}
	r := lint.Check(t.Context(), "lean-to", bytes.NewReader(d.Bytes()), job.Default(), lint.Options{})
	if r.Err != nil {
		t.Fatal(r.Err)
	}
	p := parts(r)
	a := &Assembly{About: p.About, Result: r, Kit: assembly.Of(lint.FindKit(r.Sheet, r.Job))}
	text, html := string(in(t, "assemble", "text", a)), string(in(t, "assemble", "html", a))
	if n, m := strings.Count(text, " degrees"), strings.Count(html, " degrees"); n == 0 || m == 0 {
		t.Errorf("angles are named %d times in the text, %d times in the leaflet", n, m)
	}
}
