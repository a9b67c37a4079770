package label

// v is a point of a stroke, in tenths of the height of capitals above the
// baseline and right of the glyph's left edge, with the bulge of the piece that
// follows (tangent of a quarter of its turn, positive counter-clockwise).
type v struct{ x, y, b float64 }

// glyph is a character: its width and its strokes, each drawn in one go.
type glyph struct {
	w       float64
	strokes [][]v
}

// Bulges that come up often: a quarter turn, 140 and 240 degrees.
const (
	q  = 0.41421356237309503
	c4 = 0.7002075382097097 // tan 35
	s4 = 1.7320508075688772 // tan 60
	s1 = 0.2679491924311227 // tan 15: 60 degrees
)

// dot is a point big enough to be marked: a circle of a tenth of the height.
func dot(x, y float64) []v { return []v{{x - 0.5, y, 1}, {x + 0.5, y, 1}, {x - 0.5, y, 0}} }

// unknown stands for a character without a glyph.
var unknown = glyph{5, [][]v{{{0, 0, 0}, {5, 0, 0}, {5, 10, 0}, {0, 10, 0}, {0, 0, 0}}}}

// glyphOf returns the glyph of a character and whether there is one.
func glyphOf(r rune) (glyph, bool) {
	for _, find := range [...]func(rune) (glyph, bool){digit, capital, small, sign, bracket} {
		if g, ok := find(r); ok {
			return g, true
		}
	}
	return unknown, false
}

func digit(r rune) (glyph, bool) {
	switch r {
	case '0':
		return glyph{5, [][]v{{{0, 2.5, 0}, {0, 7.5, -1}, {5, 7.5, 0}, {5, 2.5, -1}, {0, 2.5, 0}}}}, true
	case '1':
		return glyph{3, [][]v{{{0, 7, 0}, {3, 10, 0}, {3, 0, 0}}}}, true
	case '2': // the slant is tangent to the bow
		return glyph{5, [][]v{{{0, 7.5, -1.3874258867227933}, {4.5, 6, 0}, {0, 0, 0}, {5, 0, 0}}}}, true
	case '3':
		return glyph{5, [][]v{{{0.30144, 8.875, -s4}, {2.25, 5.5, -1.5696855771174902}, {0.14338, 0.98233, 0}}}}, true
	case '4':
		return glyph{5, [][]v{{{4, 0, 0}, {4, 10, 0}, {0, 3, 0}, {5, 3, 0}}}}, true
	case '5':
		return glyph{5, [][]v{{{4.6, 10, 0}, {0.8, 10, 0}, {0.8, 5.22487, -2.1445069205095586}, {0.05508, 1.00019, 0}}}}, true
	case '6':
		return glyph{5, [][]v{{{4.3, 10, 0.2914}, {0, 3.25, 0}, {0, 2.5, 1}, {5, 2.5, 0}, {5, 3.25, 1}, {0, 3.25, 0}}}}, true
	case '7':
		return glyph{5, [][]v{{{0, 10, 0}, {5, 10, 0}, {1.5, 0, 0}}}}, true
	case '8':
		return glyph{5.5, [][]v{{{2.75, 5.5, 1}, {2.75, 10, 1}, {2.75, 5.5, -1}, {2.75, 0, -1}, {2.75, 5.5, 0}}}}, true
	case '9':
		return glyph{5, [][]v{{{0.7, 0, 0.2914}, {5, 6.75, 0}, {5, 7.5, 1}, {0, 7.5, 0}, {0, 6.75, 1}, {5, 6.75, 0}}}}, true
	}
	return glyph{}, false
}

