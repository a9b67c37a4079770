package cli

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"sluice/lint/job"
	"sluice/lint/report"
)

// command is one command with all that is to be said about it. The table of
// commands is the only source of the help texts and of what is accepted.
type command struct {
	name        string
	args        string // as in the usage line
	needs       string // what it takes, in words
	least, most int    // number of arguments; most -1: any number
	files       bool   // they are files or folders
	title       string
	about       string
	only        string // the one form of its output, where it is none of report.Formats
	outputs     bool   // --out and --force make sense
	judges      bool   // the flags that change the job make sense
	flags       []*flagDef
	examples    []example
	run         func(*call) int
}

// example is a command line and what it does.
type example struct{ line, does string }

// flagDef is one flag. Exactly one of set and at is given.
type flagDef struct {
	name, short string
	arg         string // what its value is called; "" for a flag that is on or off
	about       string
	words       []string // what it may be, where only those are allowed
	set         string   // the setting of the job that it overrides
	to          string   // the value it gives to set, whatever its own; "": its own
	most        int      // of a number; 0: 1024
	zero        bool     // a number may be 0
	with        string   // help tells of it with this flag, not by itself
	at          func(*options) any
}

// options are the values of the flags.
type options struct {
	job, format, out      string
	force, quiet          bool
	jobs                  int
	failOn, color         string
	all, dryRun, untab    bool
	spread, layout        bool
	refit                 string
	report, paths, list   string
	measured, wasm        string
	only                  []string
	baseline, cache       string
	writeBaseline         bool
	noCache               bool
	shard                 shard
	forFile               string
	ask                   bool
	answers               string
	noAnswers             bool
	date, offcut          string
	again                 askedParts
	listen                string
	port                  int
	noOpen, diffs, choose bool
	sets                  []setting // overrides of the job, in the order given
	showVersion, showHelp bool
}

// setting is a setting of the job given by a flag.
type setting struct{ flag, name, value string }

func defaults() options { return options{failOn: "error", color: "auto"} }

// flagValue lets a flag of the table take its value from the command line.
type flagValue struct {
	*flagDef
	call *call
}

// Type returns what the value is called.
func (v *flagValue) Type() string { return v.arg }

// String returns "", since help texts are made from the table.
func (v *flagValue) String() string { return "" }

// Set takes the value, or says what is wrong with it.
func (v *flagValue) Set(s string) error {
	if v.set != "" {
		return v.override(s)
	}
	words := v.words
	if v.name == "format" {
		words = v.call.command.formats()
	}
	if words != nil && !slices.Contains(words, s) {
		return unknownWord(s, words)
	}
	switch p := v.at(&v.call.options).(type) {
	case *askedParts:
		if v.name == "part" {
			return p.part(s)
		}
		n, err := strconv.Atoi(s)
		if err != nil || n < 1 || n > mostCount {
			return fmt.Errorf("%q is out of range; write a whole number from 1 to %d", s, mostCount)
		}
		return p.count(n)
	case *string:
		if s == "" {
			return fmt.Errorf("its value is empty; write --%s %s", v.name, v.arg)
		}
		*p = s
	case *bool:
		b, err := strconv.ParseBool(s)
		if err != nil {
			return fmt.Errorf("%q is neither true nor false", s)
		}
		*p = b
	case *int:
		n, err := strconv.Atoi(s)
		least, most := 1, max(v.most, 1024)
		if v.zero {
			least = 0
		}
		if err != nil || n < least || n > most {
			return fmt.Errorf("%q is out of range; write a whole number from %d to %d", s, least, most)
		}
		*p = n
	case *shard:
		share, err := parseShard(s)
		if err != nil {
			return err
		}
		*p = share
	case *[]string:
		for w := range strings.SplitSeq(s, ",") {
			if w = strings.TrimSpace(w); w != "" {
				*p = append(*p, w)
			}
		}
	}
	return nil
}

// override tries the value on a job, so that a bad one is told before anything
// is read.
func (v *flagValue) override(s string) error {
	if v.to != "" && v.words == nil {
		on, err := strconv.ParseBool(s)
		if err != nil {
			return fmt.Errorf("%q is neither true nor false", s)
		}
		if !on {
			return nil
		}
	}
	if v.words != nil && !slices.Contains(v.words, s) {
		return unknownWord(s, v.words)
	}
	if v.to != "" {
		s = v.to
	}
	if err := job.Default().Set(v.set, s); err != nil {
		return err
	}
	v.call.sets = append(v.call.sets, setting{v.name, v.set, s})
	return nil
}

