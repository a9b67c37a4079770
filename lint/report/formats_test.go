package report

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"github.com/santhosh-tekuri/jsonschema/v6"

	"sluice/fix/fit"
	"sluice/lint"
	"sluice/lint/assembly"
	"sluice/lint/compare"
	"sluice/lint/cutting"
	"sluice/lint/figures"
	"sluice/lint/kit"
)

var update = flag.Bool("update", false, "write the golden files anew")

// trials are what the formats of a command are tried on: a sample, of which a
// golden file is kept, and whatever could go wrong.
type trials struct {
	sample  func(t *testing.T) any
	hostile []func(t *testing.T) any // names that try to break out
	numbers func(t *testing.T) any   // infinite ones, and none
	nothing func(t *testing.T) any   // no drawing, or an empty one
}

// trialsOf holds the trials of each command that has formats.
var trialsOf = map[string]trials{
	"lint": {
		sample: func(*testing.T) any { return checked(craneLint(), craneBad(), craneEmpty()) },
		hostile: []func(*testing.T) any{
			func(*testing.T) any { return hostileCheck(hostileLint(), unreadable()) },
			func(t *testing.T) any { h := hostileKit(t); return hostileCheck(h.before, h.after, unreadable()) },
		},
		numbers: func(*testing.T) any { return checked(brokenNumbers()) },
		nothing: func(*testing.T) any { return checked() },
	},
	"fix": {
		sample: func(*testing.T) any { return repaired(craneFix()) },
		hostile: []func(*testing.T) any{
			func(*testing.T) any { return &Repair{hostileAbout(), figures.RepairOf(hostileFix())} },
			func(t *testing.T) any { return &Repair{hostileAbout(), figures.RepairOf(hostileKit(t).repaired)} },
		},
		numbers: func(*testing.T) any { return repaired(brokenRepair()) },
		nothing: func(*testing.T) any { return repaired(&lint.Repaired{}) },
	},
	"diff": {
		sample: func(t *testing.T) any { return changes(kitBefore(t), kitAfter(t)) },
		hostile: []func(*testing.T) any{
			func(t *testing.T) any { return changes(hostileSides(t)) },
			func(t *testing.T) any { h := hostileKit(t); return changes(h.before, h.after) },
		},
		numbers: func(t *testing.T) any { e := newSketchpad("mm").judge(t, "empty.dxf"); return changes(e, kitAfter(t)) },
		nothing: func(t *testing.T) any { e := newSketchpad("mm").judge(t, "empty.dxf"); return changes(e, e) },
	},
	"parts": {
		sample: func(t *testing.T) any { return parts(jointed(t)) },
		hostile: []func(*testing.T) any{
			func(*testing.T) any { return parts(hostileLint()) },
			func(t *testing.T) any { return parts(hostileKit(t).after) },
		},
		numbers: func(*testing.T) any { return parts(brokenNumbers()) },
		nothing: func(*testing.T) any { return parts(craneEmpty()) },
	},
	"assemble": {
		sample: func(t *testing.T) any { return assembled(jointed(t)) },
		hostile: []func(*testing.T) any{
			func(*testing.T) any { return assembled(hostileLint()) },
			func(t *testing.T) any { return assembled(hostileKit(t).after) },
			func(*testing.T) any { return hostileAssembly() },
		},
		numbers: func(*testing.T) any { return assembled(brokenNumbers()) },
		nothing: func(*testing.T) any { return assembled(craneEmpty()) },
	},
	"estimate": {
		sample: func(t *testing.T) any { return estimated(t, priced) },
		hostile: []func(*testing.T) any{
			func(t *testing.T) any {
				e := estimated(t, priced)
				e.Path, e.Currency, e.Material.Name, e.Rows[0].Number = hostile, hostile, hostile, hostile
				e.Notes = append(e.Notes, hostile)
				return e
			},
			func(t *testing.T) any {
				r := hostileKit(t).after
				e, err := cutting.Of(r)
				if err != nil {
					t.Fatal(err)
				}
				return &Estimate{About: hostileAbout(), Path: r.Path, Estimate: e}
			},
		},
		numbers: func(t *testing.T) any { return estimated(t, unset) },
		nothing: func(t *testing.T) any { return estimated(t, unset) },
	},
	"explain": {
		sample: func(*testing.T) any { return manual(sampleRules[1]) },
		hostile: []func(*testing.T) any{
			func(*testing.T) any {
				m := manual(sampleRules[1])
				m.Flaw = func(string) *Flaw {
					return &Flaw{Bad: hostileLint(), Good: hostileLint(), Window: hostileLint().Extents}
				}
				return m
			},
		},
		numbers: func(*testing.T) any {
			m := manual(sampleRules[1])
			m.Flaw = func(string) *Flaw { return &Flaw{Bad: brokenNumbers(), Good: brokenNumbers()} }
			return m
		},
		nothing: func(*testing.T) any { return manual(Rule{ID: "bare", Severity: "note"}) },
	},
}

