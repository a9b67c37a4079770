package mend_test

import (
	"bytes"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/mend"
	"sluice/lint/rules"
)

func options() mend.Options { return mend.Options{Options: lint.Options{Rules: rules.All()}} }

func findings(r *lint.Result, rule string) (n int) {
	for i := range r.Findings {
		if r.Findings[i].Rule == rule {
			n++
		}
	}
	return n
}

// Parts are cut from the sheet that lists them, and judged by its thickness.
func TestKindsOfSheet(t *testing.T) {
	source := filepath.Join(fixtures, "harbour-crane-clean.dxf")
	j := with(t, func(j *job.Job) {
		j.SheetList = []job.SheetKind{
			{Name: "thin", Thickness: 3, Size: []float64{300, 300}, Margin: 5, Parts: []string{"1-6", "12"}, Price: 7},
			{Thickness: j.Sheet.Thickness, Size: j.Sheet.Size, Margin: j.Sheet.Margin},
		}
	})
	sheets, err := layOut(t, readFile(t, source), j)
	if err != nil {
		t.Fatal(err)
	}
	had := map[float64]int{}
	for _, s := range sheets {
		own := s.Repaired.After.Job
		had[own.Sheet.Thickness]++
		for _, name := range s.Repaired.After.Names {
			if want := j.ThicknessOf(name); want != own.Sheet.Thickness {
				t.Errorf("part %s lies on a sheet of %g mm, want %g", name, own.Sheet.Thickness, want)
			}
		}
		if own.Sheet.Thickness == 3 && (own.Sheet.Size[0] != 300 || own.Cost.SheetPrice != 7) {
			t.Errorf("the thin sheet is %v for %g", own.Sheet.Size, own.Cost.SheetPrice)
		}
	}
	if had[3] == 0 || had[j.Sheet.Thickness] == 0 {
		t.Errorf("sheets by thickness: %v", had)
	}
	j.SheetList[0].Size = nil
	if _, err := layOut(t, readFile(t, source), j); err == nil || !strings.HasPrefix(err.Error(), "thin: --layout needs the size") {
		t.Errorf("without a size: %v", err)
	}
}

// One part is laid out again, alone, with its number.
func TestPartAgain(t *testing.T) {
	data := readFile(t, filepath.Join(fixtures, "harbour-crane.dxf"))
	j := loadJob(t, filepath.Join(fixtures, "crane.toml"))
	area := map[string]float64{}
	for _, s := range mustLay(t, data, j, mend.LayoutOptions{Seconds: 0.01}) {
		r := judged(t, s.Drawing)
		for k, name := range r.Names {
			area[name] = r.Sheet.Parts[k].Area
		}
	}
	l := mend.LayoutOptions{Seconds: 0.01, Parts: []mend.PartCount{{Part: "7", Count: 2}, {Part: "29", Count: 1}}}
	sheets := mustLay(t, data, j, l)
	if len(sheets) != 1 {
		t.Fatalf("%d sheets", len(sheets))
	}
	n := map[string]int{}
	r := judged(t, sheets[0].Drawing)
	for k, name := range r.Names {
		n[name]++
		if math.Abs(r.Sheet.Parts[k].Area-area[name]) > 1e-6*area[name] {
			t.Errorf("part %s has %g mm2, and had %g", name, r.Sheet.Parts[k].Area, area[name])
		}
	}
	if len(n) != 2 || n["7"] != 2 || n["29"] != 1 || len(sheets[0].Repaired.Labels) != 3 {
		t.Errorf("parts %v, %d numbers", n, len(sheets[0].Repaired.Labels))
	}
	if findings(r, "unmatched-joint") > 0 {
		t.Error("the joints of single parts are told as without mates")
	}
	l.Parts = []mend.PartCount{{Part: "99", Count: 1}}
	if _, err := mend.LayOut(t.Context(), "kit", bytes.NewReader(data), j, options(), l); err == nil || !strings.HasPrefix(err.Error(), "--part 99: the drawing has no such part; did you mean") {
		t.Errorf("an unknown part: %v", err)
	}
}

func mustLay(t *testing.T, data []byte, j *job.Job, l mend.LayoutOptions) []mend.SheetOut {
	t.Helper()
	sheets, err := mend.LayOut(t.Context(), "kit", bytes.NewReader(data), j, options(), l)
	if err != nil {
		t.Fatal(err)
	}
	return sheets
}

