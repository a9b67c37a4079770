package report

import (
	"bytes"
	"compress/gzip"
	"encoding/base64"
	"io"
	"regexp"
	"strings"
	"testing"
)

// TestAlonePage looks at the page that holds the program: the program comes out of it as
// it went in, nothing may be fetched, and no other place is named.
func TestAlonePage(t *testing.T) {
	code := append([]byte("\x00asm"), bytes.Repeat([]byte("</script><!-- +/="), 1000)...)
	var b bytes.Buffer
	if err := AlonePage(&b, "test", &Engine{Wasm: code, Exec: []byte("// runs it\nclass Go {}\n")}); err != nil {
		t.Fatal(err)
	}
	page := b.String()
	m := regexp.MustCompile(`<script type="text/plain" id="engine">([A-Za-z0-9+/=]*)</script>`).FindStringSubmatch(page)
	if m == nil {
		t.Fatal("the page holds no program")
	}
	packed, err := base64.StdEncoding.DecodeString(m[1])
	if err != nil {
		t.Fatal(err)
	}
	z, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil {
		t.Fatal(err)
	}
	if got, err := io.ReadAll(z); err != nil || !bytes.Equal(got, code) {
		t.Errorf("%d bytes of %d come out, %v", len(got), len(code), err)
	}
	if !strings.Contains(page, "class Go {}") || !strings.Contains(page, "Redistribution and use in source and binary forms") {
		t.Error("the script of the compiler, or its licence, is left out")
	}
	csp := regexp.MustCompile(`http-equiv="Content-Security-Policy" content="([^"]*)"`).FindStringSubmatch(page)
	if csp == nil || !strings.Contains(csp[1], "default-src &#39;none&#39;") || strings.Contains(csp[1], "connect-src") || strings.Contains(csp[1], "http") {
		t.Errorf("what may be fetched: %v", csp)
	}
	shown := strings.Replace(string(stripAssets([]byte(page))), m[1], "", 1)
	for _, bad := range []string{`src="`, "@import", "url(", "fetch(", "XMLHttpRequest", "WebSocket", "sendBeacon"} {
		if strings.Contains(shown, bad) {
			t.Errorf("the page has %s", bad)
		}
	}
	for _, bad := range []string{"fetch(", "XMLHttpRequest", "EventSource"} {
		if strings.Contains(aloneScript()+workerJS, bad) {
			t.Errorf("its script has %s", bad)
		}
	}
}

// TestAlonePageRefuses leaves no script in a page that would end where it should not.
func TestAlonePageRefuses(t *testing.T) {
	for _, exec := range []string{"'</SCRIPT>'", "a <!-- b"} {
		if err := AlonePage(io.Discard, "test", &Engine{Exec: []byte(exec)}); err == nil {
			t.Errorf("%s stands in the page", exec)
		}
	}
}
