package guard

import (
	"cmp"
	"fmt"
	"slices"

	"sluice/geom"
)

// What says in which way a drawing is not what was drawn.
type What uint8

// Ways of being wrong, the gravest first.
const (
	Misplaced    What = iota // not where its part was moved to
	Invented                 // cut, but never drawn
	MarkCut                  // drawn as a mark only, but cut
	Lost                     // drawn to be cut, but neither cut, carried nor told
	TabWrong                 // a tab that is not as told, or cut through
	Entered                  // the stream takes from a part
	Mismeasured              // a part's area or middle is not what its outlines enclose
	Unproven                 // cannot be shown to be right
	MarkInvented             // etched, but never drawn
	MarkLost                 // drawn as a mark, but not carried
)

// Fault is the gravest place at which a drawing is not what was drawn.
type Fault struct {
	What   What
	At     geom.Point // mm
	Layer  string     // of the piece concerned
	Much   float64    // mm: how long, or how deep
	Others int        // how many more such places there are
	Note   string     // more words, "" for none
}

// words for each What; %s is how much.
var words = [...]string{
	Invented:     "%s mm would be cut that was never drawn",
	Lost:         "%s mm drawn to be cut would be lost",
	MarkCut:      "%s mm drawn as a mark would be cut through",
	MarkInvented: "%s mm would be etched that was never drawn",
	MarkLost:     "%s mm drawn as a mark would be lost",
	TabWrong:     "a tab is not as told, by %s mm",
	Misplaced:    "%s mm would not lie where the part was moved to",
	Entered:      "the stream would take %s mm from a part",
	Mismeasured:  "a part is measured %s off what its outlines enclose",
	Unproven:     "the stream may run on the wrong side of the outline",
}

// Error says where, what and how much in one line.
func (f *Fault) Error() string {
	return "nothing is written: " + f.Place() + "; please report this drawing"
}

// Place says where, what and how much.
func (f *Fault) Place() string {
	what := words[f.What]
	if f.What != Unproven {
		what = fmt.Sprintf(what, fmt.Sprintf("%.4g", f.Much))
	}
	s := fmt.Sprintf("at %.2f, %.2f", f.At.X, f.At.Y)
	if f.Layer != "" {
		s += fmt.Sprintf(" (layer %s)", f.Layer)
	}
	s += " " + what
	if f.Note != "" {
		s += ", " + f.Note
	}
	if f.Others > 0 {
		s += fmt.Sprintf("; %d more such places", f.Others)
	}
	return s
}

// gravest returns the fault to tell: of the gravest kind that of most mm, of
// equals the topmost, then the leftmost. It is nil where there are none.
func gravest(all []Fault) error {
	if len(all) == 0 {
		return nil
	}
	f := slices.MinFunc(all, func(a, b Fault) int {
		return cmp.Or(cmp.Compare(a.What, b.What), cmp.Compare(b.Much, a.Much), cmp.Compare(b.At.Y, a.At.Y), cmp.Compare(a.At.X, b.At.X))
	})
	f.Others = len(all) - 1
	return &f
}
