package dxf

import (
	"bytes"
	"context"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"testing"
	"testing/iotest"
	"time"
	"unicode/utf8"

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
	f.Add(writeBytes(f, &Output{Items: sample(), Factor: 25.4, InsUnits: 1}))
	f.Fuzz(func(t *testing.T, data []byte) { survive(t, data) })
}

func FuzzNumber(f *testing.F) {
	for _, s := range []string{"1.5", "1,5", "1.0E 20", "-0", "nan", "1e999"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		v, st := parseFloat(b)
		if st != numberBad && v-v != 0 {
			t.Fatalf("%q: %v", b, v)
		}
	})
}

// mutant returns a changed copy of an ASCII file: groups swapped, dropped,
// doubled, corrupted, moved elsewhere or cut off.
func mutant(r *rand.Rand, lines []string) []string {
	out := append([]string(nil), lines...)
	pair := func() int { return 2 * r.IntN(max(1, len(out)/2)) }
	odd := []string{"", "0", "-1", "1e300", "nan", "1,5", "99999999999", "x", "30000", "\x00", "ENDSEC", "INSERT", "SECTION", "210", "70", "1e-300", "-32768", "2", "\xff\xfe"}
	for range 1 + r.IntN(4) {
		if len(out) < 4 {
			break
		}
		i, j := pair(), pair()
		switch r.IntN(8) {
		case 0: // swap two groups
			if i+1 < len(out) && j+1 < len(out) {
				out[i], out[j], out[i+1], out[j+1] = out[j], out[i], out[j+1], out[i+1]
			}
		case 1: // drop a group
			out = append(out[:i], out[min(len(out), i+2):]...)
		case 2: // double a stretch
			k := min(len(out), i+2*(1+r.IntN(20)))
			out = append(out[:k], append(append([]string(nil), out[i:k]...), out[k:]...)...)
		case 3: // corrupt a value
			if i+1 < len(out) {
				out[i+1] = odd[r.IntN(len(odd))]
			}
		case 4: // corrupt a code
			out[i] = odd[r.IntN(len(odd))]
		case 5: // drop one line
			k := r.IntN(len(out))
			out = append(out[:k], out[k+1:]...)
		case 6: // another code for the same value
			out[i] = strconv.Itoa(r.IntN(260))
		case 7: // cut off
			if r.IntN(4) == 0 {
				out = out[:1+r.IntN(len(out)-1)]
			}
		}
	}
	return out
}

// TestMutants reads damaged copies of valid files: seeds of this package and,
// when present, the sample drawings. SLUICE_MUTANTS sets how many (default
// 1000); the log tells how many were read, and the slowest and largest.
func TestMutants(t *testing.T) {
	n := 1000
	if v, err := strconv.Atoi(os.Getenv("SLUICE_MUTANTS")); err == nil {
		n = v
	}
	seeds := []string{whole,
		file("", blockL+"0 BLOCK 2 M 70 0 10 0 20 0 0 INSERT 8 0 2 L 10 1 20 0 41 -2 42 3 50 90 70 3 71 3 44 1 45 1 0 ENDBLK 8 0", "0 INSERT 8 A 2 M 10 5 20 6 41 1 42 -1 50 45 0 INSERT 8 A 2 L 10 0 20 0 70 4 44 2"),
		file("", "", "0 SPLINE 8 A 70 8 71 3 72 8 73 4 40 0 40 0 40 0 40 0 40 1 40 1 40 1 40 1 10 0 20 0 10 10 20 10 10 20 20 -10 10 30 20 0 0 ELLIPSE 8 A 10 1 20 2 11 30 21 0 40 0.5 41 0 42 6 0 HATCH 8 A 10 0 20 0 30 0 91 1 92 1 93 1 72 3 10 0 20 0 11 1 21 0 40 0.5 50 0 51 90 73 0 75 0"),
		string(writeBytes(t, &Output{Items: sample(), Factor: 1, InsUnits: 4})),
	}
	for _, p := range samplePaths(t) {
		if b, err := os.ReadFile(p); err == nil && len(b) < 60_000 && !bytes.HasPrefix(b, []byte(sentinel)) {
			seeds = append(seeds, string(b))
		}
	}
	r := rand.New(rand.NewPCG(5, 6))
	read := 0
	var slowest time.Duration
	var largest uint64
	var mem runtime.MemStats
	for i := range n {
		lines := mutant(r, strings.Split(seeds[i%len(seeds)], "\n"))
		t0 := time.Now()
		if survive(t, []byte(strings.Join(lines, "\n"))) {
			read++
		}
		if d := time.Since(t0); d > slowest {
			slowest = d
			if p := os.Getenv("SLUICE_SLOWEST"); p != "" {
				os.WriteFile(p, []byte(strings.Join(lines, "\n")), 0o644)
			}
		}
		if i%200 == 0 {
			runtime.ReadMemStats(&mem)
			largest = max(largest, mem.Sys)
		}
	}
	t.Logf("%d mutants: %d read, %d refused; slowest %v; process memory %d MiB", n, read, n-read, slowest, largest>>20)
	if read == 0 || read == n {
		t.Errorf("%d of %d read: the mutator does not bite", read, n)
	}
	// Binary files: bytes changed anywhere.
	for _, short := range []bool{true, false} {
		b := toBinary(t, whole, short)
		for range n / 10 {
			m := bytes.Clone(b)
			for range 1 + r.IntN(4) {
				m[r.IntN(len(m))] = byte(r.IntN(256))
			}
			survive(t, m)
		}
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
			if a.code != b.code || a.line != b.line || a.start != b.start || a.bad != b.bad || !bytes.Equal(a.val, b.val) {
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