func capital(r rune) (glyph, bool) {
	switch r {
	case 'A':
		return glyph{6, [][]v{{{0, 0, 0}, {3, 10, 0}, {6, 0, 0}}, {{0.9, 3, 0}, {5.1, 3, 0}}}}, true
	case 'B':
		return glyph{5.4, [][]v{{
			{0, 5.2, 0}, {0, 0, 0}, {2.8, 0, 1}, {2.8, 5.2, 0}, {0, 5.2, 0}, {0, 10, 0}, {2.8, 10, -1}, {2.8, 5.2, 0},
		}}}, true
	case 'C':
		return glyph{5.4, [][]v{{{5.29813, 8.92836, c4}, {0, 7, 0}, {0, 3, c4}, {5.29813, 1.07164, 0}}}}, true
	case 'D':
		return glyph{6, [][]v{{{0, 0, 0}, {0, 10, 0}, {2.5, 10, -q}, {6, 6.5, 0}, {6, 3.5, -q}, {2.5, 0, 0}, {0, 0, 0}}}}, true
	case 'E':
		return glyph{5, [][]v{{{5, 10, 0}, {0, 10, 0}, {0, 0, 0}, {5, 0, 0}}, {{0, 5.2, 0}, {4.2, 5.2, 0}}}}, true
	case 'F':
		return glyph{5, [][]v{{{5, 10, 0}, {0, 10, 0}, {0, 0, 0}}, {{0, 5.2, 0}, {4.2, 5.2, 0}}}}, true
	case 'G':
		return glyph{6, [][]v{{
			{5.29813, 8.92836, c4}, {0, 7, 0}, {0, 3, q}, {3, 0, q}, {6, 3, 0}, {6, 4.8, 0}, {3.4, 4.8, 0},
		}}}, true
	case 'H':
		return glyph{6, [][]v{{{0, 10, 0}, {0, 0, 0}}, {{6, 10, 0}, {6, 0, 0}}, {{0, 5.2, 0}, {6, 5.2, 0}}}}, true
	case 'I':
		return glyph{1, [][]v{{{0.5, 10, 0}, {0.5, 0, 0}}}}, true
	case 'J':
		return glyph{4.5, [][]v{{{4.5, 10, 0}, {4.5, 2.25, -1}, {0, 2.25, 0}}}}, true
	case 'K':
		return glyph{5.5, [][]v{{{0, 10, 0}, {0, 0, 0}}, {{5.5, 10, 0}, {0, 4.6, 0}, {5.5, 0, 0}}}}, true
	case 'L':
		return glyph{4.8, [][]v{{{0, 10, 0}, {0, 0, 0}, {4.8, 0, 0}}}}, true
	case 'M':
		return glyph{7, [][]v{{{0, 0, 0}, {0, 10, 0}, {3.5, 3.5, 0}, {7, 10, 0}, {7, 0, 0}}}}, true
	case 'N':
		return glyph{6, [][]v{{{0, 0, 0}, {0, 10, 0}, {6, 0, 0}, {6, 10, 0}}}}, true
	case 'O':
		return glyph{6, [][]v{{{0, 3, 0}, {0, 7, -1}, {6, 7, 0}, {6, 3, -1}, {0, 3, 0}}}}, true
	case 'P':
		return glyph{5.6, [][]v{{{0, 0, 0}, {0, 10, 0}, {3, 10, -1}, {3, 4.8, 0}, {0, 4.8, 0}}}}, true
	case 'Q':
		return glyph{6, [][]v{{{0, 3, 0}, {0, 7, -1}, {6, 7, 0}, {6, 3, -1}, {0, 3, 0}}, {{3.6, 2.6, 0}, {6, 0, 0}}}}, true
	case 'R':
		return glyph{5.6, [][]v{{{0, 0, 0}, {0, 10, 0}, {3, 10, -1}, {3, 4.8, 0}, {0, 4.8, 0}}, {{3, 4.8, 0}, {5.6, 0, 0}}}}, true
	case 'S':
		return glyph{5.4, [][]v{{{4.77846, 8.8, s4}, {2.7, 5.2, -s4}, {0.44833, 1.3, 0}}}}, true
	case 'T':
		return glyph{6, [][]v{{{0, 10, 0}, {6, 10, 0}}, {{3, 10, 0}, {3, 0, 0}}}}, true
	case 'U':
		return glyph{6, [][]v{{{0, 10, 0}, {0, 3, 1}, {6, 3, 0}, {6, 10, 0}}}}, true
	case 'V':
		return glyph{6, [][]v{{{0, 10, 0}, {3, 0, 0}, {6, 10, 0}}}}, true
	case 'W':
		return glyph{8, [][]v{{{0, 10, 0}, {2, 0, 0}, {4, 8, 0}, {6, 0, 0}, {8, 10, 0}}}}, true
	case 'X':
		return glyph{6, [][]v{{{0, 10, 0}, {6, 0, 0}}, {{0, 0, 0}, {6, 10, 0}}}}, true
	case 'Y':
		return glyph{6, [][]v{{{0, 10, 0}, {3, 5, 0}, {6, 10, 0}}, {{3, 5, 0}, {3, 0, 0}}}}, true
	case 'Z':
		return glyph{6, [][]v{{{0, 10, 0}, {6, 10, 0}, {0, 0, 0}, {6, 0, 0}}}}, true
	}
	return glyph{}, false
}

