package mend_test

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/mend"
	"sluice/lint/rules"
)

// twoPlates is a file with a plate of 140 x 120 on layer 0, a hole in it and a strip
// beside it on the layers given, and lines of a header and a layer table before.
func twoPlates(head, tables, hole, strip string) string {
	return head + tables + "0\nSECTION\n2\nENTITIES\n" +
		"0\nLWPOLYLINE\n8\n0\n90\n4\n70\n1\n10\n10\n20\n10\n10\n150\n20\n10\n10\n150\n20\n130\n10\n10\n20\n130\n" +
		"0\nCIRCLE\n8\n" + hole + "\n10\n50\n20\n50\n40\n12\n" +
		"0\nLWPOLYLINE\n8\n" + strip + "\n90\n4\n70\n1\n10\n200\n20\n10\n10\n340\n20\n10\n10\n340\n20\n130\n10\n200\n20\n130\n" +
		"0\nENDSEC\n0\nEOF\n"
}

const inMM = "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n"

func layerTable(names ...string) string {
	var b strings.Builder
	b.WriteString("0\nSECTION\n2\nTABLES\n0\nTABLE\n2\nLAYER\n")
	for _, n := range names {
		b.WriteString("0\nLAYER\n2\n" + n + "\n70\n0\n62\n7\n6\nCONTINUOUS\n")
	}
	b.WriteString("0\nENDTAB\n0\nENDSEC\n")
	return b.String()
}

// counted is what a drawing holds.
type counted struct{ Parts, Holes, Errors, Warnings int }

func tally(r *lint.Result) counted {
	c := r.Counts()
	n := lint.TallyOf(r.Findings)
	return counted{c.Parts, c.Holes, n.Error, n.Warning}
}

// In a drawing of others the names of our layers mean nothing.
func TestLayersOfOthers(t *testing.T) {
	all := layerTable("OUTSIDE", "INSIDE", "ETCH", "TAB", "NOTE")
	for _, tables := range []string{"", all} {
		for _, name := range []string{"0", "TAB", "NOTE", "OUTSIDE", "INSIDE", "tab", `\U+004EOTE`} {
			for _, c := range [][2]string{{name, "0"}, {"0", name}, {name, name}} {
				rep, out := repair(t, name, []byte(twoPlates(inMM, tables, c[0], c[1])), job.Default())
				want := counted{Parts: 2, Holes: 1}
				if diff := cmp.Diff([2]counted{want, want}, [2]counted{tally(rep.Before), tally(rep.After)}); diff != "" {
					t.Errorf("hole on %s, strip on %s (-want +got):\n%s", c[0], c[1], diff)
				}
				if rep.Before.Drawing.Own || !rep.After.Drawing.Own {
					t.Errorf("%s: before ours %v, after %v", name, rep.Before.Drawing.Own, rep.After.Drawing.Own)
				}
				if _, again := repair(t, name, out, job.Default()); !bytes.Equal(again, out) {
					t.Errorf("%s: a second repair changes the drawing", name)
				}
			}
		}
	}
}

const savedByEzdxf = `
import sys, ezdxf
doc = ezdxf.readfile(sys.argv[1])
if sys.argv[3] != "same":
    doc.dxfversion = sys.argv[3]
doc.saveas(sys.argv[2])
`

// A corrected drawing that another program has read and saved is still known as
// ours, tabs, numbers and all, and a second repair gives it its bytes back.
func TestOwnSurvivesSaving(t *testing.T) {
	outside(t, python, "-c", "import ezdxf")
	in := filepath.Join(fixtures, "harbour-crane.dxf")
	rep, out := repair(t, in, readFile(t, in), job.Default())
	ours, saved := filepath.Join(t.TempDir(), "ours.dxf"), filepath.Join(t.TempDir(), "saved.dxf")
	if err := os.WriteFile(ours, out, 0o644); err != nil {
		t.Fatal(err)
	}
	for _, version := range []string{"same", "R2010", "R2018"} {
		if msg, err := exec.Command(python, "-c", savedByEzdxf, ours, saved, version).CombinedOutput(); err != nil {
			t.Fatalf("ezdxf: %v\n%s", err, msg)
		}
		data := readFile(t, saved)
		if bytes.Equal(data, out) {
			t.Fatal("ezdxf has saved the same bytes, so nothing is tried")
		}
		got, again := repair(t, saved, data, job.Default())
		if !got.Before.Drawing.Own || len(got.Tabs) != len(rep.Tabs) || len(got.Labels) != len(rep.Labels) || len(rep.Tabs) == 0 {
			t.Errorf("%s: ours %v, %d tabs of %d, %d numbers of %d", version, got.Before.Drawing.Own, len(got.Tabs), len(rep.Tabs), len(got.Labels), len(rep.Labels))
		}
		if diff := cmp.Diff(rep.After.Names, got.Before.Names); diff != "" {
			t.Errorf("%s: names (-want +got):\n%s", version, diff)
		}
		if !bytes.Equal(again, out) {
			t.Errorf("%s: a second repair changes the drawing", version)
		}
	}
}

