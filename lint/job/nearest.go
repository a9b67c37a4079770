package job

import "strings"

// Nearest returns the known word that is fewest slips away from word, the first
// of several alike, "" if none is known. A slip is a letter too many, too few,
// wrong, or swapped with its neighbour; case does not count, nor does - for _. A
// word that only stops early or starts late is one slip away.
func Nearest(word string, known []string) string {
	best, least := "", 0
	w := plain(word)
	start := string(w)
	for _, k := range known {
		p := plain(k)
		d := slips(w, p)
		if whole := string(p); len(w) >= 3 && (strings.HasPrefix(whole, start) || strings.HasSuffix(whole, start)) {
			d = min(d, 1)
		}
		if best == "" || d < least {
			best, least = k, d
		}
	}
	return best
}

// Near reports whether a word may have been meant for a known one: no more than
// half of its letters are slips, or one is the beginning or the end of the other.
func Near(word, known string) bool {
	w, k := plain(word), plain(known)
	if a, b := string(w), string(k); len(w) >= 3 && (strings.HasPrefix(b, a) || strings.HasSuffix(b, a)) {
		return true
	}
	return 2*slips(w, k) <= len(w)
}

// longestWord bounds the work on words that are no slip of anything.
const longestWord = 64

func plain(s string) []rune {
	r := []rune(strings.ReplaceAll(strings.ToLower(s), "-", "_"))
	return r[:min(len(r), longestWord)]
}

// slips is the optimal string alignment distance (Levenshtein's, with swaps of
// neighbours).
func slips(a, b []rune) int {
	before, last, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := range a {
		row[0] = i + 1
		for j := range b {
			cost := 1
			if a[i] == b[j] {
				cost = 0
			}
			row[j+1] = min(last[j+1]+1, row[j]+1, last[j]+cost)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				row[j+1] = min(row[j+1], before[j-1]+1)
			}
		}
		before, last, row = last, row, before
	}
	return last[len(b)]
}
