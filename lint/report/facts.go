package report

import (
	"fmt"
	"math"
	"strings"

	"sluice/lint"
	"sluice/lint/figures"
	"sluice/lint/kit"
)

// factText tells a fact: on which parts, how many of what, of which measure, and
// what is wrong with them.
func factText(f *figures.Fact) string {
	s := factParts(f.Parts)
	n := f.Count
	// Of equal parts that all do the same no number is told.
	itself := f.Says && len(f.Parts) == 1 && (n == 1 || n == f.Parts[0].Copies && strings.HasPrefix(f.Many, "parts "))
	switch {
	case itself:
		s += " "
	case s != "":
		s += ": "
	}
	if n == 1 || itself {
		s += measured(f.One, f)
	} else {
		s += fmt.Sprintf("%d %s", n, measured(f.Many, f))
	}
	if f.Why != "" {
		s += ": " + measured(f.Why, f)
	}
	if f.Also.Sum() > 0 {
		s += "; too small to pierce in as they are"
		if n == 1 {
			s = strings.TrimSuffix(s, "as they are") + "as it is"
		}
	}
	return clean(lint.Plain(s))
}

// measured puts the measure of a fact in its place.
func measured(s string, f *figures.Fact) string {
	if f.Unit == "" {
		return s
	}
	unit := " " + clean(f.Unit)
	scale := 1.0
	if f.Unit == "share" {
		unit, scale = " %", 100
	}
	low, high := short(scale*f.Low), short(scale*f.High)
	if low != high {
		low += " to " + high
	}
	return strings.ReplaceAll(s, "#", low+unit)
}

// short writes a length as far as it matters at the table: hundredths of a
// millimetre, tenths above 100, and two figures of what is smaller.
func short(v float64) string {
	switch a := math.Abs(v); {
	case a >= 100:
		return figure(v, 1)
	case a >= 0.01 || a == 0:
		return figure(v, 2)
	case a < 1e-4:
		return "0"
	}
	return figure(v, 4)
}

// partsNamed is how many parts a fact names.
const partsNamed = 4

// factParts names the parts of a fact, those drawn several times once.
func factParts(parts []figures.FactPart) string {
	if len(parts) == 0 {
		return ""
	}
	var names []string
	for i := range parts {
		if i == partsNamed && len(parts) > partsNamed+1 {
			return fmt.Sprintf("parts %s and %d more", strings.Join(names, ", "), len(parts)-i)
		}
		name := clean(parts[i].Name)
		if c := parts[i].Copies; c > 1 {
			name += fmt.Sprintf(" (x%d)", c)
		}
		names = append(names, name)
	}
	if len(names) == 1 {
		return "part " + names[0]
	}
	return "parts " + strings.Join(names, ", ")
}

// standText says what a kit was drawn for and whether it suits the sheet; "" where
// its joints say nothing. do is what to do about it, "" for nothing.
func standText(v *figures.Verdict) (text, do string) {
	if v.Parts == 0 {
		return "", ""
	}
	var drawn []string
	for i, d := range v.Drawn {
		if i == 3 {
			break
		}
		drawn = append(drawn, short(d))
	}
	thick := strings.Join(drawn, " and ") + " mm"
	switch {
	case len(drawn) == 0 && v.Judged:
		return fmt.Sprintf("%s; the parts show no joints.", capital(yourSheet(v, "is", "are"))), ""
	case len(drawn) == 0:
		return "", ""
	case v.Guessed:
		text = "No joint here fits any other; by their looks they are for " + thick
		if v.Judged {
			return text + ". " + capital(yourSheet(v, "is", "are")) + ".", ""
		}
		return text + ".", ""
	case !v.Judged:
		return fmt.Sprintf("Drawn for %s.", thick), fmt.Sprintf("--thickness, such as %smm, and its joints are judged", drawn[0])
	}
	text = fmt.Sprintf("Drawn for %s; %s: ", thick, yourSheet(v, "is", "are"))
	if v.Made && v.Unfit() == 0 {
		text = fmt.Sprintf("Drawn for %s, now made for %s: ", thick, yourSheet(v, "of", "of"))
	}
	if v.Unfit() == 0 {
		if v.Fit == 0 {
			return text + "no slot to judge by.", ""
		}
		return text + fmt.Sprintf("%s, all fit.", plural(v.Fit, "joint")), ""
	}
	var off []string
	if n := v.Tight + v.Loose; n > 0 {
		off = append(off, plural(n, "slot"))
	}
	if v.Fingers > 0 {
		off = append(off, plural(v.Fingers, "finger edge"))
	}
	if v.Tabs > 0 {
		off = append(off, plural(v.Tabs, "tab"))
	}
	text += listed(off) + " do not fit"
	if n := v.Tight + v.Loose; n > 0 && v.Near == n && v.Fingers == 0 {
		text += fmt.Sprintf(", by no more than %s mm", short(kit.NearMiss(v.Sheet)))
	}
	if v.None {
		text += ", and no joint does"
	} else if v.Fit > 0 {
		text += fmt.Sprintf("; %s", plural(v.Fit, "joint")+" fit")
	}
	if v.Refused {
		return text + ".", "a sheet that suits; the refit could not be made"
	}
	if v.Refit {
		return text + ".", "fix refits them, as asked"
	}
	return text + ".", "fix --refit slots, or a sheet that suits"
}

