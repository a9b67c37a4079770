package job

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"sync"
)

// LongestLength is the longest length that makes sense on a cutting table, mm.
const LongestLength = 100_000

// unitNames are the units of length, as they are offered in messages.
var unitNames = []string{"mm", "cm", "m", "in", "ft"}

// UnitFactor returns how many mm the unit has; ok is false for an unknown one.
// The inch is 25.4 mm by definition (1959), the foot 12 inches.
func UnitFactor(unit string) (factor float64, ok bool) {
	switch strings.ToLower(unit) {
	case "mm":
		return 1, true
	case "cm":
		return 10, true
	case "m":
		return 1000, true
	case "in", "inch", "inches", `"`, "″":
		return 25.4, true
	case "ft", "foot", "feet", "'", "′":
		return 304.8, true
	}
	return 0, false
}

var (
	decimal = sync.OnceValue(func() *regexp.Regexp {
		return regexp.MustCompile(`^([+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?) *([^0-9\s.,/+-][^0-9\s]*)?$`)
	})
	fraction = sync.OnceValue(func() *regexp.Regexp {
		return regexp.MustCompile(`^([+-]?)(?:([0-9]+)(?: +|-))?([0-9]+) */ *([0-9]+) *([^0-9\s]+)?$`)
	})
)

const lengthForm = `write a number and a unit, such as 0.9mm, 0.035in or 3/16in`

// ParseLength reads a length and returns it in mm: a number with a unit (mm, cm,
// m, in, ft, ", '), where a bare number is mm, or a fraction with a unit (3/16in,
// 1 1/8in). A length that is negative, not finite or over 100 m is an error; zero
// is not.
func ParseLength(s string) (mm float64, err error) {
	t := strings.TrimSpace(s)
	if t == "" {
		return 0, errors.New("a length is missing; " + lengthForm)
	}
	if m := fraction().FindStringSubmatch(t); m != nil {
		mm, err = fractionLength(t, m)
	} else if m := decimal().FindStringSubmatch(t); m != nil {
		mm, err = decimalLength(t, m)
	} else if strings.Contains(t, ",") {
		return 0, fmt.Errorf("%s is no length; the decimal sign is a point, as in 0.9mm", quote(t))
	} else {
		return 0, fmt.Errorf("%s is no length; %s", quote(t), lengthForm)
	}
	if err != nil {
		return 0, err
	}
	return mm, sensible(mm, quote(t))
}

// sensible refuses what no length can be.
func sensible(mm float64, shown string) error {
	switch {
	case math.IsNaN(mm) || math.IsInf(mm, 0):
		return fmt.Errorf("%s is no length; %s", shown, lengthForm)
	case mm < 0:
		return fmt.Errorf("%s is negative; a length is 0 or more", shown)
	case mm > LongestLength:
		return fmt.Errorf("%s is over 100 m, longer than any table", shown)
	}
	return nil
}

func decimalLength(t string, m []string) (float64, error) {
	v, err := strconv.ParseFloat(m[1], 64)
	if err != nil { // only the range is left to go wrong
		return 0, fmt.Errorf("%s is out of range; %s", quote(t), lengthForm)
	}
	if m[2] == "" {
		return v, nil
	}
	f, err := unitOf(t, m[2])
	return inMM(v, 1, f), err
}

func fractionLength(t string, m []string) (float64, error) {
	if m[5] == "" {
		return 0, fmt.Errorf("%s is a fraction without a unit; write it as in 3/16in", quote(t))
	}
	f, err := unitOf(t, m[5])
	if err != nil {
		return 0, err
	}
	var n [3]float64
	for i, digits := range m[2:5] {
		if digits == "" {
			continue
		}
		if n[i], err = strconv.ParseFloat(digits, 64); err != nil {
			return 0, fmt.Errorf("%s is out of range; %s", quote(t), lengthForm)
		}
	}
	if n[2] == 0 {
		return 0, fmt.Errorf("%s divides by zero; %s", quote(t), lengthForm)
	}
	mm := inMM(n[0]*n[2]+n[1], n[2], f)
	if m[1] == "-" {
		mm = -mm
	}
	return mm, nil
}

// inMM returns v/over units of the factor in mm. Inches and feet go by tenths of
// a mm, which are whole: 3/16in is 4.7625 and not a bit beside it.
func inMM(v, over, factor float64) float64 {
	if factor == math.Trunc(factor) {
		return v * factor / over
	}
	return v * math.Round(factor*10) / (over * 10)
}

func unitOf(t, unit string) (float64, error) {
	f, ok := UnitFactor(unit)
	if !ok {
		return 0, fmt.Errorf("%s has an unknown unit %s; did you mean %q? (%s)",
			quote(t), quote(unit), Nearest(unit, unitNames), strings.Join(unitNames, ", "))
	}
	return f, nil
}

// FormatLength writes a length so that ParseLength reads the same value back.
func FormatLength(mm float64) string {
	return strconv.FormatFloat(mm, 'f', -1, 64) + "mm"
}

// quote quotes what a person wrote, cut to fit on a line.
func quote(s string) string {
	const most = 40
	if r := []rune(s); len(r) > most {
		s = string(r[:most]) + "…"
	}
	return strconv.Quote(s)
}
