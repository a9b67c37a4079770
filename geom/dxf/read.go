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
		rd.src = newBinarySource(br, o.MaxLine)
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
		rd.src = newASCIISource(r, held, o.MaxLine)
	}
	rd.growth.read = &rd.src.state().read
	if err := rd.run(); err != nil {
		return nil, err
	}
	return rd.d, nil
}

// notDXF names what the file is if it cannot be DXF, "" if it may be.
func notDXF(head []byte) string {
	t := bytes.TrimLeft(head, " \t\r\n\x00")
	lower := bytes.ToLower(t[:min(len(t), 64)])
	has := func(p string) bool { return bytes.HasPrefix(t, []byte(p)) }
	switch {
	case len(head) == 0:
		return "the file is empty: export the drawing again"
	case len(t) == 0:
		return "the file holds nothing but blanks: export the drawing again"
	case len(t) >= 6 && has("AC10") && isDigit(t[4]) && isDigit(t[5]) || has("AC1.") || has("AC2."):
		return "this is a DWG file: export it as DXF"
	case has("\x89PNG"):
		return "this is a PNG picture, not a DXF drawing: export the drawing as DXF"
	case has("\xff\xd8\xff"):
		return "this is a JPEG picture, not a DXF drawing: export the drawing as DXF"
	case has("GIF8"):
		return "this is a GIF picture, not a DXF drawing: export the drawing as DXF"
	case has("%PDF"):
		return "this is a PDF document, not a DXF drawing: export the drawing as DXF"
	case has("%!PS"):
		return "this is a PostScript document, not a DXF drawing: export the drawing as DXF"
	case has("PK\x03\x04"):
		return "this is a ZIP archive: unpack it and give the DXF drawing in it"
	case has("\x1f\x8b"):
		return "this is a gzip archive: unpack it and give the DXF drawing in it"
	case has("\xff\xfe") || has("\xfe\xff"):
		return "this is UTF-16 text: save the drawing as plain (ASCII or UTF-8) DXF"
	case has("ISO-10303-21"):
		return "this is a STEP model: export its flat outline as DXF"
	case bytes.HasPrefix(lower, []byte("<svg")) || bytes.HasPrefix(lower, []byte("<?xml")) && bytes.Contains(head, []byte("<svg")):
		return "this is an SVG drawing: export it as DXF"
	case bytes.HasPrefix(lower, []byte("<?xml")):
		return "this is an XML file, not a DXF drawing: export the drawing as DXF"
	case bytes.HasPrefix(lower, []byte("<!doctype")) || bytes.HasPrefix(lower, []byte("<html")):
		return "this is a web page, not a DXF drawing: download the drawing itself"
	case bytes.Count(head[:min(len(head), 512)], []byte{0}) > 8:
		return "this is a binary file of another kind, not a DXF drawing"
	}
	return ""
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }
