package kit

import (
	"math"

	"sluice/fix/fit"
)

// Suit is how the joints of a kit suit a sheet. Indices are in Joints.
type Suit struct {
	Tight   []int // slots and notches that the sheet does not go into
	Loose   []int // in which it rattles
	Near    int   // of Tight and Loose those off by no more than NearMiss
	Fit     int   // how many suit
	Fingers []int // edges (indices in Edges) whose fingers are not as deep as the sheet is thick
	Tabs    int   // tabs whose mate is one of the slots that do not suit
}

// SuitOf judges the slots, notches and finger edges of a kit for its sheets. Those
// narrower than the kerf cannot be cut at all, and are not judged.
func (k *Kit) SuitOf(sheets *Sheets, kerf float64) *Suit {
	s := &Suit{}
	off := map[int]bool{}
	for i := range k.Joints {
		j := &k.Joints[i]
		if j.Kind != Slot && j.Kind != Notch || j.Width < kerf {
			continue
		}
		t := sheets.Through(k, i)
		judged := t.Judge(j.Width)
		if judged != fit.Fits && math.Abs(j.Width-t.Width()) <= NearMiss(t.Thickness) {
			s.Near++
		}
		switch judged {
		case fit.Tight:
			s.Tight, off[i] = append(s.Tight, i), true
		case fit.Loose:
			s.Loose, off[i] = append(s.Loose, i), true
		default:
			s.Fit++
		}
	}
	tabs := map[int]bool{}
	for _, p := range k.Pairs {
		if p.JointA >= 0 && p.JointB >= 0 && k.Joints[p.JointA].Kind == Tab && off[p.JointB] {
			tabs[p.JointA] = true
		}
	}
	s.Tabs = len(tabs)
	for _, i := range k.Fingers() {
		e, t := &k.Edges[i], sheets.Across(k, i)
		slack := 0.1*t.Thickness + t.Clearance + t.Plus
		switch {
		case len(e.Joints) == 0:
		case math.Abs(e.Depth-t.Thickness) > slack:
			s.Fingers = append(s.Fingers, i)
		default:
			s.Fit++
		}
	}
	return s
}

// NearMiss is by how much, mm, a slot may be off the width that suits a sheet of a
// thickness and still go together with force or a file: a slot as wide as the
// sheet is thick, without play, is a near miss (a judgement, no source).
func NearMiss(thickness float64) float64 { return max(0.3, 0.1*thickness) }

// fewJoints is how many joints it takes to say of a kit that none suits the
// sheet (a judgement, no source): one slot may be drawn wrongly.
const fewJoints = 4

// NoneFits reports whether the kit cannot go together in the sheet: joints enough
// were judged, they have mates, and none of them suits or nearly does.
func (k *Kit) NoneFits(s *Suit) bool {
	return k.Whole && !k.Guessed && s.Fit == 0 && s.Near == 0 && len(s.Tight)+len(s.Loose)+len(s.Fingers) >= fewJoints
}

// DrawnFor returns the thicknesses of sheet that the joints show, mm, those of most
// joints first: as deep as the tabs stand out where that is about the width of
// their slots, else that width.
func (k *Kit) DrawnFor() []float64 {
	var out []float64
	for _, t := range k.Thicknesses {
		d := t.Width
		if t.Depth <= t.Width+slotWidth && t.Depth >= throughLow*t.Width {
			d = t.Depth
		}
		out = append(out, d)
	}
	return out
}
