package cli

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// The scripts are checked by the shells themselves, where they are installed.
func TestCompletionParses(t *testing.T) {
	e := trialEngine()
	for shell, script := range map[string]string{"bash": bashScript(e), "zsh": zshScript(e), "fish": fishScript(e)} {
		for _, want := range append(commandNames(), "fail-on", "sarif", "never") {
			if !strings.Contains(script, want) {
				t.Errorf("%s: %s is missing", shell, want)
			}
		}
		if _, err := exec.LookPath(shell); err != nil {
			t.Logf("%s is not installed", shell)
			continue
		}
		file := filepath.Join(t.TempDir(), "script")
		if err := os.WriteFile(file, []byte(script), 0o644); err != nil {
			t.Fatal(err)
		}
		if out, err := exec.Command(shell, "-n", file).CombinedOutput(); err != nil || len(out) > 0 {
			t.Errorf("%s: %v: %s", shell, err, out)
		}
	}
}

func TestBashCompletes(t *testing.T) {
	bash, err := exec.LookPath("bash")
	if err != nil {
		t.Skip("bash is not installed")
	}
	dir := t.TempDir()
	script := filepath.Join(dir, "script")
	if err := os.WriteFile(script, []byte(bashScript(trialEngine())), 0o644); err != nil {
		t.Fatal(err)
	}
	for typed, want := range map[string]string{
		"sluice li":                 "lint",
		"sluice lint --form":        "--format",
		"sluice lint --format sa":   "sarif",
		"sluice lint --units c":     "cm",
		"sluice fix --tabs a":       "all",
		"sluice explain warn":       "warning",
		"sluice help est":           "estimate",
		"sluice completion f":       "fish",
		"sluice lint kit":           "", // left to bash
		"sluice job --kerf":         "--kerf",
		"sluice parts --format csv": "csv",
		"sluice lint --bogus":       "",
	} {
		words := strings.Fields(typed)
		run := `source ./script; COMP_WORDS=("$@"); COMP_CWORD=$(($#-1)); _sluice; IFS='|'; printf %s "${COMPREPLY[*]}"`
		cmd := exec.Command(bash, append([]string{"--norc", "-c", run, "bash"}, words...)...)
		cmd.Dir = dir
		out, err := cmd.CombinedOutput()
		if got := string(out); err != nil || got != want {
			t.Errorf("%q completes to %q, %v; want %q", typed, got, err, want)
		}
	}
}

// The manual pages are read without a complaint by groff, where it is installed.
func TestManPages(t *testing.T) {
	pages := map[string]string{"sluice": overviewPage()}
	for _, c := range commands() {
		pages[c.name] = c.page()
		for _, f := range c.visible() {
			if !strings.Contains(pages[c.name], roff(f.about)) {
				t.Errorf("%s: --%s is missing", c.name, f.name)
			}
		}
	}
	groff, err := exec.LookPath("groff")
	for name, page := range pages {
		if !strings.HasPrefix(page, ".TH SLUICE") || !strings.Contains(page, "\n.SH NAME\n") {
			t.Errorf("%s: no heading", name)
		}
		if err != nil {
			continue
		}
		cmd := exec.Command(groff, "-man", "-Tutf8", "-ww", "-z")
		cmd.Stdin = strings.NewReader(page)
		if out, err := cmd.CombinedOutput(); err != nil || len(out) > 0 {
			t.Errorf("%s: %v: %s", name, err, out)
		}
	}
}
