package dxf

import (
	"bytes"
	"context"
	"io"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/google/go-cmp/cmp"

	"sluice/geom/drawing"
)

// whole is a drawing with all that a survivor must keep.
var whole = "0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1015\n9\n$INSUNITS\n70\n4\n9\n$MEASUREMENT\n70\n1\n0\nENDSEC\n" +
	file("0 TABLE 2 LAYER 70 1 0 LAYER 2 CUT 70 0 62 3 6 CONTINUOUS 0 ENDTAB", blockL,
		`0 LINE 5 2F 100 AcDbEntity 8 CUT 100 AcDbLine 10 1.5 20 2.25 30 0.0 11 3 21 4 31 0.0
		0 ARC 5 30 8 CUT 10 1 20 2 40 3 50 30 51 100
		0 CIRCLE 5 31 8 CUT 10 1 20 2 40 3
		0 LWPOLYLINE 5 32 8 CUT 90 3 70 1 10 0 20 0 10 4 20 0 42 0.5 10 4 20 3
		0 INSERT 5 33 8 CUT 2 L 10 50 20 60
		0 TEXT 5 34 8 CUT 10 1 20 2 40 3 1 part~one
		0 POLYLINE 5 35 8 CUT 66 1 70 0 0 VERTEX 8 CUT 10 0 20 0 0 VERTEX 8 CUT 10 1 20 0 0 SEQEND 8 CUT
		0 POINT 5 36 8 CUT 10 7 20 8`)

// sameButLines compares two drawings of the same content, with other lines.
func sameButLines(t *testing.T, want, got *drawing.Drawing) {
	t.Helper()
	strip := func(d *drawing.Drawing) drawing.Drawing {
		c := *d
		c.Problems = nil
		c.Entities = append([]drawing.Entity(nil), d.Entities...)
		for i := range c.Entities {
			c.Entities[i].Line = 0
		}
		return c
	}
	if diff := cmp.Diff(strip(want), strip(got)); diff != "" {
		t.Errorf("not the same drawing (-want +got):\n%s", diff)
	}
}

