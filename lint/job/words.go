package job

import (
	"slices"
	"strings"
	"unicode"
)

// wordForms lists the forms in which a word stands in names of layers, besides
// itself; a blank within may be missing ("counter sink", "countersink").
var wordForms = map[string][]string{
	"etch":         {"etches", "etched", "etching", "etchings"},
	"engrave":      {"engraves", "engraved", "engraving", "engravings"},
	"score":        {"scores", "scored", "scoring"},
	"mark":         {"marks", "marked", "marking", "markings"},
	"bend":         {"bends", "bending"},
	"fold":         {"folds", "folded", "folding"},
	"csk":          {"csks"},
	"counter sink": {"counter sinks", "counter sunk", "counter sinking"},
	"dim":          {"dims"},
	"dimension":    {"dimensions", "dimensioning"},
	"reference":    {"references"},
	"construction": {"constructions"},
	"center line":  {"center lines", "centre line", "centre lines"},
}

// Words that layers are taken for marks by, or left out by, where the job says
// nothing else.
var (
	etchWords   = []string{"word:etch", "word:engrave", "word:score", "word:mark", "word:bend", "word:fold", "word:csk", "word:counter sink"}
	ignoreWords = []string{"word:dim", "word:dimension", "word:reference", "word:construction", "word:hidden", "word:center line"}
)

// wordPattern reads word:W; is tells whether the pattern is about a word.
func wordPattern(p string) (word string, is bool) {
	word, is = strings.CutPrefix(strings.ToLower(strings.TrimSpace(p)), "word:")
	return strings.TrimSpace(word), is
}

// nameWords parts a layer's name into its words in lower case. A word ends at
// whatever is no letter and at a change of case: "BendLines2" is bend and lines,
// "CSKHoles" is csk and holes, "Sketch" is one word.
func nameWords(name string) []string {
	r := []rune(name)
	var words []string
	start := 0
	end := func(i int) {
		if i > start {
			words = append(words, strings.ToLower(string(r[start:i])))
		}
		start = i
	}
	for i := range r {
		switch {
		case !unicode.IsLetter(r[i]) && !unicode.IsMark(r[i]):
			end(i)
			start = i + 1
		case i > start && unicode.IsUpper(r[i]) && (!unicode.IsUpper(r[i-1]) || i+1 < len(r) && unicode.IsLower(r[i+1])):
			end(i)
		}
	}
	end(len(r))
	return words
}

// hasWord tells whether one of the forms of a word, or of several in a row, stands
// among the words of a name, by itself or run together with "line": bendlines.
func hasWord(words []string, word string) bool {
	if hasForm(words, word) {
		return true
	}
	return slices.ContainsFunc(wordForms[word], func(form string) bool { return hasForm(words, form) })
}

func hasForm(words []string, form string) bool {
	apart := strings.Fields(form)
	whole := strings.Join(apart, "")
	for i, w := range words {
		if rest, ok := strings.CutPrefix(w, whole); ok && (rest == "" || rest == "line" || rest == "lines") {
			return true
		}
		if i+len(apart) <= len(words) && slices.Equal(words[i:i+len(apart)], apart) {
			return true
		}
	}
	return false
}
