package job

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"
)

// Edge is how smooth a cut edge is to be, in a word.
type Edge struct {
	Word  string
	About string
}

// Edges are the edges from the fastest to the finest. The speed equation numbers
// them from 1 to 5: a word's number is its place. Reports and the job file say the
// words, since shops count in both directions.
var Edges = [5]Edge{
	{"through", "parted, no more: rough, slanting and streaked towards the bottom; for scrap and for blanks that are machined"},
	{"coarse", "streaks over the lower half; for parts that nobody looks at"},
	{"plain", "streaks near the bottom alone; for most parts, and for joints"},
	{"smooth", "hardly any streaks; for edges that are seen"},
	{"fine", "as smooth and square as the stream can; for edges that run or seal"},
}

// EdgeWord returns the word of an edge by its number in the speed equation, the
// nearer of two for what lies between.
func EdgeWord(q float64) string { return Edges[min(max(int(math.Round(q)), 1), len(Edges))-1].Word }

// edgeWords lists the words.
func edgeWords() []string {
	words := make([]string, len(Edges))
	for i := range Edges {
		words[i] = Edges[i].Word
	}
	return words
}

// parseEdge returns the number of an edge in the speed equation, from its word, or
// from the number itself, as older job files have it.
func parseEdge(s string) (float64, error) {
	for i := range Edges {
		if s == Edges[i].Word {
			return float64(i + 1), nil
		}
	}
	if q, err := strconv.ParseFloat(s, 64); err == nil {
		if !(q >= 1 && q <= float64(len(Edges))) {
			return 0, fmt.Errorf("%s is no edge; write one of %s", s, list(edgeWords()))
		}
		return q, nil
	}
	return 0, fmt.Errorf("%s is no edge; did you mean %q? (%s)", quote(s), Nearest(s, edgeWords()), list(edgeWords()))
}

// putEdge checks an edge and stores its number.
func (s *setting) putEdge(j *Job, v value) error {
	if v.kind != unstable.String && !v.isNumber() {
		return fmt.Errorf("%s is no edge; write one of %s", v.shown(), list(edgeWords()))
	}
	q, err := parseEdge(strings.ToLower(strings.TrimSpace(v.text)))
	if err == nil {
		*s.at(j).(*float64) = q
	}
	return err
}

// printedEdge writes an edge: its word, or its number where it lies between two.
func printedEdge(q float64) string {
	if q == math.Trunc(q) {
		return tomlString(EdgeWord(q))
	}
	return strconv.FormatFloat(q, 'f', -1, 64)
}
