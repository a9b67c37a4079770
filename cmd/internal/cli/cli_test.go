package cli

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"sluice/geom/geomtest"
	"sluice/lint/job"
	"sluice/lint/report"
)

// Help is short, has examples and fits 100 columns.
func TestHelp(t *testing.T) {
	texts := map[string]string{"": overview()}
	for _, c := range commands() {
		texts[c.name] = c.help()
		if c.title == "" || c.about == "" || c.needs == "" || len(c.formats()) == 0 || len(c.examples) == 0 || c.run == nil {
			t.Errorf("%s: the table has a gap", c.name)
		}
	}
	for name, text := range texts {
		lines := strings.Split(text, "\n")
		if len(lines) > 56 {
			t.Errorf("%s: %d lines are more than a screen", name, len(lines))
		}
		for _, l := range lines {
			if n := len([]rune(l)); n > report.TextWidth {
				t.Errorf("%s: %d columns: %s", name, n, l)
			}
		}
		if !strings.Contains(text, "examples:\n") {
			t.Errorf("%s: no examples", name)
		}
	}
}

// Every form of output belongs to a command that has no other besides.
func TestFormats(t *testing.T) {
	for _, f := range report.Formats {
		if c := findCommand(f.Command); c == nil || c.only != "" {
			t.Errorf("--format %s is of %s, which takes none", f.Name, f.Command)
		}
	}
}

// Every flag does one thing, every setting it overrides exists, and every example
// is a command line that the table takes.
func TestTable(t *testing.T) {
	for _, cmd := range commands() {
		names := map[string]bool{}
		for _, f := range cmd.allFlags() {
			for _, n := range []string{"--" + f.name, "-" + f.short} {
				if n != "-" && names[n] {
					t.Errorf("%s: %s twice", cmd.name, n)
				}
				names[n] = true
			}
			if (f.set == "") == (f.at == nil) || f.about == "" {
				t.Errorf("%s: --%s needs a text and exactly one effect", cmd.name, f.name)
			}
			if f.to != "" {
				if err := job.Default().Set(f.set, f.to); err != nil {
					t.Errorf("--%s: %v", f.name, err)
				}
			}
			for _, w := range f.words {
				if f.set != "" && f.to == "" && job.Default().Set(f.set, w) != nil {
					t.Errorf("--%s %s is no value of %s", f.name, w, f.set)
				}
			}
		}
		for _, e := range cmd.examples {
			words := strings.Fields(strings.NewReplacer("source <(", "", ")", "").Replace(e.line))
			c := &call{command: findCommand(words[1]), engine: trialEngine()}
			if words[0] != "sluice" || c.command == nil || c.command.name != cmd.name {
				t.Errorf("%s: the example is of another command: %s", cmd.name, e.line)
				continue
			}
			if err := c.parse(words[2:]); err != nil {
				t.Errorf("%s: %v", e.line, err)
			}
		}
	}
}

// Flags of fix reach the job.
func TestFixFlags(t *testing.T) {
	c := &call{command: findCommand("fix"), engine: trialEngine()}
	err := c.parse(strings.Fields("--tabs all --labels none --marks etch --widen --holes etch --text etch --curves refit --only tab,label,,close-gap kit.dxf"))
	if err != nil {
		t.Fatal(err)
	}
	got := job.Default()
	if err := c.override(got); err != nil {
		t.Fatal(err)
	}
	want := job.Repair{LooseMarks: "etch", NarrowSlot: "widen", SmallHole: "etch", LiveText: "etch", DenseCurve: "refit", Border: "ask", Steps: "ask", Lettering: "ask"}
	if got.Repair != want || got.Tabs.Parts != "all" || got.Labels.Parts != "none" {
		t.Errorf("got %+v", got)
	}
	if strings.Join(c.only, " ") != "tab label close-gap" {
		t.Errorf("only = %q", c.only)
	}
}

type brokenPipe struct{}

func (brokenPipe) Write([]byte) (int, error) {
	return 0, &os.PathError{Op: "write", Path: "/dev/stdout", Err: syscall.EPIPE}
}

type fullDisk struct{}

func (fullDisk) Write([]byte) (int, error) { return 0, errors.New("no space left") }

