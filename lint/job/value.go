package job

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"
)

// Set gives the setting called "table.key" the value that s writes, by the same
// rules as the job file: the flags of the command line come through here.
func (j *Job) Set(name, s string) error {
	table, key, ok := strings.Cut(name, ".")
	if !ok {
		table, key = "", name
	}
	set := find(table, key)
	if set == nil {
		return fmt.Errorf("no setting is called %s", quote(name))
	}
	v := value{kind: unstable.String, text: s}
	switch set.kind {
	case share, number:
		v.kind = unstable.Float
	case onOff:
		v.kind = unstable.Bool
	case size: // as "400mm x 300mm"
		v = value{kind: unstable.Array}
		for _, side := range strings.FieldsFunc(s, func(r rune) bool { return strings.ContainsRune("x×,;", r) }) {
			v.items = append(v.items, value{kind: unstable.String, text: strings.TrimSpace(side)})
		}
	case speedList:
		v = value{kind: unstable.Array, items: []value{{kind: unstable.String, text: s}}}
	}
	return set.put(j, v)
}

// value is a value of a job file: its kind, and its text or items.
type value struct {
	kind  unstable.Kind
	text  string // strings unquoted, all else as written
	items []value
}

// valueOf copies a value out of the parser, which reuses its nodes. Tables
// within lists have no meaning here, so that one level is enough.
func valueOf(n *unstable.Node) value {
	v := value{kind: n.Kind, text: string(n.Data)}
	if n.Kind == unstable.Array {
		for it := n.Children(); it.Next(); {
			c := it.Node()
			v.items = append(v.items, value{kind: c.Kind, text: string(c.Data)})
		}
	}
	return v
}

func (v value) isNumber() bool { return v.kind == unstable.Integer || v.kind == unstable.Float }

// shown is the value as messages show it.
func (v value) shown() string {
	switch v.kind {
	case unstable.String:
		return quote(v.text)
	case unstable.Array:
		return "a list"
	case unstable.InlineTable:
		return "a table"
	}
	if len(v.text) > 40 {
		return v.text[:40] + "…"
	}
	return v.text
}

// number reads a TOML number.
func (v value) number() (float64, error) {
	t := strings.ReplaceAll(v.text, "_", "")
	if v.kind == unstable.Integer {
		if n, err := strconv.ParseInt(strings.TrimPrefix(t, "+"), 0, 64); err == nil {
			return float64(n), nil
		}
	}
	f, err := strconv.ParseFloat(t, 64)
	if err != nil && !math.IsInf(f, 0) {
		return 0, fmt.Errorf("%s is no number", v.shown())
	}
	return f, nil
}

// length reads a length, mm.
func (v value) length() (float64, error) {
	switch {
	case v.kind == unstable.String:
		return ParseLength(v.text)
	case v.isNumber():
		mm, err := v.number()
		if err != nil {
			return 0, err
		}
		return mm, sensible(mm, v.shown())
	}
	return 0, fmt.Errorf("%s is no length; write it quoted with a unit, such as \"0.9mm\", or as a bare number in mm", v.shown())
}

// line reads a text without line breaks or control characters, which would
// break the lines of reports.
func (v value) line() (string, error) {
	if v.kind != unstable.String {
		return "", fmt.Errorf("%s is no text; write it in quotes", v.shown())
	}
	if strings.ContainsFunc(v.text, func(r rune) bool { return r < ' ' || r == 0x7f }) {
		return "", fmt.Errorf("%s holds control characters; write one plain line", v.shown())
	}
	return v.text, nil
}

// put checks a value and stores it in its field.
func (s *setting) put(j *Job, v value) error {
	switch s.kind {
	case length, optional:
		return s.putLength(j, v)
	case size:
		return s.putSize(j, v)
	case share:
		return s.putShare(j, v)
	case word:
		w, err := oneOf(v, s.words)
		if err == nil {
			*s.at(j).(*string) = w
		}
		return err
	case text:
		t, err := v.line()
		if err == nil {
			*s.at(j).(*string) = t
		}
		return err
	case onOff:
		if v.kind != unstable.Bool || v.text != "true" && v.text != "false" {
			return fmt.Errorf("%s is neither true nor false", v.shown())
		}
		*s.at(j).(*bool) = v.text == "true"
		return nil
	case amount, number:
		return s.store(s.at(j).(*float64), v)
	case speedList:
		return s.putSpeeds(j, v)
	case edge:
		return s.putEdge(j, v)
	}
	return s.putLayers(j, v)
}

// store checks an amount or a number and puts it into its field.
func (s *setting) store(into *float64, v value) error {
	var f float64
	var err error
	switch {
	case v.isNumber():
		f, err = v.number()
	case v.kind == unstable.String && s.kind == amount:
		f, err = s.measure.parse(v.text)
	case s.kind == amount:
		return fmt.Errorf("%s is no %s; write it quoted with a unit (%s)", v.shown(), s.measure.what, s.measure.names())
	default:
		return fmt.Errorf("%s is no number", v.shown())
	}
	if err != nil {
		return err
	}
	if !(f >= s.low && f <= s.most) {
		return fmt.Errorf("%s is out of range; it is %s to %s", v.shown(), s.bound(s.low), s.bound(s.most))
	}
	*into = f
	return nil
}

