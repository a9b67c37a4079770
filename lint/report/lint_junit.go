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

// lintJUnit writes the results as JUnit XML, one suite for each drawing. A drawing
// that could be read is one passed case, and each rule that found something one
// more, failed if a finding is as grave as FailOn. Others pass and are told in the
// output of the suite. It follows the schema of Ant's JUnit report, whose required
// time and host are constants here so that the same drawings give the same bytes.
func lintJUnit(w io.Writer, c *Check) error {
	var out junitSuites
	for i := range c.Files {
		out.Suites = append(out.Suites, c.junitSuite(i))
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

func (c *Check) junitSuite(i int) junitSuite {
	f := &c.Files[i]
	s := junitSuite{Name: clean(f.Path), Package: "sluice", ID: i, Timestamp: "1970-01-01T00:00:00", Hostname: "localhost", Time: "0"}
	s.Properties.Property = []junitProperty{{"sluice", clean(c.Version)}}
	if a := f.Sum; a != nil && a.Read > 0 {
		s.Properties.Property = append(s.Properties.Property, junitProperty{"entities", accountText(a) + ": " + accountLine(a)})
	}
	read := junitCase{Name: "read", ClassName: s.Name, Time: "0"}
	if f.Err != nil {
		read.Error = &junitProblem{Message: clean(f.Err.Error()), Type: "unreadable"}
		s.Errors++
	}
	s.Cases = append(s.Cases, read)
	var told []string
	for _, fs := range f.ByRule {
		one := junitCase{Name: clean(fs[0].Rule), ClassName: s.Name, Time: "0"}
		var failed []string
		worst := lint.Off
		for k := range fs {
			x := &fs[k]
			if c.FailOn != lint.Off && x.Severity >= c.FailOn {
				failed = append(failed, findingLine(x))
				worst = max(worst, x.Severity)
			} else {
				told = append(told, clean(x.Rule)+": "+findingLine(x))
			}
		}
		if len(failed) > 0 {
			one.Failure = &junitProblem{Message: fmt.Sprintf("%s: %s", plural(len(failed), "finding"), failed[0]), Type: worst.String(),
				Text: strings.Join(failed, "\n")}
			s.Failures++
		}
		s.Cases = append(s.Cases, one)
	}
	s.Tests = len(s.Cases)
	s.SystemOut = strings.Join(told, "\n")
	return s
}

// findingLine tells a finding in one line.
func findingLine(f *lint.Finding) string {
	return fmt.Sprintf("%s at %s%s: %s", f.Severity, xy(seen(f.At)), commaPart(f.Part), clean(f.Message))
}
