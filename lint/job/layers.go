package job

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/bmatcuk/doublestar/v4"
)

// MatchLayer tells whether a layer's name or a colour number is meant by one of
// the patterns: globs (*, ?, [a-z], {a,b}) for the whole name in any case, or
// color:N. A pattern that is no valid glob means nothing; Parse refuses those.
func MatchLayer(patterns []string, name string, color int) bool {
	for _, p := range patterns {
		if n, is := colorPattern(p); is {
			if n == color {
				return true
			}
		} else if doublestar.MatchUnvalidated(foldLayer(p), foldLayer(name)) {
			return true
		}
	}
	return false
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
	if strings.TrimSpace(p) == "" {
		return fmt.Errorf("%s is empty; write a layer's name, a glob such as *etch*, or color:2", quote(p))
	}
	if !doublestar.ValidatePattern(foldLayer(p)) {
		return fmt.Errorf("%s is no valid glob; use *, ? and closed [ ] or { }", quote(p))
	}
	return nil
}