// What a file that is cut short has lost is an error after the repair too.
func TestLossStands(t *testing.T) {
	whole := twoPlates(inMM, "", "0", "0")
	end := strings.LastIndex(whole, "20\n130\n0\nENDSEC")
	for name, file := range map[string]string{
		"within a group":  whole[:end+4],
		"between groups":  whole[:end],
		"corners missing": strings.Replace(whole, "90\n4\n70\n1\n10\n200", "90\n5\n70\n1\n10\n200", 1),
	} {
		rep, out := repair(t, name, []byte(file), job.Default())
		isLoss := func(f *lint.Finding) bool { return f.Rule == "unread-entity" && f.Severity == lint.Error }
		n := [3]int{}
		for k, fs := range [3][]lint.Finding{rep.Before.Findings, rep.After.Findings, rep.Left} {
			for i := range fs {
				if isLoss(&fs[i]) {
					n[k]++
				}
			}
		}
		if n != [3]int{1, 1, 1} {
			t.Errorf("%s: errors of loss before, after and left: %v", name, n)
		}
		if rep.After.Counts().Parts == 0 || len(out) == 0 {
			t.Errorf("%s: nothing is written of what is whole", name)
		}
	}
	// A file that lacks no more than its end mark has lost nothing.
	rep, _ := repair(t, "no end mark", []byte(strings.TrimSuffix(whole, "0\nEOF\n")), job.Default())
	if c := tally(rep.After); c != (counted{Parts: 2, Holes: 1}) {
		t.Errorf("no end mark: %+v", c)
	}
}

// Whatever unit a drawing states, it is repaired and keeps it, be it drawn in its
// true size or in numbers that would be mm.
func TestEveryUnit(t *testing.T) {
	mm := 0.0
	for code := 0; code <= 24; code++ {
		head := strings.Replace(inMM, "70\n4", "70\n"+strconv.Itoa(code), 1)
		for _, scale := range []float64{1, 0} {
			if scale == 0 {
				scale = 1 / mm
			}
			rep, out := repair(t, fmt.Sprintf("unit %d", code), []byte(scaled(twoPlates(head, "", "0", "0"), scale)), job.Default())
			u := rep.Before.Drawing.Unit
			mm = u.Factor
			if got := rep.After.Drawing.InsUnits; got != code && code > 0 || rep.After.Drawing.Unit.Factor != mm {
				t.Errorf("unit %d: written as %d, %+v", code, got, rep.After.Drawing.Unit)
			}
			if scale != 1 {
				if c := tally(rep.After); c.Parts != 2 || c.Holes != 1 || c.Errors > 0 || rep.After.Extents.W() < 329 || rep.After.Extents.W() > 331 {
					t.Errorf("unit %d in its true size: %+v, %g mm wide", code, c, rep.After.Extents.W())
				}
			}
			if _, again := repair(t, "again", out, job.Default()); !bytes.Equal(again, out) {
				t.Errorf("unit %d: a second repair changes the drawing", code)
			}
		}
	}
}

// scaled multiplies the coordinates and radii of a file.
func scaled(file string, by float64) string {
	lines := strings.Split(file, "\n")
	entities := false
	for i := 0; i+1 < len(lines); i += 2 {
		entities = entities || lines[i+1] == "ENTITIES"
		if c := lines[i]; entities && (c == "10" || c == "20" || c == "40") {
			v, err := strconv.ParseFloat(lines[i+1], 64)
			if err == nil {
				lines[i+1] = strconv.FormatFloat(v*by, 'f', -1, 64)
			}
		}
	}
	return strings.Join(lines, "\n")
}

// A layer taken by its name is told in what is left, and only once.
func TestTakenLayersAreLeft(t *testing.T) {
	rep, _, err := mend.Fix(context.Background(), "x", strings.NewReader(twoPlates(inMM, "", "Etch 1", "DEFPOINTS")), job.Default(),
		mend.Options{Options: lint.Options{Rules: rules.All()}})
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, f := range rep.Left {
		if f.Rule == "unread-entity" {
			got = append(got, f.Severity.String()+" "+f.Message)
		}
	}
	want := []string{
		`warning layer "DEFPOINTS": 1 entity with 1 closed outline left out, since it never plots`,
		`warning layer "Etch 1": 1 entity with 1 closed outline taken for marks, for the word "etch" in its name`,
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}
