package cli

import (
	"fmt"
	"strings"

	"sluice/lint/job"
)

// shells are the shells that completion is written for.
var shells = []string{"bash", "zsh", "fish"}

// completion prints the completion script of a shell.
func (c *call) completion() int {
	script := map[string]func(*engine) string{"bash": bashScript, "zsh": zshScript, "fish": fishScript}[c.args[0]]
	if script == nil {
		return c.failf("no completion for %q; did you mean %q? (%s)",
			c.args[0], job.Nearest(c.args[0], shells), strings.Join(shells, ", "))
	}
	return c.emit([]byte(script(c.engine)))
}

// valuesOf returns the words a flag may be given, nil if any will do.
func (c *command) valuesOf(f *flagDef) []string {
	switch {
	case f == formFlag:
		return c.formats()
	case f.words != nil:
		return f.words
	case f.arg != "":
		return job.Words(f.set)
	}
	return nil
}

// argumentsOf returns the words a command may be given, nil where it takes files
// or nothing.
func (c *command) argumentsOf(e *engine) []string {
	switch c.name {
	case "explain":
		return e.ruleIDs()
	case "help", "man":
		return commandNames()
	case "completion":
		return shells
	}
	return nil
}

// visible returns the flags that help lists for a command, or tells with another.
func (c *command) visible() []*flagDef {
	var list []*flagDef
	for _, f := range c.allFlags() {
		if c.shown(f) || f.with != "" {
			list = append(list, f)
		}
	}
	return list
}

func bashScript(e *engine) string {
	var b strings.Builder
	b.WriteString("# bash completion for sluice: source this file.\n_sluice() {\n" +
		"  local cur=${COMP_WORDS[COMP_CWORD]} prev=${COMP_WORDS[COMP_CWORD-1]} cmd=${COMP_WORDS[1]}\n" +
		"  COMPREPLY=()\n" +
		"  if [ \"$COMP_CWORD\" -eq 1 ]; then\n" +
		"    COMPREPLY=($(compgen -W '" + strings.Join(commandNames(), " ") + " --help --version' -- \"$cur\"))\n" +
		"    return\n  fi\n  case \"$cmd $prev\" in\n")
	for _, c := range commands() {
		for _, f := range c.visible() {
			if words := c.valuesOf(f); words != nil {
				fmt.Fprintf(&b, "  '%s --%s') COMPREPLY=($(compgen -W '%s' -- \"$cur\")); return ;;\n", c.name, f.name, strings.Join(words, " "))
			}
		}
	}
	b.WriteString("  esac\n  case \"$cmd\" in\n")
	for _, c := range commands() {
		var names []string
		for _, f := range c.visible() {
			names = append(names, "--"+f.name)
		}
		fmt.Fprintf(&b, "  %s)\n    case \"$cur\" in\n    -*) COMPREPLY=($(compgen -W '%s' -- \"$cur\")) ;;\n", c.name, strings.Join(names, " "))
		if words := c.argumentsOf(e); words != nil { // else files, which bash completes itself
			fmt.Fprintf(&b, "    *) COMPREPLY=($(compgen -W '%s' -- \"$cur\")) ;;\n", strings.Join(words, " "))
		}
		b.WriteString("    esac ;;\n")
	}
	b.WriteString("  esac\n}\ncomplete -o bashdefault -o default -F _sluice sluice\n")
	return b.String()
}

func zshScript(e *engine) string {
	var b strings.Builder
	b.WriteString("#compdef sluice\n# zsh completion for sluice: put this file, named _sluice, into a folder of $fpath.\n" +
		"_sluice() {\n  if (( CURRENT == 2 )); then\n    local -a commands\n    commands=(\n")
	for _, c := range commands() {
		fmt.Fprintf(&b, "      %s\n", shellQuote(c.name+":"+c.title))
	}
	b.WriteString("    )\n    _describe command commands\n    return\n  fi\n  local command=$words[2]\n" +
		"  shift words\n  (( CURRENT-- ))\n  case $command in\n")
	for _, c := range commands() {
		fmt.Fprintf(&b, "  %s)\n    _arguments \\\n", c.name)
		for _, f := range c.visible() {
			about := "[" + strings.NewReplacer("[", "(", "]", ")", ":", "\\:").Replace(f.about) + "]"
			value := ""
			if f.arg != "" {
				value = ":" + f.arg + ":_files"
				if words := c.valuesOf(f); words != nil {
					value = ":" + f.arg + ":(" + strings.Join(words, " ") + ")"
				}
			}
			fmt.Fprintf(&b, "      %s \\\n", shellQuote("--"+f.name+about+value))
		}
		if words := c.argumentsOf(e); words != nil {
			fmt.Fprintf(&b, "      %s ;;\n", shellQuote("*:word:("+strings.Join(words, " ")+")"))
		} else if c.files {
			fmt.Fprintf(&b, "      %s ;;\n", shellQuote("*:file:_files"))
		} else {
			b.WriteString("      ;;\n")
		}
	}
	b.WriteString("  esac\n}\n_sluice \"$@\"\n")
	return b.String()
}

func fishScript(e *engine) string {
	var b strings.Builder
	b.WriteString("# fish completion for sluice: put this file, named sluice.fish, into ~/.config/fish/completions.\n")
	for _, c := range commands() {
		fmt.Fprintf(&b, "complete -c sluice -n __fish_use_subcommand -f -a %s -d %s\n", c.name, fishQuote(c.title))
	}
	for _, c := range commands() {
		when := "complete -c sluice -n " + fishQuote("__fish_seen_subcommand_from "+c.name)
		for _, f := range c.visible() {
			line := when + " -l " + f.name
			if f.short != "" {
				line += " -s " + f.short
			}
			if words := c.valuesOf(f); words != nil {
				line += " -x -a " + fishQuote(strings.Join(words, " "))
			} else if f.arg != "" {
				line += " -r"
			}
			fmt.Fprintf(&b, "%s -d %s\n", line, fishQuote(f.about))
		}
		if words := c.argumentsOf(e); words != nil {
			fmt.Fprintf(&b, "%s -f -a %s\n", when, fishQuote(strings.Join(words, " ")))
		} else if !c.files {
			fmt.Fprintf(&b, "%s -f\n", when)
		}
	}
	return b.String()
}

// shellQuote quotes for bash and zsh.
func shellQuote(s string) string { return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'" }

// fishQuote quotes for fish.
func fishQuote(s string) string {
	return "'" + strings.NewReplacer(`\`, `\\`, `'`, `\'`).Replace(s) + "'"
}