// bound shows a limit of an amount or a number.
func (s *setting) bound(f float64) string {
	if s.measure != nil {
		return s.measure.format(f)
	}
	return strconv.FormatFloat(f, 'f', -1, 64)
}

func (s *setting) putSpeeds(j *Job, v value) error {
	if v.kind != unstable.Array {
		return fmt.Errorf("%s is no list; write speeds in brackets, such as [\"4.76mm plain 560mm/min\"]", v.shown())
	}
	var list []string
	for _, item := range v.items {
		t, err := item.line()
		if err == nil {
			_, err = parseSpeedAt(t)
		}
		if err != nil {
			return err
		}
		list = append(list, t)
	}
	*s.at(j).(*[]string) = list
	return nil
}

func (s *setting) putLength(j *Job, v value) error {
	into := s.at(j).(*float64)
	if s.kind == optional && v.kind == unstable.String && strings.TrimSpace(v.text) == "" {
		*into = 0
		return nil
	}
	if len(s.words) > 0 && v.kind == unstable.String && strings.TrimSpace(v.text) == "auto" {
		*into = Auto
		return nil
	}
	mm, err := v.length()
	if err != nil && len(s.words) > 0 {
		err = fmt.Errorf("%w, or \"auto\"", err)
	}
	if err != nil {
		return err
	}
	switch {
	case mm == 0 && s.kind == optional:
		return fmt.Errorf("%s is no thickness or width; write a length above 0, or \"\" to leave it unset", v.shown())
	case mm == 0 && s.least:
		return fmt.Errorf("%s is too small; write a length above 0", v.shown())
	case s.most > 0 && mm > s.most:
		return fmt.Errorf("%s is too large; at most %s makes sense here", v.shown(), FormatLength(s.most))
	}
	*into = mm
	return nil
}

func (s *setting) putSize(j *Job, v value) error {
	into := s.at(j).(*[]float64)
	if v.kind == unstable.Array && len(v.items) == 0 {
		*into = nil
		return nil
	}
	both, err := v.pair("is no size; write width and height, such as [\"48in\", \"96in\"], or [] to leave it unset", true)
	if err == nil {
		*into = both
	}
	return err
}

// pair reads two lengths, mm; above 0 if least is set. form says what is wrong
// where they are not two.
func (v value) pair(form string, least bool) (both []float64, err error) {
	if v.kind != unstable.Array || len(v.items) != 2 {
		return nil, fmt.Errorf("%s %s", v.shown(), form)
	}
	for _, item := range v.items {
		mm, err := item.length()
		if err != nil {
			return nil, err
		}
		if mm == 0 && least {
			return nil, fmt.Errorf("%s is too small; write lengths above 0", item.shown())
		}
		both = append(both, mm)
	}
	return both, nil
}

func (s *setting) putShare(j *Job, v value) error {
	if !v.isNumber() {
		return fmt.Errorf("%s is no number; write one from 0 to 1, such as 0.25", v.shown())
	}
	f, err := v.number()
	if err != nil {
		return err
	}
	if !(f >= 0 && f <= 1) {
		return fmt.Errorf("%s is out of range; write a number from 0 to 1", v.shown())
	}
	*s.at(j).(*float64) = f
	return nil
}

func (s *setting) putLayers(j *Job, v value) error {
	if v.kind != unstable.Array {
		return fmt.Errorf("%s is no list; write layers in brackets, such as [\"word:etch\", \"color:2\"]", v.shown())
	}
	var list []string
	for _, item := range v.items {
		p, err := item.line()
		if err != nil {
			return err
		}
		if err := checkPattern(p); err != nil {
			return err
		}
		list = append(list, p)
	}
	*s.at(j).(*[]string) = list
	return nil
}

// oneOf takes a value that is one of a few words.
func oneOf(v value, words []string) (string, error) {
	if v.kind == unstable.String && slices.Contains(words, v.text) {
		return v.text, nil
	}
	if v.kind != unstable.String {
		return "", fmt.Errorf("%s is not allowed here; write one of %s", v.shown(), list(words))
	}
	return "", fmt.Errorf("%s is not allowed; did you mean %q? (%s)", v.shown(), Nearest(v.text, words), list(words))
}

// list writes words for a message.
func list(words []string) string { return strings.Join(words, ", ") }

// check refuses settings that contradict one another.
func (j *Job) check() error {
	if j.Labels.MinHeight > j.Labels.Height {
		return errors.New("labels.min_height: larger than labels.height; make it at most that")
	}
	if len(j.Sheet.Size) == 2 && min(j.Sheet.Size[0], j.Sheet.Size[1]) <= 2*j.Sheet.Margin {
		return errors.New("sheet.margin: leaves nothing of the sheet; make it less than half of the shorter side of sheet.size")
	}
	if j.Layout.Gap > 0 && j.Layout.Gap < j.Jet.Kerf {
		return errors.New("layout.gap: less than the kerf, so that one cut would take from the part beside it; make it larger")
	}
	return nil
}
