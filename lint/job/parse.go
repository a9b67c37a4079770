package job

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"
)

// largestFile bounds a job file, bytes; a long one of every setting has 5,000.
const largestFile = 256 << 10

// severities are what a rule can be set to.
var severities = []string{"error", "warning", "note", "off"}

// Error is a fault in a job file, told in one line.
type Error struct {
	Path string // of the job file, as given
	Line int    // from 1; 0: the whole file
	Text string // the key, what is wrong and what is allowed
}

// Error returns "path:line: text".
func (e *Error) Error() string {
	if e.Line == 0 {
		return fmt.Sprintf("%s: %s", e.Path, e.Text)
	}
	return fmt.Sprintf("%s:%d: %s", e.Path, e.Line, e.Text)
}

// Parse reads a job file over the defaults. The rules are the ids that exist; an
// unknown table, key, rule or word is an error that names the nearest known one.
// Errors are of type *Error and tell the first fault; path is only used for them
// and for Job.Path.
func Parse(data []byte, path string, rules []string) (*Job, error) {
	if len(data) > largestFile {
		return nil, &Error{Path: path, Text: "over 256 KiB, too large for a job file; is it the right file?"}
	}
	// The copy has no spare capacity, from which the parser would take its
	// positions wrongly.
	data = bytes.Clone(bytes.TrimPrefix(data, []byte("\xef\xbb\xbf")))
	data = data[:len(data):len(data)]
	var whole map[string]any
	if err := toml.Unmarshal(data, &whole); err != nil {
		return nil, syntaxError(path, err)
	}
	r := &reader{job: Default(), path: path, rules: rules, lines: map[string]int{}}
	r.job.Path = path
	r.p.Reset(data)
	for r.p.NextExpression() {
		if err := r.expression(r.p.Expression()); err != nil {
			return nil, err
		}
	}
	if err := r.p.Error(); err != nil {
		return nil, syntaxError(path, err)
	}
	if err := r.finish(); err != nil {
		return nil, err
	}
	return r.job, nil
}

// syntaxError turns what the TOML library says into one line.
func syntaxError(path string, err error) error {
	e := &Error{Path: path, Text: "not valid TOML: " + strings.TrimPrefix(err.Error(), "toml: ")}
	var de *toml.DecodeError
	if errors.As(err, &de) {
		e.Line, _ = de.Position()
	}
	e.Text = strings.Join(strings.Fields(e.Text), " ")
	if strings.Contains(e.Text, "sheet already exists as a") {
		e.Text = "[sheet] and [[sheet]] cannot both stand; write [[sheet]] for each of several sheets"
	}
	return e
}

// reader walks the expressions of a job file, which the TOML library has found
// to be sound, for the sake of the line numbers.
type reader struct {
	p     unstable.Parser
	job   *Job
	path  string
	rules []string
	table []string       // the table in which keys stand
	lines map[string]int // where each setting was made
}

func (r *reader) errorf(line int, format string, args ...any) error {
	return &Error{Path: r.path, Line: line, Text: fmt.Sprintf(format, args...)}
}

// keyOf reads a key and its line.
func (r *reader) keyOf(it unstable.Iterator) (key []string, line int) {
	for it.Next() {
		n := it.Node()
		if line == 0 {
			line = r.p.Shape(n.Raw).Start.Line
		}
		key = append(key, string(n.Data))
	}
	return key, line
}

func (r *reader) expression(n *unstable.Node) error {
	switch n.Kind {
	case unstable.Table, unstable.ArrayTable:
		key, line := r.keyOf(n.Key())
		r.table = key
		return r.openTable(key, line, n.Kind == unstable.ArrayTable)
	case unstable.KeyValue:
		return r.keyValue(r.table, n)
	}
	return nil
}

// openTable checks a table's name.
func (r *reader) openTable(key []string, line int, repeated bool) error {
	name := strings.Join(key, ".")
	switch known := slices.Contains(tableNames(), name); {
	case !known && len(key) == 1 && slices.Contains(keysOf(""), name):
		return r.errorf(line, "%s is a setting, not a table; write %s = …", name, name)
	case !known:
		return r.errorf(line, "no table is called [%s]; did you mean [%s]? (%s)",
			short(name), Nearest(key[0], tableNames()), list(tableNames()))
	case listed(name) && !repeated && !single(name):
		return r.errorf(line, "[%s] needs double brackets; write [[%s]]", name, name)
	case !listed(name) && repeated:
		return r.errorf(line, "[[%s]] stands once, in single brackets; write [%s]", name, name)
	case repeated:
		entriesOf(name).add(r.job, line)
	}
	return nil
}

// keyValue takes one key with its value; dotted keys and inline tables are other
// ways to write a table.
func (r *reader) keyValue(table []string, n *unstable.Node) error {
	key, line := r.keyOf(n.Key())
	full := append(slices.Clone(table), key...)
	v := n.Value()
	if v.Kind == unstable.InlineTable {
		if len(full) != 1 || listed(full[0]) && !single(full[0]) || !slices.Contains(tableNames(), full[0]) {
			return r.unknown(full, line)
		}
		return r.inline(full, v)
	}
	if len(full) == 1 && listed(full[0]) && (v.Kind == unstable.Array || !single(full[0])) {
		return r.tableList(full[0], v, line)
	}
	return r.setting(full, line, valueOf(v))
}

