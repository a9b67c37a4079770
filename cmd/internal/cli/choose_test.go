package cli

import (
	"net/http"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"sluice/geom/geomtest"
	"sluice/lint/job"
)

// gap is a drawing whose outline is open by too much to be closed unasked.
const (
	gap = "0\nSECTION\n2\nENTITIES\n" + line1 + line2 + line3 + "0\nENDSEC\n0\nEOF\n"

	line1 = "0\nLINE\n8\n0\n10\n0\n20\n0\n11\n100\n21\n0\n"
	line2 = "0\nLINE\n8\n0\n10\n100\n20\n0\n11\n50\n21\n80\n"
	line3 = "0\nLINE\n8\n0\n10\n50\n20\n80\n11\n2\n21\n3\n"
)

// atHome gives the person of a test a home of its own.
func atHome(t *testing.T) string {
	t.Helper()
	home := geomtest.Folder(t)
	for _, name := range []string{"HOME", "USERPROFILE", "XDG_CACHE_HOME", "LocalAppData"} {
		t.Setenv(name, home)
	}
	return home
}

// A drawing is chosen on the page: what is none is told there, and the next one taken; the
// page goes on at the desk. The answers are found when the same bytes are handed over again.
func TestChoose(t *testing.T) {
	home := atHome(t)
	out := filepath.Join(home, "out.dxf")
	if err := os.WriteFile(filepath.Join(home, job.FileName), []byte("[jet]\r\nkerf = \"0.83mm\"\r\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	for round := range 2 {
		ask := page(t, "review", "--choose", "--no-open", "--quiet", "--units", "mm", "-o", out, "--force")
		if status, text := ask("GET", "", ""); status != http.StatusOK || !strings.Contains(text, "Drop the drawing here") {
			t.Fatalf("the page: %d %.80q", status, text)
		}
		if status, _ := ask("GET", "state", ""); status != http.StatusNotFound {
			t.Errorf("there is a state before there is a drawing: %d", status)
		}
		for _, tt := range []struct {
			what, body string
			status     int
			told       string
		}{
			{"drawing?name=kit.dxf", "not a drawing", 422, "kit.dxf: "},
			{"drawing?name=kit.svg", "<svg/>", 422, "kit.svg: is no drawing"},
			{"drawing", "x", 400, "choose it again"},
			{"open", `{"path":"` + filepath.ToSlash(filepath.Join(home, "none.dxf")) + `"}`, 422, "no such file"},
			{"open", `{"paths":"x"}`, 400, "cannot be read"},
			{"open", `{"path":"` + filepath.ToSlash(home) + `"}`, 422, "is a folder"},
		} {
			status, text := ask("POST", tt.what, tt.body)
			if status != tt.status || !strings.Contains(text, tt.told) || strings.Count(text, "\n") != 1 {
				t.Errorf("%s %.30q: %d %q, want %d %q", tt.what, tt.body, status, text, tt.status, tt.told)
			}
		}
		if status, text := ask("POST", "drawing?name=..%2F..%2FMy%20kit.DXF", gap); status != http.StatusNoContent {
			t.Fatalf("%d %s", status, text)
		}
		if status, text := ask("GET", "", ""); status != http.StatusOK || !strings.Contains(text, "<h1>My kit.DXF</h1>") {
			t.Errorf("the page goes on: %d", status)
		}
		s := state(t, ask)
		if len(s.Answered) != round {
			t.Fatalf("round %d: %d are answered", round, len(s.Answered))
		}
		if round == 0 {
			if status, text := ask("POST", "take", `{"id":"`+s.Groups[0].Items[0].ID+`","choice":"extend"}`); status != http.StatusNoContent {
				t.Fatalf("%d %s", status, text)
			}
			state(t, ask)
		}
		if status, text := ask("POST", "write", `{"replace":true}`); status != http.StatusOK {
			t.Fatalf("%d %s", status, text)
		}
		if _, err := os.Stat(out); err != nil {
			t.Error(err)
		}
		if report, err := os.ReadFile(filepath.Join(home, "out.html")); err != nil || !strings.Contains(string(report), "0.83 mm") {
			t.Errorf("the job file of the folder written to is not in force: %v", err)
		}
	}
	kept, _ := filepath.Glob(filepath.Join(home, "*", "kits", "*", "*"))
	if runtime.GOOS == "darwin" {
		kept, _ = filepath.Glob(filepath.Join(home, "Library", "Caches", "sluice", "kits", "*", "*"))
	}
	if len(kept) != 3 { // of what was no drawing too
		t.Errorf("kept: %v", kept)
	}
}

// Started by its icon the program says everything on a page: nothing goes to a terminal
// that is not there.
func TestByIcon(t *testing.T) {
	home := atHome(t)
	kit := filepath.ToSlash(filepath.Join(home, "kit.dxf"))
	if err := os.WriteFile(kit, []byte(gap), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		args []string
		want string
	}{
		{nil, `data-first=""`},
		{[]string{kit}, `data-first="` + kit + `"`},
		{[]string{kit, kit, kit}, "not &#34;" + kit + "&#34; as well"},
		{[]string{kit, kit}, "2 files were dropped"},
		{[]string{"drawing.svg"}, `data-first="drawing.svg"`},
		{[]string{kit, "--kerf", "thick"}, "--kerf"},
	} {
		e := wired()
		e.alone = func() bool { return true }
		seen := make(chan string, 1)
		e.browse = func(address string) error { seen <- address; return nil }
		ask := pageOf(t, e, tt.args...)
		if status, text := ask("GET", "", ""); status != http.StatusOK || !strings.Contains(text, tt.want) {
			t.Errorf("%v: %d, no %q", tt.args, status, tt.want)
		}
		if at := <-seen; !strings.HasPrefix(at, "http://127.0.0.1:") {
			t.Errorf("%v: opened %s", tt.args, at)
		}
		if len(tt.args) == 1 && tt.args[0] == kit {
			if status, text := ask("POST", "open", `{"path":" \"`+kit+`\" "}`); status != http.StatusNoContent {
				t.Errorf("%d %s", status, text)
			}
			if s := state(t, ask); s.Asked == 0 {
				t.Error("nothing is asked")
			}
		}
	}
}

// What a page calls a file names nothing outside the folder that it is kept in.
func TestHandedName(t *testing.T) {
	for name, want := range map[string]string{
		"kit.dxf": "kit.dxf", `C:\fakepath\Kit 2.DXF`: "Kit 2.DXF", "../../kit.dxf": "kit.dxf", "..": "kit.dxf", "": "kit.dxf",
		"a\nb.dxf": "kit.dxf", ".dxf": "kit.dxf", "kit*.dxf": "kit.dxf", strings.Repeat("k", 300) + ".dxf": "kit.dxf", "\xff.dxf": "kit.dxf",
		"plan.pdf": "", "kit": "",
	} {
		got, err := handedName(name)
		if got != want || (err == nil) != (want != "") {
			t.Errorf("%q: %q, %v; want %q", name, got, err, want)
		}
	}
}
