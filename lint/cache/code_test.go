package cache

import (
	"reflect"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"sluice/fix"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/lint"
)

// TestPack checks that an entry comes back as it was, and that one that was cut
// short is refused wherever the cut is.
func TestPack(t *testing.T) {
	r := &lint.Result{
		Account: lint.Account{Read: 3, Used: 2, LeftOut: 1, Left: []lint.LeftOutItem{{Type: "IMAGE", Count: 1, Why: "no outline"}}},
		Extents: geom.NoBox(), Accepted: []int{2, 0},
		Brief: &lint.Brief{
			Unit: drawing.Unit{Name: "in", Factor: 25.4, Basis: "header"}, Counts: lint.Counts{Entities: 3, Parts: 1},
			Stand:  lint.Stand{Drawn: []float64{3, 5}, Judged: true, Sheet: 4.76, Tight: 16, Copies: map[string]int{"7": 2}},
			Places: map[string]lint.Place{"ab": {Line: 7, Fixes: []lint.TextFix{{Note: "drop", Lines: []lint.Lines{{From: 7, To: 19}}}}}, "cd": {Line: 9}},
		},
		Findings: []lint.Finding{
			{Rule: "thin-web", Severity: lint.Warning, Message: "web ½ mm", Fact: lint.Fact{One: "web # thick", Many: "webs # thick", Why: "thin", Says: true, Whole: true}, At: geom.Pt(1, -2.5), Box: geom.BoxOf(geom.Pt(0, 0), geom.Pt(3, 4)), Layer: "0",
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

// Every field of a finding comes back, but those that point into the drawing: a
// new one is not to be lost untold.
func TestPackKeepsEveryField(t *testing.T) {
	measure := &lint.Measure{Name: "gap", Value: 1, Limit: 2, Unit: "mm"}
	full := reflect.ValueOf(&lint.Finding{Entities: []string{"2F"}, Measure: measure, Fixes: []fix.Fix{{}}, Choices: []lint.Way{{Name: "straight", Words: "close it", Moves: 1.5, Default: true}}}).Elem()
	for i := range full.NumField() {
		switch f := full.Field(i); f.Kind() {
		case reflect.String:
			f.SetString("text")
		case reflect.Uint8:
			f.SetUint(2)
		case reflect.Struct:
			leaf := f
			for leaf.Kind() == reflect.Struct {
				leaf = leaf.Field(leaf.NumField() - 1)
			}
			switch {
			case leaf.CanFloat():
				leaf.SetFloat(7)
			case leaf.Kind() == reflect.Bool:
				leaf.SetBool(true)
			default:
				leaf.SetInt(7)
			}
		}
	}
	b, err := pack(&lint.Result{Brief: &lint.Brief{}, Findings: []lint.Finding{full.Interface().(lint.Finding)}})
	if err != nil {
		t.Fatal(err)
	}
	r, err := unpack(b)
	if err != nil {
		t.Fatal(err)
	}
	got := reflect.ValueOf(r.Findings[0])
	for i := range full.NumField() {
		name := full.Type().Field(i).Name
		dropped := name == "Subject" || name == "Fixes"
		if full.Field(i).IsZero() {
			t.Errorf("%s is not tried", name)
		}
		if same := cmp.Equal(full.Field(i).Interface(), got.Field(i).Interface(), cmpopts.IgnoreUnexported(lint.Way{})); same == dropped {
			t.Errorf("%s: %v comes back as %v", name, full.Field(i), got.Field(i))
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
