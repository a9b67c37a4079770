package cli

// commands returns the table of commands in the order in which help lists them.
// It is a function because help, one of them, lists the table.
func commands() []*command {
	return []*command{
		lintCommand(), fixCommand(), reviewCommand(), pageCommand(), diffCommand(), partsCommand(), assembleCommand(), estimateCommand(), couponCommand(),
		explainCommand(), jobCommand(), helpCommand(), manCommand(), completionCommand(), versionCommand(),
	}
}

func lintCommand() *command {
	return &command{
		name: "lint", args: "PATH...", needs: "a drawing, a folder, a glob, or - for standard input", least: 1, most: -1, files: true,
		title: "check drawings for what the jet cannot cut, or not well",
		about: "Checks drawings and tells the flaws with their places. PATH is a .dxf file, a folder (all *.dxf\n" +
			"in it, hidden folders skipped), a glob, or - for standard input. Nothing is changed.\n" +
			"Status: 0 nothing at or above --fail-on; 1 something is; 2 bad usage or an unreadable input.",
		outputs: true, judges: true,
		flags: []*flagDef{
			failOnFlag,
			{name: "all", about: "list every finding in text at its place, not in facts",
				at: func(o *options) any { return &o.all }},
			{name: "baseline", arg: "FILE", about: "accept the findings that FILE lists; only new ones count",
				at: func(o *options) any { return &o.baseline }},
			{name: "write-baseline", about: "write today's findings into the file of --baseline",
				at: func(o *options) any { return &o.writeBaseline }},
			{name: "shard", arg: "N/M", about: "check only the N-th of M equal shares of the drawings",
				at: func(o *options) any { return &o.shard }},
			{name: "cache", arg: "DIR", about: "folder that keeps what was found in drawings; else the user's cache folder",
				at: func(o *options) any { return &o.cache }},
			{name: "no-cache", about: "judge every drawing anew, and keep nothing",
				at: func(o *options) any { return &o.noCache }},
		},
		examples: []example{
			{"sluice lint kit.dxf", "check one drawing"},
			{"sluice lint --kerf 0.035in --thickness 3/16in kit.dxf", "for this jet and sheet"},
			{"sluice lint --format sarif --out lint.sarif kits/", "a folder, for a code host"},
			{"sluice lint --baseline known.json kits/", "tell only what is new"},
		},
		run: (*call).lint,
	}
}

