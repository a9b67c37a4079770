package lint

import (
	"strconv"
	"strings"
	"unicode"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/outline"
	"sluice/lint/job"
)

// labelPrefix opens the note that a corrected drawing carries for each number.
const labelPrefix = "part "

// Beginnings of the note that says for which slats parts are held.
const (
	tabbedFor = "tabs set for slats "
	standsOn  = "parts stand on slats "
)

// IsSlatNote reports whether a text is such a note.
func IsSlatNote(text string) bool {
	return strings.HasPrefix(text, tabbedFor) || strings.HasPrefix(text, standsOn)
}

// SlatNote says for which slats the tabs of a drawing are set, or on which its parts
// stand without any; with the sheet turned on the table they may not.
func SlatNote(j *job.Job, tabs bool) string {
	note := standsOn
	if tabs {
		note = tabbedFor
	}
	if j.Table.SlatsAlong == "both" {
		note += "that run either way"
	} else {
		note += "along " + j.Table.SlatsAlong
	}
	return note + ", " + strconv.FormatFloat(j.Table.SlatPitch, 'f', -1, 64) + " mm apart"
}

// LabelNote returns the text of the note beside an etched number: "part 3", or
// "part 3: 3 x2" where more than the part's name is etched.
func LabelNote(name, text string) string {
	if text == name {
		return labelPrefix + name
	}
	return labelPrefix + name + ": " + text
}

// unetched is what the note of a part says whose number is not etched.
const unetched = "no number"

// NameNote returns the text of the note by which a part without an etched number
// keeps its name.
func NameNote(name string) string { return labelPrefix + name + ": " + unetched }

// ReadLabelNote returns the part's name and the text etched, "" where its number
// is not etched; ok is false for other notes.
func ReadLabelNote(note string) (name, text string, ok bool) {
	rest, ok := strings.CutPrefix(note, labelPrefix)
	if !ok {
		return "", "", false
	}
	switch name, text, more := strings.Cut(rest, ": "); {
	case !more:
		return rest, rest, true
	case text == unetched:
		return name, "", true
	default:
		return name, text, true
	}
}

// ReadLabels returns, for a drawing with this tool's layers, the part that each
// text of the drawing numbers: its index in Sheet.Parts, or -1. A note inside a
// part numbers that part; one in the scrap numbers the nearest part without a
// note inside.
func ReadLabels(d *drawing.Drawing, s *outline.Sheet, own bool) []int {
	of := make([]int, len(d.Texts))
	taken := make([]bool, len(s.Parts))
	for i := range of {
		of[i] = -1
	}
	if !own {
		return of
	}
	var beside []int
	partAt := s.PartFinder()
	for i := range d.Texts {
		t := &d.Texts[i]
		if d.LayerName(t.Layer) != LayerNote || !strings.HasPrefix(t.Value, labelPrefix) {
			continue
		}
		if k := partAt(t.At); k >= 0 && !taken[k] {
			of[i], taken[k] = k, true
		} else {
			beside = append(beside, i)
		}
	}
	for _, i := range beside {
		best, at := 0.0, -1
		for k := range s.Parts {
			if taken[k] {
				continue
			}
			o := &s.Outlines[s.Parts[k].Outer]
			if p := d.Texts[i].At; at < 0 || boxDist(o, p) < best {
				if dist, _ := o.Pieces.Dist(p); at < 0 || dist < best {
					best, at = dist, k
				}
			}
		}
		if at >= 0 {
			of[i], taken[at] = at, true
		}
	}
	return of
}

// nameParts returns the name of each part, and whether the drawing shows it etched:
// what its note says; else what the part is known as from before; else the number
// that whoever drew it wrote on it; else that of a part alike; else a number that
// none has had. A number is for life: it is not given to another shape, even where
// its part is gone.
func nameParts(d *drawing.Drawing, s *outline.Sheet, own bool, known []Named) (names []string, labeled []bool) {
	names = make([]string, len(s.Parts))
	labeled = make([]bool, len(s.Parts))
	for i, k := range ReadLabels(d, s, own) {
		if k >= 0 {
			name, text, _ := ReadLabelNote(d.Texts[i].Value)
			names[k], labeled[k] = name, text != ""
		}
	}
	namesOfKnown(s, known, names)
	if !own && len(known) == 0 {
		namesWritten(d, s, names)
	}
	numberRest(s, names, nextNumber(names, known))
	return names, labeled
}

// NamesRead returns what the parts of a drawing would be called if it were read
// for the first time, were it written as one of our own.
func NamesRead(d *drawing.Drawing, s *outline.Sheet) []string {
	names, _ := nameParts(d, s, true, nil)
	return names
}

// numberRest gives parts without a name that of a part alike, or a new number in
// the order of their shapes, from next on.
func numberRest(s *outline.Sheet, names []string, next int) {
	byNumber := map[int]string{} // the class of a shape -> the name of its first part
	for k, name := range names {
		if n := s.Parts[k].Number; name != "" && byNumber[n] == "" {
			byNumber[n] = name
		}
	}
	for k := range names {
		if names[k] != "" {
			continue
		}
		n := s.Parts[k].Number
		if byNumber[n] == "" {
			byNumber[n] = strconv.Itoa(next)
			next++
		}
		names[k] = byNumber[n]
	}
}

func boxDist(o *outline.Outline, p geom.Point) float64 { return o.Box.Dist(geom.BoxOf(p)) }

// Clean makes a text from a drawing safe for a terminal and for one line: control
// and direction-changing characters become visible question marks, runs of white
// space one blank.
func Clean(s string) string {
	s = strings.ToValidUTF8(s, "\uFFFD")
	s = strings.Map(func(r rune) rune {
		switch {
		case r == '\t' || r == '\n' || r == '\r':
			return ' '
		case unicode.IsControl(r) || unicode.Is(unicode.Cf, r) || r == '\u2028' || r == '\u2029':
			return '\uFFFD'
		}
		return r
	}, s)
	return strings.Join(strings.Fields(s), " ")
}
