package report

import (
	"encoding/xml"
	"fmt"
	"io"
	"strings"

	"sluice/lint"
)

type junitSuites struct {
	XMLName xml.Name     `xml:"testsuites"`
	Suites  []junitSuite `xml:"testsuite"`
}

type junitSuite struct {
	Name       string `xml:"name,attr"`
	Package    string `xml:"package,attr"`
	ID         int    `xml:"id,attr"`
	Timestamp  string `xml:"timestamp,attr"`
	Hostname   string `xml:"hostname,attr"`
	Tests      int    `xml:"tests,attr"`
	Failures   int    `xml:"failures,attr"`
	Errors     int    `xml:"errors,attr"`
	Time       string `xml:"time,attr"`
	Properties struct {
		Property []junitProperty `xml:"property"`
	} `xml:"properties"`
	Cases     []junitCase `xml:"testcase"`
	SystemOut string      `xml:"system-out"`
	SystemErr string      `xml:"system-err"`
}

type junitProperty struct {
	Name  string `xml:"name,attr"`
	Value string `xml:"value,attr"`
}

type junitCase struct {
	Name      string        `xml:"name,attr"`
	ClassName string        `xml:"classname,attr"`
	Time      string        `xml:"time,attr"`
	Error     *junitProblem `xml:"error"`
	Failure   *junitProblem `xml:"failure"`
}

type junitProblem struct {
	Message string `xml:"message,attr"`
	Type    string `xml:"type,attr"`
	Text    string `xml:",chardata"`
}

// JUnit writes the results as JUnit XML, one suite for each drawing. A drawing
// that could be read is one passed case, and each rule that found something one
// more: failed if a finding is an error. Warnings and notes pass and are told in
// the output of the suite. See JUnitFrom to fail on less.
func JUnit(w io.Writer, version string, results []*lint.Result) error {
	return JUnitFrom(w, version, results, lint.Error)
}

// JUnitFrom is JUnit with cases failed from the given severity on; lint.Off
// fails none. It follows the schema of Ant's JUnit report, whose required time
// and host are constants here so that the same drawings give the same bytes.
func JUnitFrom(w io.Writer, version string, results []*lint.Result, failOn lint.Severity) error {
	var out junitSuites
	for i, r := range results {
		out.Suites = append(out.Suites, junitSuiteOf(i, version, r, failOn))
	}
	if _, err := io.WriteString(w, xml.Header); err != nil {
		return err
	}
	enc := xml.NewEncoder(w)
	enc.Indent("", " ")
	if err := enc.Encode(out); err != nil {
		return err
	}
	_, err := io.WriteString(w, "\n")
	return err
}

func junitSuiteOf(i int, version string, r *lint.Result, failOn lint.Severity) junitSuite {
	s := junitSuite{Name: clean(r.Path), Package: "sluice", ID: i, Timestamp: "1970-01-01T00:00:00", Hostname: "localhost", Time: "0"}
	s.Properties.Property = []junitProperty{{"sluice", clean(version)}}
	if a := accountOf(r); a != nil && a.Read > 0 {
		s.Properties.Property = append(s.Properties.Property, junitProperty{"entities", accountText(a) + ": " + accountLine(a)})
	}
	read := junitCase{Name: "read", ClassName: s.Name, Time: "0"}
	if r.Err != nil {
		read.Error = &junitProblem{Message: clean(r.Err.Error()), Type: "unreadable"}
		s.Errors++
	}
	s.Cases = append(s.Cases, read)
	fs := sorted(r.Findings)
	var told []string
	for len(fs) > 0 {
		n := 1
		for n < len(fs) && fs[n].Rule == fs[0].Rule {
			n++
		}
		c := junitCase{Name: clean(fs[0].Rule), ClassName: s.Name, Time: "0"}
		var failed []string
		worst := lint.Off
		for k := range fs[:n] {
			f := &fs[k]
			if failOn != lint.Off && f.Severity >= failOn {
				failed = append(failed, findingLine(f))
				worst = max(worst, f.Severity)
			} else {
				told = append(told, clean(f.Rule)+": "+findingLine(f))
			}
		}
		if len(failed) > 0 {
			c.Failure = &junitProblem{Message: fmt.Sprintf("%s: %s", plural(len(failed), "finding"), failed[0]), Type: worst.String(),
				Text: strings.Join(failed, "\n")}
			s.Failures++
		}
		s.Cases = append(s.Cases, c)
		fs = fs[n:]
	}
	s.Tests = len(s.Cases)
	s.SystemOut = strings.Join(told, "\n")
	return s
}

// findingLine tells a finding in one line.
func findingLine(f *lint.Finding) string {
	return fmt.Sprintf("%s at %s%s: %s", f.Severity, xy(place(f.At)), commaPart(f.Part), clean(f.Message))
}
