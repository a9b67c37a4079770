package report

import (
	"math"
	"strconv"
	"strings"

	"sluice/fix/diff"
	"sluice/geom"
	"sluice/lint/figures"
)

// wholeText says what the drawing as a whole has gone through.
func wholeText(d *diff.Diff) string { return "the drawing " + motionText(d.Whole) }

// motionText reads "is 10 times larger", "moved by 100, 50 mm", "turned by 90°
// about 0.00, 0.00" and what these make together.
func motionText(m *diff.Motion) string {
	var s []string
	if m.Scale != 1 {
		s = append(s, "is "+sizeChange(m.Scale))
	}
	switch {
	case m.Mirrored:
		s = append(s, mirrorText(m))
	case m.Angle != 0:
		s = append(s, turnText(m))
	default:
		if m.Lay.T != (geom.Point{}) {
			s = append(s, "moved by "+shiftText(m.Lay.T))
		}
	}
	return strings.Join(s, " and ")
}

// sizeChange says how much larger or smaller: in per cent below a tenth.
func sizeChange(f float64) string {
	switch {
	case f >= 1.1:
		return digits(f) + " times larger"
	case f <= 1/1.1:
		return digits(1/f) + " times smaller"
	case f >= 1:
		return digits((f-1)*100) + " % larger"
	}
	return digits((1-f)*100) + " % smaller"
}

// digits writes a factor with five significant digits at most.
func digits(v float64) string {
	s, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 5, 64), 64)
	if err != nil {
		return "?"
	}
	return strconv.FormatFloat(s, 'f', -1, 64)
}

func turnText(m *diff.Motion) string {
	s := "turned by " + angleText(m.Angle)
	if p, ok := m.Fixed(); ok {
		s += " about " + xy(seen(p))
	}
	return s
}

// mirrorText names the line over which a drawing was turned, and the shift along
// it where there is one.
func mirrorText(m *diff.Motion) string {
	t := m.Lay.T
	along := geom.Polar(geom.Point{}, 1, math.Pi/2+m.Angle/2)
	glide := along.Mul(t.Dot(along))
	foot := t.Sub(glide).Mul(0.5)
	var s string
	switch {
	case m.Scale != 1: // the line is of no use to anybody
		s = "mirrored"
		if a := m.Angle; a != 0 {
			s += " and turned by " + angleText(a)
		}
		return s
	case math.Abs(along.X) < 1e-9:
		s = "mirrored left to right about x = " + figure(foot.X, 2)
	case math.Abs(along.Y) < 1e-9:
		s = "mirrored top to bottom about y = " + figure(foot.Y, 2)
	default:
		a := math.Mod(math.Pi/2+m.Angle/2+math.Pi, math.Pi)
		s = "mirrored about a line at " + angleText(a) + " through " + xy(seen(foot))
	}
	if glide.Norm() > 0.0005 {
		s += " and moved by " + shiftText(glide)
	}
	return s
}

// measureText says how an outline changed, as one would measure it.
func measureText(m *diff.Measure, noun string) string {
	by := figure(math.Abs(m.By), 3) + " mm "
	grown := func(yes, no string) string {
		if m.By > 0 {
			return yes
		}
		return no
	}
	switch m.Kind {
	case diff.Diameter:
		return noun + " ø" + figure(m.Was, 3) + " -> ø" + figure(m.Is, 3) + " mm"
	case diff.Offset:
		if noun == "slot" {
			return noun + " " + by + grown("wider", "narrower") + " a side all round"
		}
		return noun + " " + by + grown("larger", "smaller") + " a side"
	case diff.Width:
		if m.Ends {
			return noun + " " + by + grown("longer", "shorter") + " at each end"
		}
		return noun + " " + by + grown("wider", "narrower") + " a side"
	case diff.Edge:
		if noun == "outline" {
			return "edge moved " + grown("out", "in") + " by " + by + "at " + xy(seen(m.At))
		}
		return noun + ": edge moved " + grown("out", "in") + " by " + by + "at " + xy(seen(m.At))
	}
	return noun + ": " + plural(m.Count, "edge") + " moved, up to " + by + grown("out", "in") + " at " + xy(seen(m.At))
}

// changeCounts tells what differs besides the motion of the whole drawing.
func changeCounts(d *figures.Changes) []string {
	var s []string
	for _, l := range []struct {
		of   map[diff.Verdict]int
		noun string
	}{{d.PartCount, "part"}, {d.HoleCount, "hole"}} {
		for _, v := range verdicts {
			if n := l.of[v.kind]; n > 0 {
				s = append(s, plural(n, l.noun)+" "+string(v.kind))
			}
		}
	}
	if d.Count.Changed() == 0 && d.OpenDiffer {
		s = append(s, "open cuts differ")
	}
	return s
}

// hiddenTexts names the layers hidden in one drawing only.
func hiddenTexts(d *diff.Diff) []string {
	var s []string
	for k, side := range []*diff.Side{d.Before, d.After} {
		for i := range side.Hidden {
			h := &side.Hidden[i]
			t := "layer " + clean(h.Layer) + " is " + h.Why + " in the " + [2]string{"first", "second"}[k] + " drawing: "
			if h.Paths > 0 {
				t += plural(h.Paths, "outline")
			} else {
				t += plural(h.Entities, "entity")
			}
			s = append(s, t+" not compared")
		}
	}
	return s
}

// notedTexts tells what one drawing has set aside on its layer for notes.
func notedTexts(d *diff.Diff) []string {
	var s []string
	for k, side := range []*diff.Side{d.Before, d.After} {
		for i := range side.Noted {
			n := &side.Noted[i]
			other := [2]string{"second", "first"}[k]
			s = append(s, plural(n.Paths, "path")+" of layer "+clean(n.Layer)+" on layer NOTE in the "+other+" drawing, not cut there")
		}
	}
	return s
}

// repairText counts what has been mended, apart from shapes, and what has come
// anew.
func repairText(d *figures.Changes) string {
	var mended, fresh []string
	for i := range d.Repairs {
		r := &d.Repairs[i]
		n := r.Before - r.After
		words := map[diff.RepairKind][2]string{
			diff.GapsClosed: {"gap", " closed"}, diff.Doubles: {"double", " dropped"},
			diff.Strays: {"speck", " dropped"}, diff.Refitted: {"curve", " refitted"},
		}[r.Kind]
		switch {
		case r.Kind == diff.Joined:
			if n > 0 {
				mended = append(mended, plural(r.Before, "entity")+" joined into "+strconv.Itoa(r.After))
			}
		case n > 0:
			mended = append(mended, plural(n, words[0])+words[1])
		default:
			fresh = append(fresh, plural(-n, words[0]))
		}
	}
	if d.Mended > 0 {
		mended = append(mended, "by that outlines move by up to "+figure(d.Mended, 3)+" mm")
	}
	var s []string
	if len(mended) > 0 {
		s = append(s, "repairs: "+strings.Join(mended, ", "))
	}
	if len(fresh) > 0 {
		s = append(s, "new: "+strings.Join(fresh, ", "))
	}
	return strings.Join(s, "; ")
}
