// Package cli is the command line of sluice: a file per command, over one table
// of commands and flags. It talks to the person; all judging and repairing is
// done by the packages below it.
package cli

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/signal"
	"slices"
	"strings"
	"syscall"
	"unicode"

	"github.com/spf13/pflag"

	"sluice/cmd/internal/system"
	"sluice/cmd/internal/version"
	"sluice/lint/job"
)

// Version is the version of the program, as its outputs state it.
const Version = version.Number

// Exit statuses.
const (
	statusOK      = 0 // done, and nothing stands in the way
	statusFound   = 1 // done, and something is left for a person
	statusFailure = 2 // bad usage, or an input that cannot be read
)

// Main runs the command line and returns the exit status: 0, 1 or 2. An
// interrupt ends it in order, with nothing half written; a reader that hangs up
// does not end it, so that files are still written and the status is as it is.
func Main(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	signal.Ignore(syscall.SIGPIPE)
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	context.AfterFunc(ctx, stop) // a second interrupt ends the program at once
	return run(ctx, args, stdin, stdout, stderr, wired())
}

// call is one command being run.
type call struct {
	ctx     context.Context
	command *command
	options
	args           []string // what is left beside the flags
	stdin          io.Reader
	stdout, stderr io.Writer
	engine         *engine
	cores          int                     // cores that work on one drawing
	drawn          bool                    // of drawings only what they draw is asked for
	progress       *progress               // nil: not shown
	ended          bool                    // by an interrupt that is how the command is to end
	acceptedCount  int                     // findings that the baseline accepted
	called         string                  // what the drawing is called where its path says nothing
	beforeWrite    func(path string) error // makes the folder of an output; nil: it is there
}

func run(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer, e *engine) int {
	c := &call{ctx: ctx, stdin: stdin, stdout: stdout, stderr: stderr, engine: e}
	if startedByIcon(args) && e.alone() {
		return c.byIcon(args)
	}
	if done, status := c.asked(args); done {
		return status
	}
	if len(args) == 0 {
		return c.failf("no command given; use %s (sluice help tells more)", orList(commandNames()))
	}
	c.command = findCommand(args[0])
	switch {
	case c.command != nil:
		args = args[1:]
	case isDrawing(args[0]): // a drawing by itself is to be settled
		c.command = findCommand("review")
	default:
		return c.unknownCommand(args[0])
	}
	if err := c.parse(args); err != nil {
		return c.failf("%v", err)
	}
	switch {
	case c.showVersion:
		return c.version()
	case c.showHelp:
		c.args = []string{c.command.name}
		return c.help()
	}
	c.cores = c.workers()
	status := c.command.run(c)
	if ctx.Err() != nil && !c.ended {
		return c.failf("interrupted; nothing is half written")
	}
	return status
}

// asked answers --version and --help, wherever they stand.
func (c *call) asked(args []string) (done bool, status int) {
	if i := slices.Index(args, "--"); i >= 0 {
		args = args[:i]
	}
	if slices.Contains(args, "--version") {
		return true, c.version()
	}
	if !slices.Contains(args, "--help") && !slices.Contains(args, "-h") {
		return false, 0
	}
	if i := slices.IndexFunc(args, func(a string) bool { return findCommand(a) != nil }); i >= 0 {
		c.args = args[i : i+1]
	}
	return true, c.help()
}

func (c *call) unknownCommand(word string) int {
	names := commandNames()
	if strings.HasPrefix(word, "-") {
		return c.failf("%s: the command comes first, as in sluice lint %s (commands: %s)", word, word, strings.Join(names, ", "))
	}
	if _, err := os.Stat(word); err == nil {
		return c.failf("unknown command %q; did you mean sluice lint %s?", word, word)
	}
	return c.failf("unknown command %q; did you mean %q? (%s)", word, job.Nearest(word, names), strings.Join(names, ", "))
}

