package job

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"sluice/geom"
	"sluice/geom/geomtest"
)

// noLines leaves out where in the file entries stand.
var noLines = cmp.FilterPath(func(p cmp.Path) bool { return p.Last().String() == ".Line" }, cmp.Ignore())

var someRules = []string{"open-outline", "narrow-slot", "thin-web"}

func TestParse(t *testing.T) {
	const file = `
units = "in"
jet.kerf = "0.035in"

[sheet]
material = 'Aluminium "5052"'
thickness = "3/16in"
size = ["48in", 2438.4]
margin = 5

[table]
slats_along = "y"
tip_share = 0.25

[limits]
web = "2mm"
gap = 0

[tabs]
slugs = true

[labels]
height = "2mm"

[layers]
etch = ["*Bend*", "color:3"]
ignore = []

[rules]
narrow-slot = "warning"
thin-web = "off"

[[suppress]]
rule = "thin-web"
layer = "grille*"
reason = "decorative"

[[suppress]]
part = "12"
reason = "tried"

[[clamp]]
at = ["0mm", "4in"]
size = ["2in", 40]
`
	want := Default()
	want.Path, want.Units, want.UnitsBasis = "kit/sluice.toml", "in", "job"
	want.Jet.Kerf = 0.889
	want.Sheet = Sheet{Material: `Aluminium "5052"`, Thickness: 4.7625, Size: []float64{1219.2, 2438.4}, Origin: "zero", Margin: 5}
	want.Table.SlatsAlong, want.Table.TipShare = "y", 0.25
	want.Limits.Web, want.Limits.Gap = 2, 0
	want.Tabs.Slugs = true
	want.Labels.Height, want.Labels.MinHeight = 2, 2 // the default least height gives way
	want.Layers.Etch, want.Layers.Ignore = []string{"*Bend*", "color:3"}, nil
	want.Rules = map[string]string{"narrow-slot": "warning", "thin-web": "off"}
	want.Suppress = []Suppression{
		{Rule: "thin-web", Layer: "grille*", Reason: "decorative", Line: lineOf(file, `[[suppress]]`)},
		{Part: "12", Reason: "tried", Line: lineOf(file, "[[suppress]]\npart")},
	}
	want.Clamp = []Clamp{{At: []float64{0, 101.6}, Size: []float64{50.8, 40}, Line: lineOf(file, "[[clamp]]")}}
	for name, data := range map[string]string{
		"as written": file,
		"CRLF":       strings.ReplaceAll(file, "\n", "\r\n"),
		"BOM":        "\xef\xbb\xbf" + file,
	} {
		got, err := Parse([]byte(data), "kit/sluice.toml", someRules)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if d := cmp.Diff(want, got, cmpopts.EquateApprox(1e-12, 0)); d != "" {
			t.Errorf("%s: (-want +got)\n%s", name, d)
		}
	}
}

// lineOf returns the line, from 1, on which the text first stands.
func lineOf(file, text string) int {
	before, _, _ := strings.Cut(file, text)
	return strings.Count(before, "\n") + 1
}

func TestParseOtherSpellings(t *testing.T) {
	plain := "[sheet]\nthickness = 3\nmargin = 4\n[[suppress]]\npart = \"1\"\nreason = \"r\"\n"
	want, err := Parse([]byte(plain), "", someRules)
	if err != nil {
		t.Fatal(err)
	}
	for _, data := range []string{
		"sheet = { thickness = 3, margin = \"4mm\" }\nsuppress = [ { part = \"1\", reason = \"r\" } ]\n",
		"sheet.thickness = 3.0\nsheet.\"margin\" = 0x4\n[[suppress]]\npart = \"\"\"1\"\"\"\nreason = 'r'\n",
	} {
		got, err := Parse([]byte(data), "", someRules)
		if err != nil {
			t.Fatalf("%s: %v", data, err)
		}
		if d := cmp.Diff(want, got, noLines); d != "" {
			t.Errorf("%s (-want +got)\n%s", data, d)
		}
	}
}