func fixCommand() *command {
	return &command{
		name: "fix", args: "FILE|DIR -o OUT", needs: "one drawing, one folder, or - for standard input", least: 1, most: -1, files: true,
		title: "repair drawings: close gaps, drop duplicates, add tabs and numbers",
		about: "Repairs a drawing and writes the corrected one to OUT; of a folder every drawing, under the same\n" +
			"relative path in the folder OUT. Only safe repairs are made unless a flag or the job file asks for\n" +
			"more. An input is never written to, and an output appears whole or not at all.\n" +
			"Status: 0 nothing at or above --fail-on is left; 1 something is left for a person; 2 as for lint.",
		outputs: true, judges: true,
		flags: []*flagDef{
			{name: "out", short: "o", arg: "OUT", about: "the corrected drawing, or for a folder the folder to write to",
				at: func(o *options) any { return &o.out }},
			{name: "report", arg: "FILE", about: "report what was done: " + orList(reportEndings()) + "; for a folder with *, as in rep/*.html",
				at: func(o *options) any { return &o.report }},
			{name: "paths", arg: "FILE", about: "also write paths set off by half the kerf, with leads; for a folder with *",
				at: func(o *options) any { return &o.paths }},
			{name: "list", arg: "FILE", about: "also write a page to hang at the machine; for a folder with *",
				at: func(o *options) any { return &o.list }},
			{name: "ask", about: "ask what must be decided first, and keep the answers beside the drawing",
				at: func(o *options) any { return &o.ask }},
			{name: "dry-run", about: "print the plan and write no drawing",
				at: func(o *options) any { return &o.dryRun }},
			{name: "only", arg: "LIST", about: "make only these edits, such as close-gap,tab",
				at: func(o *options) any { return &o.only }},
			{name: "tabs", arg: "WHICH", about: "parts that get breakaway tabs: small, all or none", set: "tabs.parts"},
			{name: "slugs", arg: "HOW", about: "slugs that can tip up: hold them with tabs too", words: []string{"tab"}, set: "tabs.slugs", to: "true"},
			{name: "spread", about: "move parts apart that share an edge or lie too close", at: func(o *options) any { return &o.spread }},
			{name: "layout", about: "lay the parts of one drawing or several out anew on the sheets of the job: OUT-1.dxf, ...",
				at: func(o *options) any { return &o.layout }},
			{name: "time", arg: "SECONDS", about: "how long to search for a layout (60); --seed N gives another (1)", set: "layout.seconds"},
			{name: "deadline", arg: "TIME", about: "end the search by the clock, as in 30s or 2min; the best found is written", set: "layout.deadline"},
			{name: "part", arg: "N", about: "lay out this part alone, with its number; --count N behind it: so often",
				at: func(o *options) any { return &o.again }},
			{name: "count", arg: "N", with: "part", about: "how often the part before it is cut (1)", at: func(o *options) any { return &o.again }},
			{name: "offcut", arg: "FILE", about: "also write what is left of the last sheet (--date DAY notes when)",
				at: func(o *options) any { return &o.offcut }},
			{name: "date", arg: "DAY", with: "offcut", about: "date to note on the offcut, or today (none unless asked)",
				at: func(o *options) any { return &o.date }},
			{name: "seed", arg: "N", with: "time", about: "seed of the search: the same gives the same layout (1)", set: "layout.seed"},
			{name: "refit", arg: "HOW", about: "fit the joints to the sheet: redraw the slots, or scale the whole kit",
				words: []string{"slots", "scale"}, at: func(o *options) any { return &o.refit }},
			{name: "untab", about: "close the tabs of a corrected drawing again, and make none", at: func(o *options) any { return &o.untab }},
			{name: "labels", arg: "WHICH", about: "parts that get a number: all or none", set: "labels.parts"},
			{name: "marks", arg: "HOW", about: "open paths inside a part: etch, cut, note, drop", words: []string{"etch", "cut", "note", "drop", "ignore"}, set: "repair.loose_marks"},
			{name: "border", arg: "HOW", about: "border of the sheet, drawing frame: ignore it, or cut it as a part",
				words: []string{"ignore", "part"}, set: "repair.border"},
			{name: "steps", arg: "HOW", about: "stepped holes: cut the smaller outline alone, or both",
				words: []string{"smaller", "both"}, set: "repair.steps"},
			{name: "lettering", arg: "HOW", about: "lettering drawn as outlines: cut, etch or leave",
				words: []string{"cut", "etch", "leave"}, set: "repair.lettering"},
			{name: "widen", with: "slots", about: "widen slots narrower than the kerf", set: "repair.narrow_slot", to: "widen"},
			{name: "corners", arg: "HOW", about: "open inside corners of joints with a round relief: dogbone or tee",
				words: []string{"dogbone", "tee"}, set: "fit.corner"},
			{name: "slots", arg: "HOW", about: "slots narrower than the kerf: widen them, or etch their middle line",
				words: []string{"widen", "etch"}, set: "repair.narrow_slot"},
			{name: "holes", arg: "HOW", about: "holes too small to pierce: etch a cross to drill by", words: []string{"etch"}, set: "repair.small_hole"},
			{name: "text", arg: "HOW", about: "text: etch it in stroke letters", words: []string{"etch"}, set: "repair.live_text"},
			{name: "curves", arg: "HOW", about: "refit runs of short lines that stray further than curve", words: []string{"refit"}, set: "repair.dense_curve"},
			failOnFlag,
		},
		examples: []example{
			{"sluice fix kit.dxf -o kit-jet.dxf --report kit-jet.html", "repair one drawing"},
			{"sluice fix --dry-run kit.dxf", "see the plan first"},
			{"sluice fix kit.dxf --layout --part 7 --count 2 -o again.dxf", "one lost part again"},
		},
		run: (*call).fix,
	}
}

func diffCommand() *command {
	return &command{
		name: "diff", args: "BEFORE AFTER", needs: "two drawings", least: 2, most: 2, files: true,
		title: "tell what changed between two drawings, as geometry",
		about: "Compares two drawings part by part, whatever their units, entity types and order.\n" +
			"Status: 0 the same shapes; 1 they differ; 2 bad usage or an unreadable input.",
		outputs: true, judges: true,
		flags: []*flagDef{
			{name: "all", about: "show every change in text, not only the first 20 of a kind",
				at: func(o *options) any { return &o.all }},
		},
		examples: []example{
			{"sluice diff kit.dxf kit-jet.dxf", "what the repair changed"},
			{"sluice diff --format html --out changes.html old.dxf new.dxf", "to look at"},
		},
		run: (*call).diff,
	}
}

func partsCommand() *command {
	return &command{
		name: "parts", args: "FILE", needs: "one drawing, or - for standard input", least: 1, most: 1, files: true,
		title:   "print the part schedule: number, count, size, area, cut length",
		about:   "Lists the parts of a drawing; equal ones share a number and carry a count.",
		outputs: true, judges: true,
		examples: []example{
			{"sluice parts kit-jet.dxf", "the schedule"},
			{"sluice parts --format csv --out parts.csv kit.dxf", "for a spreadsheet"},
			{"sluice parts --format labels --out labels.html kit.dxf", "labels for the boxes of parts"},
		},
		run: (*call).parts,
	}
}

