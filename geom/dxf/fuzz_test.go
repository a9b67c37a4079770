package dxf

import (
	"bytes"
	"context"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"testing/iotest"
	"unicode/utf8"

	"sluice/fixtures/gen/mutate"
	"sluice/geom/drawing"
)

// survive reads data in every way and checks what must always hold.
func survive(t testing.TB, data []byte) (read bool) {
	o := Options{MaxEntities: 200_000, MaxExpanded: 50_000, MaxLine: 1 << 20, HatchOutlines: len(data)%2 == 0}
	d, err := Read(context.Background(), bytes.NewReader(data), o)
	if err != nil {
		if s := err.Error(); s == "" || strings.Contains(s, "\n") {
			t.Fatalf("error %q", s)
		}
	} else {
		checkDrawing(t, d)
		if err := d.Resolve("", "", drawing.UnitHints{Thicknesses: []float64{3}}, 0.02); err != nil {
			t.Fatal(err)
		}
		checkDrawing(t, d)
	}
	if _, strict := ReadStrict(context.Background(), bytes.NewReader(data), o); err != nil && strict == nil {
		t.Fatalf("read strictly, but not otherwise: %v", err)
	}
	return err == nil
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(whole))
	f.Add(toBinary(f, whole, true))
	f.Add(toBinary(f, whole, false))
	f.Add([]byte(file("", blockL, "0 INSERT 8 A 2 L 10 0 20 0 41 2 70 3 71 2 44 5 45 6 210 0 220 1 230 1")))
	f.Add([]byte(file("", "", "0 SPLINE 8 A 71 2 40 0 40 0 40 0 40 1 40 1 40 1 10 0 20 0 10 1 20 1 10 2 20 0 0 ELLIPSE 8 A 10 1 20 2 11 3 21 0 40 0.5 41 0 42 6")))
	f.Add([]byte(file("", "", "0 HATCH 8 A 10 0 20 0 30 0 91 1 92 1 93 1 72 3 10 0 20 0 11 1 21 0 40 0.5 50 0 51 90 73 0 75 0")))
	f.Add([]byte(file("0 LAYER 2 aid 70 0 62 7 290 0 6 SLUICE 1001 SLUICE", "", "0 ARC 8 aid 10 0 20 0 40 1 50 90 51 90 0 ELLIPSE 8 aid 10 1 20 2 11 3 21 0 40 0.5 41 1 42 1")))
	f.Add([]byte(file("", "", "0 SPLINE 8 A 40 0 40 0 40 0 40 1 40 1 40 1 10 0 20 0 10 1,5 20 1 10 2 20 0 0 SOLID 8 A 10 0 20 0 11 2 21 0 12 0 22 1")))
	f.Add(writeBytes(f, &Output{Items: sample(), Factor: 25.4, InsUnits: 1}))
	f.Fuzz(func(t *testing.T, data []byte) { survive(t, data) })
}

func FuzzNumber(f *testing.F) {
	for _, s := range []string{"1.5", "1,5", "1.0E 20", "-0", "nan", "1e999", "12.", ".5", "-.5 ", "105.00000000", "123456789", "2147483647", "9007199254740993", "0.1234567890123456789"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		v, st := parseFloat(b)
		if st != numberBad && v-v != 0 {
			t.Fatalf("%q: %v", b, v)
		}
		// What is read along with the line is what is read of the line.
		var plain group
		if end := plain.plainNumber(append(bytes.Clone(b), '\n'), 0); end >= 0 && end == len(b) {
			text := group{val: trim(b)}
			want, err := strconv.ParseFloat(string(text.val), 64)
			if err != nil || math.Float64bits(plain.num) != math.Float64bits(want) || !sameNumber(&plain, &text) {
				t.Fatalf("%q: %v, want %v, %v", b, plain.num, want, err)
			}
		}
	})
}

func sameGroup(a, b *group) bool {
	return a.code == b.code && a.line == b.line && a.start == b.start && a.bad == b.bad && bytes.Equal(a.val, b.val) && sameNumber(a, b)
}

