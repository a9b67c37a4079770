package report

import (
	"bytes"
	"encoding/csv"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"testing"

	"sluice/fix"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/outline"
	"sluice/lint"
	"sluice/lint/figures"
	"sluice/lint/job"
	"sluice/lint/mend"
	"sluice/lint/rules"
)

// hostile is what a drawing might use as a name to break out of any of the
// formats: tags, script ends, quotes, entities, terminal sequences, line ends,
// direction overrides, bytes that are not UTF-8.
const hostile = "</script><script>alert(1)</script><img src=x onerror=alert(2)>\"'`${7*7}{{.}}&lt;]]>\x1b[31m\r\n::error::x\u202e\u2028\xff\x00"

func hostileLint() *lint.Result {
	m := crane(false)
	m.draw.Layers[0].Name = hostile
	m.draw.Texts = append(m.draw.Texts, drawing.Text{At: geom.Pt(1, 2), Height: 3, Angle: 1, Value: hostile})
	m.draw.Unit.Name, m.draw.Unit.Basis = "mm", "guess"
	r := m.result("kits/" + hostile + ".dxf")
	r.Job.Sheet.Material, r.Job.Path = hostile, hostile
	r.Job.Layers.Etch = []string{hostile}
	for range r.Sheet.Parts {
		r.Names = append(r.Names, hostile)
	}
	r.Findings = []lint.Finding{
		{Rule: "live-text", Severity: lint.Note, Message: hostile, At: geom.Pt(1, 2), Layer: hostile, Entities: []string{hostile}, Part: hostile,
			Measure: &lint.Measure{Name: hostile, Value: 1, Limit: 2, Unit: hostile}, Repair: lint.None, ID: hostile},
	}
	return r
}

func hostileFix() *lint.Repaired {
	r := hostileLint()
	return &lint.Repaired{Input: hostile, Output: hostile, Before: r, After: hostileLint(), Left: r.Findings,
		Edits:  []fix.Edit{{Kind: hostile, Rule: hostile, Part: hostile, Entities: []string{hostile}, Note: hostile}},
		Tabs:   []lint.Tab{{Part: hostile}},
		Labels: []lint.Label{{Part: hostile, Text: hostile, Where: "inside"}},
		Account: lint.Account{Read: 1, LeftOut: 1, ByType: []lint.TypeAccount{{Type: hostile, Read: 1, LeftOut: 1}},
			Left: []lint.LeftOutItem{{Type: hostile, Count: 1, Why: hostile}}}}
}

func unreadable() *lint.Result {
	return &lint.Result{Path: hostile, Err: errors.New(hostile), Extents: geom.NoBox()}
}

func hostileAbout() About {
	return About{Version: hostile, Rules: []Rule{{ID: "live-text", Title: hostile, What: hostile, Why: hostile, Fix: hostile, Severity: "note"}}}
}

func hostileCheck(results ...*lint.Result) *Check {
	return &Check{About: hostileAbout(), Check: figures.CheckOf(results), FailOn: lint.Note, Text: TextOptions{After: hostile}}
}

// hostileSides are two drawings that differ, with hostile names.
func hostileSides(t *testing.T) (before, after *lint.Result) {
	before, after = kitBefore(t), kitAfter(t)
	for _, r := range []*lint.Result{before, after} {
		r.Path = "kits/" + hostile + ".dxf"
		r.Drawing.Unit.Name = hostile
		for i := range r.Drawing.Layers {
			r.Drawing.Layers[i].Name = hostile
		}
		for i := range r.Names {
			r.Names[i] = hostile
		}
	}
	before.Drawing.Layers[0].Name = "<b>"
	after.Drawing.Texts[0].Value = hostile
	return before, after
}

// hostileNames are names as they can stand in layer names and texts of a DXF.
var hostileNames = []string{
	"</script><script>alert(1)</script>", "\"><img src=x onerror=alert(2)>", "'quoted' \"twice\" & <b>amp</b> &lt;]]>",
	"\u202eright to left \u05d0\u05d1", strings.Repeat("long ", 700), "a\tb\x01\x1b[31mred", "=1+1", "::error::x", "%0A%%d^J", "bad\xff\xfe\xc3",
}

type hostileDrawing struct {
	before, after *lint.Result
	repaired      *lint.Repaired
}

