package dxf

import (
	"context"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"sluice/fixtures/gen/draw"
	"sluice/geom"
	"sluice/geom/drawing"
)

// tags writes blank-separated codes and values as lines; "~" in a value stands
// for a blank, "-" alone for an empty value.
func tags(s string) string {
	var b strings.Builder
	for i, f := range strings.Fields(s) {
		if i%2 == 1 {
			f = strings.ReplaceAll(f, "~", " ")
			if f == "-" {
				f = ""
			}
		}
		b.WriteString(f + "\n")
	}
	return b.String()
}

// file wraps sections around entities; blocks and tables may be empty.
func file(tables, blocks, entities string) string {
	var b strings.Builder
	section := func(name, body string) {
		if body != "" || name == "ENTITIES" {
			b.WriteString("0\nSECTION\n2\n" + name + "\n" + tags(body) + "0\nENDSEC\n")
		}
	}
	section("TABLES", tables)
	section("BLOCKS", blocks)
	section("ENTITIES", entities)
	return b.String() + "0\nEOF\n"
}

func read1(t testing.TB, f string) *drawing.Drawing {
	t.Helper()
	d, err := Read(context.Background(), strings.NewReader(f), Options{})
	if err != nil {
		t.Fatalf("read: %v", err)
	}
	checkDrawing(t, d)
	return d
}

// checkDrawing asserts what holds of every drawing read.
func checkDrawing(t testing.TB, d *drawing.Drawing) {
	t.Helper()
	if err := d.Check(); err != nil {
		t.Fatal(err)
	}
}

var near = cmpopts.EquateApprox(0, 1e-9)

func pieces(d *drawing.Drawing) []geom.Piece {
	var p []geom.Piece
	for _, s := range d.Strokes {
		p = append(p, s.Piece)
	}
	return p
}

func samePieces(t *testing.T, want, got []geom.Piece) {
	t.Helper()
	if diff := cmp.Diff(want, got, near, cmpopts.EquateEmpty()); diff != "" {
		t.Errorf("pieces (-want +got):\n%s", diff)
	}
}

func problemCodes(d *drawing.Drawing) []string {
	var c []string
	for _, p := range d.Problems {
		s := p.Code + ":" + strconv.Itoa(p.Line)
		if p.Lost {
			s += ":lost"
		}
		c = append(c, s)
	}
	return c
}

func noticeTexts(d *drawing.Drawing) []string {
	var c []string
	kind := map[drawing.NoticeKind]string{drawing.NotFlat: "flat", drawing.Unread: "unread", drawing.Hidden: "hidden", drawing.Wide: "wide"}
	for _, n := range d.Notices {
		c = append(c, kind[n.Kind]+": "+n.Text)
	}
	return c
}

// toBinary turns an ASCII file into the binary form, with codes of one byte
// (before R13) or two.
func toBinary(t testing.TB, ascii string, short bool) []byte {
	t.Helper()
	b, err := draw.Binary([]byte(ascii), short)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func stringsReader(s string) *strings.Reader { return strings.NewReader(s) }
