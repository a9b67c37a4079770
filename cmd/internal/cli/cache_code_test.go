package cli

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	geodrawing "sluice/geom/drawing"

	"sluice/geom"
	"sluice/lint"
)

// TestPack checks that an entry comes back as it was, and that one that was cut
// short is refused wherever the cut is.
func TestPack(t *testing.T) {
	r := &lint.Result{
		Account: lint.Account{Read: 3, Used: 2, LeftOut: 1, Left: []lint.LeftOutItem{{Type: "IMAGE", Count: 1, Why: "no outline"}}},
		Extents: geom.NoBox(), Accepted: []int{2, 0},
		Brief: &lint.Brief{
			Unit: geodrawing.Unit{Name: "in", Factor: 25.4, Basis: "header"}, Counts: lint.Counts{Entities: 3, Parts: 1},
			Places: map[string]lint.Place{"ab": {Line: 7, Fixes: []lint.TextFix{{Note: "drop", Lines: []lint.Lines{{From: 7, To: 19}}}}}, "cd": {Line: 9}},
		},
		Findings: []lint.Finding{
			{Rule: "thin-web", Severity: lint.Warning, Message: "web ½ mm", At: geom.Pt(1, -2.5), Box: geom.BoxOf(geom.Pt(0, 0), geom.Pt(3, 4)), Layer: "0",
				Entities: []string{"2F", "#3"}, Part: "7", Measure: &lint.Measure{Name: "width", Value: 0.5, Limit: 1.5, Unit: "mm"}, Repair: lint.None, ID: "ab"},
			{Rule: "unit-doubt", Severity: lint.Note, ID: "cd", Repair: lint.Choice},
		},
	}
	b, err := pack(r)
	if err != nil {
		t.Fatal(err)
	}
	got, err := unpack(b)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(r, got); d != "" {
		t.Errorf("(-packed +unpacked):\n%s", d)
	}
	for n := range b {
		if r, err := unpack(b[:n]); err == nil {
			t.Fatalf("cut at %d of %d bytes: %+v", n, len(b), r)
		}
	}
}

// FuzzUnpack feeds arbitrary bytes to the reader of entries.
func FuzzUnpack(f *testing.F) {
	b, err := pack(&lint.Result{Brief: &lint.Brief{}, Findings: []lint.Finding{{Rule: "thin-web", ID: "ab"}}})
	if err != nil {
		f.Fatal(err)
	}
	f.Add(b)
	f.Add([]byte{})
	f.Fuzz(func(t *testing.T, b []byte) {
		if r, err := unpack(b); err == nil && r.Brief == nil {
			t.Error("no brief")
		}
	})
}
