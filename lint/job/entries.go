package job

import (
	"errors"
	"slices"
	"strconv"
	"strings"
)

// entryTable is a table of the job file that may stand several times, [[name]].
// Reading, printing, job --for and the key of the cache go by this list.
type entryTable struct {
	name, about string
	add         func(j *Job, line int) // begins an entry
	lines       func(j *Job) []int     // the line of each entry in the job file
	keys        []entryKey
	finish      func(r *reader) error // checks that the entries are complete
}

// entryKey is a key of such a table.
type entryKey struct {
	name    string
	put     func(r *reader, v value) error // into the last entry
	printed func(j *Job, entry int) string // in TOML, "" to leave it out
}

var entryTables = []entryTable{sheetTable(), stockTable(), partTableOfJob(), suppressTable(), materialTable(), clampTable()}

// gone says for settings of earlier versions what stands in their place.
var gone = map[string]string{
	"layout.clamps": "clamp zones are tables of their own; write [[clamp]] with at = [\"0mm\", \"400mm\"] and size = [\"60mm\", \"40mm\"] for each zone",
}

// entriesOf returns the table of that name, nil if there is none.
func entriesOf(name string) *entryTable {
	for i := range entryTables {
		if entryTables[i].name == name {
			return &entryTables[i]
		}
	}
	return nil
}

// listed reports whether a table may stand several times.
func listed(table string) bool { return entriesOf(table) != nil }

// single reports whether a table may stand once, in single brackets.
func single(table string) bool {
	return table == "rules" || slices.ContainsFunc(settings, func(s setting) bool { return s.table == table && table != "" })
}

// EntryLine returns the line of the job file on which entry n of [[table]] stands,
// 0 if there is none.
func (j *Job) EntryLine(table string, n int) int {
	t := entriesOf(table)
	if t == nil {
		return 0
	}
	if lines := t.lines(j); n < len(lines) {
		return lines[n]
	}
	return 0
}

// entryKey takes one key of a table that may stand several times.
func (r *reader) entryKey(table, key string, line int, v value) error {
	t := entriesOf(table)
	if len(t.lines(r.job)) == 0 {
		return r.errorf(line, "%s is a list of tables; write [[%s]]", table, table)
	}
	i := slices.IndexFunc(t.keys, func(k entryKey) bool { return k.name == key })
	if i < 0 {
		var keys []string
		for _, k := range t.keys {
			keys = append(keys, k.name)
		}
		return r.errorf(line, "%s.%s: unknown setting; did you mean %q? (%s)", table, short(key), Nearest(key, keys), list(keys))
	}
	if err := t.keys[i].put(r, v); err != nil {
		return r.errorf(line, "%s.%s: %v", table, key, err)
	}
	return nil
}

// textKey is a key for a line of text, which may not be empty; check may be nil.
func textKey(name string, at func(j *Job, entry int) *string, last func(j *Job) int, check func(r *reader, t string) error) entryKey {
	return entryKey{name, func(r *reader, v value) error {
		t, err := v.line()
		if err == nil && strings.TrimSpace(t) == "" {
			err = errors.New("is empty; leave it out or fill it in")
		}
		if err == nil && check != nil {
			err = check(r, t)
		}
		if err == nil {
			*at(r.job, last(r.job)) = t
		}
		return err
	}, func(j *Job, entry int) string {
		if t := *at(j, entry); t != "" {
			return tomlString(t)
		}
		return ""
	}}
}

func suppressTable() entryTable {
	last := func(j *Job) int { return len(j.Suppress) - 1 }
	key := func(name string, at func(s *Suppression) *string, check func(r *reader, t string) error) entryKey {
		return textKey(name, func(j *Job, n int) *string { return at(&j.Suppress[n]) }, last, check)
	}
	return entryTable{
		name: "suppress",
		about: "Findings that are accepted. Each needs a reason and at least one of rule, layer and part:\n" +
			"[[suppress]]\n" +
			"rule = \"thin-web\"\n" +
			"layer = \"grille*\"\n" +
			"part = \"12\"\n" +
			"reason = \"decorative grille, cut in 6 mm plate before and held\"",
		add: func(j *Job, line int) { j.Suppress = append(j.Suppress, Suppression{Line: line}) },
		lines: func(j *Job) (lines []int) {
			for i := range j.Suppress {
				lines = append(lines, j.Suppress[i].Line)
			}
			return lines
		},
		keys: []entryKey{
			key("rule", func(s *Suppression) *string { return &s.Rule }, (*reader).knownRule),
			key("layer", func(s *Suppression) *string { return &s.Layer }, func(_ *reader, t string) error { return checkPattern(t) }),
			key("part", func(s *Suppression) *string { return &s.Part }, nil),
			key("reason", func(s *Suppression) *string { return &s.Reason }, nil),
		},
		finish: func(r *reader) error {
			for i := range r.job.Suppress {
				switch s := &r.job.Suppress[i]; {
				case s.Reason == "":
					return r.errorf(s.Line, "suppress: a reason is missing; add reason = \"why the finding is accepted\"")
				case s.Rule == "" && s.Layer == "" && s.Part == "":
					return r.errorf(s.Line, "suppress: says nothing to suppress; add a rule, a layer or a part")
				}
			}
			return nil
		},
	}
}