func TestSurvive(t *testing.T) {
	want := read1(t, whole)
	if len(want.Problems) > 0 || len(want.Entities) != 8 {
		t.Fatalf("%d entities, problems %v", len(want.Entities), want.Problems)
	}
	padded := func(s string) string {
		lines := strings.Split(s, "\n")
		for i := 0; i < len(lines); i += 2 {
			lines[i] = "  " + lines[i] + "\t"
		}
		return strings.Join(lines, "\n")
	}
	between := func(s string, add string) string {
		lines := strings.SplitAfter(s, "\n")
		var b strings.Builder
		for i, l := range lines {
			if i%2 == 0 && i%6 == 0 {
				b.WriteString(add)
			}
			b.WriteString(l)
		}
		return b.String()
	}
	rep := strings.NewReplacer
	lines := strings.Count(whole, "\n")
	for _, c := range []struct {
		name, file string
		problems   []string
	}{
		{"CRLF", rep("\n", "\r\n").Replace(whole), nil},
		{"CR", rep("\n", "\r").Replace(whole), nil},
		{"CR CR LF", rep("\n", "\r\r\n").Replace(whole), nil},
		{"BOM", "\xef\xbb\xbf" + whole, nil},
		{"double spaced", rep("\n", "\n\n").Replace(whole), nil},
		{"double spaced with CRLF", rep("\n", "\r\n\r\n").Replace(whole), nil},
		{"blank lines between groups", between(whole, "\n \n"), nil},
		{"leading blank lines", "\n\n" + whole, nil},
		{"trailing blank lines", whole + "\n\n  \n", nil},
		{"padded codes", padded(whole), nil},
		{"comments", between(whole, "999\nmade by hand\n"), nil},
		{"comment first", "999\nmade by hand\n" + whole, nil},
		{"no EOF", strings.TrimSuffix(whole, "0\nEOF\n"), []string{"missing-eof:" + itoa(lines-2)}},
		{"no ENDSEC, no EOF", strings.TrimSuffix(whole, "0\nENDSEC\n0\nEOF\n"), []string{"missing-eof:" + itoa(lines-4)}},
		{"no ENDSEC", strings.TrimSuffix(whole, "0\nENDSEC\n0\nEOF\n") + "0\nEOF\n", []string{"missing-endsec:" + itoa(lines-2)}},
		{"no line end behind EOF", strings.TrimSuffix(whole, "\n"), nil},
		{"junk behind EOF", whole + "\x1a\x00junk\n%%%\n0\nLINE\n", nil},
		{"control-Z at the end", whole + "\x1a", nil},
		{"lower case", rep("LINE", "line", "SECTION", "Section", "EOF", "eof").Replace(whole), nil},
		{"blanks in exponents", rep("1.5\n", "1.5E 00\n", "2.25\n", "22.5e-1\n").Replace(whole), nil},
		{"exponents of Fortran", rep("1.5\n", "15D-1\n").Replace(whole), nil},
		{"plus signs", rep("\n1.5\n", "\n+1.5\n").Replace(whole), nil},
		{"whole numbers with fractions", rep("70\n4\n", "70\n4.0\n", "90\n3\n", "90\n3.0\n").Replace(whole), nil},
		{"decimal comma", rep("2.25\n", "2,25\n").Replace(whole), []string{"decimal-comma:" + itoa(strings.Count(whole[:strings.Index(whole, "2.25")], "\n")+1)}},
		{"a line longer than 64 KiB", strings.Replace(whole, "part one\n", "part one\n1000\n"+strings.Repeat("x", 300_000)+"\n", 1), nil},
		{"unknown section", "0\nSECTION\n2\nTHUMBNAILIMAGE\n90\n4\n310\nFFFF\n0\nENDSEC\n" + whole, nil},
		{"thumbnail of many chunks behind", strings.TrimSuffix(whole, "0\nEOF\n") + "0\nSECTION\n2\nACDSDATA\n" + strings.Repeat("310\nFFFF\n", 5000) + "0\nENDSEC\n0\nEOF\n", nil},
		{"leading junk", "made by hand\n" + whole, []string{"bad-group:1"}},
		{"extended data", rep("20\n2.25\n", "20\n2.25\n1001\nAPP\n1010\n9\n1020\n9\n1030\n9\n1040\n7\n").Replace(whole), nil},
		{"embedded object", rep("1\npart one\n", "1\npart one\n101\nEmbedded Object\n10\n99\n20\n99\n40\n77\n").Replace(whole), nil},
		{"no number for a handle", rep("5\n36\n", "5\n36\n5\nzz\n").Replace(whole), nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := read1(t, c.file)
			sameButLines(t, want, d)
			if diff := cmp.Diff(c.problems, problemCodes(d)); diff != "" {
				t.Error(diff)
			}
			_, err := ReadStrict(context.Background(), strings.NewReader(c.file), Options{})
			if (err != nil) != (len(c.problems) > 0) {
				t.Errorf("strict: %v", err)
			}
		})
	}
	for name, r := range map[string]io.Reader{
		"one byte at a time": iotest.OneByteReader(strings.NewReader(whole)),
		"data with the end":  iotest.DataErrReader(strings.NewReader(whole)),
		"halves":             iotest.HalfReader(strings.NewReader(whole)),
	} {
		d, err := Read(context.Background(), r, Options{})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		sameButLines(t, want, d)
	}
	broken := iotest.ErrReader(io.ErrClosedPipe)
	if _, err := Read(context.Background(), io.MultiReader(strings.NewReader(whole[:len(whole)/2]), broken), Options{}); err != io.ErrClosedPipe {
		t.Errorf("a failing disk: %v", err)
	}
}

func TestBinary(t *testing.T) {
	want := read1(t, whole)
	for _, short := range []bool{true, false} {
		b := toBinary(t, whole, short)
		d := read1(t, string(b))
		sameButLines(t, want, d)
		if len(d.Problems) > 0 {
			t.Errorf("problems %v", d.Problems)
		}
		// Cut anywhere: an error, or whole entities with a problem told.
		for n := range b {
			d, err := Read(context.Background(), bytes.NewReader(b[:n]), Options{})
			if err == nil {
				checkDrawing(t, d)
				checkPrefix(t, want, d, n)
			}
		}
	}
	if _, err := Read(context.Background(), strings.NewReader(sentinel), Options{}); err == nil {
		t.Error("a binary file of nothing is read")
	}
}

// checkPrefix asserts that d holds the first entities of want, each whole.
func checkPrefix(t *testing.T, want, d *drawing.Drawing, cut int) {
	t.Helper()
	if len(d.Problems) == 0 {
		t.Fatalf("cut at %d: no problem told", cut)
	}
	n := len(d.Strokes)
	if n > len(want.Strokes) || n > 0 && cmp.Diff(want.Strokes[:n], d.Strokes) != "" {
		t.Fatalf("cut at %d: %d strokes that are not the drawing's first", cut, n)
	}
	if n < len(want.Strokes) && n > 0 && want.Strokes[n].Entity == d.Strokes[n-1].Entity {
		t.Fatalf("cut at %d: entity %d is not whole", cut, want.Strokes[n].Entity)
	}
	if len(d.Entities) > len(want.Entities) {
		t.Fatalf("cut at %d: %d entities", cut, len(d.Entities))
	}
}