// sameNumber compares what two groups say as numbers.
func sameNumber(a, b *group) bool {
	x, xs := a.float()
	y, ys := b.float()
	i, iok := a.int()
	k, kok := b.int()
	return math.Float64bits(x) == math.Float64bits(y) && xs == ys && i == k && iok == kok
}

// FuzzEntity reads one entity of any groups, alone, in a block that is scaled
// unevenly, turned and mirrored, and seen from below.
func FuzzEntity(f *testing.F) {
	for _, s := range []string{
		"0 LINE 8 A 10 1 20 2 11 3 21 4",
		"0 ARC 8 A 10 1 20 2 40 3 50 30 51 100 210 0.6 220 0 230 0.8",
		"0 LWPOLYLINE 8 A 90 3 70 1 43 0.5 10 0 20 0 42 1 10 4 20 0 42 -0.3 10 4 20 3",
		"0 POLYLINE 8 A 66 1 70 4 0 VERTEX 10 0 20 0 70 16 0 VERTEX 10 0 20 0 70 8 0 VERTEX 10 1 20 1 70 8 0 SEQEND",
		"0 SPLINE 8 A 70 8 71 2 72 6 73 3 40 0 40 0 40 0 40 1 40 1 40 1 41 1 41 0.5 41 1 10 0 20 0 10 1 20 1 10 2 20 0",
		"0 SPLINE 8 A 70 1 71 3 74 3 11 0 21 0 11 1 21 1 11 2 21 0 12 1 22 2",
		"0 ELLIPSE 8 A 10 1 20 2 11 3 21 0 40 0.5 41 1 42 2",
		"0 HATCH 8 A 10 0 20 0 30 0 91 2 92 3 72 1 73 1 93 2 10 0 20 0 42 0.5 10 4 20 0 97 0 92 1 93 2 72 2 10 2 20 2 40 1 50 270 51 360 73 0 72 3 10 0 20 0 11 1 21 0 40 0.5 50 0 51 90 73 1 75 0",
		"0 MLINE 8 A 70 0 71 3 72 2 73 1 11 0 21 0 12 1 22 0 13 0 23 1 74 2 41 1 41 0 11 9 21 0 12 1 22 0 13 0 23 1 74 2 41 1 41 0",
		"0 MTEXT 8 A 10 1 20 2 40 3 71 5 1 {\\fArial;a}\\Pb",
		"0 SOLID 8 A 10 0 20 0 11 2 21 0 12 0 22 1 13 2 23 1",
		"0 INSERT 8 A 2 B 10 1 20 2 41 -2 42 3 50 45 70 3 71 2 44 5 45 6",
	} {
		f.Add([]byte(tags(s)))
	}
	f.Fuzz(func(t *testing.T, body []byte) {
		if len(body) > 1<<16 {
			return
		}
		e := string(body)
		section := func(name, body string) string { return "0\nSECTION\n2\n" + name + "\n" + body + "0\nENDSEC\n" }
		block := tags("0 BLOCK 8 0 2 B 70 0 10 1 20 2") + e + tags("0 ENDBLK 8 0")
		survive(t, []byte(section("ENTITIES", e)+"0\nEOF\n"))
		survive(t, []byte(section("BLOCKS", block)+section("ENTITIES", tags("0 INSERT 8 A 2 B 10 5 20 5 41 -2 42 3 50 30 0 INSERT 8 A 2 B 10 0 20 0 70 2 44 3 210 0 220 0.6 230 -0.8"))+"0\nEOF\n"))
	})
}

