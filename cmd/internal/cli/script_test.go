package cli

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

var update = flag.Bool("update", false, "write anew what scripts compare with")

func TestMain(m *testing.M) {
	testscript.Main(tidied{m}, map[string]func(){
		"sluice": func() { os.Exit(Main(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) },
		"trial": func() {
			os.Exit(run(context.Background(), os.Args[1:], os.Stdin, os.Stdout, os.Stderr, trialEngine()))
		},
	})
}

// tidied takes the programs of the scripts away file by file once all tests have run,
// since Wine cannot take away a folder that is not empty.
type tidied struct{ m *testing.M }

func (t tidied) Run() int {
	status := t.m.Run()
	for _, name := range []string{"sluice", "trial"} {
		if path, err := exec.LookPath(name); err == nil && strings.Contains(path, "testscript-main") {
			_ = os.Remove(path)
			_ = os.Remove(filepath.Dir(path))
		}
	}
	return status
}

// The scripts of the repository run the program as people do; those beside this
// file try its manners on the trial engine.
func TestScripts(t *testing.T) {
	for name, dir := range map[string]string{"program": "../../../testdata/script", "manners": "testdata/script"} {
		t.Run(name, func(t *testing.T) {
			testscript.Run(t, testscript.Params{
				Dir:                 dir,
				RequireExplicitExec: true,
				UpdateScripts:       *update,
				Setup: func(env *testscript.Env) error {
					env.Setenv("XDG_CACHE_HOME", env.WorkDir+"/.cache")
					env.Setenv("LocalAppData", filepath.Join(env.WorkDir, ".cache"))
					return nil
				},
				Cmds: map[string]func(ts *testscript.TestScript, neg bool, args []string){
					"status": statusCmd, "swap": swapCmd, "vacant": vacantCmd, "spoil": spoilCmd,
				},
				Condition: scriptCondition,
			})
		})
	}
}

// statusCmd is the script command "status N PROGRAM ARGS...": the program ends
// with status N, and every line on standard error that starts with sluice: is
// one that a person can read.
func statusCmd(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: status N PROGRAM ARGS...")
	}
	err := ts.Exec(args[1], args[2:]...)
	got := "0"
	var exit interface{ ExitCode() int }
	if errors.As(err, &exit) {
		got = fmt.Sprint(exit.ExitCode())
	} else if err != nil {
		ts.Fatalf("%v", err)
	}
	if got != args[0] {
		ts.Fatalf("status %s, want %s", got, args[0])
	}
	if got == "2" && strings.Count(ts.ReadFile("stderr"), "\n") == 0 {
		ts.Fatalf("status 2 without a line on standard error")
	}
}

// scriptCondition tells scripts whether links can be made here.
func scriptCondition(name string) (bool, error) {
	if name != "links" {
		return false, fmt.Errorf("unknown condition %s", name)
	}
	dir, err := os.MkdirTemp("", "links")
	if err != nil {
		return false, err
	}
	link := filepath.Join(dir, "link")
	err = os.Symlink(dir, link)
	_, there := os.Lstat(link) // Wine says that it made one
	_ = os.Remove(link)
	return err == nil && there == nil, os.Remove(dir)
}

// swapCmd is the script command "swap PATTERN TEXT FILE": text in a file replaced.
func swapCmd(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: swap PATTERN TEXT FILE")
	}
	text := ts.ReadFile(args[2])
	now := regexp.MustCompile("(?m)"+args[0]).ReplaceAllString(text, args[1])
	if now == text {
		ts.Fatalf("%s: nothing matches", args[2])
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[2]), []byte(now), 0o644))
}

// vacantCmd is the script command "vacant FOLDER": there is nothing in it.
func vacantCmd(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: vacant FOLDER")
	}
	list, err := os.ReadDir(ts.MkAbs(args[0]))
	ts.Check(err)
	if len(list) > 0 {
		ts.Fatalf("%s holds %v", args[0], list)
	}
}

// spoilCmd is the script command "spoil GLOB": the files that match are damaged.
func spoilCmd(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: spoil GLOB")
	}
	list, err := filepath.Glob(ts.MkAbs(args[0]))
	ts.Check(err)
	if len(list) == 0 {
		ts.Fatalf("nothing matches %s", args[0])
	}
	for _, path := range list {
		ts.Check(os.WriteFile(path, []byte("junk\n"), 0o644))
	}
}
