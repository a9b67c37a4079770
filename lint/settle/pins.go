package settle

import (
	"fmt"
	"math"

	"sluice/geom"
	"sluice/lint/job"
	"sluice/lint/mend"
)

// LaidPart names one part of a layout: which of those that carry a number, from 0.
type LaidPart struct {
	Name  string
	Which int
}

// placeOf is where a part lies in a layout: on which sheet, and which part of it.
type placeOf struct{ sheet, part int }

// Put is where a person puts a part of a layout.
type Put struct {
	LaidPart
	Sheet int        // of those shown, from 0
	At    geom.Point // of the middle of its box, from the lower left corner of the sheet, mm
	Turn  float64    // degrees counter-clockwise
	Step  int        // so many of the turns that it may take further than Turn
}

// find returns where a part lies in the layout that is shown.
func (l *Layout) find(p LaidPart) (placeOf, error) {
	if l.Laid == nil || l.Stale {
		return placeOf{}, errNoLayout
	}
	for i := range l.Laid.Sheets {
		for n, x := range l.Laid.Sheets[i].Parts {
			if x.Name == p.Name && x.Which == p.Which {
				return placeOf{i, n}, nil
			}
		}
	}
	return placeOf{}, fmt.Errorf("part %s has no place in this layout", p.Name)
}

// SpotPart tells where a part of the layout would come to lie, and why it is refused there.
func (d *Desk) SpotPart(p Put) (*mend.Spot, error) {
	s, _, err := d.Layout().spotPart(p)
	return s, err
}

func (l *Layout) spotPart(p Put) (*mend.Spot, placeOf, error) {
	at, err := l.find(p.LaidPart)
	if err != nil {
		return nil, at, err
	}
	if p.Sheet < 0 || p.Sheet >= len(l.Laid.Sheets) || !p.At.Finite() || !(p.Turn >= -360 && p.Turn <= 360) {
		return nil, at, fmt.Errorf("there is no such place")
	}
	if from, to := &l.Laid.Sheets[at.sheet], &l.Laid.Sheets[p.Sheet]; from.Kind != to.Kind {
		return &mend.Spot{At: p.At, Turn: p.Turn, Refused: "on a sheet of another kind than it is cut from"}, at, nil
	}
	if p.Step != 0 {
		p.Turn = further(l.Laid.Turns(at.sheet, at.part), p.Turn, p.Step)
	}
	return l.Laid.Spot(at.sheet, at.part, p.Sheet, p.At, p.Turn), at, nil
}

// further returns the turn that comes so many steps after one, among those that are
// allowed, ascending; the same where there is no other.
func further(turns []float64, turn float64, step int) float64 {
	n := len(turns)
	if n == 0 {
		return turn
	}
	near := 0
	off := func(t float64) float64 {
		d := math.Mod(math.Abs(t-turn), 360)
		return min(d, 360-d)
	}
	for i := range turns {
		if off(turns[i]) < off(turns[near]) {
			near = i
		}
	}
	return turns[((near+step)%n+n)%n]
}

// PinPart puts a part of the layout where a person wants it; the others are laid around
// it. The error says why that is refused.
func (d *Desk) PinPart(p Put) error {
	did := fmt.Sprintf("part %s put on the sheet", p.Name)
	return d.change(&did, func(a *job.Answers) error {
		l := d.layout()
		s, at, err := l.spotPart(p)
		if err != nil {
			return err
		}
		if s.Refused != "" {
			return fmt.Errorf("part %s cannot lie there: %s", p.Name, s.Refused)
		}
		d.lay.lifted = &at
		l.pin(a, at, &job.Pin{At: s.At, Turn: s.Turn, Sheet: l.Laid.Sheets[p.Sheet].Number})
		return nil
	})
}

// pin writes down where a part of the layout lies.
func (l *Layout) pin(a *job.Answers, at placeOf, pin *job.Pin) {
	x := &l.Laid.Sheets[at.sheet].Parts[at.part]
	p := job.PartAnswer{Part: x.Name, Count: job.AsDrawn, About: AboutPart(l.Result, x.Name)}
	if had := a.OfPart(x.Name); had != nil {
		p = *had
	}
	pinned(a, p, x.Which, pin)
}

// pinned writes down where one of a part's copies lies; nil: where the search puts it. The
// pins that were stay as they are, for steps back.
func pinned(a *job.Answers, p job.PartAnswer, which int, pin *job.Pin) {
	pins := make([]*job.Pin, max(len(p.Pins), which+1))
	copy(pins, p.Pins)
	pins[which] = pin
	p.Pins = pins
	a.SetPart(p)
}

// UnpinPart lets a part go where the search puts it.
func (d *Desk) UnpinPart(p LaidPart) error {
	did := fmt.Sprintf("part %s let go", p.Name)
	return d.change(&did, func(a *job.Answers) error {
		had := a.OfPart(p.Name)
		if had == nil || p.Which < 0 || p.Which >= len(had.Pins) || had.Pins[p.Which] == nil {
			return fmt.Errorf("part %s is not pinned", p.Name)
		}
		pinned(a, *had, p.Which, nil)
		return nil
	})
}

// PinAll pins every part where it lies, so that any run comes to this layout.
func (d *Desk) PinAll() error {
	did := "all parts pinned where they lie"
	return d.change(&did, func(a *job.Answers) error {
		l := d.layout()
		switch {
		case l.Laid == nil || l.Stale:
			return errNoLayout
		case l.Running:
			return fmt.Errorf("the layout is still being looked for; stop that, or wait for its end")
		case len(l.Laid.Left) > 0:
			return fmt.Errorf("part %s has no place, so that no layout is whole", l.Laid.Left[0].Part)
		}
		for i := range l.Laid.Sheets {
			s := &l.Laid.Sheets[i]
			for n := range s.Parts {
				if !s.Parts[n].Pinned {
					at, turn := l.ready.laying.Place(l.Laid, i, n)
					l.pin(a, placeOf{i, n}, &job.Pin{At: at, Turn: turn, Sheet: s.Number})
				}
			}
		}
		return nil
	})
}

// UnpinAll lets all parts go where the search puts them.
func (d *Desk) UnpinAll() error {
	did := "all parts let go"
	return d.change(&did, func(a *job.Answers) error {
		var pinned []job.PartAnswer
		for _, p := range a.Parts {
			if len(p.Pins) > 0 {
				pinned = append(pinned, p)
			}
		}
		if len(pinned) == 0 {
			return fmt.Errorf("no part is pinned")
		}
		for _, p := range pinned {
			p.Pins = nil
			a.SetPart(p)
		}
		return nil
	})
}