// assembled rebuilds the kit of a drawing in space.
func assembled(r *lint.Result) *Assembly {
	p := parts(r)
	a := &Assembly{About: p.About, Result: r, Kit: &assembly.Kit{}}
	if r.Sheet != nil {
		a.Kit = assembly.Of(kit.Find(r.Sheet, kit.DefaultOptions()))
	}
	return a
}

// only is the content with one drawing, for formats that take no more.
func only(content any) any {
	if c, ok := content.(*Check); ok {
		one := *c
		one.Check = figures.CheckOf([]*lint.Result{c.Files[0].Result})
		return &one
	}
	return content
}

// TestFormats demands of every form of output a golden file, that nothing in a
// drawing's names breaks out of it, that no number in it is none, that it is
// written the same every time, that errors in writing are told and, of JSON, that
// it follows its schema.
func TestFormats(t *testing.T) {
	for i, f := range Formats {
		t.Run(f.Command+" --format "+f.Name, func(t *testing.T) {
			if slices.ContainsFunc(Formats[:i], func(g Format) bool { return g.Command == f.Command && g.Name == f.Name }) {
				t.Error("stands twice in the table")
			}
			if f.For != Person && f.For != Machine {
				t.Errorf("is for %q", f.For)
			}
			try, ok := trialsOf[f.Command]
			if !ok {
				t.Fatalf("no trials for %s: add them to trialsOf", f.Command)
			}
			inert := inertIn[f.Media]
			if inert == nil {
				t.Fatalf("how a name could break out of %s is not known: add a check to inertIn", f.Media)
			}
			var shape *jsonschema.Schema
			if strings.HasSuffix(f.Media, "json") {
				shape = schema(t, schemaOf(f))
			}
			render := func(content any) []byte {
				t.Helper()
				if f.Media == "image/svg+xml" {
					content = only(content)
				}
				out := write(t, func(w io.Writer) error { return f.Write(w, content) })
				if shape != nil {
					if err := validate(t, shape, out); err != nil {
						t.Errorf("does not follow %s: %v", schemaOf(f), err)
					}
				}
				if m := regexp.MustCompile(`\bNaN\b|[+-]?\bInf\b`).Find(stripAssets(out)); m != nil {
					t.Errorf("%s stands in it", m)
				}
				return out
			}
			sample := render(try.sample(t))
			golden(t, f.Command+"."+f.Name, sample)
			for range 3 {
				if !bytes.Equal(sample, render(try.sample(t))) {
					t.Error("two runs differ")
				}
			}
			if f.Write(&failing{10}, only(try.sample(t))) == nil {
				t.Error("a writer that fails is not told")
			}
			if f.Write(io.Discard, "no content") == nil {
				t.Error("a content of another command is written")
			}
			for _, h := range try.hostile {
				inert(t, f, render(h(t)))
			}
			render(try.numbers(t))
			if f.Media != "image/svg+xml" { // no drawing, no picture
				render(try.nothing(t))
			}
		})
	}
}

