package dxf

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"runtime/metrics"
	"slices"
	"strings"
	"testing"
	"time"

	"sluice/geom/drawing"
)

// bombs are small files that ask for endless work or memory.
func bombs() map[string]string {
	r := rand.New(rand.NewPCG(1, 2))
	wild := func(n int, size float64) string {
		var b strings.Builder
		fmt.Fprintf(&b, "0 SPLINE 8 A 70 8 71 3 72 %d 73 %d ", n+4, n)
		for i := range n + 4 {
			fmt.Fprintf(&b, "40 %d ", max(0, min(i-3, n-3)))
		}
		for range n {
			fmt.Fprintf(&b, "10 %.1f 20 %.1f ", (r.Float64()-0.5)*size, (r.Float64()-0.5)*size)
		}
		return b.String()
	}
	unit := func(code string, f string) string {
		return "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n" + code + "\n0\nENDSEC\n" + f
	}
	array := "70 30000 71 30000 44 1 45 1 "
	text := "0 BLOCK 2 T 70 0 10 0 20 0 0 MTEXT 8 0 10 0 20 0 40 1 1 " + strings.Repeat("x", 1<<20) + " 0 ENDBLK "
	var doubling strings.Builder
	for i := range 40 {
		fmt.Fprintf(&doubling, "0 BLOCK 2 D%d 70 0 10 0 20 0 0 INSERT 8 0 2 D%d 10 0 20 0 0 INSERT 8 0 2 D%d 10 1 20 0 0 ENDBLK ", i, i+1, i+1)
	}
	return map[string]string{
		"array":                    file("", blockL, "0 INSERT 8 A 2 L 10 0 20 0 "+array),
		"array of nothing":         file("", "0 BLOCK 2 L 70 0 10 0 20 0 0 ENDBLK", "0 INSERT 8 A 2 L 10 0 20 0 "+array),
		"array of a missing block": file("", "", "0 INSERT 8 A 2 L 10 0 20 0 "+array),
		"array of frozen things":   file("0 TABLE 2 LAYER 0 LAYER 2 F 70 1 62 4 0 ENDTAB", blockL+"0 BLOCK 2 Z 70 0 10 0 20 0 0 LINE 8 F 10 0 20 0 11 1 21 1 0 ENDBLK", "0 INSERT 8 A 2 Z 10 0 20 0 "+array),
		"arrays in arrays":         file("", blockL+"0 BLOCK 2 M 70 0 10 0 20 0 0 INSERT 8 0 2 L 10 0 20 0 "+array+"0 ENDBLK", "0 INSERT 8 A 2 M 10 0 20 0 "+array),
		"block of itself":          file("", "0 BLOCK 2 A 70 0 10 0 20 0 0 INSERT 8 0 2 A 10 0 20 0 0 ENDBLK", "0 INSERT 8 A 2 A 10 0 20 0"),
		"blocks in a ring":         file("", "0 BLOCK 2 A 70 0 10 0 20 0 0 INSERT 8 0 2 B 10 0 20 0 0 ENDBLK 0 BLOCK 2 B 70 0 10 0 20 0 0 INSERT 8 0 2 A 10 0 20 0 0 ENDBLK", "0 INSERT 8 A 2 A 10 0 20 0"),
		"doubling blocks":          file("", doubling.String()+strings.Replace(blockL, "2 L", "2 D40", 1), "0 INSERT 8 A 2 D0 10 0 20 0"),
		"long text in an array":    file("", text, "0 INSERT 8 A 2 T 10 0 20 0 70 1000 71 1000 44 1 45 1"),
		"long text in inserts":     file("", text, strings.Repeat("0 INSERT 8 A 2 T 10 0 20 0 70 100 71 100 44 1 45 1 ", 20)),
		"10^9 vertices said":       file("", "", "0 LWPOLYLINE 8 A 90 1000000000 70 0 10 0 20 0 10 1 20 0"),
		"10^9 points said":         file("", "", "0 SPLINE 8 A 71 3 72 1000000004 73 1000000000 40 0 40 0 40 0 40 0 40 1 40 1 40 1 40 1 10 0 20 0 10 1 20 0 10 1 20 1 10 2 20 2"),
		"10^9 edges said":          file("", "", "0 HATCH 8 A 10 0 20 0 30 0 91 1000000000 92 1 93 1000000000 72 1 10 0 20 0 11 1 21 1 75 0"),
		"wild spline":              file("", "", wild(5000, 1e12)),
		"spline of kilometres":     file("", "", wild(5000, 1e9)),
		"splines of kilometres":    file("", "0 BLOCK 2 W 70 0 10 0 20 0 "+wild(100, 1e9)+"0 ENDBLK", "0 INSERT 8 A 2 W 10 0 20 0 70 50 71 100 44 1 45 1"),
		"splines of a sheet":       file("", "0 BLOCK 2 W 70 0 10 0 20 0 "+wild(100, 1e3)+"0 ENDBLK", "0 INSERT 8 A 2 W 10 0 20 0 70 50 71 100 44 1 45 1"),
		"wild spline, light years": unit("19", file("", "", wild(5000, 1e12))),
		"wild splines in an array": file("", "0 BLOCK 2 W 70 0 10 0 20 0 "+wild(100, 1e12)+"0 ENDBLK", "0 INSERT 8 A 2 W 10 0 20 0 70 50 71 100 44 1 45 1"),
		"ellipse of light years":   unit("19", file("", "", "0 ELLIPSE 8 A 10 0 20 0 11 1e12 21 0 40 0.3 41 0 42 6.2831853")),
		"circles as ellipses":      file("", "0 BLOCK 2 C 70 0 10 0 20 0 "+strings.Repeat("0 CIRCLE 8 0 10 0 20 0 40 1e12 ", 20)+"0 ENDBLK", "0 INSERT 8 A 2 C 10 0 20 0 41 1 42 2 70 50 71 100 44 1 45 1"),
	}
}

