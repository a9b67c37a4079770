package dxf

import (
	"bytes"
	"context"
	"encoding/binary"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

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
	b := bytes.NewBufferString(sentinel)
	lines := strings.Split(strings.TrimSuffix(ascii, "\n"), "\n")
	for i := 0; i+1 < len(lines); i += 2 {
		code, err := strconv.Atoi(strings.TrimSpace(lines[i]))
		if err != nil {
			t.Fatal(err)
		}
		v := strings.TrimSpace(lines[i+1])
		switch {
		case !short:
			binary.Write(b, binary.LittleEndian, int16(code))
		case code < 255:
			b.WriteByte(byte(code))
		default:
			b.WriteByte(255)
			binary.Write(b, binary.LittleEndian, int16(code))
		}
		whole := func() int64 {
			n, err := strconv.ParseInt(v, 10, 64)
			if err != nil {
				t.Fatal(err)
			}
			return n
		}
		switch valueKind(code) {
		case kindText:
			b.WriteString(v + "\x00")
		case kindDouble:
			f, err := strconv.ParseFloat(v, 64)
			if err != nil {
				t.Fatal(err)
			}
			binary.Write(b, binary.LittleEndian, f)
		case kindInt16:
			binary.Write(b, binary.LittleEndian, int16(whole()))
		case kindInt32:
			binary.Write(b, binary.LittleEndian, int32(whole()))
		case kindInt64:
			binary.Write(b, binary.LittleEndian, whole())
		case kindBool:
			b.WriteByte(byte(whole()))
		case kindChunk:
			b.WriteByte(byte(len(v) / 2))
			b.WriteString(v[:len(v)/2])
		default:
			t.Fatalf("code %d", code)
		}
	}
	return b.Bytes()
}

func stringsReader(s string) *strings.Reader { return strings.NewReader(s) }
