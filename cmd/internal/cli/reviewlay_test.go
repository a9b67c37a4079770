package cli

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"sluice/geom/geomtest"
)

// layoutOf is what a page is told of the layout, once it is found.
func layoutOf(t *testing.T, ask func(method, what, body string) (int, string)) (l struct {
	Running, Exact bool
	Error          string
	Pinned         int
	Sheets         []struct {
		Parts []struct {
			Part       string
			Which      int
			X, Y, Turn float64
			W, H       float64
			Pinned     bool
		}
	}
}) {
	t.Helper()
	for end := time.Now().Add(2 * time.Minute); time.Now().Before(end); time.Sleep(10 * time.Millisecond) {
		status, text := ask("GET", "laid", "")
		l.Sheets = nil
		if err := json.Unmarshal([]byte(text), &l); err != nil || status != http.StatusOK {
			t.Fatalf("%d %v: %s", status, err, text)
		}
		if !l.Running {
			return l
		}
	}
	t.Fatal("no layout is found")
	return l
}

// TestReviewLays lays parts out over a page, and writes the sheets that fix --layout
// writes, with nothing pinned and with everything.
func TestReviewLays(t *testing.T) {
	dir := geomtest.Folder(t)
	at := func(name string) string { return filepath.Join(dir, name) }
	var b strings.Builder
	b.WriteString("0\nSECTION\n2\nENTITIES\n")
	for i := range 8 {
		x, w, h := float64(i)*200, 90+8*float64(i), 60+5*float64(i)
		fmt.Fprintf(&b, "0\nLWPOLYLINE\n8\n0\n90\n4\n70\n1\n10\n%g\n20\n0\n10\n%g\n20\n0\n10\n%g\n20\n%g\n10\n%g\n20\n%g\n", x, x+w, x+w, h, x, h)
	}
	b.WriteString("0\nENDSEC\n0\nEOF\n")
	for name, text := range map[string]string{
		"kit.dxf":   b.String(),
		"shop.toml": "units = \"mm\"\n[sheet]\nsize = [\"300mm\", \"250mm\"]\n[layout]\nsheets = 4\nseconds = 1\n",
	} {
		if err := os.WriteFile(at(name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	same := func(what string, l int) {
		t.Helper()
		var told strings.Builder
		args := []string{"fix", at("kit.dxf"), "--job", at("shop.toml"), "--layout", "-o", at("fixed.dxf"), "--report", at("fixed.html"), "--force", "--quiet", "--fail-on", "never"}
		if status := run(t.Context(), args, strings.NewReader(""), &told, &told, wired()); status != statusOK {
			t.Fatal(told.String())
		}
		for i := range l {
			a, err := os.ReadFile(at(fmt.Sprintf("kit-jet-%d.dxf", i+1)))
			if err != nil {
				t.Fatal(err)
			}
			b, err := os.ReadFile(at(fmt.Sprintf("fixed-%d.dxf", i+1)))
			if err != nil || !bytes.Equal(a, b) {
				t.Errorf("%s: sheet %d is another than that of fix --layout: %v", what, i+1, err)
			}
		}
	}
	ask := page(t, "review", "--no-open", "--port", "0", "--quiet", "--job", at("shop.toml"), at("kit.dxf"))
	order := func(want int, what, body string) string {
		t.Helper()
		status, text := ask("POST", what, body)
		if status != want {
			t.Fatalf("%s %s: %d %s", what, body, status, text)
		}
		return text
	}
	state(t, ask)
	order(http.StatusUnprocessableEntity, "write", `{"sheets":true}`)
	order(http.StatusNoContent, "lay", `{}`)
	l := layoutOf(t, ask)
	if len(l.Sheets) < 2 || !l.Exact {
		t.Fatalf("%d sheets, %s", len(l.Sheets), l.Error)
	}
	if status, text := ask("GET", "forms", ""); status != http.StatusOK || !strings.Contains(text, `"d":"M`) {
		t.Errorf("forms: %d %.80s", status, text)
	}
	if told := order(http.StatusOK, "write", `{"sheets":true}`); !strings.Contains(told, "kit-jet-1.dxf") || !strings.Contains(told, "comes to the same") {
		t.Errorf("told %s", told)
	}
	same("found", len(l.Sheets))

	p := l.Sheets[0].Parts[0]
	to := fmt.Sprintf(`{"part":%q,"which":%d,"sheet":1,"to":[150,120],"turn":%g,"step":1}`, p.Part, p.Which, p.Turn)
	if got := order(http.StatusOK, "place", to); !strings.Contains(got, `"refused":""`) {
		t.Errorf("place: %s", got)
	}
	order(http.StatusNoContent, "pin", to)
	if l = layoutOf(t, ask); l.Pinned != 1 || l.Exact {
		t.Errorf("%d pinned, exact %v", l.Pinned, l.Exact)
	}
	if text, err := os.ReadFile(at("kit.answers.toml")); err != nil || !bytes.Contains(text, []byte("sheet  = 2")) {
		t.Errorf("kept: %s %v", text, err)
	}
	order(http.StatusNoContent, "pinall", `{}`)
	l = layoutOf(t, ask)
	if told := order(http.StatusOK, "write", `{"sheets":true}`); !strings.Contains(told, "All parts are pinned") {
		t.Errorf("told %s", told)
	}
	same("all pinned", len(l.Sheets))
	order(http.StatusUnprocessableEntity, "pin", strings.Replace(to, `"sheet":1`, `"sheet":9`, 1))
	order(http.StatusBadRequest, "pin", `{"place":1}`)
	order(http.StatusUnprocessableEntity, "lay", `{"seconds":-1}`)
	order(http.StatusNoContent, "unpin", to)
	order(http.StatusNoContent, "unpinall", `{}`)
	order(http.StatusNoContent, "lay", `{"seconds":3600}`)
	// Stopped before it has shown anything, the layout from before would stand, which is exact.
	for end := time.Now().Add(2 * time.Minute); ; time.Sleep(10 * time.Millisecond) {
		if _, text := ask("GET", "laid", ""); strings.Contains(text, `"exact":false`) {
			break
		} else if time.Now().After(end) {
			t.Fatalf("nothing is shown of a search: %s", text)
		}
	}
	order(http.StatusNoContent, "halt", `{}`)
	if l = layoutOf(t, ask); l.Exact {
		t.Error("stopped, it passes for one that ran to its end")
	}
}
