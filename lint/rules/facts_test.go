package rules

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"sluice/geom"
	"sluice/lint"
	"sluice/lint/job"
)

// fileWords are words of drawing files that nobody at a table uses.
var fileWords = []string{"LWPOLYLINE", "POLYLINE", "INSERT", "SPLINE", "ELLIPSE", "HATCH", "DIMENSION", "INSUNITS", "MEASUREMENT", "(line ", "(from line "}

// Every rule tells its findings in short: one and several, with a measure only
// where there is one, and without the words of the file.
func TestFacts(t *testing.T) {
	for _, r := range All() {
		dir := filepath.Join("flaws", r.ID)
		j := job.Default()
		if data, err := os.ReadFile(filepath.Join(dir, "job.toml")); err == nil {
			if j, err = job.Parse(data, "job.toml", nil); err != nil {
				t.Fatal(err)
			}
		}
		f, err := os.Open(filepath.Join(dir, "flaw.dxf"))
		if err != nil {
			t.Fatal(err)
		}
		res := lint.Check(t.Context(), "flaw.dxf", f, j, lint.Options{Rules: All()})
		f.Close()
		for i := range res.Findings {
			g := &res.Findings[i]
			all := g.Fact.One + "\n" + g.Fact.Many + "\n" + g.Fact.Why
			if g.Fact.One == "" || g.Fact.Many == "" {
				t.Errorf("%s says nothing in short of %q", g.Rule, g.Message)
			}
			if strings.Contains(all, "#") && g.Measure == nil {
				t.Errorf("%s: %q has no measure to put in", g.Rule, all)
			}
			if at := slices.IndexFunc(fileWords, func(w string) bool { return strings.Contains(lint.Plain(all), w) }); at >= 0 {
				t.Errorf("%s: %q has %q", g.Rule, lint.Plain(all), fileWords[at])
			}
		}
	}
}

// crane judges the demo kit under a job.
func craneUnder(t *testing.T, toml string) []lint.Finding {
	t.Helper()
	j, err := job.Parse([]byte(toml), "job.toml", nil)
	if err != nil {
		t.Fatal(err)
	}
	f, err := os.Open("../../fixtures/harbour-crane.dxf")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	res := lint.Check(t.Context(), "crane.dxf", f, j, lint.Options{Rules: All()})
	if res.Err != nil {
		t.Fatal(res.Err)
	}
	return res.Findings
}

// A kit of which no joint suits the sheet cannot be put together: that is an
// error, unless the job says what it is.
func TestNoJointFits(t *testing.T) {
	for _, c := range []struct {
		name, toml string
		want       lint.Tally
	}{
		{"no thickness", "", lint.Tally{}},
		{"too thick", "[sheet]\nthickness = \"4.76mm\"\n", lint.Tally{Error: 50}},
		{"too thin", "[sheet]\nthickness = \"1mm\"\n", lint.Tally{Error: 50}},
		{"it suits", "[sheet]\nthickness = \"2.9mm\"\n", lint.Tally{}},
		{"the job has it", "[sheet]\nthickness = \"4.76mm\"\n[rules]\nslot-thickness = \"warning\"\n", lint.Tally{Warning: 50}},
		{"the job leaves it out", "[sheet]\nthickness = \"4.76mm\"\n[rules]\nslot-thickness = \"off\"\n", lint.Tally{}},
	} {
		var of []lint.Finding
		for _, f := range craneUnder(t, c.toml) {
			if f.Rule == "slot-thickness" {
				of = append(of, f)
			}
		}
		if got := lint.TallyOf(of); got != c.want {
			t.Errorf("%s: %+v, want %+v", c.name, got, c.want)
		}
	}
}

// rects is a drawing of rectangles, each left, bottom, right, top.
func rects(boxes ...[4]string) string {
	var b strings.Builder
	b.WriteString("0\nSECTION\n2\nENTITIES\n")
	for _, r := range boxes {
		b.WriteString("0\nLWPOLYLINE\n8\n0\n90\n4\n70\n1\n")
		for _, k := range [4][2]int{{0, 1}, {2, 1}, {2, 3}, {0, 3}} {
			b.WriteString("10\n" + r[k[0]] + "\n20\n" + r[k[1]] + "\n")
		}
	}
	b.WriteString("0\nENDSEC\n0\nEOF\n")
	return b.String()
}

// Parts that fit once they are moved together are one note with the way; those
// that fit nowhere are errors, each.
func TestOffSheet(t *testing.T) {
	const sheet = "units = \"mm\"\n[sheet]\nsize = [\"300mm\", \"200mm\"]\n"
	for _, c := range []struct {
		name, toml string
		boxes      [][4]string
		want       []string // severity, part and measure of each
		move       geom.Point
	}{
		{"on it", sheet, [][4]string{{"10", "10", "290", "190"}}, nil, geom.Point{}},
		{"at negative coordinates", sheet, [][4]string{{"-250", "-120", "-10", "-60"}, {"-250", "-50", "-200", "-10"}}, []string{"note  290.689"}, geom.Pt(260, 130)},
		{"past the right edge", sheet, [][4]string{{"250", "20", "310", "60"}}, []string{"note  20"}, geom.Pt(-20, 0)},
		{"too far apart", sheet, [][4]string{{"5", "20", "60", "60"}, {"250", "20", "310", "60"}}, []string{"error 1 5", "error 2 20"}, geom.Point{}},
		{"larger", sheet, [][4]string{{"20", "20", "320", "60"}}, []string{"error 1 30"}, geom.Point{}},
		{"the job has it", sheet + "[rules]\noff-sheet = \"warning\"\n", [][4]string{{"-60", "20", "-10", "60"}}, []string{"warning  70"}, geom.Pt(70, 0)},
		{"no size", "units = \"mm\"\n", [][4]string{{"-60", "20", "-10", "60"}}, nil, geom.Point{}},
	} {
		j, err := job.Parse([]byte(c.toml), "job.toml", nil)
		if err != nil {
			t.Fatal(err)
		}
		res := lint.Check(t.Context(), "x.dxf", strings.NewReader(rects(c.boxes...)), j, lint.Options{Rules: []*lint.Rule{offSheet}})
		var got []string
		for _, f := range res.Findings {
			got = append(got, strings.Join([]string{f.Severity.String(), f.Part, mm(f.Measure.Value)}, " "))
			if c.move != (geom.Point{}) && !strings.Contains(f.Message, "moved by "+mm(c.move.X)+", "+mm(c.move.Y)+" mm") {
				t.Errorf("%s: %s, want a move by %v", c.name, f.Message, c.move)
			}
		}
		slices.Sort(got)
		if !slices.Equal(got, c.want) {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}