// A file cut at any byte gives whole entities only, or an error with a line.
func TestCutAnywhere(t *testing.T) {
	want := read1(t, whole)
	start := strings.Index(whole, "ENTITIES")
	firstEnd := start + strings.Index(whole[start:], "0\nARC") // here the first entity is whole
	end := strings.LastIndex(whole, "0\nENDSEC")
	for n := 1; n < len(whole)-len("0\nEOF\n"); n++ {
		d, err := Read(context.Background(), strings.NewReader(whole[:n]), Options{})
		if err != nil {
			if n > firstEnd+2 {
				t.Fatalf("cut at %d: %v", n, err)
			}
			if strings.Contains(err.Error(), "\n") {
				t.Fatalf("cut at %d: more than one line: %q", n, err)
			}
			continue
		}
		checkDrawing(t, d)
		checkPrefix(t, want, d, n)
		if lost := d.Problems[len(d.Problems)-1].Lost; !lost && len(d.Entities) < len(want.Entities) && n < end && !boundary(whole, n) {
			t.Fatalf("cut at %d, %q: nothing is told as lost", n, whole[max(0, n-30):n])
		}
	}
}

// boundary reports whether an entity may be whole when the file is cut at n: at
// a line end.
func boundary(s string, n int) bool { return s[n-1] == '\n' }

func TestNotDXF(t *testing.T) {
	for name, c := range map[string]struct{ file, want string }{
		"empty":               {"", "empty"},
		"blank":               {"\n\n  \n", "blanks"},
		"DWG":                 {"AC1027\x00\x00\x00\x00", "this is a DWG file: export it as DXF"},
		"PNG":                 {"\x89PNG\r\n\x1a\n\x00\x00", "PNG"},
		"JPEG":                {"\xff\xd8\xff\xe0", "JPEG"},
		"SVG":                 {"<?xml version=\"1.0\"?>\n<svg xmlns=\"x\">", "SVG"},
		"plain SVG":           {"<svg width=\"1\">", "SVG"},
		"XML":                 {"<?xml version=\"1.0\"?><a/>", "XML"},
		"PDF":                 {"%PDF-1.4\n", "PDF"},
		"ZIP":                 {"PK\x03\x04", "ZIP"},
		"HTML":                {"<!DOCTYPE html><html>", "web page"},
		"text":                {"Dear all,\nhere is the drawing.\n", "not a DXF drawing"},
		"numbers":             {"1\n2\n3\n4\n", "not a DXF drawing"},
		"zeroes":              {strings.Repeat("0\n", 100), "not a DXF drawing"},
		"binary":              {strings.Repeat("\x01\x00\x02", 200), "another kind"},
		"UTF-16":              {"\xff\xfe0\x00\n\x00", "UTF-16"},
		"only codes":          {"0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1", "before any entity"},
		"first entity cut":    {"0\nSECTION\n2\nENTITIES\n0\nLINE\n10\n1\n", "middle of its first entity"},
		"nothing in entities": {"0\nSECTION\n2\nENTITIES\n", "before any entity"},
	} {
		_, err := Read(context.Background(), strings.NewReader(c.file), Options{})
		if err == nil || !strings.Contains(err.Error(), c.want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: error %v, want %q", name, err, c.want)
		}
	}
}

func TestHonestlyEmpty(t *testing.T) {
	for name, f := range map[string]string{
		"entities": file("", "", ""),
		"header":   "0\nSECTION\n2\nHEADER\n0\nENDSEC\n0\nEOF\n",
	} {
		if d := read1(t, f); len(d.Entities) != 0 || len(d.Problems) != 0 {
			t.Errorf("%s: %+v", name, d)
		}
	}
}