// A reader that hangs up is no error; a disk that is full is one.
func TestStandardOutputFails(t *testing.T) {
	path := drawing(t, "error")
	var stderr strings.Builder
	if got := run(t.Context(), []string{"lint", path}, nil, brokenPipe{}, &stderr, trialEngine()); got != 1 || stderr.String() != "" {
		t.Errorf("broken pipe: status %d, %q", got, stderr.String())
	}
	got := run(t.Context(), []string{"lint", path}, nil, fullDisk{}, &stderr, trialEngine())
	if got != 2 || stderr.String() != "sluice: standard output: no space left\n" {
		t.Errorf("full disk: status %d, %q", got, stderr.String())
	}
}

func drawing(t *testing.T, words ...string) string {
	t.Helper()
	path := filepath.Join(geomtest.Folder(t), "kit.dxf")
	if err := os.WriteFile(path, []byte(strings.Join(append([]string{"drawing"}, words...), "\n")), 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

// An interrupt leaves nothing, neither the output nor a temporary file.
func TestInterrupt(t *testing.T) {
	path := drawing(t, "warning")
	dir := filepath.Dir(path)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	for _, args := range [][]string{
		{"fix", path, "-o", filepath.Join(dir, "out.dxf"), "--report", filepath.Join(dir, "out.json")},
		{"fix", dir, "-o", filepath.Join(dir, "out")},
		{"lint", path, "--out", filepath.Join(dir, "out.txt")},
	} {
		status, stdout, stderr := trial(ctx, "", args...)
		if status != 2 || stdout != "" || stderr != "sluice: interrupted; nothing is half written\n" {
			t.Errorf("%v: status %d, %q, %q", args[0], status, stdout, stderr)
		}
		if left, _ := os.ReadDir(dir); len(left) != 1 {
			t.Errorf("%v leaves %v", args[0], left)
		}
	}
	c := &call{ctx: ctx}
	out := filepath.Join(dir, "out.dxf")
	if err := c.replace(file{out, []byte("x")}); !errors.Is(err, context.Canceled) {
		t.Errorf("replace after the interrupt: %v", err)
	}
	if left, _ := os.ReadDir(dir); len(left) != 1 {
		t.Errorf("replace leaves %v", left)
	}
}

// Two files land together or not at all.
func TestReplaceIsWhole(t *testing.T) {
	dir := geomtest.Folder(t)
	old := filepath.Join(dir, "a")
	if err := os.WriteFile(old, []byte("old"), 0o644); err != nil {
		t.Fatal(err)
	}
	c := &call{ctx: t.Context()}
	if err := c.replace(file{old, []byte("new")}, file{filepath.Join(dir, "none", "b"), nil}); err == nil {
		t.Error("no error for a folder that is not there")
	}
	if got, _ := os.ReadFile(old); string(got) != "old" {
		t.Errorf("the first file is %q though the second failed", got)
	}
	if err := c.replace(file{old, []byte("new")}, file{filepath.Join(dir, "b"), nil}); err != nil {
		t.Error(err)
	}
	if got, _ := os.ReadFile(old); string(got) != "new" {
		t.Errorf("the file is %q", got)
	}
	if st, err := os.Stat(old); err != nil || st.Mode().Perm()&0o600 != 0o600 {
		t.Errorf("%v, %v", st.Mode(), err)
	}
	if left, _ := os.ReadDir(dir); len(left) != 2 {
		t.Errorf("left: %v", left)
	}
}

// Names from outside stay on their line and do not steer the terminal.
func TestErrorsStayOnOneLine(t *testing.T) {
	status, _, stderr := trial(t.Context(), "", "lint", "no\nsuch\x1b[2J\u009b.dxf", "bad\xff.dxf")
	if status != 2 || strings.Count(stderr, "\n") != 2 || strings.ContainsAny(stderr, "\x1b\u009b") {
		t.Errorf("status %d, %q", status, stderr)
	}
}

// However many work at once, the order is that of the inputs.
func TestInParallel(t *testing.T) {
	for _, jobs := range []int{0, 1, 3, 64} {
		c := &call{options: options{jobs: jobs}}
		squares := make([]int, 50)
		var order []int
		sizes := make([]int64, len(squares))
		for i := range sizes {
			sizes[i] = int64(i * 37 % 11)
		}
		c.inParallel(sizes, func(i int) { squares[i] = i * i }, func(i int) {
			if squares[i] != i*i {
				t.Errorf("%d is told before it is done", i)
			}
			order = append(order, i)
		})
		for i := range order {
			if order[i] != i {
				t.Fatalf("jobs %d: %v", jobs, order)
			}
		}
		if len(order) != len(squares) {
			t.Errorf("jobs %d: %d told", jobs, len(order))
		}
		c.inParallel(nil, nil, nil)
	}
}