// TestMutants reads damaged copies of drawings of this package in every way; the
// long run, through the rules too, is that of lint/rules.
func TestMutants(t *testing.T) {
	seeds := [][]byte{[]byte(whole), writeBytes(t, &Output{Items: sample(), Factor: 1, InsUnits: 4}),
		[]byte(file("", blockL+"0 BLOCK 2 M 70 0 10 0 20 0 0 INSERT 8 0 2 L 10 1 20 0 41 -2 42 3 50 90 70 3 71 3 44 1 45 1 0 ENDBLK 8 0", "0 INSERT 8 A 2 M 10 5 20 6 41 1 42 -1 50 45 0 INSERT 8 A 2 L 10 0 20 0 70 4 44 2")),
		[]byte(file("", "", "0 SPLINE 8 A 70 8 71 3 72 8 73 4 40 0 40 0 40 0 40 0 40 1 40 1 40 1 40 1 10 0 20 0 10 10 20 10 10 20 20 -10 10 30 20 0 0 ELLIPSE 8 A 10 1 20 2 11 30 21 0 40 0.5 41 0 42 6 0 HATCH 8 A 10 0 20 0 30 0 91 1 92 1 93 1 72 3 10 0 20 0 11 1 21 0 40 0.5 50 0 51 90 73 0 75 0")),
	}
	r := rand.New(rand.NewPCG(5, 6))
	const n = 1000
	read := 0
	for i := range n {
		if survive(t, mutate.Text(r, seeds[i%len(seeds)])) {
			read++
		}
		if i%10 == 0 {
			survive(t, mutate.Binary(r, toBinary(t, whole, i%20 == 0)))
		}
	}
	if read == 0 || read == n {
		t.Errorf("%d of %d read: the damage does not bite", read, n)
	}
}

// samplePaths returns the sample drawings, none where they are not to be had.
func samplePaths(t testing.TB) []string {
	t.Helper()
	dir := os.Getenv("SLUICE_SAMPLES")
	if dir == "" {
		dir = filepath.Join("..", "..", "..", "shared", "samples")
	}
	paths, err := filepath.Glob(filepath.Join(dir, "*.dxf"))
	if err != nil {
		t.Fatal(err)
	}
	return paths
}

// FuzzGroups: groups do not depend on how the bytes come in.
func FuzzGroups(f *testing.F) {
	f.Add([]byte(whole))
	f.Add([]byte("0\r\nSECTION\r\n\r\n  2\r\nENTITIES\r\nxx\r\n0\r\nLINE\r\n1\r\n\r\n8"))
	f.Add([]byte("0\rSECTION\r2\rENTITIES\r"))
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 1<<16 {
			return
		}
		all := newASCIISource(bytes.NewReader(nil), data, 1<<20)
		bits := newASCIISource(iotest.OneByteReader(bytes.NewReader(data)), nil, 1<<20)
		bits.sep, bits.spaced = all.sep, all.spaced // settled from the head
		bits.buf = make([]byte, 16)
		for {
			var a, b group
			ok := all.next(&a)
			if got := bits.next(&b); got != ok {
				t.Fatalf("line %d: %v, %v", all.line, ok, got)
			}
			if !ok {
				break
			}
			if !sameGroup(&a, &b) {
				t.Fatalf("%+v, %+v", a, b)
			}
		}
		if all.partial != bits.partial || all.open != bits.open || all.badLine != bits.badLine {
			t.Fatalf("%+v, %+v", all.sourceState, bits.sourceState)
		}
	})
}

func FuzzText(f *testing.F) {
	f.Add([]byte(`{\fArial;a}\P%%c5 \U+00D8 \M+18376 \S1/2;`), "ANSI_932")
	f.Add([]byte("Gr\xf6\xdfe ^J %%u"), "ANSI_1252")
	f.Fuzz(func(t *testing.T, raw []byte, page string) {
		var d decoder
		d.codePage(page)
		s := d.decode(raw)
		if !utf8.ValidString(s) {
			t.Fatalf("%q: %q is no UTF-8", raw, s)
		}
		plainMText(s)
		// What is written reads back the same, but for blanks at the ends and
		// control characters.
		clean := strings.TrimSpace(strings.Map(func(r rune) rune {
			if r < ' ' || r == 0x7f {
				return ' '
			}
			return r
		}, s))
		if got := plainText(d.decode([]byte(escapeText(s)))); got != clean {
			t.Fatalf("%q is written as %q and read as %q", clean, escapeText(s), got)
		}
	})
}
