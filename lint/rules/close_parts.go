package rules

import (
	"fmt"
	"strings"

	"sluice/geom"
	"sluice/geom/clear"
	"sluice/lint"
)

var closeParts = &lint.Rule{
	ID:       "close-parts",
	Brought:  lint.BroughtWorse,
	Severity: lint.Warning,
	Repair:   lint.Choice,
	Choices:  []string{"spread", "drop"},
	Doc: lint.Doc{
		Title:      "Parts too close together",
		What:       "Two parts whose outlines are nearer than two kerfs and a strip of scrap: one finding for each pair, at the nearest place.",
		Why:        "Each outline is set off outwards by half a kerf. Nearer than that, the second cut runs into the first: the strip between them breaks loose, jams or turns under the head, and there is no room to lead in.",
		Bad:        "Two parts 1 mm apart, as a laser leaves them, under a jet of 1.0 mm.",
		Good:       "Two parts 3 mm apart under a jet of 1.0 mm.",
		Exceptions: "Parts with a common edge are told as that; parts that cross are told as that.",
		Limit:      "2 kerf + [limits] spacing (1 mm). Below one kerf it is an error, and the measure is how deep each cut goes into the other part. Parts that fix moves are put further apart where leads need it.",
		Fix:        "fix --spread moves the parts apart, as little as it takes. By an answer one of a pair is moved aside or left out.",
		Reason:     "Asked for: it moves parts on the sheet.",
		Since:      "0.1",
	},
	Check: func(p *lint.Pass) {
		limit := p.Job.PartSpacing()
		var rings []clear.Ring
		var of []int32
		for k := range p.Sheet.Parts {
			for _, r := range p.Rings(k) {
				rings = append(rings, r)
				of = append(of, int32(k))
			}
		}
		told := map[[2]int32]bool{}
		for _, s := range p.Sheet.Shared {
			told[[2]int32{s.PartA, s.PartB}] = true
		}
		for _, c := range p.Sheet.Crossings {
			for _, s := range c.Strokes {
				for _, t := range c.Strokes {
					if a, b := p.PartOfStroke(s), p.PartOfStroke(t); a >= 0 && b >= 0 {
						told[[2]int32{min(a, b), max(a, b)}] = true
					}
				}
				if len(c.Strokes) > 16 {
					break
				}
			}
		}
		leave, move := newLeaver(p), newMover(p)
		for _, c := range clear.CloseParts(p.Ctx, rings, of, limit) {
			a, b := int32(min(c.I, c.J)), int32(max(c.I, c.J))
			if told[[2]int32{a, b}] {
				continue
			}
			oa := &p.Sheet.Outlines[p.Sheet.Parts[a].Outer]
			ob := &p.Sheet.Outlines[p.Sheet.Parts[b].Outer]
			f := lint.Finding{
				At: c.A.Mid(c.B), Box: geom.BoxOf(c.A, c.B),
				Message:  fmt.Sprintf("%s are %s mm apart; the cuts and a strip of scrap need %s mm", pairName(p, a, b), mm(c.Dist), mm(limit)),
				Fact:     lint.Fact{One: pairFact(p, a, b, "lie", "lies", "# apart", "from"), Many: "pairs of parts # apart", Says: p.PartName(a) != p.PartName(b), Why: mm(limit) + " mm needed"},
				Layer:    p.LayerOf(oa.Src[0]),
				Entities: p.EntityIDs(oa.Src[0], ob.Src[0]),
				Part:     p.PartName(a),
				Measure:  &lint.Measure{Name: "distance", Value: c.Dist, Limit: limit, Unit: "mm"},
			}
			if kerf := p.Job.Jet.Kerf; c.Dist < kerf-p.Job.Limits.Same {
				f.Message = fmt.Sprintf("%s are %s mm apart, less than the %s mm kerf: %s", pairName(p, a, b), mm(c.Dist), mm(kerf), takes(p, a, b, kerf-c.Dist))
				// Both are set off by half a kerf, so that each cut takes what is missing.
				f.Measure = &lint.Measure{Name: "depth", Value: kerf - c.Dist, Unit: "mm"}
				f.Fact = lint.Fact{One: pairFact(p, a, b, "are", "is", "cut # deep", "by the cut of"), Many: "pairs of parts cut # deep by each other's cut", Says: p.PartName(a) != p.PartName(b), Why: "nearer than the " + mm(kerf) + " mm kerf"}
				if _, set := p.Job.Rules["close-parts"]; !set {
					f.Severity = lint.Error
				}
			}
			k := smaller(p, a, b)
			move.offer(&f, "move part "+p.PartName(k)+" aside", k)
			leave.part(&f, b)
			p.Report(f)
		}
	},
}

// takes says how deep the cut of each of two parts goes into the other.
func takes(p *lint.Pass, a, b int32, depth float64) string {
	if m, n := p.PartName(a), p.PartName(b); m != n {
		return fmt.Sprintf("the cut of part %s goes %s mm into part %s, and the other way round", m, mm(depth), n)
	}
	return fmt.Sprintf("the cut of each goes %s mm into the other", mm(depth))
}

// pairName names two parts; equal ones carry the same number.
func pairName(p *lint.Pass, a, b int32) string {
	if m, n := p.PartName(a), p.PartName(b); m != n {
		return "parts " + m + " and " + n
	}
	return "two of part " + p.PartName(a)
}

// pairFact says of the first of two parts what it has to do with the other: of a
// pair of one number that two of them do it ("two share an edge # long"), else it
// by name ("shares an edge # long with part 2").
func pairFact(p *lint.Pass, a, b int32, two, one, what, with string) string {
	if m, n := p.PartName(a), p.PartName(b); m != n {
		return one + " " + strings.TrimSuffix(what, " apart") + " " + with + " part " + n
	}
	return "two " + two + " " + what
}