// The parts of two drawings are laid out together; where a number stands in both, that
// of the second has a letter before it, in the file too.
func TestTogether(t *testing.T) {
	data := readFile(t, filepath.Join(fixtures, "harbour-crane-clean.dxf"))
	j := loadJob(t, filepath.Join(fixtures, "crane.toml"))
	first := check(t, filepath.Join(fixtures, "harbour-crane-clean.dxf"), j)
	lay := func() []mend.SheetOut {
		sheets, err := mend.LayOutAll(t.Context(), []mend.LayoutInput{
			{Path: "a.dxf", R: bytes.NewReader(data), Job: j}, {Path: "b.dxf", R: bytes.NewReader(data), Job: j},
		}, options(), mend.LayoutOptions{Seconds: 0.01, Seed: 1})
		if err != nil {
			t.Fatal(err)
		}
		return sheets
	}
	sheets := lay()
	area := map[string]float64{}
	for k, name := range first.Names {
		area[name] = first.Sheet.Parts[k].Area
	}
	n := map[bool]int{}
	for _, s := range sheets {
		r := judged(t, s.Drawing)
		for k, name := range r.Names {
			own, second := strings.CutPrefix(name, "B")
			n[second]++
			if a := r.Sheet.Parts[k].Area; math.Abs(a-area[own]) > 1e-3*a {
				t.Errorf("part %s has %g mm2, want %g", name, a, area[own])
			}
		}
		if a := s.Repaired.Account; a.Read != 2*first.Account.Read {
			t.Errorf("%d entities are accounted for, want %d", a.Read, 2*first.Account.Read)
		}
	}
	if want := len(first.Sheet.Parts); n[false] != want || n[true] != want {
		t.Errorf("%d and %d parts, want %d of each", n[false], n[true], want)
	}
	again := lay()
	for i := range sheets {
		if !bytes.Equal(sheets[i].Drawing, again[i].Drawing) {
			t.Errorf("sheet %d is another on the second run", i+1)
		}
	}
	_, fixed := repair(t, "a.dxf", data, j)
	if _, err := mend.LayOutAll(t.Context(), []mend.LayoutInput{
		{Path: "a.dxf", R: bytes.NewReader(fixed), Job: j}, {Path: "b.dxf", R: bytes.NewReader(data), Job: j},
	}, options(), mend.LayoutOptions{Seconds: 0.01}); err == nil || !strings.Contains(err.Error(), "a.dxf is a corrected drawing and b.dxf is none") {
		t.Errorf("a corrected drawing beside one as drawn: %v", err)
	}
}

// What a joint goes into may lie on another sheet: no sheet tells of a joint without a
// mate that the whole kit does not tell, nor does its drawing when it is read.
func TestJointsOverSheets(t *testing.T) {
	source := filepath.Join(fixtures, "harbour-crane-clean.dxf")
	j := with(t, func(j *job.Job) { j.Sheet.Size, j.Layout.Sheets, j.Sheet.Thickness = []float64{400, 300}, 9, 3 })
	whole := findings(check(t, source, j), "unmatched-joint")
	sheets, err := layOut(t, readFile(t, source), j)
	if err != nil {
		t.Fatal(err)
	}
	if len(sheets) < 2 {
		t.Fatalf("%d sheets: nothing is shown", len(sheets))
	}
	told, alone := 0, 0
	for i, s := range sheets {
		told += findings(s.Repaired.After, "unmatched-joint")
		r := lint.Check(t.Context(), "sheet", bytes.NewReader(s.Drawing), j, lint.Options{Rules: rules.All()})
		if n := findings(r, "unmatched-joint"); n > 0 {
			t.Errorf("sheet %d, read by itself, tells of %d joints without a mate", i+1, n)
		}
		if k, n, ok := lint.OneOf(r.Drawing); !ok || k != i+1 || n != len(sheets) {
			t.Errorf("sheet %d says that it is %d of %d", i+1, k, n)
		}
		bare := bytes.Replace(s.Drawing, []byte(lint.SheetNote(i+1, len(sheets), false)), []byte("a sheet"), 1)
		alone += findings(lint.Check(t.Context(), "sheet", bytes.NewReader(bare), j, lint.Options{Rules: rules.All()}), "unmatched-joint")
	}
	if told != whole || alone <= whole {
		t.Errorf("%d joints without a mate are told on sheets, %d of the whole; %d if each sheet were a kit", told, whole, alone)
	}
}

// What was decided of a finding stays decided on the sheet that its part is laid on.
func TestDecidedOnSheets(t *testing.T) {
	source := filepath.Join(fixtures, "harbour-crane.dxf")
	data := readFile(t, source)
	answers, err := job.ParseAnswers(readFile(t, filepath.Join(fixtures, "crane.answers.toml")), "crane.answers.toml")
	if err != nil {
		t.Fatal(err)
	}
	decided := with(t, func(j *job.Job) { j.Answers = answers })
	left := func(j *job.Job) (n int) {
		for _, s := range mustLay(t, data, j, mend.LayoutOptions{Seconds: 0.01}) {
			for _, f := range s.Repaired.Left {
				// What stood in a window lies elsewhere now, so that its slug is a new one.
				if f.Severity >= lint.Warning && f.Rule != "loose-slug" {
					n++
				}
			}
		}
		return n
	}
	if a, b := left(decided), left(loadJob(t, filepath.Join(fixtures, "crane.toml"))); a > 0 || b == 0 {
		t.Errorf("%d are left to decide with answers, %d without", a, b)
	}
}
