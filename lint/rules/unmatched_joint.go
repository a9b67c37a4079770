package rules

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"sluice/lint"
	"sluice/lint/kit"
)

var unmatchedJoint = &lint.Rule{
	ID:       "unmatched-joint",
	Severity: lint.Warning,
	Repair:   lint.None,
	Choices:  []string{"fill", "make"},
	Doc: lint.Doc{
		Title:      "Joint without a mate",
		What:       "A slot of a kit with no tab of its length, or a tab, notch or finger edge with nothing to go into: none in the kit, or fewer than there are. A tab as long as several sheets are thick goes through as many decks. One finding for each, at the middle of the slot or of the tab's end, with what comes nearest to its mate.",
		Why:        "A piece may be missing from the drawing, or drawn for another version of the kit. After cutting it is too late to find that out.",
		Bad:        "A slot of 17 mm in a kit whose tabs are 12, 14 and 18 mm long.",
		Good:       "Four slots of 14 mm and four tabs of 14 mm on other parts.",
		Exceptions: "Where hardly any slot has a tab, only those joints are told that show by themselves what they are: slots about as wide as the tabs of another part stand out and nearly as long, several of one size along a line, as wide as sheet is thick or opened with reliefs; tabs and finger edges likewise. A part that stands alone tells nothing. Rows of equal slots side by side are vents. Where parts are drawn once that are to be cut several times, counts are not compared.",
		Limit:      "Lengths of mates differ by at most 0.3 mm once the play that the kit gives its slots is taken off.",
		Fix:        "A person may have the slot or notch closed (fill), or a plate added that meets the joint (make), as an answer: where joints of several parts that stand want one plate, all that is missing there, once; else draw the missing piece, or suppress the finding if the joint is left over on purpose.",
		Reason:     "Only a person knows what was meant.",
		Since:      "0.1",
	},
	Asks: lint.Joints,
	Check: func(p *lint.Pass) {
		k := p.Kit()
		m := &maker{p: p}
		for i := range k.Unmatched {
			u := &k.Unmatched[i]
			j := k.Shown(u)
			if j == nil {
				continue
			}
			f := jointFinding(p, j)
			f.At = u.At
			f.Message = unmatchedText(p, k, u)
			f.Fact = unmatchedFact(k, u)
			f.Measure = &lint.Measure{Name: "length", Value: u.Length, Unit: "mm"}
			m.offer(&f, k, i)
			p.Report(f)
		}
	},
}

// unmatchedText says what is without a mate, what may be missing, and how sure
// that is.
func unmatchedText(p *lint.Pass, k *kit.Kit, u *kit.Unmatched) string {
	var b strings.Builder
	switch {
	case u.Joint < 0:
		fmt.Fprintf(&b, "finger edge of %s mm: ", mm(u.Length))
	case k.Joints[u.Joint].Kind == kit.Notch:
		fmt.Fprintf(&b, "notch %s mm deep: ", mm(u.Length))
	default:
		fmt.Fprintf(&b, "%s of %s mm: ", k.Joints[u.Joint].Kind, mm(u.Length))
	}
	b.WriteString(wanting(k, u))
	b.WriteString(nearestText(p, k, u))
	like := 0
	if u.Piece >= 0 {
		m := &k.Missing[u.Piece]
		if like = m.Like; like > 0 {
			fmt.Fprintf(&b, "; one more of part %s would meet it", numberName(p, like))
		} else if len(m.Meets) > 1 {
			fmt.Fprintf(&b, "; a piece that meets parts %s may be missing", numberNames(p, m.Meets))
		}
	}
	if u.Partner > 0 && u.Piece >= 0 && like != u.Partner {
		fmt.Fprintf(&b, "; likeliest partner: part %s", numberName(p, u.Partner))
	}
	fmt.Fprintf(&b, " (certainty %.0f %%)", 100*u.Certainty)
	return b.String()
}

// wanting says what an unmatched joint has no mate of.
func wanting(k *kit.Kit, u *kit.Unmatched) string {
	one, several := "mate", "mates"
	if u.Joint >= 0 {
		mate := map[kit.Kind]kit.Kind{kit.Slot: kit.Tab, kit.Gap: kit.Tab, kit.Tab: kit.Slot, kit.Notch: kit.Notch}[k.Joints[u.Joint].Kind]
		one, several = mate.String(), mate.Several()
	}
	if u.None {
		return "no " + one + " of its length in the kit"
	}
	return "too few " + several + " for it in the kit"
}

func unmatchedFact(k *kit.Kit, u *kit.Unmatched) lint.Fact {
	f := lint.Fact{One: "finger edge # long", Many: "finger edges # long"}
	switch {
	case u.Joint < 0:
	case k.Joints[u.Joint].Kind == kit.Notch:
		f.One, f.Many = "notch # deep", "notches # deep"
	default:
		kind := k.Joints[u.Joint].Kind
		f.One, f.Many = kind.String()+" # long", kind.Several()+" # long"
	}
	f.Why = wanting(k, u)
	return f
}

// mostNames is how many parts a message names one by one.
const mostNames = 8

// numberNames returns the labels of the parts of several numbers.
func numberNames(p *lint.Pass, ns []int) string {
	names := make([]string, min(len(ns), mostNames))
	for i := range names {
		names[i] = numberName(p, ns[i])
	}
	s := strings.Join(names, ", ")
	if more := len(ns) - len(names); more > 0 {
		s += fmt.Sprintf(" and %d more", more)
	}
	return s
}

// nearestText says what comes nearest to a mate of an unmatched joint, and by how
// much it is out.
func nearestText(p *lint.Pass, k *kit.Kit, u *kit.Unmatched) string {
	if u.Joint < 0 || u.Nearest < 0 {
		return ""
	}
	own, near := &k.Joints[u.Joint], &k.Joints[u.Nearest]
	what := fmt.Sprintf("; nearest %s %s mm (part %s): ", near.Kind, mm(near.Length), p.PartName(near.Part))
	by := math.Round(1000*(own.Length-near.Length)) / 1000
	switch {
	case by > 0:
		return what + mm(by) + " mm too long"
	case by < 0:
		return what + mm(-by) + " mm too short"
	}
	return what + "as long, but off the kit's thickness or play"
}

// numberName returns the label of the parts of a number.
func numberName(p *lint.Pass, n int) string {
	for i := range p.Sheet.Parts {
		if p.Sheet.Parts[i].Number == n {
			return p.PartName(int32(i))
		}
	}
	return strconv.Itoa(n)
}