func assembleCommand() *command {
	return &command{
		name: "assemble", args: "FILE", needs: "one drawing, or - for standard input", least: 1, most: 1, files: true,
		title: "rebuild the kit in space: where each part stands, and in which order they go together",
		about: "Rebuilds a kit of flat parts in space from its slots, tabs, notches and finger edges, and finds\n" +
			"an order in which it can be put together by taking it apart again. Tells what is trapped, what\n" +
			"clashes, and where the joints leave a choice. Directions are those of the first part of a group\n" +
			"as it lies in the drawing.\n" +
			"Status: 0 every part with joints is placed and can be put in; 1 something is not; 2 bad usage or an\n" +
			"unreadable input.",
		outputs: true, judges: true,
		examples: []example{
			{"sluice assemble kit.dxf", "the order, in words"},
			{"sluice assemble --format html --out kit.html kit.dxf", "a leaflet to print: a picture for each step"},
			{"sluice assemble --format json kit.dxf", "poses, joints and steps for programs"},
		},
		run: (*call).assemble,
	}
}

func estimateCommand() *command {
	return &command{
		name: "estimate", args: "FILE", needs: "one drawing, or - for standard input", least: 1, most: 1, files: true,
		title: "estimate cutting time, abrasive, mass, sheet share and cost",
		about: "Estimates what it takes to cut a drawing, from the job's [sheet], [jet] and [cost]. The drawing is\n" +
			"taken as it is: estimate the corrected one to have its tabs and numbers counted.",
		outputs: true, judges: true,
		flags: []*flagDef{
			{name: "material", arg: "NAME", about: "material of the sheet, such as \"aluminium 5052\"", set: "sheet.material"},
			{name: "edge", arg: "WORD", about: "how smooth: through, coarse, plain, smooth or fine", set: "jet.edge"},
			{name: "kits", arg: "N", about: "how many of the drawing are cut", set: "cost.kits"},
			{name: "date", arg: "DAY", about: "date to print on a quote, or today (none unless asked)",
				at: func(o *options) any { return &o.date }},
		},
		examples: []example{
			{"sluice estimate --material 5052 --thickness 3/16in kit.dxf", "for this sheet"},
			{"sluice estimate --job sluice.toml --kits 10 kit.dxf", "ten, at the prices of a job file"},
			{"sluice estimate --format html --out quote.html kit.dxf", "a quote to send"},
		},
		run: (*call).estimate,
	}
}

func explainCommand() *command {
	return &command{
		name: "explain", args: "[RULE...]", needs: "rules", least: 0, most: -1,
		title:   "explain a rule: what it looks for, why it matters, how it is repaired",
		about:   "Explains rules, with a drawing of the flaw and of a near miss; without one it lists them all.",
		outputs: true,
		examples: []example{
			{"sluice explain", "all rules in short"},
			{"sluice explain thin-web", "one of them in full"},
			{"sluice explain --format html --out rules.html", "all of them, drawn"},
		},
		run: (*call).explain,
	}
}

func jobCommand() *command {
	return &command{
		name: "job", args: "", needs: "no argument", least: 0, most: 0,
		title: "print a complete, commented job file",
		about: "Prints a job file with every setting at its default, or, with --job and the flags below, at the\n" +
			"value that is then in force. --for tells what is in force for a drawing, and where it comes from.",
		only: "toml", outputs: true, judges: true,
		flags: []*flagDef{
			{name: "for", arg: "DRAWING", about: "the settings in force for a drawing, each with its file and line, or flag",
				at: func(o *options) any { return &o.forFile }},
			{name: "ask", about: "ask about plate, stream and table, and write sluice.toml",
				at: func(o *options) any { return &o.ask }},
		},
		examples: []example{
			{"sluice job --ask", "start a job file by answering seven questions"},
			{"sluice job --out sluice.toml", "start one with all defaults"},
			{"sluice job --for kits/a.dxf --kerf 0.9mm", "what is in force for it, and why"},
		},
		run: (*call).printJob,
	}
}

func helpCommand() *command {
	return &command{
		name: "help", args: "[COMMAND]", needs: "one command", least: 0, most: 1,
		title:    "tell about the commands, or one of them",
		about:    "Prints the list of commands, or the help of one.",
		only:     "text",
		examples: []example{{"sluice help fix", "all flags of fix"}},
		run:      (*call).help,
	}
}

func versionCommand() *command {
	return &command{
		name: "version", args: "", needs: "no argument", least: 0, most: 0,
		title:    "print the version",
		about:    "Prints the version of the program.",
		only:     "text",
		examples: []example{{"sluice version", ""}},
		run:      (*call).version,
	}
}

func manCommand() *command {
	return &command{
		name: "man", args: "[COMMAND]", needs: "one command", least: 0, most: 1,
		title:    "print a manual page",
		about:    "Prints the manual page of the program, or of one command, for man.",
		only:     "roff",
		outputs:  true,
		examples: []example{{"sluice man fix --out sluice-fix.1", "then man ./sluice-fix.1"}},
		run:      (*call).man,
	}
}

func completionCommand() *command {
	return &command{
		name: "completion", args: "SHELL", needs: "one shell: bash, zsh or fish", least: 1, most: 1,
		title:    "print a completion script for bash, zsh or fish",
		about:    "Prints the script that completes commands, flags, rules and words in a shell.",
		only:     "text",
		outputs:  true,
		examples: []example{{"source <(sluice completion bash)", "in the start-up file of bash"}},
		run:      (*call).completion,
	}
}
