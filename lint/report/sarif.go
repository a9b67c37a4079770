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
)

// The published place of the schema that the output follows, SARIF 2.1.0 with
// errata 01 of OASIS.
const sarifSchema = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"

// SARIF writes the results as a SARIF 2.1.0 log with one run. Rules carry their
// texts, places in the drawing stand in the properties of a result (the format
// knows only lines), the line is that of the entity in the file, and each result
// has a fingerprint without coordinates.
func SARIF(w io.Writer, version string, results []*lint.Result, rules []RuleDoc) error {
	run := sarifRun{ColumnKind: "utf16CodeUnits", Results: []sarifResult{}}
	run.Tool.Driver = sarifDriver{Name: "sluice", Version: version, Rules: []sarifRule{}}
	index := map[string]int{}
	addRule := func(d RuleDoc) {
		index[d.ID] = len(run.Tool.Driver.Rules)
		run.Tool.Driver.Rules = append(run.Tool.Driver.Rules, sarifRuleOf(d))
	}
	for _, d := range rules {
		if _, twice := index[d.ID]; !twice {
			addRule(d)
		}
	}
	run.Invocations = []sarifInvocation{{ExecutionSuccessful: true}}
	inv := &run.Invocations[0]
	for _, r := range results {
		run.Artifacts = append(run.Artifacts, sarifArtifactOf(r))
		if r.Err != nil {
			inv.ExecutionSuccessful = false
			inv.Notifications = append(inv.Notifications, sarifNotification{
				Level: "error", Message: sarifText{r.Err.Error()},
				Locations: []sarifLocation{{Physical: &sarifPhysical{Artifact: sarifPath(r.Path)}}},
			})
			continue
		}
		marks := newFingerprints(r.Path)
		in := newFileText(r)
		fs := sorted(r.Findings)
		for i := range fs {
			f := &fs[i]
			if _, ok := index[f.Rule]; !ok {
				addRule(RuleDoc{ID: f.Rule, Severity: f.Severity})
			}
			s := sarifResultOf(r, f, in.place(f))
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

func sarifArtifactOf(r *lint.Result) sarifArtifact {
	a := sarifArtifact{Location: sarifPath(r.Path)}
	if account := accountOf(r); account != nil {
		a.Properties = &sarifAccount{toAccountJSON(account), leftOut(account)}
	}
	return a
}

func sarifRuleOf(d RuleDoc) sarifRule {
	r := sarifRule{ID: d.ID, Name: d.ID}
	if d.Title != "" {
		r.Short = &sarifText{d.Title}
	}
	if d.What != "" {
		r.Full = &sarifText{d.What}
	}
	var help, md []string
	for _, p := range []struct{ head, text string }{{"What", d.What}, {"Why", d.Why}, {"Repair", d.Repair}} {
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

func sarifLevel(s lint.Severity) string {
	if s == lint.Off {
		return "none"
	}
	return s.String()
}

func sarifResultOf(r *lint.Result, f *lint.Finding, in lint.Place) sarifResult {
	s := sarifResult{RuleID: f.Rule, Level: sarifLevel(f.Severity), Message: sarifText{textOr(f.Message, f.Rule)}}
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
