package job

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/bmatcuk/doublestar/v4"
)

// Taken says what becomes of what is drawn on a layer.
type Taken uint8

// What a layer is taken for.
const (
	TakenCut Taken = iota
	TakenEtch
	TakenIgnore
)

// neverPlotted is the pattern for layers that do not plot: DEFPOINTS, and those
// set so.
const neverPlotted = "plot:never"

// Take says what a layer is taken for, and by which pattern; by is "" where none
// means it and it is cut. Globs and colours, which a person has written, go before
// words and what never plots; and within each what is left out before what is
// etched.
func (l *Layers) Take(name string, color int, noPlot bool) (t Taken, by string) {
	words := nameWords(name)
	for _, written := range [2]bool{true, false} {
		for _, list := range [2]struct {
			taken    Taken
			patterns []string
		}{{TakenIgnore, l.Ignore}, {TakenEtch, l.Etch}} {
			for _, p := range list.patterns {
				if Written(p) == written && (matches(p, name, words, color) || noPlot && isNeverPlotted(p)) {
					return list.taken, p
				}
			}
		}
	}
	return TakenCut, ""
}

// Written tells patterns that name a layer or a colour, which only a person
// writes, from those that go by words and by what never plots.
func Written(pattern string) bool {
	_, word := wordPattern(pattern)
	return !word && !isNeverPlotted(pattern)
}

func isNeverPlotted(p string) bool { return strings.EqualFold(strings.TrimSpace(p), neverPlotted) }

// MatchLayer tells whether a layer's name or a colour number is meant by one of
// the patterns: globs (*, ?, [a-z], {a,b}) for the whole name in any case, word:W
// for a word within it, or color:N. A pattern that is no valid glob means nothing;
// Parse refuses those.
func MatchLayer(patterns []string, name string, color int) bool {
	words := nameWords(name)
	for _, p := range patterns {
		if matches(p, name, words, color) {
			return true
		}
	}
	return false
}

// matches applies one pattern to a layer's name, its words and a colour.
func matches(p, name string, words []string, color int) bool {
	if n, is := colorPattern(p); is {
		return n == color
	}
	if w, is := wordPattern(p); is {
		return hasWord(words, w)
	}
	return !isNeverPlotted(p) && doublestar.MatchUnvalidated(foldLayer(p), foldLayer(name))
}

// foldLayer makes case alike and takes the meaning from the slash, which is an
// ordinary letter in a layer's name but parts folders in a glob.
func foldLayer(s string) string {
	return strings.ReplaceAll(strings.ToLower(s), "/", "\x01")
}

// colorPattern reads color:N; is tells whether the pattern is about a colour.
func colorPattern(p string) (n int, is bool) {
	rest, is := strings.CutPrefix(strings.ToLower(strings.TrimSpace(p)), "color:")
	if !is {
		return 0, false
	}
	n, err := strconv.Atoi(strings.TrimSpace(rest))
	if err != nil {
		return -1, true
	}
	return n, true
}

// checkPattern says what is wrong with a layer pattern. Colour numbers run from
// 1 to 255.
func checkPattern(p string) error {
	if n, is := colorPattern(p); is {
		if n < 1 || n > 255 {
			return fmt.Errorf("%s needs a colour number from 1 to 255, as in color:2", quote(p))
		}
		return nil
	}
	if w, is := wordPattern(p); is {
		if len(nameWords(w)) == 0 {
			return fmt.Errorf("%s needs a word, as in word:etch", quote(p))
		}
		return nil
	}
	if strings.TrimSpace(p) == "" {
		return fmt.Errorf("%s is empty; write a layer's name, a glob such as Etch*, word:etch or color:2", quote(p))
	}
	if strings.HasPrefix(foldLayer(strings.TrimSpace(p)), "plot:") && !isNeverPlotted(p) {
		return fmt.Errorf("%s is not known; write plot:never", quote(p))
	}
	if !doublestar.ValidatePattern(foldLayer(p)) {
		return fmt.Errorf("%s is no valid glob; use *, ? and closed [ ] or { }", quote(p))
	}
	return nil
}