// parse reads the flags of the command and checks the number of arguments.
func (c *call) parse(args []string) error {
	c.options = defaults()
	fs := pflag.NewFlagSet(c.command.name, pflag.ContinueOnError)
	fs.SetOutput(io.Discard)
	fs.SortFlags = false
	flags := c.command.allFlags()
	for _, f := range flags {
		p := fs.VarPF(&flagValue{f, c}, f.name, f.short, f.about)
		if f.arg == "" {
			p.NoOptDefVal = "true"
		}
	}
	fs.SetNormalizeFunc(func(_ *pflag.FlagSet, name string) pflag.NormalizedName {
		switch name {
		case "output":
			name = "out"
		case "quality": // what it was called once
			name = "edge"
		}
		return pflag.NormalizedName(name)
	})
	if err := fs.Parse(args); err != nil {
		return flagError(err, flags)
	}
	c.args = fs.Args()
	c.slashes()
	if c.showHelp || c.showVersion { // written as -qh or --help=true
		return nil
	}
	switch n := len(c.args); {
	case n < c.command.least:
		return fmt.Errorf("%s needs %s; write sluice %s", c.command.name, c.command.needs, c.command.usage())
	case c.command.most >= 0 && n > c.command.most:
		return fmt.Errorf("%s takes %s, not %q as well; write sluice %s",
			c.command.name, c.command.needs, c.args[c.command.most], c.command.usage())
	}
	return nil
}

// slashes writes all paths given with forward slashes, so that what is told of them is
// the same on every system.
func (c *call) slashes() {
	paths := []*string{&c.job, &c.out, &c.report, &c.paths, &c.list, &c.answers, &c.baseline, &c.cache, &c.forFile, &c.measured}
	if c.command.files {
		for i := range c.args {
			paths = append(paths, &c.args[i])
		}
	}
	for _, p := range paths {
		*p = system.Slashes(*p)
	}
}

// flagError says in one line what is wrong with the flags.
func flagError(err error, flags []*flagDef) error {
	switch e := err.(type) {
	case *pflag.NotExistError:
		var names []string
		for _, f := range flags {
			names = append(names, f.name)
		}
		if letters := e.GetSpecifiedShortnames(); letters != "" {
			return fmt.Errorf("unknown flag -%s; the flags are --%s", e.GetSpecifiedName(), strings.Join(names, ", --"))
		}
		name := e.GetSpecifiedName()
		if near := job.Nearest(name, names); job.Near(name, near) {
			return fmt.Errorf("unknown flag --%s; did you mean --%s?", name, near)
		}
		return fmt.Errorf("unknown flag --%s; --help lists the flags", name)
	case *pflag.ValueRequiredError:
		for _, f := range flags {
			if f.name == e.GetFlag().Name {
				return fmt.Errorf("--%s needs a value; write --%s %s", f.name, f.name, f.arg)
			}
		}
	case *pflag.InvalidValueError:
		return fmt.Errorf("--%s: %v", e.GetFlag().Name, e.Unwrap())
	}
	return err
}

// failf tells an error in one line and returns the status for it.
func (c *call) failf(format string, args ...any) int {
	c.tellf(format, args...)
	return statusFailure
}

// tellf writes one line to standard error.
func (c *call) tellf(format string, args ...any) {
	c.progress.clear()
	fmt.Fprintln(c.stderr, "sluice: "+oneLine(fmt.Sprintf(format, args...)))
}

// oneLine keeps what a file name or a drawing may hold from breaking the line or
// from steering the terminal.
func oneLine(s string) string {
	return strings.Map(func(r rune) rune {
		if r == '\n' || r == '\r' || r == '\t' {
			return ' '
		}
		if unicode.IsControl(r) {
			return unicode.ReplacementChar
		}
		return r
	}, strings.ToValidUTF8(s, "\uFFFD"))
}

// orList writes "a, b or c".
func orList(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " or " + words[last]
}
