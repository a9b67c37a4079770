package rules_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/rules"
)

// A plate of that size in drawing units with a screw hole in each corner.
func plateFile(header string, w, h, hole float64) string {
	var b strings.Builder
	b.WriteString("0\nSECTION\n2\nHEADER\n" + header + "0\nENDSEC\n0\nSECTION\n2\nENTITIES\n")
	p := [][2]float64{{0, 0}, {w, 0}, {w, h}, {0, h}}
	for i := range p {
		q := p[(i+1)%4]
		fmt.Fprintf(&b, "0\nLINE\n8\n0\n10\n%g\n20\n%g\n11\n%g\n21\n%g\n", p[i][0], p[i][1], q[0], q[1])
		fmt.Fprintf(&b, "0\nCIRCLE\n8\n0\n10\n%g\n20\n%g\n40\n%g\n", w/2+(p[i][0]-w/2)*0.8, h/2+(p[i][1]-h/2)*0.8, hole/2)
	}
	return b.String() + "0\nENDSEC\n0\nEOF\n"
}

const (
	saysInch     = "9\n$INSUNITS\n70\n1\n"
	saysMM       = "9\n$INSUNITS\n70\n4\n"
	saysImperial = "9\n$MEASUREMENT\n70\n0\n"
)

func TestUnitDoubtSeverity(t *testing.T) {
	for _, c := range []struct {
		name, file, units, rule string
		want                    lint.Severity // Off: nothing told
	}{
		{"sound", plateFile(saysMM, 300, 200, 4.5), "", "", lint.Off},
		{"sound, in inches", plateFile(saysInch, 12, 8, 0.1875), "", "", lint.Off},
		{"22 m wide", plateFile(saysInch, 880, 500, 4.5), "", "", lint.Error},
		{"the same, asked for", plateFile(saysMM, 880, 500, 4.5), "in", "", lint.Error},
		{"the same, settled", plateFile(saysInch, 880, 500, 4.5), "mm", "", lint.Off},
		{"the same, by the job a warning", plateFile(saysInch, 880, 500, 4.5), "", "warning", lint.Warning},
		{"headers contradict, settled by what is drawn", plateFile(saysMM+saysImperial, 300, 200, 4.5), "", "", lint.Note},
		{"headers contradict, nothing settles it", plateFile(saysMM+saysImperial, 12, 8, 2.5), "", "", lint.Warning},
		{"none stated", plateFile("", 300, 200, 4.5), "", "", lint.Warning},
	} {
		t.Run(c.name, func(t *testing.T) {
			j := job.Default()
			if j.Units, j.UnitsBasis = c.units, "flag"; c.rule != "" {
				j.Rules = map[string]string{"unit-doubt": c.rule}
			}
			res := lint.Check(context.Background(), "a.dxf", strings.NewReader(c.file), j, lint.Options{Rules: rules.All()})
			if res.Err != nil {
				t.Fatal(res.Err)
			}
			got := lint.Off
			for _, f := range res.Findings {
				if f.Rule == "unit-doubt" {
					got = f.Severity
				}
			}
			if got != c.want {
				t.Errorf("%v, want %v: %s", got, c.want, res.Drawing.Unit.Doubt)
			}
		})
	}
}
