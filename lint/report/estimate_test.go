package report

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"strings"
	"testing"

	"sluice/fix/tab/sheettest"
	"sluice/lint"
	"sluice/lint/cutting"
	"sluice/lint/cutting/paths"
	"sluice/lint/job"
)

// estimated is the estimate of a plate with a hole under a job.
func estimated(t *testing.T, set func(*job.Job)) *Estimate {
	t.Helper()
	j := job.Default()
	set(j)
	s := sheettest.Of(sheettest.Rect(10, 10, 100, 60), sheettest.Disc(30, 30, 5))
	e, err := cutting.Of(&lint.Result{Job: j, Sheet: s, Names: []string{"1"}})
	if err != nil {
		t.Fatal(err)
	}
	return &Estimate{about(), "plate.dxf", "", e}
}

func unset(*job.Job) {}

func priced(j *job.Job) {
	j.Sheet.Material, j.Sheet.Thickness, j.Sheet.Size = "5052", 4.7625, []float64{610, 405}
	j.Cost.Currency, j.Cost.SheetPrice, j.Cost.MachineRate, j.Cost.LabourRate, j.Cost.AbrasivePrice = "EUR", 60, 150, 40, 1
}

func TestEstimateText(t *testing.T) {
	for name, tt := range map[string]struct {
		set  func(*job.Job)
		want []string
		not  []string
	}{
		"all known": {priced,
			[]string{"1 part in aluminium 5052, 4.7625 mm", "978 mm/min", "piercing   2 pierces", "abrasive   ", "kg of parts out of a sheet of",
				"cost in EUR of 1 kit", "reckoned: boxes", "published model", "person at the machine decides"}, []string{"NaN", "Inf"}},
		"nothing set": {unset,
			[]string{"No thickness is set", "cutting    0.36 m", "?"}, []string{"NaN", "Inf", "cost in", "abrasive   ", "kg of parts", " mm/min on"}},
		"in inches": {func(j *job.Job) { priced(j); j.Units = "in" },
			[]string{"0.1875 in (4.7625 mm)", "38.5 in/min (978 mm/min)", "50 kpsi (345 MPa)", "0.167 lb (0.076 kg) of parts", "area in2    mass lb     cut in", " lb (0"}, []string{"area mm2"}},
		"hostile names": {func(j *job.Job) { priced(j); j.Sheet.Material = "a\x1b[31mb\n5052"; j.Cost.Currency = "\x1b]0;x\x07" },
			[]string{"cost in"}, []string{"\x1b", "\x07"}},
	} {
		var b bytes.Buffer
		if err := estimateText(&b, estimated(t, tt.set)); err != nil {
			t.Fatal(err)
		}
		for _, w := range tt.want {
			if !strings.Contains(b.String(), w) {
				t.Errorf("%s: %q is missing in\n%s", name, w, &b)
			}
		}
		for _, w := range tt.not {
			if strings.Contains(b.String(), w) {
				t.Errorf("%s: %q stands in\n%s", name, w, &b)
			}
		}
		for line := range strings.SplitSeq(b.String(), "\n") {
			if len([]rune(line)) > 110 {
				t.Errorf("%s: a line of %d columns: %s", name, len([]rune(line)), line)
			}
		}
	}
}

func TestEstimateJSON(t *testing.T) {
	for name, set := range map[string]func(*job.Job){"all known": priced, "nothing set": unset} {
		e := estimated(t, set)
		var b bytes.Buffer
		if err := estimateJSON(&b, e); err != nil {
			t.Fatal(err)
		}
		var got struct {
			Path   string
			Speed  *struct{ Cut float64 }
			Length struct{ Outside float64 }
			Time   struct {
				Total *struct{ Likely, Low, High float64 }
				Start *struct{ Likely float64 }
			}
			Mass  *float64 `json:"mass_kg"`
			Cost  struct{ Total *struct{ Likely float64 } }
			Parts []struct{ Number string }
			Notes []string
		}
		if err := json.Unmarshal(b.Bytes(), &got); err != nil {
			t.Fatalf("%v in\n%s", err, &b)
		}
		known := name == "all known"
		if got.Path != "plate.dxf" || math.Abs(got.Length.Outside-320-math.Pi) > 1e-3 || len(got.Parts) != 1 || len(got.Notes) == 0 || got.Time.Start == nil {
			t.Errorf("%s: %+v", name, got)
		}
		if (got.Speed != nil) != known || (got.Time.Total != nil) != known || (got.Mass != nil) != known || (got.Cost.Total != nil) != known {
			t.Errorf("%s: what is known is not told apart from what is not: %+v", name, got)
		}
		if known && !(got.Time.Total.Low < got.Time.Total.Likely && got.Time.Total.Likely < got.Time.Total.High) {
			t.Errorf("%s: range %+v", name, got.Time.Total)
		}
	}
}

func TestPathsSVG(t *testing.T) {
	s := sheettest.Of(sheettest.Rect(10, 10, 100, 60), sheettest.Disc(30, 30, 5))
	pl := paths.New(s, paths.Params{Kerf: 1})
	var b bytes.Buffer
	if err := RoutesSVG(&b, &Routes{"a <plate>", s, pl}); err != nil {
		t.Fatal(err)
	}
	for _, class := range []string{"ly path", "ly lead", "ly travel", "ly start"} {
		if strings.Count(b.String(), class) != 1 {
			t.Errorf("group %q is missing", class)
		}
	}
	d := xml.NewDecoder(&b)
	for {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			return
		} else if err != nil {
			t.Fatal(err)
		}
	}
}

func TestClock(t *testing.T) {
	for s, want := range map[float64]string{
		0: "0.0 s", 9.96: "10.0 s", 59.4: "59 s", 59.6: "1 min 00 s", 125: "2 min 05 s", 599.7: "10 min", 3599: "1 h 00 min", 15000: "4 h 10 min", -1: "?",
	} {
		if got := clock(s); got != want {
			t.Errorf("%g s is %q, want %q", s, got, want)
		}
	}
}

func TestEstimateFacts(t *testing.T) {
	if f := estimateFacts(estimated(t, unset).Estimate); len(f) != 1 || !strings.Contains(f[0].Value, "2 pierces") {
		t.Errorf("without material: %v", f)
	}
	if f := estimateFacts(estimated(t, priced).Estimate); len(f) != 5 || !strings.Contains(f[1].Value, " to ") {
		t.Errorf("with all: %v", f)
	}
	if f := estimateFacts(nil); f != nil {
		t.Errorf("an unread drawing: %v", f)
	}
}