func TestStructure(t *testing.T) {
	line := "0\nLINE\n8\nA\n10\n1\n20\n2\n11\n3\n21\n4\n"
	for name, c := range map[string]struct {
		file     string
		strokes  int
		problems []string
	}{
		"bare entities":        {line + line + "0\nEOF\n", 2, []string{"missing-section:2", "missing-endsec:26"}},
		"unnamed section":      {"0\nSECTION\n" + line + "0\nENDSEC\n0\nEOF\n", 1, []string{"missing-section:4"}},
		"two entity sections":  {"0\nSECTION\n2\nENTITIES\n" + line + "0\nENDSEC\n0\nSECTION\n2\nENTITIES\n" + line + "0\nENDSEC\n0\nEOF\n", 2, nil},
		"POLYLINE unended":     {file("", "", "0 POLYLINE 8 A 66 1 0 VERTEX 10 0 20 0 0 VERTEX 10 1 20 0 0 LINE 8 A 10 1 20 2 11 3 21 4"), 2, []string{"missing-seqend:5"}},
		"stray VERTEX":         {file("", "", "0 VERTEX 8 A 10 0 20 0 0 SEQEND 0 LINE 8 A 10 1 20 2 11 3 21 4"), 1, nil},
		"a bad line within":    {file("", "", "0 LINE 8 A 10 1 20 2 xx~xx 3 21 4 0 LINE 8 A 10 1 20 2 11 3 21 4"), 1, []string{"bad-group:13:lost"}},
		"a bad line behind":    {strings.Replace(file("", "", "0 LINE 8 A 10 1 20 2 11 3 21 4 0 LINE 8 B 10 1 20 2 11 3 21 4"), "21\n4\n0\nLINE\n8\nB", "21\n4\nxx\n0\nLINE\n8\nB", 1), 2, []string{"bad-group:17"}},
		"a value missing":      {strings.Replace(file("", "", "0 LINE 8 A 10 1 20 2 11 3 21 4 0 LINE 8 B 10 1 20 2.5 11 3 21 4"), "20\n2\n", "20\n", 1), 1, []string{"bad-group:17:lost"}},
		"blanks as a value":    {file("", "", "0 TEXT 8 A 1 - 10 1 20 2 40 1 0 LINE 8 - 10 1 20 2 11 3 21 4"), 1, nil},
		"model space in block": {file("", "0 BLOCK 2 *Model_Space 10 0 20 0 0 LINE 8 A 10 1 20 2 11 3 21 4 0 ENDBLK", ""), 1, []string{"model-in-block:5"}},
		"layout in block":      {file("", "0 BLOCK 2 *Paper_Space0 10 0 20 0 0 LINE 8 A 10 1 20 2 11 3 21 4 0 ENDBLK", "0 LINE 8 A 10 1 20 2 11 3 21 4"), 1, []string{"layout-left-out:5"}},
	} {
		d := read1(t, c.file)
		if len(d.Strokes) != c.strokes {
			t.Errorf("%s: %d strokes", name, len(d.Strokes))
		}
		if diff := cmp.Diff(c.problems, problemCodes(d)); diff != "" {
			t.Errorf("%s:\n%s", name, diff)
		}
	}
}

// Ten thousand flaws of a kind are told by the first and a count.
func TestProblemsAreCounted(t *testing.T) {
	f := file("", "", strings.Repeat("0 LINE 8 A 10 1 20 2 11 3 ", 3000))
	d := read1(t, f)
	last := d.Problems[len(d.Problems)-1]
	if len(d.Problems) != 1001 || last.Text != "2000 more of the same" || len(d.Strokes) != 3000 {
		t.Errorf("%d problems, %d strokes, last %+v", len(d.Problems), len(d.Strokes), last)
	}
}

// Decimal commas are told once a file, with the first line and how many there are.
func TestDecimalCommas(t *testing.T) {
	for n, want := range map[int]string{
		1:    `decimal comma: "1,5" is read as 1.5`,
		3000: `decimal commas in 3000 lines, the first here: "1,5" is read as 1.5`,
	} {
		f := file("", "0 BLOCK 2 L 10 0 20 0 0 ENDBLK", strings.Repeat("0 LINE 8 A 10 1,5 20 2 11 3 21 4 ", n))
		d := read1(t, f)
		if diff := cmp.Diff([]drawing.Problem{{Code: "decimal-comma", Line: 26, Entity: -1, Text: want}}, d.Problems); diff != "" {
			t.Errorf("%d (-want +got):\n%s", n, diff)
		}
		if len(d.Strokes) != n || d.Strokes[n-1].A != pt(1.5, 2) {
			t.Errorf("%d strokes, last %+v", len(d.Strokes), d.Strokes[n-1])
		}
		if _, err := ReadStrict(t.Context(), strings.NewReader(f), Options{}); err == nil || !strings.Contains(err.Error(), `line 26: decimal comma: "1,5"`) {
			t.Errorf("strict: %v", err)
		}
	}
}

func TestLineBound(t *testing.T) {
	f := "0\nSECTION\n2\nENTITIES\n0\nLINE\n10\n1\n20\n2\n11\n3\n21\n4\n0\nTEXT\n1\n" + strings.Repeat("x", 1<<20)
	d, err := Read(context.Background(), strings.NewReader(f), Options{MaxLine: 1 << 18})
	if err != nil || len(d.Strokes) != 1 || !d.Problems[0].Lost {
		t.Errorf("%v, %+v", err, d)
	}
	if _, err := ReadStrict(context.Background(), strings.NewReader(f), Options{MaxLine: 1 << 18}); err == nil {
		t.Error("strict: no error")
	}
}