// playText says what slots leave around their tabs, "" where that is not known.
func playText(p *figures.Play) string {
	if p == nil {
		return ""
	}
	span := func(v [2]float64) string {
		low, high := fixed(v[0], 2), fixed(v[1], 2)
		if low == high {
			return low + " mm"
		}
		return low + " to " + high + " mm"
	}
	return fmt.Sprintf("%s: %s across, %s along", plural(p.Joints, "joint"), span(p.Across), span(p.Along))
}

// yourSheet says how thick the sheet is, or the sheets are, with a word for each.
func yourSheet(v *figures.Verdict, one, several string) string {
	if len(v.Sheets) < 2 {
		return fmt.Sprintf("your sheet %s %s mm", one, short(v.Sheet))
	}
	var words []string
	for _, t := range v.Sheets {
		words = append(words, short(t))
	}
	return fmt.Sprintf("your sheets %s %s mm", several, listed(words))
}

// listed joins words: "a, b and c".
func listed(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

// forceTexts say under which settings a drawing was judged.
func forceTexts(v *figures.Verdict) []string {
	var s []string
	if j := v.Job; j != nil {
		if j.Path == "" {
			s = append(s, "no job file")
		} else {
			s = append(s, clean(j.Path))
		}
		s = append(s, "kerf "+figure(j.Jet.Kerf, 3)+" mm")
		switch {
		case v.Sheet > 0 && v.Sheet != j.Sheet.Thickness:
			s = append(s, "sheet measured "+figure(v.Sheet, 3)+" mm")
		case j.Sheet.Thickness > 0:
			s = append(s, "sheet "+figure(j.Sheet.Thickness, 3)+" mm")
		default:
			s = append(s, "no thickness set: joints are not judged")
		}
		if j.Sheet.Material != "" {
			s = append(s, clean(j.Sheet.Material))
		}
		if len(j.Sheet.Size) == 2 {
			s = append(s, figure(j.Sheet.Size[0], 1)+" x "+figure(j.Sheet.Size[1], 1)+" mm")
		} else {
			s = append(s, "no sheet size set")
		}
	}
	return s
}

// forceText says that of one drawing, with its unit.
func forceText(v *figures.Verdict) string {
	s := forceTexts(v)
	if v.Unit != nil {
		s = append(s, "unit "+unitText(v.Unit))
	}
	return strings.Join(s, "; ")
}

// commonForce returns the settings under which all of several drawings were
// judged, "" where they differ.
func commonForce(vs []*figures.Verdict) string {
	common := ""
	for i, v := range vs {
		s := strings.Join(forceTexts(v), "; ")
		if i > 0 && (s != common || v.Inches != vs[0].Inches) {
			return ""
		}
		common = s
	}
	if len(vs) < 2 {
		return ""
	}
	return common
}

// workText says how many findings there are, and whose they are.
func workText(v *figures.Verdict) string {
	asked, mended := figures.Count(v.Asked), figures.Count(v.Mended)
	s := TallyText(v.Tally)
	switch {
	case asked+mended == 0:
		return "Nothing found."
	case asked == 0:
		return s + ": fix mends them all."
	case mended == 0:
		return s + ": all yours to decide."
	}
	are := "are"
	if asked == 1 {
		are = "is"
	}
	return fmt.Sprintf("%s: fix mends %d, %d %s yours to decide.", s, mended, asked, are)
}

// tailText counts facts by rule, in few words.
func tailText(facts []figures.Fact) string {
	n := map[string]int{}
	var rules []string
	for i := range facts {
		f := &facts[i]
		if n[f.Rule] == 0 {
			rules = append(rules, f.Rule)
		}
		n[f.Rule] += f.Count
	}
	for i, r := range rules {
		rules[i] = fmt.Sprintf("%s %d", clean(r), n[r])
	}
	return strings.Join(rules, ", ")
}

// mendsText tells facts that fix mends by itself; it asks nobody where they are.
func mendsText(facts []figures.Fact) string {
	var s []string
	for i := range facts {
		m := facts[i]
		if m.Count > 1 {
			m.Parts = nil
		}
		s = append(s, factText(&m)+" ["+clean(m.Rule)+"]")
	}
	return strings.Join(s, "; ")
}
