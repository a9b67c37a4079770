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

// ReadLabelNote returns the part's name and the text etched; ok is false for
// other notes.
func ReadLabelNote(note string) (name, text string, ok bool) {
	rest, ok := strings.CutPrefix(note, labelPrefix)
	if !ok {
		return "", "", false
	}
	if name, text, more := strings.Cut(rest, ": "); more {
		return name, text, true
	}
	return rest, rest, true
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
	for i := range d.Texts {
		t := &d.Texts[i]
		if d.LayerName(t.Layer) != LayerNote || !strings.HasPrefix(t.Value, labelPrefix) {
			continue
		}
		if k := s.PartAt(t.At); k >= 0 && !taken[k] {
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

// nameParts returns the label of each part: what the drawing writes on it, or
// the number it would get.
func nameParts(d *drawing.Drawing, s *outline.Sheet, own bool) (names []string, labeled []bool) {
	names = make([]string, len(s.Parts))
	labeled = make([]bool, len(s.Parts))
	used := map[string]bool{}
	byNumber := map[int]string{} // a class number -> what is written on a member
	for i, k := range ReadLabels(d, s, own) {
		if k >= 0 {
			names[k], _, _ = ReadLabelNote(d.Texts[i].Value)
			labeled[k] = true
			used[names[k]] = true
			if _, ok := byNumber[s.Parts[k].Number]; !ok {
				byNumber[s.Parts[k].Number] = names[k]
			}
		}
	}
	free := 0
	for k := range s.Parts {
		if labeled[k] {
			continue
		}
		n := s.Parts[k].Number
		if _, ok := byNumber[n]; !ok {
			name := strconv.Itoa(n)
			if len(used) > 0 && used[name] {
				for used[name] {
					free++
					name = strconv.Itoa(free)
				}
			}
			used[name] = true
			byNumber[n] = name
		}
		names[k] = byNumber[n]
	}
	return names, labeled
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
