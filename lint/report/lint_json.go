package report

import (
	"bufio"
	"bytes"
	"encoding/json"
	"io"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/lint"
)

type unitsJSON struct {
	Used   string  `json:"used"`
	Factor float64 `json:"factor"`
	Basis  string  `json:"basis"`
}

type countsJSON struct {
	Entities int `json:"entities"`
	Outlines int `json:"outlines"`
	Parts    int `json:"parts"`
	Holes    int `json:"holes"`
	Unread   int `json:"unread"`
}

type measureJSON struct {
	Name  string `json:"name"`
	Value num    `json:"value"`
	Limit num    `json:"limit"`
	Unit  string `json:"unit"`
}

type findingJSON struct {
	Rule     string       `json:"rule"`
	Severity string       `json:"severity"`
	Message  string       `json:"message"`
	At       [2]num       `json:"at"`
	Box      [4]num       `json:"box"`
	Layer    string       `json:"layer"`
	Entities []string     `json:"entities"`
	Part     string       `json:"part"`
	Measure  *measureJSON `json:"measure"`
	Repair   lint.Repair  `json:"repair"`
	ID       string       `json:"id"`
	Choices  []choiceJSON `json:"choices,omitempty"`
	Answer   string       `json:"answer,omitempty"`
	Note     string       `json:"answer_note,omitempty"`
	Sheet    int          `json:"sheet,omitempty"` // of a layout on several, from 1
}

// choiceJSON is a way to settle a finding.
type choiceJSON struct {
	Choice  string `json:"choice"`
	Words   string `json:"words"`
	Moves   num    `json:"moves"`
	Default bool   `json:"default"`
}

func pointJSON(p geom.Point) [2]num {
	p = seen(p)
	return [2]num{num(p.X), num(p.Y)}
}

func boxJSON(b geom.Box) [4]num {
	return [4]num{num(b.Min.X), num(b.Min.Y), num(b.Max.X), num(b.Max.Y)}
}

func toFindingJSON(f *lint.Finding) findingJSON {
	j := findingJSON{
		Rule: f.Rule, Severity: f.Severity.String(), Message: f.Message,
		At: pointJSON(f.At), Box: boxJSON(boxAround(f.Box, seen(f.At))),
		Layer: f.Layer, Entities: orEmpty(f.Entities), Part: f.Part, Repair: f.Repair, ID: f.ID,
	}
	if j.Repair == "" {
		j.Repair = lint.None
	}
	for _, c := range f.Choices {
		j.Choices = append(j.Choices, choiceJSON{c.Name, c.Words, num(c.Moves), c.Default})
	}
	j.Answer, j.Note = f.Answer, f.AnswerNote
	if m := f.Measure; m != nil {
		j.Measure = &measureJSON{m.Name, num(m.Value), num(m.Limit), m.Unit}
	}
	return j
}

// kitJSON is what the joints of a drawing show, and how they suit the sheet.
type kitJSON struct {
	DrawnFor []num `json:"drawn_for"`
	Guessed  bool  `json:"guessed"`
	Sheet    *num  `json:"sheet"` // null: no thickness is set, and the counts are 0
	Tight    int   `json:"tight"`
	Loose    int   `json:"loose"`
	Fingers  int   `json:"fingers"`
	Tabs     int   `json:"tabs"`
	Fit      int   `json:"fit"`
}

// kitJSONOf returns nil where the joints show nothing.
func kitJSONOf(s *lint.Stand) *kitJSON {
	if len(s.Drawn) == 0 {
		return nil
	}
	k := &kitJSON{Guessed: s.Guessed, Sheet: orNull(s.Sheet, s.Judged), Tight: s.Tight, Loose: s.Loose, Fingers: s.Fingers, Tabs: s.Tabs, Fit: s.Fit}
	for _, d := range s.Drawn {
		k.DrawnFor = append(k.DrawnFor, num(d))
	}
	return k
}

