package report

import (
	"bytes"
	"encoding/binary"
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"io"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"
)

// inertIn checks by media type that nothing came through from a name as anything
// but text.
var inertIn = map[string]func(t *testing.T, f Format, out []byte){
	"text/plain": func(t *testing.T, f Format, out []byte) {
		if !utf8.Valid(out) {
			t.Error("not UTF-8")
		}
		for line := range strings.Lines(string(out)) {
			if strings.ContainsFunc(strings.TrimSuffix(line, "\n"), func(r rune) bool {
				return unicode.IsControl(r) || unicode.Is(unicode.Cf, r) || r == '\u2028' || r == '\u2029'
			}) {
				t.Errorf("steers the terminal or breaks the line: %q", line)
			}
			if command := strings.HasPrefix(strings.TrimLeft(line, " "), "::"); command != (f.Name == "github") {
				t.Errorf("reads as a command: %v: %q", command, line)
			}
		}
	},
	"application/json": validUTF8, // its schema says more
	"model/gltf-binary": func(t *testing.T, _ Format, out []byte) {
		// Names stand in the JSON chunk (ISO/IEC 12113:2022, 4.4).
		if len(out) < 20 || binary.LittleEndian.Uint32(out) != glbMagic || int(binary.LittleEndian.Uint32(out[8:])) != len(out) {
			t.Fatal("no binary glTF")
		}
		n := binary.LittleEndian.Uint32(out[12:])
		var doc map[string]any
		if err := json.Unmarshal(out[20:20+n], &doc); err != nil {
			t.Error(err)
		}
		validUTF8(t, Format{}, out[20:20+n])
	},
	"application/sarif+json": validUTF8,
	"application/xml": func(t *testing.T, _ Format, out []byte) {
		if err := wellFormed(out); err != nil {
			t.Error(err)
		}
	},
	"image/svg+xml": func(t *testing.T, _ Format, out []byte) {
		d := xml.NewDecoder(bytes.NewReader(out))
		for {
			tok, err := d.Token()
			if err == io.EOF {
				return
			} else if err != nil {
				t.Fatal(err)
			}
			e, ok := tok.(xml.StartElement)
			if ok && !slices.Contains([]string{"svg", "title", "style", "rect", "g", "path", "text", "tspan", "defs", "use"}, e.Name.Local) {
				t.Errorf("a name became <%s>", e.Name.Local)
			}
			for _, a := range e.Attr { // into this file alone
				if a.Name.Local == "href" && !strings.HasPrefix(a.Value, "#v") {
					t.Errorf("<%s> points to %s", e.Name.Local, a.Value)
				}
			}
		}
	},
	"text/csv": func(t *testing.T, _ Format, out []byte) {
		rows, err := csv.NewReader(bytes.NewReader(out)).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		for _, cell := range slices.Concat(rows...) {
			if len(cell) > 0 && strings.ContainsRune("=+@", rune(cell[0])) || strings.ContainsFunc(cell, unicode.IsControl) {
				t.Errorf("a cell that calculates or breaks: %q", cell)
			}
		}
	},
	"text/html": func(t *testing.T, _ Format, out []byte) {
		page := strings.ReplaceAll(string(stripAssets(out)), `xmlns="http://www.w3.org/2000/svg"`, "")
		for _, bad := range []string{"alert(1)</script>", "<img", "<b>amp", "onerror=alert(2)>", "\x1b", "\u202e", "\x00"} {
			if strings.Contains(page, bad) {
				t.Errorf("%q stands in the page as it is", bad)
			}
		}
		// The only scripts are ours: the data of each drawing and one of code.
		want := strings.Count(page, `class="markers"`) + strings.Count(page, `class="times"`) + strings.Count(page, `id="model-data"`) + strings.Count(page, "script-src")
		for _, tag := range []string{"<script", "</script"} {
			if n := strings.Count(page, tag); n != want {
				t.Errorf("%d times %s, want %d", n, tag, want)
			}
		}
		if m := regexp.MustCompile(`(?i)(https?:)?//[a-z0-9]`).FindString(page); m != "" {
			t.Errorf("the page names another place: %s", m)
		}
		ids := map[string]bool{}
		for _, id := range regexp.MustCompile(` id="([^"]*)"`).FindAllStringSubmatch(page, -1) {
			if ids[id[1]] {
				t.Errorf("id %s stands twice", id[1])
			}
			ids[id[1]] = true
		}
	},
}