func small(r rune) (glyph, bool) {
	// The bowl of a, d, g and q opens to a stem on its right, that of b and p
	// to one on its left.
	right := []v{{5, 4.5, 1}, {0, 4.5, 0}, {0, 2.5, 1}, {5, 2.5, 0}}
	left := []v{{0, 4.5, -1}, {5, 4.5, 0}, {5, 2.5, -1}, {0, 2.5, 0}}
	switch r {
	case 'a':
		return glyph{5, [][]v{right, {{5, 7, 0}, {5, 0, 0}}}}, true
	case 'b':
		return glyph{5, [][]v{{{0, 10, 0}, {0, 0, 0}}, left}}, true
	case 'c':
		return glyph{4.5, [][]v{{{4.41511, 6.10697, c4}, {0, 4.5, 0}, {0, 2.5, c4}, {4.41511, 0.89303, 0}}}}, true
	case 'd':
		return glyph{5, [][]v{right, {{5, 10, 0}, {5, 0, 0}}}}, true
	case 'e':
		return glyph{5, [][]v{{{0, 3.5, 0}, {5, 3.5, 0}, {5, 4.5, 1}, {0, 4.5, 0}, {0, 2.5, c4}, {4.41511, 0.89303, 0}}}}, true
	case 'f':
		return glyph{4, [][]v{{{4, 10, 0}, {3.5, 10, q}, {1.5, 8, 0}, {1.5, 0, 0}}, {{0, 7, 0}, {3.5, 7, 0}}}}, true
	case 'g':
		return glyph{5, [][]v{right, {{5, 7, 0}, {5, -0.5, -1}, {0, -0.5, 0}}}}, true
	case 'h':
		return glyph{5, [][]v{{{0, 10, 0}, {0, 0, 0}}, {{0, 4.5, -1}, {5, 4.5, 0}, {5, 0, 0}}}}, true
	case 'i':
		return glyph{1, [][]v{{{0.5, 7, 0}, {0.5, 0, 0}}, dot(0.5, 9.5)}}, true
	case 'j':
		return glyph{3, [][]v{{{2.5, 7, 0}, {2.5, -1, -q}, {0.5, -3, 0}, {0, -3, 0}}, dot(2.5, 9.5)}}, true
	case 'k':
		return glyph{4.4, [][]v{{{0, 10, 0}, {0, 0, 0}}, {{4.2, 7, 0}, {0, 3.3, 0}, {4.4, 0, 0}}}}, true
	case 'l':
		return glyph{2, [][]v{{{0, 10, 0}, {0, 1.5, q}, {1.5, 0, 0}, {2, 0, 0}}}}, true
	case 'm':
		return glyph{8, [][]v{
			{{0, 7, 0}, {0, 0, 0}}, {{0, 5, -1}, {4, 5, 0}, {4, 0, 0}}, {{4, 5, -1}, {8, 5, 0}, {8, 0, 0}},
		}}, true
	case 'n':
		return glyph{5, [][]v{{{0, 7, 0}, {0, 0, 0}}, {{0, 4.5, -1}, {5, 4.5, 0}, {5, 0, 0}}}}, true
	case 'o':
		return glyph{5, [][]v{{{0, 2.5, 0}, {0, 4.5, -1}, {5, 4.5, 0}, {5, 2.5, -1}, {0, 2.5, 0}}}}, true
	case 'p':
		return glyph{5, [][]v{{{0, 7, 0}, {0, -3, 0}}, left}}, true
	case 'q':
		return glyph{5, [][]v{right, {{5, 7, 0}, {5, -3, 0}}}}, true
	case 'r':
		return glyph{3.8, [][]v{{{0, 7, 0}, {0, 0, 0}}, {{0, 4.5, -0.5773502691896257}, {3.75, 6.66506, 0}}}}, true
	case 's':
		return glyph{4.4, [][]v{{
			{4.17224, 6.15, s1}, {2.7, 7, 0}, {1.8, 7, 1}, {1.8, 3.6, 0}, {2.6, 3.6, -1}, {2.6, 0, 0}, {1.8, 0, -s1}, {0.24115, 0.9, 0},
		}}}, true
	case 't':
		return glyph{4, [][]v{{{1.5, 9.5, 0}, {1.5, 2, q}, {3.5, 0, 0}, {4, 0, 0}}, {{0, 7, 0}, {3.5, 7, 0}}}}, true
	case 'u':
		return glyph{5, [][]v{{{0, 7, 0}, {0, 2.5, 1}, {5, 2.5, 0}}, {{5, 7, 0}, {5, 0, 0}}}}, true
	case 'v':
		return glyph{5, [][]v{{{0, 7, 0}, {2.5, 0, 0}, {5, 7, 0}}}}, true
	case 'w':
		return glyph{7, [][]v{{{0, 7, 0}, {1.75, 0, 0}, {3.5, 6, 0}, {5.25, 0, 0}, {7, 7, 0}}}}, true
	case 'x':
		return glyph{4.6, [][]v{{{0, 7, 0}, {4.6, 0, 0}}, {{0, 0, 0}, {4.6, 7, 0}}}}, true
	case 'y':
		return glyph{5, [][]v{{{0, 7, 0}, {2.5, 0, 0}}, {{5, 7, 0}, {1.428571, -3, 0}}}}, true
	case 'z':
		return glyph{4.6, [][]v{{{0, 7, 0}, {4.6, 7, 0}, {0, 0, 0}, {4.6, 0, 0}}}}, true
	}
	return glyph{}, false
}

