package units

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"sync"

	"sluice/lint/job"
)

// lengthIn finds lengths in a message: figures in m, and in mm with those that share the
// unit in front of them ("3 x 4 mm", "2 to 3 mm"; behind "by", "at" and "for" also
// "1, 2 mm" and "3 and 4 mm").
var lengthIn = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`\b(?:by|at|for) (-?\d+(?:\.\d+)?(?:(?:, | and )-?\d+(?:\.\d+)?)+) mm|(-?\d+(?:\.\d+)?(?:(?: x | × | to )-?\d+(?:\.\d+)?)*) mm|(-?\d+(?:\.\d+)?) m\b`)
})

var figureIn = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`-?\d+(?:\.\d+)?`) })

// Words puts inches before the lengths in a message where those are wanted:
// "0.08 in (2.03 mm) wide" for "2.03 mm wide". They are reckoned from the figure as
// printed. What stands in quotes is a name and stays, as does a length that has
// its inches already.
func (s System) Words(message string) string {
	if s != Inches {
		return message
	}
	quoted := strings.Split(message, `"`)
	for i := 0; i < len(quoted); i += 2 {
		quoted[i] = inchWords(quoted[i])
	}
	return strings.Join(quoted, `"`)
}

func inchWords(text string) string {
	var b strings.Builder
	done := 0
	for _, m := range lengthIn().FindAllStringSubmatchIndex(text, -1) {
		from, to := m[2], m[3]
		if from < 0 {
			from, to = m[4], m[5]
		}
		run := from < 0 // in m
		if run {
			from, to = m[6], m[7]
		}
		rest := text[m[1]:]
		if told(text[:from]) || strings.HasSuffix(text[:from], "= ") || rest != "" && !strings.ContainsAny(rest[:1], " ,.;:)") {
			continue // told already, or what a unit is, mm2, mm/min
		}
		b.WriteString(text[done:from])
		if run {
			m, _ := strconv.ParseFloat(text[from:to], 64) // it is a figure
			b.WriteString(Fixed(m*1000/job.Inch, 1))
		} else {
			b.WriteString(figureIn().ReplaceAllStringFunc(text[from:to], inchFigure))
		}
		b.WriteString(" in (" + text[from:m[1]] + ")")
		done = m[1]
	}
	b.WriteString(text[done:])
	return b.String()
}

// told reports whether what follows is the mm beside inches.
func told(before string) bool {
	open := strings.LastIndexByte(before, '(')
	return open >= 0 && strings.HasSuffix(before[:open], " in ") && !strings.Contains(before[open:], ")")
}

// inchFigure returns a figure in mm in thousandths of an inch. One that is a
// sixteenth of an inch as far as it is written is told as that: 4.76 mm is 0.1875.
func inchFigure(figure string) string {
	mm, err := strconv.ParseFloat(figure, 64)
	if err != nil {
		return "?"
	}
	_, after, _ := strings.Cut(figure, ".")
	known := math.Pow(10, -float64(len(after))) / 2
	if sixteenth := math.Round(mm/job.Inch*16) / 16; len(after) > 1 && sixteenth != 0 && math.Abs(sixteenth*job.Inch-mm) <= known+1e-9 {
		return Figure(sixteenth, 4)
	}
	if in := math.Abs(mm / job.Inch); in < 0.01 {
		return Figure(mm/job.Inch, 4)
	}
	return Figure(mm/job.Inch, 3)
}

// Place writes a place, mm; in inches with their unit behind it.
func (s System) Place(x, y float64) string {
	if s == Inches {
		return Fixed(x/job.Inch, 3) + ", " + Fixed(y/job.Inch, 3) + " in"
	}
	return Fixed(x, 2) + ", " + Fixed(y, 2)
}
