package rules

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/fixtures/gen/crane"
	"sluice/fixtures/gen/draw"
	"sluice/geom"
	"sluice/lint"
	"sluice/lint/job"
)

// kitForm is one way to write the same kit.
type kitForm struct {
	name string
	form crane.Form
	file func(t *testing.T, d *draw.Drawing) []byte
}

func bareFile(t *testing.T, d *draw.Drawing) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := d.WriteBare(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func binaryFile(old bool) func(t *testing.T, d *draw.Drawing) []byte {
	return func(t *testing.T, d *draw.Drawing) []byte {
		b, err := draw.Binary(bareFile(t, d), old)
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
}

// replaced returns the bare file with some bytes written otherwise.
func replaced(from, to string) func(t *testing.T, d *draw.Drawing) []byte {
	return func(t *testing.T, d *draw.Drawing) []byte {
		return bytes.ReplaceAll(bareFile(t, d), []byte(from), []byte(to))
	}
}

// entitiesAlone keeps nothing but the lines of the entities themselves, without
// any section around them.
func entitiesAlone(t *testing.T, d *draw.Drawing) []byte {
	bare := *d
	bare.Layers, bare.InsUnits = nil, -1
	_, es, _ := strings.Cut(string(bareFile(t, &bare)), "2\nENTITIES\n")
	return []byte(strings.Replace(es, "0\nENDSEC\n", "", 1))
}

var kitForms = []kitForm{
	{"as the demo", crane.Mixed, func(t *testing.T, d *draw.Drawing) []byte {
		var b bytes.Buffer
		if err := d.Write(&b); err != nil {
			t.Fatal(err)
		}
		return b.Bytes()
	}},
	{"loose lines and arcs", crane.Loose, bareFile},
	{"LWPOLYLINE", crane.Polylines, bareFile},
	{"POLYLINE", crane.OldPolylines, bareFile},
	{"blocks turned and mirrored", crane.Blocks, bareFile},
	{"blocks scaled", crane.ScaledBlocks, bareFile},
	{"blocks in rows", crane.Rows, bareFile},
	{"binary", crane.Mixed, binaryFile(false)},
	{"binary before R13", crane.OldPolylines, binaryFile(true)},
	{"CRLF", crane.Mixed, replaced("\n", "\r\n")},
	{"CR", crane.Polylines, replaced("\n", "\r")},
	{"BOM", crane.Mixed, func(t *testing.T, d *draw.Drawing) []byte { return append([]byte("\xef\xbb\xbf"), bareFile(t, d)...) }},
	{"entities alone", crane.Polylines, entitiesAlone},
}

// kitFindings judges a kit and describes findings and parts without regard to
// how it is written: entities, layers of blocks and the like are left out.
func kitFindings(t *testing.T, name string, data []byte, j *job.Job) (findings []lint.Finding, parts []string) {
	t.Helper()
	res := lint.Check(t.Context(), name, bytes.NewReader(data), j, lint.Options{Rules: All()})
	if res.Err != nil {
		t.Fatalf("%s: %v", name, res.Err)
	}
	if !res.Account.Balanced() {
		t.Errorf("%s: account %+v", name, res.Account)
	}
	for i := range res.Sheet.Parts {
		p := &res.Sheet.Parts[i]
		o := &res.Sheet.Outlines[p.Outer]
		parts = append(parts, fmt.Sprintf("%s: %d holes, %.2f mm2, %.2f x %.2f at %.2f, %.2f", res.Names[i], len(p.Holes), math.Abs(o.Area),
			o.Box.W(), o.Box.H(), o.Box.Min.X+1e-7, o.Box.Min.Y+1e-7))
	}
	return res.Findings, parts
}

// ofTheKit leaves out what is told of the file itself, and what lies on the layer
// that is frozen: without sections nothing says that it is.
func ofTheKit(fs []lint.Finding, frozen bool) []lint.Finding {
	return slices.DeleteFunc(slices.Clone(fs), func(f lint.Finding) bool {
		return f.Rule == "unread-entity" && (f.Severity == lint.Note || !frozen && f.Layer == crane.Old)
	})
}

// formWhat says what a finding says of the parts.
func formWhat(f *lint.Finding) string {
	s := f.Rule + " " + f.Severity.String() + " part " + f.Part
	if f.Measure != nil {
		s += fmt.Sprintf(" %s %s", f.Measure.Name, f.Measure.Unit)
	}
	return s
}

// sameFindings pairs findings of one rule, part and measure that lie within
// 0.01 mm of each other, and reports those without a partner.
func sameFindings(want, got []lint.Finding) string {
	var b strings.Builder
	used := make([]bool, len(got))
next:
	for i := range want {
		for k := range got {
			if used[k] || formWhat(&want[i]) != formWhat(&got[k]) || want[i].At.Dist(got[k].At) > 0.01 {
				continue
			}
			if m, n := want[i].Measure, got[k].Measure; m != nil && math.Abs(m.Value-n.Value) > 1e-3 {
				continue
			}
			used[k] = true
			continue next
		}
		fmt.Fprintf(&b, "- %s at %s: %s\n", formWhat(&want[i]), at(want[i].At), want[i].Message)
	}
	for k := range got {
		if !used[k] {
			fmt.Fprintf(&b, "+ %s at %s: %s\n", formWhat(&got[k]), at(got[k].At), got[k].Message)
		}
	}
	return b.String()
}

func at(p geom.Point) string { return fmt.Sprintf("%.3f, %.3f", p.X, p.Y) }

// One kit, written in every form that drawings come in, gives the same parts
// and the same findings: rule, severity, part, place and measure.
func TestForms(t *testing.T) {
	for kitName, kit := range map[string]func() *crane.Kit{"clean": crane.Clean, "flawed": crane.Flawed} {
		j := job.Default()
		j.Units, j.UnitsBasis = "mm", "job" // some forms state no unit
		j.Sheet.Thickness, j.Sheet.Size = 3, []float64{610, 405}
		var want []lint.Finding
		var wantParts []string
		for i, f := range kitForms {
			k := kit()
			alone := f.name == "entities alone"
			if alone {
				k.Loose = slices.DeleteFunc(k.Loose, func(e draw.Entity) bool {
					p, ok := e.(draw.Polyline)
					return ok && p.Layer == crane.Old
				})
			}
			findings, parts := kitFindings(t, f.name, f.file(t, k.Drawing(f.form)), j)
			slices.Sort(parts)
			if i == 0 {
				want, wantParts = findings, parts
				if n := len(parts); n < 40 || kitName == "flawed" && len(findings) < 40 {
					t.Fatalf("%s kit: %d parts, %d findings", kitName, n, len(findings))
				}
				continue
			}
			if diff := cmp.Diff(wantParts, parts); diff != "" {
				t.Errorf("%s kit, %s: parts (-want +got):\n%s", kitName, f.name, diff)
			}
			if diff := sameFindings(ofTheKit(want, !alone), ofTheKit(findings, !alone)); diff != "" {
				t.Errorf("%s kit, %s: findings (-want +got):\n%s", kitName, f.name, diff)
			}
		}
	}
}
