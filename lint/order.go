package lint

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"sluice/geom"
)

// Written returns a coordinate, length or area as reports write it: rounded to six
// decimals, never a negative zero.
func Written(v float64) float64 {
	if math.Abs(v) < 1e9 {
		v = math.Round(v*1e6) / 1e6
	}
	if v == 0 {
		return 0
	}
	return v
}

// Seen returns a place that any reader can go to: a coordinate that is infinite or
// not a number is 0.
func Seen(p geom.Point) geom.Point { return geom.Pt(Finite(p.X), Finite(p.Y)) }

// Finite returns v, or 0 where it is infinite or not a number.
func Finite(v float64) float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return 0
	}
	return v
}

// SortFindings puts findings in the order in which they are judged and numbered:
// by rule, then from the top down, then from left to right, then by what they say.
func SortFindings(all []Finding) {
	sortBy(all, func(a, b *Finding) int {
		return cmp.Or(cmp.Compare(a.Rule, b.Rule), cmp.Compare(b.At.Y, a.At.Y), cmp.Compare(a.At.X, b.At.X), cmp.Compare(a.Message, b.Message))
	})
}

// sortBy puts findings in order; ties keep theirs. Findings are large, so that their
// numbers are sorted, and each finding is then moved once.
func sortBy(all []Finding, compare func(a, b *Finding) int) {
	if sorted(all, compare) {
		return
	}
	from := make([]int32, len(all)) // by place: which finding belongs there
	for i := range from {
		from[i] = int32(i)
	}
	slices.SortFunc(from, func(i, k int32) int {
		if c := compare(&all[i], &all[k]); c != 0 {
			return c
		}
		return cmp.Compare(i, k)
	})
	for i := range all {
		first, at := all[i], int32(i)
		for from[at] != int32(i) {
			next := from[at]
			all[at], from[at] = all[next], at
			at = next
		}
		all[at], from[at] = first, at
	}
}

func sorted(all []Finding, compare func(a, b *Finding) int) bool {
	for i := 1; i < len(all); i++ {
		if compare(&all[i-1], &all[i]) > 0 {
			return false
		}
	}
	return true
}

// ReadingOrder returns the findings by rule, then from the top down, then from left
// to right, places compared as they are written; ties keep their order. Where
// they are in that order already, it is the list given: a large folder has many.
func ReadingOrder(all []Finding) []Finding {
	if sorted(all, compareReading) {
		return all
	}
	all = slices.Clone(all)
	sortBy(all, compareReading)
	return all
}

func compareReading(a, b *Finding) int {
	p, q := Seen(a.At), Seen(b.At)
	return cmp.Or(cmp.Compare(a.Rule, b.Rule), cmp.Compare(Written(q.Y), Written(p.Y)), cmp.Compare(Written(p.X), Written(q.X)))
}

// ByRule cuts findings into runs of one rule.
func ByRule(all []Finding) [][]Finding {
	var out [][]Finding
	for from, to := 0, 0; from < len(all); from = to {
		for to < len(all) && all[to].Rule == all[from].Rule {
			to++
		}
		out = append(out, all[from:to:to])
	}
	return out
}

// CompareNames orders the names of parts as people do: 2 before 10, A2 before A10.
func CompareNames(a, b string) int {
	for a != "" && b != "" {
		if digit(a[0]) && digit(b[0]) {
			x, restA := number(a)
			y, restB := number(b)
			if c := cmp.Or(cmp.Compare(len(x), len(y)), cmp.Compare(x, y)); c != 0 {
				return c
			}
			a, b = restA, restB
			continue
		}
		if a[0] != b[0] {
			return cmp.Compare(a[0], b[0])
		}
		a, b = a[1:], b[1:]
	}
	return cmp.Compare(len(a), len(b))
}

func digit(c byte) bool { return '0' <= c && c <= '9' }

// number splits the leading digits, without leading zeros, from the rest.
func number(s string) (digits, rest string) {
	i := 0
	for i < len(s) && digit(s[i]) {
		i++
	}
	return strings.TrimLeft(s[:i], "0"), s[i:]
}