func materialTable() entryTable {
	last := func(j *Job) int { return len(j.Material) - 1 }
	return entryTable{
		name: "material",
		about: "Materials besides the built-in ones, each with its density and, if they are known, its\n" +
			"machinability number (mild steel 87, aluminium 213; without one a speed must be measured,\n" +
			"speed_at above) and its shear strength, which says how hard tabs are to break:\n" +
			"[[material]]\n" +
			"name = \"brass 360\"\n" +
			"density = \"8500kg/m3\"\n" +
			"machinability = 110\n" +
			"shear = \"220MPa\"",
		add: func(j *Job, line int) { j.Material = append(j.Material, Material{Line: line}) },
		lines: func(j *Job) (lines []int) {
			for i := range j.Material {
				lines = append(lines, j.Material[i].Line)
			}
			return lines
		},
		keys: []entryKey{
			textKey("name", func(j *Job, n int) *string { return &j.Material[n].Name }, last, nil),
			{"density", func(r *reader, v value) error {
				return (&setting{kind: amount, measure: &densities, low: 1, most: 30_000}).store(&r.job.Material[last(r.job)].Density, v)
			}, func(j *Job, n int) string { return tomlString(densities.format(j.Material[n].Density)) }},
			{"machinability", func(r *reader, v value) error {
				return (&setting{kind: number, low: 0.1, most: 100_000}).store(&r.job.Material[last(r.job)].Machinability, v)
			}, func(j *Job, n int) string {
				if m := j.Material[n].Machinability; m > 0 {
					return strconv.FormatFloat(m, 'f', -1, 64)
				}
				return ""
			}},
			{"shear", func(r *reader, v value) error {
				return (&setting{kind: amount, measure: &pressures, low: 1, most: 5000}).store(&r.job.Material[last(r.job)].Shear, v)
			}, func(j *Job, n int) string {
				if m := j.Material[n].Shear; m > 0 {
					return tomlString(pressures.format(m))
				}
				return ""
			}},
		},
		finish: (*reader).finishMaterials,
	}
}

// finishMaterials checks that each material is complete and stands once.
func (r *reader) finishMaterials() error {
	seen := map[string]bool{}
	for i := range r.job.Material {
		m := &r.job.Material[i]
		name := strings.ToLower(strings.TrimSpace(m.Name))
		switch {
		case name == "":
			return r.errorf(m.Line, "material: a name is missing; add name = \"brass 360\"")
		case m.Density == 0:
			return r.errorf(m.Line, "material: a density is missing; add density = \"8500kg/m3\"")
		case seen[name]:
			return r.errorf(m.Line, "material: %s stands twice; take one out", quote(m.Name))
		}
		seen[name] = true
	}
	return nil
}

func clampTable() entryTable {
	key := func(name, form string, least bool, at func(c *Clamp) *[]float64) entryKey {
		return entryKey{name, func(r *reader, v value) error {
			both, err := v.pair(form, least)
			if err == nil {
				*at(&r.job.Clamp[len(r.job.Clamp)-1]) = both
			}
			return err
		}, func(j *Job, n int) string { return tomlLengths(name, *at(&j.Clamp[n])) }}
	}
	return entryTable{
		name: "clamp",
		about: "Zones of the sheet where nothing is cut, since a clamp, stop or weight is there: the lower left\n" +
			"corner of each, from that of the sheet, and its size, with what the nozzle needs to pass:\n" +
			"[[clamp]]\n" +
			"at = [\"0mm\", \"400mm\"]\n" +
			"size = [\"60mm\", \"40mm\"]",
		add: func(j *Job, line int) { j.Clamp = append(j.Clamp, Clamp{Line: line}) },
		lines: func(j *Job) (lines []int) {
			for i := range j.Clamp {
				lines = append(lines, j.Clamp[i].Line)
			}
			return lines
		},
		keys: []entryKey{
			key("at", "is no place; write x and y from the sheet's lower left corner, such as [\"0mm\", \"400mm\"]", false, func(c *Clamp) *[]float64 { return &c.At }),
			key("size", "is no size; write the lengths along x and y, such as [\"60mm\", \"40mm\"]", true, func(c *Clamp) *[]float64 { return &c.Size }),
		},
		finish: func(r *reader) error {
			for i := range r.job.Clamp {
				switch c := &r.job.Clamp[i]; {
				case len(c.At) == 0:
					return r.errorf(c.Line, "clamp: its place is missing; add at = [\"0mm\", \"400mm\"]")
				case len(c.Size) == 0:
					return r.errorf(c.Line, "clamp: its size is missing; add size = [\"60mm\", \"40mm\"]")
				case len(r.job.Sheet.Size) == 2 && (c.At[0] >= r.job.Sheet.Size[0] || c.At[1] >= r.job.Sheet.Size[1]):
					return r.errorf(c.Line, "clamp: lies beyond the sheet; see sheet.size")
				}
			}
			return nil
		},
	}
}