// bracket returns the sign of a pair.
func bracket(r rune) (glyph, bool) {
	switch r {
	case '{':
		return glyph{2.5, [][]v{{
			{2.5, 10, q}, {1.25, 8.75, 0}, {1.25, 6.25, -q}, {0, 5, -q}, {1.25, 3.75, 0}, {1.25, 1.25, q}, {2.5, 0, 0},
		}}}, true
	case '}':
		return glyph{2.5, [][]v{{
			{0, 10, -q}, {1.25, 8.75, 0}, {1.25, 6.25, q}, {2.5, 5, q}, {1.25, 3.75, 0}, {1.25, 1.25, -q}, {0, 0, 0},
		}}}, true
	case '(':
		return glyph{2, [][]v{{{2, 10, 0.4}, {2, 0, 0}}}}, true
	case ')':
		return glyph{2, [][]v{{{0, 10, -0.4}, {0, 0, 0}}}}, true
	case '[':
		return glyph{2, [][]v{{{2, 10, 0}, {0, 10, 0}, {0, 0, 0}, {2, 0, 0}}}}, true
	case ']':
		return glyph{2, [][]v{{{0, 10, 0}, {2, 10, 0}, {2, 0, 0}, {0, 0, 0}}}}, true
	case '<':
		return glyph{4.5, [][]v{{{4.5, 8, 0}, {0, 4.5, 0}, {4.5, 1, 0}}}}, true
	case '>':
		return glyph{4.5, [][]v{{{0, 8, 0}, {4.5, 4.5, 0}, {0, 1, 0}}}}, true
	}
	return glyph{}, false
}

