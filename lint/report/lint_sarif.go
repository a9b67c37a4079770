package report

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"net/url"
	"path"
	"slices"
	"strings"

	"sluice/lint"
	"sluice/lint/figures"
)

// The published place of the schema that the output follows, SARIF 2.1.0 with
// errata 01 of OASIS.
const sarifSchema = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"

// lintSARIF writes the results as a SARIF 2.1.0 log with one run. Rules carry their
// texts, places in the drawing stand in the properties of a result (the format
// knows only lines), the line is that of the entity in the file, and each result
// has a fingerprint without coordinates.
func lintSARIF(w io.Writer, c *Check) error {
	run := sarifRun{ColumnKind: "utf16CodeUnits", Results: []sarifResult{}}
	run.Tool.Driver = sarifDriver{Name: "sluice", Version: c.Version, Rules: []sarifRule{}}
	index := map[string]int{}
	addRule := func(d Rule) {
		index[d.ID] = len(run.Tool.Driver.Rules)
		run.Tool.Driver.Rules = append(run.Tool.Driver.Rules, sarifRuleOf(d))
	}
	for _, d := range c.Rules {
		if _, twice := index[d.ID]; !twice {
			addRule(d)
		}
	}
	run.Invocations = []sarifInvocation{{ExecutionSuccessful: true}}
	inv := &run.Invocations[0]
	for i := range c.Files {
		r := c.Files[i].Result
		run.Artifacts = append(run.Artifacts, sarifArtifactOf(&c.Files[i]))
		if r.Err != nil {
			inv.ExecutionSuccessful = false
			inv.Notifications = append(inv.Notifications, sarifNotification{
				Level: "error", Message: sarifText{r.Err.Error()},
				Locations: []sarifLocation{{Physical: &sarifPhysical{Artifact: sarifPath(r.Path)}}},
			})
			continue
		}
		marks := newFingerprints(r.Path)
		placeOf := lint.PlacesIn(r)
		for k := range c.Files[i].Findings {
			f := &c.Files[i].Findings[k]
			if _, ok := index[f.Rule]; !ok {
				addRule(Rule{ID: f.Rule, Severity: f.Severity.String()})
			}
			s := sarifResultOf(r, f, placeOf(f))
			s.RuleIndex = index[f.Rule]
			s.Fingerprints = map[string]string{"sluiceFinding/v1": marks.of(f)}
			run.Results = append(run.Results, s)
		}
	}
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", " ")
	return enc.Encode(sarifLog{Schema: sarifSchema, Version: "2.1.0", Runs: []sarifRun{run}})
}

func sarifArtifactOf(f *figures.File) sarifArtifact {
	a := sarifArtifact{Location: sarifPath(f.Path)}
	if f.Sum != nil {
		a.Properties = &sarifAccount{toAccountJSON(f.Sum), leftOut(f.Sum)}
	}
	return a
}

func sarifRuleOf(d Rule) sarifRule {
	r := sarifRule{ID: d.ID, Name: d.ID}
	if d.Title != "" {
		r.Short = &sarifText{d.Title}
	}
	if d.What != "" {
		r.Full = &sarifText{d.What}
	}
	var help, md []string
	for _, p := range []struct{ head, text string }{{"What", d.What}, {"Why", d.Why}, {"Repair", d.Fix}} {
		if p.text != "" {
			help = append(help, p.head+": "+p.text)
			md = append(md, "**"+p.head+".** "+p.text)
		}
	}
	if len(help) > 0 {
		r.Help = &sarifHelp{strings.Join(help, "\n\n"), strings.Join(md, "\n\n")}
	}
	if level := sarifLevel(d.Severity); level != "none" {
		r.Default = &sarifConfig{level}
	}
	return r
}

func sarifLevel(severity string) string {
	if severity == lint.Off.String() {
		return "none"
	}
	return severity
}

func sarifResultOf(r *lint.Result, f *lint.Finding, in lint.Place) sarifResult {
	s := sarifResult{RuleID: f.Rule, Level: sarifLevel(f.Severity.String()), Message: sarifText{textOr(f.Message, f.Rule)}}
	loc := sarifLocation{Physical: &sarifPhysical{Artifact: sarifPath(r.Path)}}
	if in.Line > 0 {
		loc.Physical.Region = &sarifRegion{StartLine: in.Line}
	}
	if f.Part != "" {
		loc.Logical = append(loc.Logical, sarifLogical{Name: "part " + f.Part, Kind: "part"})
	}
	if f.Layer != "" {
		loc.Logical = append(loc.Logical, sarifLogical{Name: f.Layer, Kind: "layer"})
	}
	s.Locations = []sarifLocation{loc}
	j := toFindingJSON(f)
	s.Properties = sarifProperties{ID: f.ID, At: j.At, Box: j.Box, Entities: j.Entities, Repair: string(j.Repair), Measure: j.Measure}
	s.Fixes = sarifFixes(r.Path, in.Fixes)
	return s
}

func textOr(s, or string) string {
	if s == "" {
		return or
	}
	return s
}

// sarifPath names a file by a relative reference below the root of the checked
// tree, or by a file URI where the path is absolute.
func sarifPath(p string) sarifArtifactLocation {
	p = strings.ReplaceAll(p, "\\", "/")
	if strings.HasPrefix(p, "/") || len(p) > 2 && p[1] == ':' && p[2] == '/' {
		return sarifArtifactLocation{URI: (&url.URL{Scheme: "file", Path: "/" + strings.TrimPrefix(path.Clean(p), "/")}).String()}
	}
	p = path.Clean(p)
	return sarifArtifactLocation{URI: (&url.URL{Path: p}).EscapedPath(), Base: "%SRCROOT%"}
}

// fingerprints names findings without coordinates: by file, rule, layer, part
// and entities, and by a running number among those alike.
type fingerprints struct {
	path string
	seen map[string]int
}

func newFingerprints(p string) *fingerprints {
	return &fingerprints{strings.ReplaceAll(p, "\\", "/"), map[string]int{}}
}

func (m *fingerprints) of(f *lint.Finding) string {
	ids := slices.Clone(f.Entities)
	slices.Sort(ids)
	sum := sha256.Sum256([]byte(strings.Join([]string{m.path, f.Rule, f.Layer, f.Part, strings.Join(ids, " ")}, "\x00")))
	key := hex.EncodeToString(sum[:10])
	m.seen[key]++
	return fmt.Sprintf("%s:%d", key, m.seen[key])
}

// sarifFixes offers the repairs of a finding that can be made in the text of the
// file. The first column of the line after is where a deletion ends.
func sarifFixes(path string, fixes []lint.TextFix) []sarifFix {
	var out []sarifFix
	for _, x := range fixes {
		c := sarifChange{Artifact: sarifPath(path)}
		for _, l := range x.Lines {
			c.Replacements = append(c.Replacements, sarifReplacement{sarifRegion{StartLine: l.From, StartColumn: 1, EndLine: l.To, EndColumn: 1}})
		}
		out = append(out, sarifFix{sarifText{x.Note}, []sarifChange{c}})
	}
	return out
}