// schemaOf returns the file of the schema of a JSON format: that of the command, or
// of what the format is called after.
func schemaOf(f Format) string {
	name := f.Command
	if f.Name != "json" {
		name = f.Name
	}
	return filepath.Join("..", "..", "testdata", "schema", name+".schema.json")
}

// golden compares with a golden file, or writes it.
func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	got = settingsShown.ReplaceAll(stripAssets(got), []byte("$1…$2"))
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Errorf("no golden file: %v; make it with go test ./lint/report -update, and look at it", err)
		return
	}
	if d := cmp.Diff(string(want), string(got)); d != "" {
		t.Errorf("differs from %s (-want +got):\n%s", path, d)
	}
}

func validUTF8(t *testing.T, _ Format, out []byte) {
	if !utf8.Valid(out) {
		t.Error("not UTF-8")
	}
}

func about() About { return About{Version: "1.0", Rules: sampleRules} }

func checked(results ...*lint.Result) *Check {
	return &Check{About: about(), Check: figures.CheckOf(results), FailOn: lint.Error}
}

func repaired(r *lint.Repaired) *Repair { return &Repair{about(), figures.RepairOf(r)} }

func changes(before, after *lint.Result) *Changes {
	return &Changes{About: about(), Changes: figures.ChangesOf(compare.Drawings(before, after, 0.02))}
}

func parts(r *lint.Result) *Parts {
	p := figures.PartsOf(r)
	p.Slots = &figures.Slots{
		Target: fit.Target{Thickness: 3.175, Plus: 0.1, Clearance: 0.15, Taper: 0.12},
		Widths: []figures.SlotWidth{{Width: 3.2, Bottom: 3.08, Play: -0.195, Count: 4}, {Width: 3.55, Bottom: 3.43, Play: 0.155, Count: 1}},
	}
	return &Parts{about(), p}
}

func manual(rules ...Rule) *Manual {
	return &Manual{About: about(), Chosen: rules, Flaw: func(id string) *Flaw {
		if id == "bare" {
			return nil
		}
		bad, good := craneLint(), crane(true).result("good.dxf")
		return &Flaw{Bad: bad, Good: good, Window: bad.Extents, At: bad.Findings[1].At}
	}}
}