// Each fault is told with its line, its key, what is wrong and what is allowed.
func TestParseErrors(t *testing.T) {
	tests := []struct{ name, data, want string }{
		{"syntax", "[jet]\nkerf = \n", "j.toml:2: not valid TOML:"},
		{"twice", "[jet]\nkerf = 1\nkerf = 2\n", "j.toml:3: not valid TOML:"},
		{"table", "\n[jets]\n", `j.toml:2: no table is called [jets]; did you mean [jet]?`},
		{"table of tables", "[jet.more]\n", `j.toml:1: no table is called [jet.more]; did you mean [jet]?`},
		{"table for setting", "[units]\n", `units is a setting, not a table`},
		{"key", "[jet]\nkref = 1\n", `j.toml:2: jet.kref: unknown setting; did you mean "kerf"?`},
		{"key of another table", "[jet]\nthickness = 1\n", `j.toml:2: jet.thickness: unknown setting; thickness stands in [sheet]`},
		{"top key", "unit = \"mm\"\n", `j.toml:1: unit: unknown setting; did you mean "units"?`},
		{"top key in table", "kerf = \"1mm\"\n", `kerf stands in [jet]`},
		{"top slip of key in table", "kref = \"1mm\"\n", `did you mean "kerf" in [jet]?`},
		{"units in table", "[jet]\nunits = \"mm\"\n", `units stands above all tables`},
		{"dotted table", "jets.kerf = 1\n", `no table is called [jets]; did you mean [jet]?`},
		{"dotted key", "[jet]\nkerf.width = 1\n", `jet.kerf.width: unknown setting; did you mean "kerf"?`},
		{"table as value", "jet = 1\n", `jet is a table`},
		{"inline for scalar", "[jet]\nkerf = {a = 1}\n", `j.toml:2: jet.kerf: unknown setting`},
		{"array of tables", "[[jet]]\nkerf = 1\n", `write [jet]`},
		{"kerf zero", "[jet]\nkerf = 0\n", `j.toml:2: jet.kerf: 0 is too small; write a length above 0`},
		{"kerf negative", "[jet]\n\nkerf = \"-1mm\"\n", `j.toml:3: jet.kerf: "-1mm" is negative`},
		{"kerf nan", "[jet]\nkerf = nan\n", `jet.kerf: nan is no length`},
		{"kerf inf", "[jet]\nkerf = -inf\n", `jet.kerf: -inf is no length`},
		{"kerf huge", "[jet]\nkerf = \"1m\"\n", `jet.kerf: "1m" is too large; at most 50mm`},
		{"kerf empty", "[jet]\nkerf = \"\"\n", `jet.kerf: a length is missing`},
		{"kerf list", "[jet]\nkerf = [1]\n", `jet.kerf: a list is no length`},
		{"kerf bool", "[jet]\nkerf = true\n", `jet.kerf: true is no length`},
		{"kerf date", "[jet]\nkerf = 2020-01-01\n", `jet.kerf: 2020-01-01 is no length`},
		{"kerf unit", "[jet]\nkerf = \"1mn\"\n", `unknown unit "mn"; did you mean "mm"?`},
		{"too long", "[table]\nslat_pitch = \"101m\"\n", `over 100 m`},
		{"thickness zero", "[sheet]\nthickness = 0\n", `or "" to leave it unset`},
		{"size of one", "[sheet]\nsize = [\"1m\"]\n", `sheet.size: a list is no size`},
		{"size word", "[sheet]\nsize = \"4x8\"\n", `sheet.size: "4x8" is no size`},
		{"size zero", "[sheet]\nsize = [0, 100]\n", `0 is too small`},
		{"size nested", "[sheet]\nsize = [[1,2],[3,4]]\n", `sheet.size: a list is no length`},
		{"margin", "[sheet]\nsize = [100, 50]\nmargin = 25\n", `j.toml:3: sheet.margin: leaves nothing`},
		{"margin by size", "[sheet]\nsize = [100, 15]\n", `j.toml:2: sheet.margin: leaves nothing`},
		{"word", "[tabs]\nparts = \"smal\"\n", `j.toml:2: tabs.parts: "smal" is not allowed; did you mean "small"? (small, all, none)`},
		{"word as number", "[tabs]\nparts = 3\n", `tabs.parts: 3 is not allowed here; write one of small, all, none`},
		{"bool", "[tabs]\nslugs = \"yes\"\n", `tabs.slugs: "yes" is neither true nor false`},
		{"share", "[table]\ntip_share = 1.5\n", `table.tip_share: 1.5 is out of range; write a number from 0 to 1`},
		{"share nan", "[table]\ntip_share = nan\n", `out of range`},
		{"share word", "[table]\ntip_share = \"half\"\n", `is no number`},
		{"text", "[labels]\ntext = 1\n", `labels.text: 1 is no text`},
		{"text of two lines", "[labels]\ntext = \"a\\nb\"\n", `control characters`},
		{"heights", "[labels]\nheight = 3\nmin_height = 4\n", `j.toml:3: labels.min_height: larger than labels.height`},
		{"layers", "[layers]\netch = \"a\"\n", `layers.etch: "a" is no list`},
		{"glob", "[layers]\netch = [\"[a\"]\n", `"[a" is no valid glob`},
		{"colour", "[layers]\netch = [\"color:red\"]\n", `needs a colour number from 1 to 255`},
		{"layer number", "[layers]\nignore = [1]\n", `layers.ignore: 1 is no text`},
		{"layer empty", "[layers]\nignore = [\"\"]\n", `is empty`},
		{"rule", "[rules]\nthin-wed = \"off\"\n", `j.toml:2: rules: no rule is called "thin-wed"; did you mean "thin-web"?`},
		{"rule severity", "[rules]\nthin-web = \"warn\"\n", `rules.thin-web: "warn" is not allowed; did you mean "warning"? (error, warning, note, off)`},
		{"rule bool", "[rules]\nthin-web = false\n", `rules.thin-web: false is not allowed here`},
		{"suppress single", "[suppress]\n", `write [[suppress]]`},
		{"suppress dotted", "suppress.rule = \"thin-web\"\n", `write [[suppress]]`},
		{"suppress text", "suppress = \"x\"\n", `write [[suppress]]`},
		{"suppress no reason", "[jet]\n[[suppress]]\nrule = \"thin-web\"\n", `j.toml:2: suppress: a reason is missing`},
		{"suppress blank reason", "[[suppress]]\nrule = \"thin-web\"\nreason = \" \"\n", `j.toml:3: suppress.reason: is empty`},
		{"suppress nothing", "[[suppress]]\nreason = \"r\"\n", `says nothing to suppress`},
		{"suppress rule", "[[suppress]]\nrule = \"webs\"\n", `suppress.rule: no rule is called "webs"`},
		{"suppress key", "[[suppress]]\nreson = \"r\"\n", `suppress.reson: unknown setting; did you mean "reason"?`},
		{"suppress layer", "[[suppress]]\nlayer = \"[\"\n", `suppress.layer: "[" is no valid glob`},
		{"clamps of before", "[layout]\nclamps = \"0 0 400 50\"\n", `j.toml:2: layout.clamps: clamp zones are tables of their own; write [[clamp]] with at = [`},
		{"clamp single", "[clamp]\n", `write [[clamp]]`},
		{"clamp dotted", "clamp.at = [0, 0]\n", `write [[clamp]]`},
		{"clamp key", "[[clamp]]\nwidth = 3\n", `j.toml:2: clamp.width: unknown setting; did you mean "at"? (at, size)`},
		{"clamp without place", "[jet]\n[[clamp]]\nsize = [1, 2]\n", `j.toml:2: clamp: its place is missing; add at =`},
		{"clamp without size", "[[clamp]]\nat = [1, 2]\n", `j.toml:1: clamp: its size is missing; add size =`},
		{"clamp of one", "[[clamp]]\nat = [\"1mm\"]\n", `clamp.at: a list is no place; write x and y`},
		{"clamp text", "[[clamp]]\nat = \"0 0\"\n", `clamp.at: "0 0" is no place`},
		{"clamp of no size", "[[clamp]]\nsize = [0, 5]\n", `clamp.size: 0 is too small`},
		{"clamp before the sheet", "[[clamp]]\nat = [\"-5mm\", 0]\n", `clamp.at: "-5mm" is negative`},
		{"clamp unit", "[[clamp]]\nsize = [\"5mn\", 5]\n", `did you mean "mm"?`},
		{"clamp off the sheet", "[[clamp]]\nat = [100, 0]\nsize = [5, 5]\n[sheet]\nsize = [100, 100]\n", `j.toml:1: clamp: lies beyond the sheet`},
		{"not text", "\x00\x01PNG", `j.toml:1: not valid TOML`},
		{"too large", strings.Repeat("#\n", 200_000), `over 256 KiB`},
		{"deep", "x = " + strings.Repeat("[", 200_000), `not valid TOML`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := Parse([]byte(tt.data), "j.toml", someRules)
			if err == nil {
				t.Fatalf("no error, but %+v", got)
			}
			if !strings.Contains(err.Error(), tt.want) {
				t.Errorf("got  %v\nwant %s", err, tt.want)
			}
			var e *Error
			if !errors.As(err, &e) || strings.ContainsAny(err.Error(), "\n\r") || !strings.HasPrefix(err.Error(), "j.toml:") {
				t.Errorf("not one line with the file: %q", err)
			}
		})
	}
}

func TestWriteReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		j := drawJob(t)
		var b bytes.Buffer
		if err := j.Write(&b); err != nil {
			t.Fatal(err)
		}
		got, err := Parse(b.Bytes(), j.Path, someRules)
		if err != nil {
			t.Fatalf("%v in\n%s", err, b.Bytes())
		}
		if d := cmp.Diff(j, got, noLines, cmpopts.EquateEmpty()); d != "" {
			t.Fatalf("(-want +got)\n%s", d)
		}
	})
}

// drawJob draws a job with every setting at some value it may have.
func drawJob(t *rapid.T) *Job {
	j := Default()
	for i := range settings {
		s := &settings[i]
		switch s.kind {
		case length, optional:
			most := s.most
			if most == 0 {
				most = LongestLength
			}
			*s.at(j).(*float64) = rapid.Float64Range(1e-9, most).Draw(t, s.name())
		case size:
			if rapid.Bool().Draw(t, "sized") {
				j.Sheet.Size = []float64{50000.1, 90000}
			}
		case share:
			*s.at(j).(*float64) = rapid.Float64Range(0, 1).Draw(t, s.name())
		case edge:
			*s.at(j).(*float64) = rapid.SampledFrom([]float64{1, 2.5, 3, 5}).Draw(t, s.name())
		case word:
			*s.at(j).(*string) = rapid.SampledFrom(s.words).Draw(t, s.name())
		case text:
			*s.at(j).(*string) = rapid.StringMatching(`[ -~äß°]{0,20}`).Draw(t, s.name())
		case onOff:
			*s.at(j).(*bool) = rapid.Bool().Draw(t, s.name())
		case layers:
			*s.at(j).(*[]string) = rapid.SliceOfN(rapid.StringMatching(`[a-z"*? ß]{1,8}x`), 0, 3).Draw(t, s.name())
		}
	}
	j.Sheet.Margin = min(j.Sheet.Margin, 20000)
	j.Layout.Gap = max(j.Layout.Gap, j.Jet.Kerf)
	j.Labels.MinHeight = min(j.Labels.MinHeight, j.Labels.Height)
	if j.Units != "auto" {
		j.UnitsBasis = "job"
	}
	for _, id := range someRules {
		if s := rapid.SampledFrom(append([]string{""}, severities...)).Draw(t, id); s != "" {
			j.Rules[id] = s
		}
	}
	for range rapid.IntRange(0, 2).Draw(t, "suppressions") {
		j.Suppress = append(j.Suppress, Suppression{
			Rule: "thin-web", Part: rapid.StringMatching(`[0-9]{0,2}`).Draw(t, "part"), Reason: `so "it" is \ there`,
		})
	}
	length := func(name string, least, most float64) float64 { return rapid.Float64Range(least, most).Draw(t, name) }
	for range rapid.IntRange(0, 2).Draw(t, "clamps") {
		j.Clamp = append(j.Clamp, Clamp{
			At: []float64{length("x", 0, 50000), length("y", 0, 80000)}, Size: []float64{length("along x", 1e-9, LongestLength), length("along y", 1e-9, LongestLength)},
		})
	}
	for range rapid.IntRange(0, 1).Draw(t, "materials") {
		j.Material = append(j.Material, Material{Name: `brass "360"`, Density: 8500, Machinability: length("machinability", 0.1, 1000)})
	}
	return j
}

