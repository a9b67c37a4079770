package dxf

import (
	"bytes"
	"context"
	"fmt"
	"testing"
)

// mixedFile writes n entities, a quarter each of LINE, ARC, CIRCLE and
// LWPOLYLINE of six vertices, as programs of R2000 do.
func mixedFile(n int) []byte {
	var b bytes.Buffer
	b.WriteString("0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1015\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n")
	for i := range n {
		x, y := float64(i%1000)*1.2345, float64(i/1000)*2.3456
		head := func(typ, sub string) {
			fmt.Fprintf(&b, "  0\n%s\n  5\n%X\n330\n1F\n100\nAcDbEntity\n  8\nCUT\n100\n%s\n", typ, i+256, sub)
		}
		switch i % 4 {
		case 0:
			head("LINE", "AcDbLine")
			fmt.Fprintf(&b, " 10\n%.6f\n 20\n%.6f\n 30\n0.0\n 11\n%.6f\n 21\n%.6f\n 31\n0.0\n", x, y, x+1, y+0.5)
		case 1:
			head("ARC", "AcDbCircle")
			fmt.Fprintf(&b, " 10\n%.6f\n 20\n%.6f\n 30\n0.0\n 40\n%.6f\n100\nAcDbArc\n 50\n%.6f\n 51\n%.6f\n", x, y, 0.75, float64(i%360), float64((i+100)%360))
		case 2:
			head("CIRCLE", "AcDbCircle")
			fmt.Fprintf(&b, " 10\n%.6f\n 20\n%.6f\n 30\n0.0\n 40\n%.6f\n", x, y, 0.4)
		case 3:
			head("LWPOLYLINE", "AcDbPolyline")
			b.WriteString(" 90\n6\n 70\n1\n 43\n0.0\n")
			for k := range 6 {
				fmt.Fprintf(&b, " 10\n%.6f\n 20\n%.6f\n", x+float64(k%3), y+float64(k/3))
				if k == 2 {
					b.WriteString(" 42\n0.414214\n")
				}
			}
		}
	}
	b.WriteString("0\nENDSEC\n0\nEOF\n")
	return b.Bytes()
}

// BenchmarkScan is the floor: groups and numbers, nothing made of them.
func BenchmarkScan(b *testing.B) {
	file := mixedFile(100_000)
	b.SetBytes(int64(len(file)))
	b.ReportAllocs()
	for b.Loop() {
		s := newASCIISource(bytes.NewReader(file), nil, 64<<20)
		var g group
		sum := 0.0
		for s.next(&g) {
			if g.code >= 10 && g.code < 60 {
				f, _ := g.float()
				sum += f
			}
		}
	}
}

// BenchmarkRead reads 10^5 mixed entities; SetBytes gives MB/s.
func BenchmarkRead(b *testing.B) {
	file := mixedFile(100_000)
	b.SetBytes(int64(len(file)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Read(context.Background(), bytes.NewReader(file), Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