// hostileKit reads, judges and repairs a drawing whose layers, texts and types of
// entity have hostile names, and reads the corrected drawing back with hostile
// names for its parts.
func hostileKit(t *testing.T) hostileDrawing {
	t.Helper()
	var b bytes.Buffer
	tag := func(code int, value string) { fmt.Fprintf(&b, "%d\n%s\n", code, value) }
	tag(0, "SECTION")
	tag(2, "ENTITIES")
	for i, n := range hostileNames {
		x := fmt.Sprint(100 * i)
		for _, e := range [][]string{
			{"CIRCLE", "10", x, "20", "0", "40", fmt.Sprint(20 + i)}, {"LINE", "10", x, "20", "0", "11", x, "21", "5"},
			{"TEXT", "10", x, "20", "0", "40", "3", "1", n}, {"IMAGE", "10", x, "20", "0"}, {n, "10", x, "20", "0"},
		} {
			tag(0, e[0])
			tag(8, n)
			for k := 1; k < len(e); k += 2 {
				fmt.Fprintf(&b, "%s\n%s\n", e[k], e[k+1])
			}
		}
	}
	tag(0, "ENDSEC")
	tag(0, "EOF")
	j := job.Default()
	j.Sheet.Material, j.Sheet.Thickness, j.Cost.Currency = hostile, 3, hostile
	o := lint.Options{Rules: rules.All()}
	done, out, err := mend.Fix(t.Context(), "kits/"+hostile+".dxf", &b, j, mend.Options{Options: o})
	if err != nil {
		t.Fatal(err)
	}
	h := hostileDrawing{before: done.Before, repaired: done}
	for i := range hostileNames {
		out = bytes.Replace(out, fmt.Appendf(nil, "part %d\r\n", i+1), []byte("part "+hostileNames[i]+"\r\n"), 1)
		out = bytes.Replace(out, fmt.Appendf(nil, "part %d\n", i+1), []byte("part "+hostileNames[i]+"\n"), 1)
	}
	h.after = lint.Check(t.Context(), "out.dxf", bytes.NewReader(out), j, o)
	if h.after.Err != nil {
		t.Fatal(h.after.Err)
	}
	if !slices.ContainsFunc(h.after.Names, func(n string) bool { return strings.Contains(n, "<script>") }) || len(h.before.Findings) == 0 {
		t.Fatalf("the names do not get through: %q", h.after.Names)
	}
	return h
}

func TestCSVKeepsSpreadsheetsFromCalculating(t *testing.T) {
	rows := []figures.Row{{Number: "1", Count: 2, Layer: "=cmd()", Name: "+1"}, {Number: "@x", Name: "-2\n3"}, {Layer: "a,\"b\""}}
	b := write(t, func(w io.Writer) error {
		return partsCSV(w, &Parts{Parts: &figures.Parts{Schedule: &figures.Schedule{Rows: rows}}})
	})
	rec, err := csv.NewReader(bytes.NewReader(b)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range [][3]string{{"1", "'=cmd()", "'+1"}, {"'@x", "", "'-2 3"}, {"", `a,"b"`, ""}} {
		if got := [3]string{rec[i+1][0], rec[i+1][8], rec[i+1][9]}; got != want {
			t.Errorf("row %d: %q, want %q", i, got, want)
		}
	}
}

func wellFormed(doc []byte) error {
	d := xml.NewDecoder(bytes.NewReader(doc))
	for {
		if _, err := d.Token(); err == io.EOF {
			return nil
		} else if err != nil {
			return err
		}
	}
}

var nan, inf = math.NaN(), math.Inf(1)

// brokenNumbers is a result in which every number that could go wrong has.
func brokenNumbers() *lint.Result {
	m := crane(false)
	bad := geom.Path{geom.Line(geom.Pt(nan, 0), geom.Pt(inf, 1)), {A: geom.Pt(0, 0), B: geom.Pt(1, 1), C: geom.Pt(nan, nan), R: inf, Sweep: nan}}
	m.sheet.Outlines = append(m.sheet.Outlines, outline.Outline{Path: outline.Path{Pieces: bad}, Area: nan, Centroid: geom.Pt(nan, inf), Box: geom.NoBox(), Parent: -1})
	m.sheet.Parts = append(m.sheet.Parts, outline.Part{Outer: int32(len(m.sheet.Outlines) - 1), Area: inf, Centroid: geom.Pt(nan, nan), Box: geom.NoBox(), Number: 9})
	m.sheet.Gaps = append(m.sheet.Gaps, outline.Gap{At: geom.Pt(nan, 1), A: geom.Pt(inf, 1), B: geom.Pt(1, nan), Partner: true})
	m.sheet.Open = append(m.sheet.Open, outline.Open{Path: outline.Path{Pieces: bad}})
	m.draw.Texts = append(m.draw.Texts, drawing.Text{At: geom.Pt(nan, 0), Height: inf, Value: "x"}, drawing.Text{Height: 1, Angle: nan, Value: "y"})
	r := m.result("broken-numbers.dxf")
	r.Extents = geom.Box{Min: geom.Pt(nan, 0), Max: geom.Pt(inf, 1)}
	r.Job.Jet.Kerf, r.Job.Sheet.Size = nan, []float64{inf, nan}
	for _, p := range []geom.Point{{X: nan, Y: nan}, {X: inf, Y: -inf}, {X: 1e300, Y: -1e300}} {
		r.Findings = append(r.Findings, lint.Finding{Rule: "narrow-slot", Severity: lint.Error, Message: "m", At: p, Box: geom.BoxOf(p),
			Measure: &lint.Measure{Name: "width", Value: nan, Limit: inf, Unit: "mm"}})
	}
	return r
}

func brokenRepair() *lint.Repaired {
	at := geom.Pt(nan, -inf)
	return &lint.Repaired{Before: brokenNumbers(), After: brokenNumbers(), Left: brokenNumbers().Findings,
		Edits:  []fix.Edit{{Kind: "tab", At: at, Moved: nan}},
		Tabs:   []lint.Tab{{At: at, Width: nan, Gap: inf}},
		Labels: []lint.Label{{At: at, Height: nan, Angle: -inf, Where: "inside"}}}
}