func unknownWord(s string, words []string) error {
	return fmt.Errorf("%q is not known; did you mean %q? (%s)", s, job.Nearest(s, words), strings.Join(words, ", "))
}

// Flags that several commands share.
var (
	jobFlag = &flagDef{name: "job", arg: "FILE", about: "job file; else sluice.toml beside the drawing or in a folder above it",
		at: func(o *options) any { return &o.job }}
	unitsFlag = &flagDef{name: "units", arg: "UNIT", about: "unit of the drawing: auto, mm, cm, m, in or ft", set: "units"}
	showFlag  = &flagDef{name: "show-units", arg: "UNIT", about: "units to tell figures in: auto, mm or in", set: "report.show_units"}
	kerfFlag  = &flagDef{name: "kerf", arg: "L", about: "width the stream removes, such as 0.9mm or 0.035in", set: "jet.kerf"}
	thickFlag = &flagDef{name: "thickness", arg: "L", about: "thickness of the sheet, such as 3/16in", set: "sheet.thickness"}
	formFlag  = &flagDef{name: "format", arg: "FORMAT", about: "form of the output",
		at: func(o *options) any { return &o.format }}
	outFlag = &flagDef{name: "out", short: "o", arg: "FILE", about: "write to FILE instead of standard output",
		at: func(o *options) any { return &o.out }}
	forceFlag = &flagDef{name: "force", about: "replace an output that exists",
		at: func(o *options) any { return &o.force }}
	quietFlag = &flagDef{name: "quiet", short: "q", about: "say only what is wrong",
		at: func(o *options) any { return &o.quiet }}
	jobsFlag = &flagDef{name: "jobs", arg: "N", about: "drawings worked on at once; all cores by default",
		at: func(o *options) any { return &o.jobs }}
	answersFlag = &flagDef{name: "answers", arg: "FILE", about: "what was decided; else KIT.answers.toml beside KIT.dxf (--no-answers: none)",
		at: func(o *options) any { return &o.answers }}
	noAnswersFlag = &flagDef{name: "no-answers", about: "leave answers aside",
		at: func(o *options) any { return &o.noAnswers }}
	colorFlag = &flagDef{name: "color", arg: "WHEN", about: "colour the text: auto, always or never",
		words: []string{"auto", "always", "never"}, at: func(o *options) any { return &o.color }}
	versionFlag = &flagDef{name: "version", about: "print the version",
		at: func(o *options) any { return &o.showVersion }}
	helpFlag = &flagDef{name: "help", short: "h", about: "print this help",
		at: func(o *options) any { return &o.showHelp }}
	failOnFlag = &flagDef{name: "fail-on", arg: "LEVEL",
		about: "lightest finding for status 1: error (default), warning, note, never",
		words: []string{"error", "warning", "note", "never"}, at: func(o *options) any { return &o.failOn }}
)

// allFlags returns the flags of a command: its own, then the common ones. All
// commands take all common flags; help leaves out those that change nothing.
func (c *command) allFlags() []*flagDef {
	list := slices.Clone(c.flags)
	for _, f := range []*flagDef{
		jobFlag, unitsFlag, showFlag, kerfFlag, thickFlag, formFlag, outFlag, forceFlag, colorFlag, quietFlag, jobsFlag, answersFlag, noAnswersFlag, versionFlag, helpFlag,
	} {
		if !slices.ContainsFunc(list, func(g *flagDef) bool { return g.name == f.name }) {
			list = append(list, f)
		}
	}
	return list
}

// shown tells whether help lists the flag for this command.
func (c *command) shown(f *flagDef) bool {
	switch f {
	case versionFlag:
		return false
	case jobFlag, unitsFlag, showFlag, kerfFlag, thickFlag, jobsFlag, quietFlag:
		return c.judges
	case noAnswersFlag:
		return false // told with --answers
	case answersFlag:
		return c.judges && (c.only == "" || c.name == "review")
	case formFlag:
		return len(c.formats()) > 1
	case outFlag, forceFlag:
		return c.outputs
	case colorFlag:
		return c.name == "lint"
	}
	return f.with == ""
}

// formats returns what --format takes, the default first.
func (c *command) formats() []string {
	if c.only != "" {
		return []string{c.only}
	}
	_, names := report.FormatsOf(c.name)
	return names
}

func (c *command) usage() string {
	return strings.TrimSpace(c.name + " [flags] " + c.args)
}

func findCommand(name string) *command {
	for _, c := range commands() {
		if c.name == name {
			return c
		}
	}
	return nil
}

func commandNames() []string {
	var names []string
	for _, c := range commands() {
		names = append(names, c.name)
	}
	return names
}