// Bombs end at once, with an error that names the place or a problem that says
// what was not believed, and take no more memory than an honest file would.
func TestHostile(t *testing.T) {
	told := map[string]string{ // what is read, with a problem; all others are refused
		"array of a missing block": "missing-block", "10^9 vertices said": "vertex-count", "10^9 points said": "vertex-count",
		"10^9 edges said": "vertex-count", "wild spline": "bad-curve", "wild spline, light years": "bad-curve",
		"spline of kilometres": "bad-curve", "ellipse of light years": "bad-curve", "circles as ellipses": "out-of-range",
		"splines of kilometres": "bad-curve", "splines of a sheet": "bad-curve", "wild splines in an array": "bad-curve",
	}
	for name, f := range bombs() {
		t.Run(name, func(t *testing.T) {
			ctx, cancel := context.WithTimeout(t.Context(), time.Minute) // a bomb that works fails here
			defer cancel()
			before := allocated()
			d, err := Read(ctx, strings.NewReader(f), Options{HatchOutlines: true})
			if err == nil {
				err = d.ResolveContext(ctx, "", "", drawing.UnitHints{}, 0.02)
			}
			if used := allocated() - before; used > 1<<30 {
				t.Errorf("%d MiB allocated for %d bytes", used>>20, len(f))
			}
			code := told[name]
			if code == "" {
				var e *Error
				if !errors.As(err, &e) || e.Line == 0 {
					t.Errorf("error %v, want one with a line", err)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			checkDrawing(t, d)
			if len(d.Strokes) > 1_000_000 || !slices.ContainsFunc(d.Problems, func(p drawing.Problem) bool { return p.Code == code && p.Lost }) {
				t.Errorf("%d strokes, problems %v, want %s", len(d.Strokes), problemCodes(d), code)
			}
		})
	}
}

// allocated returns how many bytes were ever taken from the heap.
func allocated() uint64 {
	m := []metrics.Sample{{Name: "/gc/heap/allocs:bytes"}}
	metrics.Read(m)
	return m[0].Value.Uint64()
}
