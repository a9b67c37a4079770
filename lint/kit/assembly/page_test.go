package assembly_test

import (
	"bytes"
	"context"
	"encoding/xml"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/kit"
	"sluice/lint/kit/assembly"
)

func demo(t *testing.T, name string) (*kit.Kit, []string) {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "..", "fixtures", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	res := lint.Check(context.Background(), name, f, job.Default(), lint.Options{})
	if res.Err != nil {
		t.Fatal(res.Err)
	}
	return kit.Find(res.Sheet, kit.DefaultOptions()), res.Names
}

// The page is well formed, draws every number of part and every stage, holds no
// script and nothing from elsewhere, and is the same every time.
func TestPage(t *testing.T) {
	k, names := demo(t, "harbour-crane.dxf")
	var a, b bytes.Buffer
	if err := assembly.Write(&a, "crane", k, names); err != nil {
		t.Fatal(err)
	}
	if err := assembly.Write(&b, "crane", k, names); err != nil || !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("not the same twice", err)
	}
	html := a.String()
	if n, want := strings.Count(html, "<svg "), len(k.Schedule())+len(k.Order(names)); n != want {
		t.Errorf("%d pictures, want %d", n, want)
	}
	for _, bad := range []string{"<script", "http", "NaN", "Inf", "ZgotmplZ"} {
		if strings.Contains(html, bad) {
			t.Errorf("page holds %q", bad)
		}
	}
	d := xml.NewDecoder(strings.NewReader(html[strings.Index(html, "<main>"):strings.Index(html, "</body>")]))
	for {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
	for _, want := range []string{"Start here", "Held captive", "Goes into", "may be missing"} {
		if !strings.Contains(html, want) {
			t.Errorf("page lacks %q", want)
		}
	}
}

// Names from a drawing stay text.
func TestPageEscapes(t *testing.T) {
	k, names := demo(t, "harbour-crane-clean.dxf")
	for i := range names {
		names[i] = `"><script>alert(1)</script>`
	}
	var b bytes.Buffer
	if err := assembly.Write(&b, "<script>x", k, names); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(b.String(), "<script") {
		t.Error("a name came out as markup")
	}
}