func (r *reader) inline(table []string, n *unstable.Node) error {
	for it := n.Children(); it.Next(); {
		if err := r.keyValue(table, it.Node()); err != nil {
			return err
		}
	}
	return nil
}

// tableList reads suppress = [{…}, …] and its like.
func (r *reader) tableList(table string, v *unstable.Node, line int) error {
	if v.Kind != unstable.Array {
		return r.errorf(line, "%s is a list of tables; write [[%s]]", table, table)
	}
	for it := v.Children(); it.Next(); {
		if it.Node().Kind != unstable.InlineTable {
			return r.errorf(line, "%s is a list of tables; write [[%s]]", table, table)
		}
		entriesOf(table).add(r.job, line)
		if err := r.inline([]string{table}, it.Node()); err != nil {
			return err
		}
	}
	return nil
}

// setting takes one value.
func (r *reader) setting(full []string, line int, v value) error {
	table, key := "", full[0]
	if len(full) == 2 {
		table, key = full[0], full[1]
	}
	switch {
	case len(full) > 2:
		return r.unknown(full, line)
	case table == "rules":
		return r.rule(key, line, v)
	case listed(table) && (r.within(table) || !single(table)):
		return r.entryKey(table, key, line, v)
	}
	s := find(table, key)
	if s == nil {
		if now := gone[strings.Join(full, ".")]; now != "" {
			return r.errorf(line, "%s: %s", strings.Join(full, "."), now)
		}
		return r.unknown(full, line)
	}
	if err := s.put(r.job, v); err != nil {
		return r.errorf(line, "%s: %v", s.name(), err)
	}
	r.lines[s.name()] = line
	return nil
}

// within reports whether a table of that name that may stand several times has begun.
func (r *reader) within(table string) bool { return len(entriesOf(table).lines(r.job)) > 0 }

// unknown names the nearest known key: the same key of another table, else the
// nearest of this one.
func (r *reader) unknown(full []string, line int) error {
	name := strings.Join(full, ".")
	last := full[len(full)-1]
	if len(full) > 1 && !slices.Contains(tableNames(), full[0]) {
		return r.errorf(line, "no table is called [%s]; did you mean [%s]? (%s)",
			short(full[0]), Nearest(full[0], tableNames()), list(tableNames()))
	}
	if t := entriesOf(full[0]); t != nil && len(full) == 2 && slices.ContainsFunc(t.keys, func(k entryKey) bool { return k.name == last }) {
		return r.errorf(line, "%s: unknown setting; %s stands in [[%s]], a table for each of several", short(name), last, t.name)
	}
	for i := range settings {
		if s := &settings[i]; len(full) <= 2 && s.key == last && s.name() != name {
			where := "stands above all tables"
			if s.table != "" {
				where = fmt.Sprintf("stands in [%s]", s.table)
			}
			return r.errorf(line, "%s: unknown setting; %s %s", short(name), s.key, where)
		}
	}
	if len(full) == 1 {
		if slices.Contains(tableNames(), last) {
			return r.errorf(line, "%s is a table; write [%s] and its keys below", last, last)
		}
		var names []string
		for i := range settings {
			names = append(names, settings[i].key)
		}
		near := Nearest(last, append(keysOf(""), append(tableNames(), names...)...))
		return r.errorf(line, "%s: unknown setting; did you mean %s? (tables: %s)", short(name), r.place(near), list(tableNames()))
	}
	keys := keysOf(full[0])
	if len(full) > 2 {
		last = full[1]
	}
	return r.errorf(line, "%s: unknown setting; did you mean %q? (%s)", short(name), Nearest(last, keys), list(keys))
}

// place says where a key that is known stands.
func (r *reader) place(key string) string {
	for i := range settings {
		if s := &settings[i]; s.key == key && s.table != "" {
			return fmt.Sprintf("%q in [%s]", key, s.table)
		}
	}
	if slices.Contains(tableNames(), key) {
		return "[" + key + "]"
	}
	return fmt.Sprintf("%q", key)
}

func (r *reader) knownRule(id string) error {
	if r.rules == nil || slices.Contains(r.rules, id) {
		return nil
	}
	return fmt.Errorf("no rule is called %s; did you mean %q?", quote(id), Nearest(id, r.rules))
}

func (r *reader) rule(id string, line int, v value) error {
	if err := r.knownRule(id); err != nil {
		return r.errorf(line, "rules: %v", err)
	}
	s, err := oneOf(v, severities)
	if err != nil {
		return r.errorf(line, "rules.%s: %v", short(id), err)
	}
	r.job.Rules[id] = s
	return nil
}

// finish checks what depends on more than one key.
func (r *reader) finish() error {
	for i := range entryTables {
		if err := entryTables[i].finish(r); err != nil {
			return err
		}
	}
	j := r.job
	if j.Units != "auto" {
		j.UnitsBasis = "job"
	}
	// A height below the default least height is meant to hold.
	if r.lines["labels.min_height"] == 0 {
		j.Labels.MinHeight = min(j.Labels.MinHeight, j.Labels.Height)
	}
	if err := j.check(); err != nil {
		name, _, _ := strings.Cut(err.Error(), ":")
		line := r.lines[name]
		if line == 0 { // the other key of the pair was set
			line = r.lines["sheet.size"]
		}
		return r.errorf(line, "%v", err)
	}
	return nil
}

// short cuts a name a person wrote to fit on a line and keeps it on one.
func short(name string) string {
	q := quote(name)
	return q[1 : len(q)-1]
}