// The printed defaults are what a person starts from: every setting and table is
// there, each with a comment, and the lines fit a screen.
func TestWriteIsCommented(t *testing.T) {
	var b bytes.Buffer
	j := Default()
	j.Rules["thin-web"] = "warning"
	if err := j.Write(&b); err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(b.String(), "\n")
	for i, l := range lines {
		if n := len([]rune(l)); n > 100 {
			t.Errorf("line %d has %d columns: %s", i+1, n, l)
		}
	}
	for i := range settings {
		s := &settings[i]
		if s.about == "" || !strings.HasSuffix(s.about, ".") {
			t.Errorf("%s has no comment that ends in a full stop: %q", s.name(), s.about)
		}
		last := s.about[strings.LastIndex(s.about, "\n")+1:]
		if !strings.Contains(b.String(), "# "+last+"\n"+s.key+" = ") {
			t.Errorf("%s is not printed below its comment", s.name())
		}
	}
	for _, want := range []string{"[rules]\nthin-web = \"warning\"\n", "# [[suppress]]\n", "kerf = \"1mm\"", "size = []", "thickness = \"\""} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("%q is missing", want)
		}
	}
}

// Every setting has a field that no other has, of the type its kind needs.
func TestSettingsFields(t *testing.T) {
	j := Default()
	seen := map[any]string{}
	for i := range settings {
		s := &settings[i]
		p := s.at(j)
		if other := seen[p]; other != "" {
			t.Errorf("%s and %s share a field", s.name(), other)
		}
		seen[p] = s.name()
		if s.printed(j) == "" {
			t.Errorf("%s cannot be printed", s.name())
		}
		if s.kind == word && !strings.Contains(strings.Join(s.words, " "), *p.(*string)) {
			t.Errorf("%s: its default %q is not allowed", s.name(), *p.(*string))
		}
	}
	job := reflect.ValueOf(j).Elem()
	for i := range job.NumField() {
		table := job.Field(i)
		if table.Kind() != reflect.Struct {
			continue
		}
		for k := range table.NumField() {
			if seen[table.Field(k).Addr().Interface()] == "" {
				t.Errorf("%s.%s is no setting: add it to settings", job.Type().Field(i).Name, table.Type().Field(k).Name)
			}
		}
	}
}