func sign(r rune) (glyph, bool) {
	switch r {
	case ' ':
		return glyph{1, nil}, true // with the spacing on both sides 6/10 h clear
	case '-', '\u2013', '\u2212':
		return glyph{4, [][]v{{{0, 4.5, 0}, {4, 4.5, 0}}}}, true
	case '.':
		return glyph{1, [][]v{dot(0.5, 0.5)}}, true
	case ',':
		return glyph{1, [][]v{{{1, 1, 0}, {0, -1.5, 0}}}}, true
	case ':':
		return glyph{1, [][]v{dot(0.5, 0.5), dot(0.5, 5.5)}}, true
	case ';':
		return glyph{1.5, [][]v{dot(1, 5.5), {{1, 1, 0}, {0, -1.5, 0}}}}, true
	case '/':
		return glyph{4.5, [][]v{{{0, 0, 0}, {4.5, 10, 0}}}}, true
	case '\\':
		return glyph{4.5, [][]v{{{0, 10, 0}, {4.5, 0, 0}}}}, true
	case '|':
		return glyph{1, [][]v{{{0.5, 10, 0}, {0.5, -1.5, 0}}}}, true
	case '#':
		return glyph{6, [][]v{
			{{1.2, 1, 0}, {2.2, 9, 0}}, {{3.8, 1, 0}, {4.8, 9, 0}}, {{0, 3.4, 0}, {6, 3.4, 0}}, {{0, 6.6, 0}, {6, 6.6, 0}},
		}}, true
	case '_':
		return glyph{5, [][]v{{{0, -1.5, 0}, {5, -1.5, 0}}}}, true
	case '+':
		return glyph{5, [][]v{{{0, 4.5, 0}, {5, 4.5, 0}}, {{2.5, 7, 0}, {2.5, 2, 0}}}}, true
	case '=':
		return glyph{5, [][]v{{{0, 5.8, 0}, {5, 5.8, 0}}, {{0, 3.2, 0}, {5, 3.2, 0}}}}, true
	case '\u00d7', '*':
		return glyph{4, [][]v{{{0, 6.5, 0}, {4, 2.5, 0}}, {{0, 2.5, 0}, {4, 6.5, 0}}}}, true
	case '!':
		return glyph{1, [][]v{{{0.5, 10, 0}, {0.5, 3, 0}}, dot(0.5, 0.5)}}, true
	case '?':
		return glyph{5, [][]v{{{0, 7.5, -2.414213562373095}, {2.5, 5, 0}, {2.5, 3, 0}}, dot(2.5, 0.5)}}, true
	case '\'':
		return glyph{1, [][]v{{{0.5, 10, 0}, {0.5, 7.5, 0}}}}, true
	case '"':
		return glyph{2.5, [][]v{{{0.25, 10, 0}, {0.25, 7.5, 0}}, {{2.25, 10, 0}, {2.25, 7.5, 0}}}}, true
	case '%':
		return glyph{6, [][]v{
			{{0.5, 0, 0}, {5.5, 10, 0}}, {{0, 8.5, 1}, {3, 8.5, 1}, {0, 8.5, 0}}, {{3, 1.5, 1}, {6, 1.5, 1}, {3, 1.5, 0}},
		}}, true
	case '\u00b0':
		return glyph{2.6, [][]v{{{0, 8.7, 1}, {2.6, 8.7, 1}, {0, 8.7, 0}}}}, true
	case '\u00d8':
		return glyph{6, [][]v{{{0, 3, 0}, {0, 7, -1}, {6, 7, 0}, {6, 3, -1}, {0, 3, 0}}, {{0, 0, 0}, {6, 10, 0}}}}, true
	case '&':
		return glyph{6, [][]v{{
			{5.8, 0, 0}, {1.15991, 7.39659, -2.066528}, {3.81026, 7.10615, 0}, {0.66259, 3.91520, 0.665713}, {2.3, 0, 0}, {2.6, 0, q}, {6, 3.4, 0},
		}}}, true
	}
	return glyph{}, false
}
