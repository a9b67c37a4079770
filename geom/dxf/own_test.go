package dxf

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
)

// A drawing is ours if one of the five layers carries the mark, and by nothing
// else.
func TestOwn(t *testing.T) {
	ours := string(writeBytes(t, &Output{Items: sample(), Factor: 1, InsUnits: 4}))
	table := func(layers string) string { return file(layers, "", "0 LINE 8 TAB 10 1 20 2 11 3 21 4") }
	for name, c := range map[string]struct {
		file string
		want bool
	}{
		"as written":             {ours, true},
		"other line types":       {strings.ReplaceAll(ours, "\n6\nSLUICE\n", "\n6\nContinuous\n"), true},
		"without extended data":  {strings.ReplaceAll(ours, "\n1001\nSLUICE\n", "\n1001\nACAD\n"), true},
		"in lower case":          {strings.ReplaceAll(strings.ReplaceAll(ours, "SLUICE", "sluice"), "\nNOTE\n", "\nNote\n"), true},
		"neither":                {strings.ReplaceAll(strings.ReplaceAll(ours, "\n6\nSLUICE\n", "\n6\nContinuous\n"), "\n1001\nSLUICE\n", "\n1001\nACAD\n"), false},
		"the five names":         {table("0 LAYER 2 OUTSIDE 70 0 6 Continuous 0 LAYER 2 INSIDE 0 LAYER 2 ETCH 0 LAYER 2 TAB 0 LAYER 2 NOTE"), false},
		"one layer left":         {table("0 LAYER 2 TAB 6 SLUICE"), true},
		"another layer":          {table("0 LAYER 2 TAB 6 Continuous 0 LAYER 2 TABS 6 SLUICE 1001 SLUICE"), false},
		"a line type of no use":  {table("0 LTYPE 2 SLUICE 0 APPID 2 SLUICE 0 LAYER 2 TAB 6 Continuous"), false},
		"on entities alone":      {file("", "", "0 LINE 8 TAB 6 SLUICE 10 1 20 2 11 3 21 4 1001 SLUICE"), false},
		"a layer called so":      {table("0 LAYER 2 SLUICE 6 SLUICE"), false},
		"tables behind entities": {strings.Replace(file("", "", "0 LINE 8 TAB 10 1 20 2 11 3 21 4"), "0\nEOF", "0\nSECTION\n2\nTABLES\n0\nLAYER\n2\nTAB\n6\nSLUICE\n0\nENDSEC\n0\nEOF", 1), true},
	} {
		for form, data := range map[string][]byte{"": []byte(c.file), " binary": toBinary(t, c.file, false)} {
			d, err := Read(t.Context(), bytes.NewReader(data), Options{})
			if err != nil {
				t.Fatalf("%s%s: %v", name, form, err)
			}
			if d.Own != c.want {
				t.Errorf("%s%s: ours %v", name, form, d.Own)
			}
		}
	}
}

// Layers that never plot: DEFPOINTS in any case, with an entry in the table or
// without, and those set so. What a block draws on layer 0 is on its reference's.
func TestNoPlot(t *testing.T) {
	const body = "0 LINE 8 %s 10 1 20 2 11 3 21 4"
	plain := func(layer string) string { return strings.Replace(body, "%s", layer, 1) }
	for name, c := range map[string]struct {
		file string
		want bool
	}{
		"defpoints":           {file("", "", plain("DEFPOINTS")), true},
		"in mixed case":       {file("0 LAYER 2 Defpoints 70 0 62 7 290 1", "", plain("defPoints")), true},
		"escaped":             {file("", "", plain(`\U+0044EFPOINTS`)), true},
		"a longer name":       {file("", "", plain("DEFPOINTS2")), false},
		"set so":              {file("0 LAYER 2 aid 70 0 62 7 290 0", "", plain("AID")), true},
		"set to plot":         {file("0 LAYER 2 aid 70 0 62 7 290 1", "", plain("aid")), false},
		"not set":             {file("0 LAYER 2 aid 70 0 62 7", "", plain("aid")), false},
		"through a block":     {file("", "0 BLOCK 2 L 10 0 20 0 "+plain("0")+" 0 ENDBLK", "0 INSERT 8 DEFPOINTS 2 L 10 0 20 0"), true},
		"block on its own":    {file("", "0 BLOCK 2 L 10 0 20 0 "+plain("DEFPOINTS")+" 0 ENDBLK", "0 INSERT 8 A 2 L 10 0 20 0"), true},
		"a reference's layer": {file("", "0 BLOCK 2 L 10 0 20 0 "+plain("A")+" 0 ENDBLK", "0 INSERT 8 DEFPOINTS 2 L 10 0 20 0"), false},
		"tables late":         {strings.Replace(file("", "", plain("aid")), "0\nEOF", "0\nSECTION\n2\nTABLES\n0\nLAYER\n2\naid\n290\n0\n0\nENDSEC\n0\nEOF", 1), true},
	} {
		for form, data := range map[string][]byte{"": []byte(c.file), " binary": toBinary(t, c.file, false)} {
			d, err := Read(t.Context(), bytes.NewReader(data), Options{})
			if err != nil {
				t.Fatalf("%s%s: %v", name, form, err)
			}
			if len(d.Strokes) != 1 || d.NoPlot(d.Strokes[0].Layer) != c.want {
				t.Errorf("%s%s: never plotted %v", name, form, !c.want)
			}
		}
	}
}

// Every unit of $INSUNITS is read and written back with 1e-6 of what is drawn.
func TestEveryUnit(t *testing.T) {
	for code := 1; code <= 24; code++ {
		for _, size := range []string{"1e-18", "1e-6", "1", "1e3"} {
			f := "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n" + fmt.Sprint(code) + "\n0\nENDSEC\n" +
				file("", "", strings.ReplaceAll("0 LWPOLYLINE 8 OUTSIDE 90 4 70 1 10 1EE 20 1EE 10 3EE 20 1EE 42 0.3 10 3EE 20 2EE 10 1EE 20 2EE", "EE", strings.TrimPrefix(size, "1")))
			d := readMM(t, []byte(f))
			if d.Unit.InsUnits() != code || d.Unit.Basis != "header" || len(d.Strokes) != 4 {
				t.Fatalf("%d: unit %+v, %d strokes", code, d.Unit, len(d.Strokes))
			}
			w := d.Extents().W()
			if w < 1e-2 || w > 1e6 { // mm: nothing a table could hold
				continue
			}
			again := readMM(t, writeBytes(t, &Output{Items: back(d), Factor: d.Unit.Factor, InsUnits: d.Unit.InsUnits(), Imperial: d.Unit.Imperial()}))
			if again.Unit.InsUnits() != code {
				t.Errorf("%d: written as %+v", code, again.Unit)
			}
			if b, g := d.Extents(), again.Extents(); b.Min.Dist(g.Min) > 1e-6*w || b.Max.Dist(g.Max) > 1e-6*w || len(again.Strokes) != len(d.Strokes) {
				t.Errorf("%d, times %s: %v drawn, %v written, %d strokes", code, size, b, g, len(again.Strokes))
			}
		}
	}
}
