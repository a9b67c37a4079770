package mend_test

import (
	"bytes"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom"
	"sluice/geom/dxf"
	"sluice/geom/geomtest"
	"sluice/lint/job"
)

// TestPointsAndTextsAreCarried: points and texts of a drawing lie on NOTE of the
// corrected one, where they were.
func TestPointsAndTextsAreCarried(t *testing.T) {
	var d geomtest.Drafter
	d.Piece(geom.Circle(geom.Pt(100, 100), 80), 0)
	d.Text(geom.Pt(70, 60), 5, "this side up")
	data := bytes.Replace(d.Bytes(), []byte("0\nENDSEC\n0\nEOF"), []byte("0\nPOINT\n8\nPARTS\n10\n120\n20\n90\n0\nPOINT\n8\nPARTS\n10\n-5\n20\n7.5\n0\nENDSEC\n0\nEOF"), 1)
	rep, out := repair(t, "disc", data, job.Default())
	after, err := dxf.Read(t.Context(), bytes.NewReader(out), dxf.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var got []geom.Point
	for _, p := range after.Points {
		got = append(got, p.At)
		if l := after.LayerName(p.Layer); l != dxf.LayerNote {
			t.Errorf("a point on layer %s", l)
		}
	}
	if diff := cmp.Diff([]geom.Point{geom.Pt(120, 90), geom.Pt(-5, 7.5)}, got); diff != "" {
		t.Errorf("points:\n%s", diff)
	}
	found := false
	for i := range after.Texts {
		x := &after.Texts[i]
		found = found || x.Value == "this side up" && x.At.Dist(geom.Pt(70, 60)) < 1e-6 && after.LayerName(x.Layer) == dxf.LayerNote
	}
	if !found {
		t.Errorf("the text is not there: %+v", after.Texts)
	}
	if rep.Account.Carried != 3 {
		t.Errorf("%d carried, want 3", rep.Account.Carried)
	}
}