// Every field of a table that may stand several times has a key that is read,
// printed and told with its line.
func TestEntryFields(t *testing.T) {
	const all = "[[sheet]]\nname = \"n\"\nmaterial = \"m\"\nthickness = 3\nsize = [900, 600]\norigin = \"drawing\"\nmargin = 4\ncount = 2\nprice = 5\nparts = [1]\n" +
		"[[stock]]\nname = \"n\"\nmaterial = \"m\"\nthickness = 3\nsize = [900, 600]\nmargin = 4\ncount = 2\nprice = 5\n" +
		"[[part]]\npart = \"7\"\nturns = \"half\"\ngap = 6\n" +
		"[[suppress]]\nrule = \"thin-web\"\nlayer = \"a\"\npart = \"1\"\nreason = \"r\"\n" +
		"[[material]]\nname = \"b\"\ndensity = 2\nmachinability = 3\nshear = 4\n[[clamp]]\nat = [4, 5]\nsize = [6, 7]\n"
	j, err := Parse([]byte(all), "", someRules)
	if err != nil {
		t.Fatal(err)
	}
	v := reflect.ValueOf(j).Elem()
	for i := range v.NumField() {
		if f := v.Field(i); f.Kind() == reflect.Slice && f.Type().Elem().Kind() == reflect.Struct {
			name := strings.TrimSuffix(strings.ToLower(v.Type().Field(i).Name), "list")
			table := entriesOf(name)
			if table == nil || f.Len() != 1 {
				t.Fatalf("[[%s]] is no table, or read %d times", name, f.Len())
			}
			if e := f.Index(0); e.NumField() != len(table.keys)+1 || j.EntryLine(name, 0) == 0 || j.EntryLine(name, 1) != 0 {
				t.Errorf("[[%s]]: %d keys for %d fields, line %d", name, len(table.keys), e.NumField(), j.EntryLine(name, 0))
			}
			for k := range f.Index(0).NumField() {
				if name == "stock" && f.Index(0).Type().Field(k).Name == "File" {
					continue // in the place of a size
				}
				if f.Index(0).Field(k).IsZero() {
					t.Errorf("[[%s]]: nothing is read into %s", name, f.Index(0).Type().Field(k).Name)
				}
			}
		}
	}
}

// Clamp zones go by the sheet's corner, wherever the drawing puts it.
func TestClamps(t *testing.T) {
	j := Default()
	j.Clamp = []Clamp{{At: []float64{0, 400}, Size: []float64{60, 40}}}
	drawn := geom.Box{Min: geom.Pt(110, 210), Max: geom.Pt(300, 300)}
	for origin, want := range map[string]geom.Box{
		"zero":    {Min: geom.Pt(0, 400), Max: geom.Pt(60, 440)},
		"drawing": {Min: geom.Pt(100, 600), Max: geom.Pt(160, 640)},
	} {
		j.Sheet.Origin = origin
		if d := cmp.Diff([]geom.Box{want}, j.Clamps(j.SheetCorner(drawn))); d != "" {
			t.Errorf("%s (-want +got)\n%s", origin, d)
		}
	}
	if got := Default().Clamps(geom.Point{}); len(got) > 0 {
		t.Errorf("without any: %v", got)
	}
}