// orEmpty makes a nil list an empty one, which JSON writes as [] instead of null.
func orEmpty[T any](s []T) []T {
	if s == nil {
		return []T{}
	}
	return s
}

func unitsJSONOf(u *drawing.Unit) *unitsJSON {
	if u == nil {
		return nil
	}
	return &unitsJSON{u.Name, u.Factor, u.Basis}
}

func extentsJSON(r *lint.Result) *[4]num {
	if r.Err != nil || !r.Extents.Finite() {
		return nil
	}
	b := boxJSON(r.Extents)
	return &b
}

// jsonWriter writes an object with one line for each entry of its long lists,
// which keeps large reports readable and lets them be compared line by line.
// The first error sticks.
type jsonWriter struct {
	w   *bufio.Writer
	err error
}

func newJSONWriter(w io.Writer) *jsonWriter { return &jsonWriter{w: bufio.NewWriter(w)} }

func (j *jsonWriter) raw(s string) {
	if j.err == nil {
		_, j.err = j.w.WriteString(s)
	}
}

func (j *jsonWriter) value(v any) {
	if j.err != nil {
		return
	}
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if j.err = enc.Encode(v); j.err == nil {
		_, j.err = j.w.Write(bytes.TrimSuffix(b.Bytes(), []byte("\n")))
	}
}

// field writes a member of the outermost object, with a comma before all but
// the first.
func (j *jsonWriter) field(first bool, name string, v any) {
	j.name(first, name)
	j.value(v)
}

func (j *jsonWriter) name(first bool, name string) {
	if !first {
		j.raw(",")
	}
	j.raw("\n ")
	j.value(name)
	j.raw(": ")
}

// list writes n values, one a line.
func (j *jsonWriter) list(n int, indent string, at func(int) any) {
	j.raw("[")
	for i := range n {
		if i > 0 {
			j.raw(",")
		}
		j.raw("\n" + indent + " ")
		j.value(at(i))
	}
	if n > 0 {
		j.raw("\n" + indent)
	}
	j.raw("]")
}

func (j *jsonWriter) close() error {
	j.raw("\n}\n")
	if j.err != nil {
		return j.err
	}
	return j.w.Flush()
}

// lintJSON writes the results as one JSON object: the files in the order given,
// the findings of each by rule, then from top to bottom, then left to right.
func lintJSON(w io.Writer, c *Check) error {
	j := newJSONWriter(w)
	j.raw("{")
	j.field(true, "tool", "sluice")
	j.field(false, "version", c.Version)
	j.name(false, "files")
	j.raw("[")
	for i := range c.Files {
		f := &c.Files[i]
		if i > 0 {
			j.raw(",")
		}
		j.raw("\n  {\"path\": ")
		j.value(f.Path)
		j.raw(", \"error\": ")
		if f.Err != nil {
			j.value(f.Err.Error())
		} else {
			j.raw("null")
		}
		j.raw(",\n   \"units\": ")
		j.value(unitsJSONOf(f.Unit))
		j.raw(",\n   \"extents\": ")
		j.value(extentsJSON(f.Result))
		j.raw(",\n   \"counts\": ")
		j.value(countsJSON(f.Counts))
		if k := kitJSONOf(f.Stand()); k != nil {
			j.raw(",\n   \"kit\": ")
			j.value(k)
		}
		j.raw(",\n   \"account\": ")
		j.value(toAccountJSON(f.Sum))
		j.raw(",\n   \"left_out\": ")
		j.value(leftOut(f.Sum))
		j.raw(",\n   \"findings\": ")
		j.list(len(f.Findings), "   ", func(i int) any { return toFindingJSON(&f.Findings[i]) })
		j.raw("}")
	}
	if len(c.Files) > 0 {
		j.raw("\n ")
	}
	j.raw("]")
	j.field(false, "totals", c.Totals)
	return j.close()
}