func write(t *testing.T, f func(io.Writer) error) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := f(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// in renders a content in a form of its command.
func in(t *testing.T, command, name string, content any) []byte {
	t.Helper()
	f, ok := FormatOf(command, name)
	if !ok {
		t.Fatalf("%s has no form %s", command, name)
	}
	return write(t, func(w io.Writer) error { return f.Write(w, content) })
}

// failing is a writer that takes n bytes and then fails, as a broken pipe does.
type failing struct{ n int }

func (f *failing) Write(p []byte) (int, error) {
	if len(p) > f.n {
		return f.n, io.ErrClosedPipe
	}
	f.n -= len(p)
	return len(p), nil
}

// stripAssets leaves style and script out of a page: they are files of their
// own, and golden pages need not repeat them.
func stripAssets(page []byte) []byte {
	for tag, find := range map[string]func(s, sep []byte) int{"style": bytes.Index, "script": bytes.LastIndex} {
		from := find(page, []byte("<"+tag+">"))
		if from < 0 || !bytes.HasPrefix(page, []byte("<!doctype html>")) {
			continue
		}
		from += len(tag) + 2
		to := from + bytes.Index(page[from:], []byte("</"+tag+">"))
		page = append(page[:from:from], page[to:]...)
	}
	return scriptDigest.ReplaceAll(page, []byte("sha256-…"))
}

// settingsShown are the settings on a page: TestSettings looks at them, and a new one
// changes no golden.
var settingsShown = regexp.MustCompile(`(<div class="tables">).*(</div></section>)`)

var scriptDigest = regexp.MustCompile(`sha256-[A-Za-z0-9+/&#;]+=*`)

// Options of the text, and what goes to the terminal beside the forms.
func TestTextGoldens(t *testing.T) {
	color, quiet := checked(craneLint()), checked(craneLint(), craneBad(), craneEmpty())
	color.Rules, color.Text.Color, quiet.Rules, quiet.Text.Quiet = nil, true, nil, true
	golden(t, "lint-color.txt", in(t, "lint", "text", color))
	golden(t, "lint-quiet.txt", in(t, "lint", "text", quiet))
	golden(t, "fix-summary.txt", write(t, func(w io.Writer) error { return FixSummary(w, figures.RepairOf(craneFix())) }))
	m := manual(sampleRules...)
	m.Short = true
	golden(t, "explain-short.txt", in(t, "explain", "text", m))
}

// The table in the README is made of Formats.
func TestReadmeListsFormats(t *testing.T) {
	const path, head = "../../README.md", "| `--format` of | for people | for programs |\n|---|---|---|\n"
	readme, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var want strings.Builder
	for i := 0; i < len(Formats); {
		command := Formats[i].Command
		names := map[Reader][]string{}
		list, _ := FormatsOf(command)
		for n, f := range list {
			name := "`" + f.Name + "`"
			if n == 0 && command != "fix" { // its report goes by the ending
				name += " (default)"
			}
			names[f.For] = append(names[f.For], name)
		}
		fmt.Fprintf(&want, "| `%s` | %s | %s |\n", command, strings.Join(names[Person], ", "), strings.Join(names[Machine], ", "))
		i += len(list)
	}
	before, after, ok := strings.Cut(string(readme), head)
	if !ok {
		t.Fatalf("no table that begins with %q", head)
	}
	table, rest, _ := strings.Cut(after, "\n\n")
	if d := cmp.Diff(want.String(), table+"\n"); d != "" {
		if !*update {
			t.Fatalf("the table differs (-want +got); go test ./lint/report -update writes it:\n%s", d)
		}
		if err := os.WriteFile(path, []byte(before+head+want.String()+"\n"+rest), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// The schemas must be able to refuse, or following them says nothing.
func TestSchemasRefuse(t *testing.T) {
	for _, swap := range []struct{ command, name, from, to string }{
		{"lint", "json", `"severity":"error"`, `"severity":"fatal"`}, {"lint", "json", `"at":[148,30]`, `"at":[148]`},
		{"lint", "json", `"error": null`, `"error": 0`}, {"lint", "json", `"repair":"auto"`, `"repair":"maybe"`}, {"lint", "json", `"measure":null`, `"measure":{}`},
		{"lint", "sarif", `"driver": {`, `"diver": {`}, {"fix", "json", `"edits":`, `"edit":`}, {"diff", "json", `"same": `, `"sane": `},
		{"parts", "json", `"pierces":`, `"holes":`}, {"estimate", "json", `"tabs":`, `"ties":`}, {"explain", "json", `"severity":`, `"gravity":`},
	} {
		f, _ := FormatOf(swap.command, swap.name)
		good := in(t, swap.command, swap.name, trialsOf[swap.command].sample(t))
		bad := bytes.Replace(good, []byte(swap.from), []byte(swap.to), 1)
		if bytes.Equal(bad, good) {
			t.Fatalf("%s is not in the output of %s", swap.from, swap.command)
		}
		if validate(t, schema(t, schemaOf(f)), bad) == nil {
			t.Errorf("%s %s: %s passes", swap.command, swap.name, swap.to)
		}
	}
}

func schema(t *testing.T, path string) *jsonschema.Schema {
	t.Helper()
	abs, err := filepath.Abs(path)
	if err != nil {
		t.Fatal(err)
	}
	s, err := jsonschema.NewCompiler().Compile(abs)
	if err != nil {
		t.Fatalf("no schema to follow: %v", err)
	}
	return s
}

func validate(t *testing.T, s *jsonschema.Schema, doc []byte) error {
	t.Helper()
	if !json.Valid(doc) {
		t.Fatalf("not JSON: %s", doc)
	}
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(doc))
	if err != nil {
		t.Fatal(err)
	}
	return s.Validate(v)
}