func TestSet(t *testing.T) {
	j := Default()
	for name, v := range map[string]string{
		"units": "in", "jet.kerf": "0.035in", "tabs.parts": "all", "table.tip_share": "0.5", "tabs.slugs": "true", "sheet.thickness": "3/16in",
	} {
		if err := j.Set(name, v); err != nil {
			t.Error(err)
		}
	}
	want := Default()
	want.Units, want.Jet.Kerf, want.Tabs.Parts, want.Table.TipShare, want.Tabs.Slugs, want.Sheet.Thickness = "in", 0.889, "all", 0.5, true, 4.7625
	if d := cmp.Diff(want, j, cmpopts.EquateApprox(1e-12, 0)); d != "" {
		t.Errorf("(-want +got)\n%s", d)
	}
	for name, v := range map[string]string{
		"units": "inn", "jet.kerf": "0", "jet.kref": "1", "tabs.slugs": "yes", "table.tip_share": "x", "kerf": "1",
	} {
		if err := j.Set(name, v); err == nil {
			t.Errorf("Set(%q, %q) gives no error", name, v)
		}
	}
}

func TestFind(t *testing.T) {
	root := geomtest.Folder(t)
	for _, d := range []string{"repo/.git", "repo/kit/part", "repo/bare/sub", "other/.git", "other/kit", "repo/odd/sluice.toml"} {
		if err := os.MkdirAll(filepath.Join(root, d), 0o755); err != nil {
			t.Fatal(err)
		}
	}
	for _, f := range []string{"sluice.toml", "repo/sluice.toml", "repo/kit/sluice.toml"} {
		if err := os.WriteFile(filepath.Join(root, f), nil, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	tests := []struct{ from, want string }{
		{"repo/kit/part", "repo/kit/sluice.toml"}, // the nearest wins
		{"repo/kit", "repo/kit/sluice.toml"},
		{"repo/bare/sub", "repo/sluice.toml"},
		{"repo/odd", "repo/sluice.toml"}, // a folder of that name is none
		{"repo", "repo/sluice.toml"},
		{"other/kit", ""}, // not beyond the repository's root
		{".", "sluice.toml"},
	}
	t.Chdir(root)
	for _, tt := range tests {
		got, ok := Find(tt.from)
		if filepath.ToSlash(got) != tt.want || ok != (tt.want != "") {
			t.Errorf("Find(%q) = %q, %v; want %q", tt.from, got, ok, tt.want)
		}
		got, ok = Find(filepath.Join(root, tt.from))
		if ok && got != filepath.ToSlash(filepath.Join(root, tt.want)) {
			t.Errorf("Find of the absolute %q = %q", tt.from, got)
		}
	}
	t.Chdir(filepath.Join(root, "repo/bare"))
	if got, _ := Find(""); filepath.ToSlash(got) != "../sluice.toml" {
		t.Errorf("Find from the current folder = %q", got)
	}
}

func FuzzParse(f *testing.F) {
	var b bytes.Buffer
	if err := Default().Write(&b); err != nil {
		f.Fatal(err)
	}
	f.Add(b.Bytes())
	f.Add([]byte("jet = { kerf = \"3/16in\" }\nsuppress = [{part=\"1\",reason=\"r\"}]\n"))
	f.Add([]byte("[[suppress]]\nrule = \"thin-web\"\nreason = \"r\"\n[rules]\nthin-web = \"off\"\n"))
	f.Add([]byte("sheet.size = [1e3, 0x7ff]\nlayers.etch = [\"{a,b}*\", \"color:3\"]\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		j, err := Parse(data, "j.toml", someRules)
		if err != nil {
			if strings.ContainsAny(err.Error(), "\n\r") || !strings.HasPrefix(err.Error(), "j.toml:") {
				t.Fatalf("not one line with the file: %q", err)
			}
			return
		}
		var out bytes.Buffer
		if err := j.Write(&out); err != nil {
			t.Fatal(err)
		}
		again, err := Parse(out.Bytes(), "j.toml", someRules)
		if err != nil {
			t.Fatalf("%v in\n%s", err, out.Bytes())
		}
		if d := cmp.Diff(j, again, noLines, cmpopts.EquateEmpty()); d != "" {
			t.Fatalf("(-first +again)\n%s", d)
		}
	})
}
