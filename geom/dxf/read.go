package dxf

import (
	"bufio"
	"bytes"
	"context"
	"io"

	"sluice/geom/drawing"
)

// Read reads a drawing from r and recovers from what can be recovered from;
// what it met is told in Problems of the drawing, what it could not use in
// Notices. It returns an *Error where there is no drawing to be had (another
// kind of file, a file cut off before its first whole entity) or a bound of o
// is passed, the reader's own error, or ctx's.
//
// Coordinates stay in drawing units; Resolve of the drawing settles them.
func Read(ctx context.Context, r io.Reader, o Options) (*drawing.Drawing, error) {
	return read(ctx, r, o, false)
}

// ReadStrict reads like Read, but returns the first problem as an *Error.
func ReadStrict(ctx context.Context, r io.Reader, o Options) (*drawing.Drawing, error) {
	return read(ctx, r, o, true)
}

func read(ctx context.Context, r io.Reader, o Options, strict bool) (*drawing.Drawing, error) {
	o = o.withDefaults()
	rd := newReader(ctx, o, strict)
	rd.growth.size = sizeOf(r)
	br := bufio.NewReaderSize(r, firstBuffer)
	head, err := br.Peek(4096)
	if err != nil && err != io.EOF && err != bufio.ErrBufferFull {
		return nil, err
	}
	if bytes.HasPrefix(head, []byte(sentinel)) {
		br.Discard(len(sentinel))
		rd.src = &inStep{src: newBinarySource(br, o.MaxLine)}
	} else {
		if bytes.HasPrefix(head, []byte("\xef\xbb\xbf")) {
			br.Discard(3)
			head = head[3:]
			rd.text.utf8 = true
		}
		if text := notDXF(head); text != "" {
			return nil, &Error{Text: text}
		}
		// The text source has a buffer of its own, so the small one is
		// emptied into it and left.
		held, _ := br.Peek(br.Buffered())
		src := newASCIISource(r, held, o.MaxLine)
		if rd.src = (&inStep{src: src}); worthAhead(rd.growth.size) {
			a := newAhead(src)
			defer a.close()
			rd.src = a
		}
	}
	rd.growth.read = &rd.src.state().read
	if err := rd.run(); err != nil {
		return nil, err
	}
	return rd.d, nil
}

// otherFiles tells files of other kinds by how they begin, blanks aside; markup
// is told in small letters.
var otherFiles = []struct{ begins, text string }{
	{"AC1.", dwgText},
	{"AC2.", dwgText},
	{"\x89PNG", "this is a PNG picture, not a DXF drawing: export the drawing as DXF"},
	{"\xff\xd8\xff", "this is a JPEG picture, not a DXF drawing: export the drawing as DXF"},
	{"GIF8", "this is a GIF picture, not a DXF drawing: export the drawing as DXF"},
	{"%PDF", "this is a PDF document, not a DXF drawing: export the drawing as DXF"},
	{"%!PS", "this is a PostScript document, not a DXF drawing: export the drawing as DXF"},
	{"PK\x03\x04", "this is a ZIP archive: unpack it and give the DXF drawing in it"},
	{"\x1f\x8b", "this is a gzip archive: unpack it and give the DXF drawing in it"},
	{"\xff\xfe", "this is UTF-16 text: save the drawing as plain (ASCII or UTF-8) DXF"},
	{"\xfe\xff", "this is UTF-16 text: save the drawing as plain (ASCII or UTF-8) DXF"},
	{"ISO-10303-21", "this is a STEP model: export its flat outline as DXF"},
	{"<svg", svgText},
	{"<?xml", "this is an XML file, not a DXF drawing: export the drawing as DXF"},
	{"<!doctype", "this is a web page, not a DXF drawing: download the drawing itself"},
	{"<html", "this is a web page, not a DXF drawing: download the drawing itself"},
}

const (
	dwgText = "this is a DWG file: export it as DXF"
	svgText = "this is an SVG drawing: export it as DXF"
)

// notDXF names what the file is if it cannot be DXF, "" if it may be.
func notDXF(head []byte) string {
	t := bytes.TrimLeft(head, " \t\r\n\x00")
	lower := bytes.ToLower(t[:min(len(t), 64)])
	switch {
	case len(head) == 0:
		return "the file is empty: export the drawing again"
	case len(t) == 0:
		return "the file holds nothing but blanks: export the drawing again"
	case len(t) >= 6 && bytes.HasPrefix(t, []byte("AC10")) && isDigit(t[4]) && isDigit(t[5]):
		return dwgText
	case bytes.HasPrefix(lower, []byte("<?xml")) && bytes.Contains(head, []byte("<svg")):
		return svgText
	}
	for _, f := range otherFiles {
		if bytes.HasPrefix(t, []byte(f.begins)) || bytes.HasPrefix(lower, []byte(f.begins)) {
			return f.text
		}
	}
	if bytes.Count(head[:min(len(head), 512)], []byte{0}) > 8 {
		return "this is a binary file of another kind, not a DXF drawing"
	}
	return ""
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }
