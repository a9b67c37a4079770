package figures

import (
	"cmp"
	"math"
	"slices"

	"sluice/fix/fit"
	"sluice/lint"
	"sluice/lint/kit"
)

// Slots is how the slots and notches of a kit take the sheet, with the taper of the
// cut.
type Slots struct {
	Target fit.Target
	Source string // of the sheet's tolerance, "" for none
	Widths []SlotWidth
	Play   *Play // of tabs in their slots; nil where there are none
}

// SlotWidth is all slots of one width.
type SlotWidth struct {
	Width  float64 // at the top, mm
	Bottom float64 // at the bottom of the sheet, mm
	Play   float64 // over the thickest sheet at the bottom, mm; below 0 the sheet does not go through
	Count  int
}

// Play is what slots leave around their tabs, mm: lowest and highest.
type Play struct {
	Joints        int
	Across, Along [2]float64
}

// playOf sums up the play of joints, nil where there are none.
func playOf(list []kit.Play) *Play {
	if len(list) == 0 {
		return nil
	}
	p := &Play{Joints: len(list), Across: [2]float64{math.Inf(1), math.Inf(-1)}, Along: [2]float64{math.Inf(1), math.Inf(-1)}}
	for _, x := range list {
		p.Across = [2]float64{min(p.Across[0], x.Across), max(p.Across[1], x.Across)}
		p.Along = [2]float64{min(p.Along[0], x.Along), max(p.Along[1], x.Along)}
	}
	return p
}

// slotStep is how far widths may differ and be told as one, mm.
const slotStep = 0.01

// slotsOf looks at the slots of a judged drawing, nil where it is no kit or no
// thickness is set.
func slotsOf(r *lint.Result) *Slots {
	if r == nil || r.Kit == nil || r.Job == nil || r.Sheet == nil {
		return nil
	}
	k := r.Kit()
	if k == nil || k.Guessed {
		return nil
	}
	target, source, _ := kit.TargetOf(r.Job)
	sheets, ok := kit.SheetsOf(k, r.Job, r.Names)
	if !ok {
		return nil
	}
	s := &Slots{Target: target, Source: source, Play: playOf(k.Plays(sheets))}
	for i := range k.Joints {
		j := &k.Joints[i]
		if j.Kind != kit.Slot && j.Kind != kit.Notch || j.Width < r.Job.Jet.Kerf {
			continue
		}
		w := math.Round(j.Width/slotStep) * slotStep
		at := slices.IndexFunc(s.Widths, func(x SlotWidth) bool { return math.Abs(x.Width-w) < slotStep/2 })
		if at < 0 {
			at = len(s.Widths)
			s.Widths = append(s.Widths, SlotWidth{Width: w, Bottom: target.Bottom(w), Play: target.Play(w)})
		}
		s.Widths[at].Count++
	}
	if len(s.Widths) == 0 {
		return nil
	}
	slices.SortFunc(s.Widths, func(a, b SlotWidth) int { return cmp.Compare(a.Width, b.Width) })
	return s
}
