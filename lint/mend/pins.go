package mend

import (
	"fmt"

	"sluice/fix/layout"
	"sluice/geom"
	"sluice/lint/job"
)

// pins returns the parts that answers pin on sheets of the stock, and what says so; parts says for each
// item which part it is, gap is the least distance between two, mm. A pin that cannot
// stand is an error. Where single parts are laid out, on what is left of a sheet, pins
// are for another sheet and do not count.
func (p *planner) pins(items []layout.Item, stock []layout.Sheet, parts []int, gap float64) ([]layout.Pinned, []pinOf, error) {
	if len(p.l.Parts) > 0 || p.m.j.Answers == nil {
		return nil, nil, nil
	}
	var pins []layout.Pinned
	var of []pinOf
	next := map[string]int{} // by number: which one of it comes next
	for i, k := range parts {
		a := p.m.j.Answers.OfPart(p.res.Names[k])
		for range items[i].Count {
			n := next[p.res.Names[k]]
			next[p.res.Names[k]]++
			if a == nil || n >= len(a.Pins) || a.Pins[n] == nil {
				continue
			}
			pin := pinOf{a, a.Pins[n], n}
			sheet, copy, ok := sheetAt(stock, pin.Sheet)
			if !ok {
				return nil, nil, p.pinError(pin, fmt.Sprintf("there is no sheet %d for it", pin.Sheet))
			}
			pins = append(pins, layout.PinnedAt(items, i, sheet, copy, pin.Turn, pin.At))
			of = append(of, pin)
		}
	}
	for i := range p.m.j.Answers.Parts {
		a := &p.m.j.Answers.Parts[i]
		if n := next[a.Part]; n > 0 && len(a.Pins) > n {
			last := len(a.Pins) - 1
			return nil, nil, p.pinError(pinOf{a, a.Pins[last], last}, fmt.Sprintf("%d of it are cut, and this is number %d", n, last+1))
		}
	}
	if faults := layout.PinFaults(items, stock, pins, gap); len(faults) > 0 {
		f := faults[0]
		if f.A < 0 || f.A >= len(of) {
			return nil, nil, fmt.Errorf("--layout: a pinned part cannot stay: %s", f)
		}
		return nil, nil, p.pinError(of[f.A], pinFault(f, of))
	}
	return pins, of, nil
}

// pinOf is one place of a part.
type pinOf struct {
	*job.PartAnswer
	*job.Pin
	which int // of those that carry the number, from 0
}

// sheetAt returns the sheet of a number, from 1, counted through the stock in the order
// in which it is given.
func sheetAt(stock []layout.Sheet, n int) (sheet, copy int, ok bool) {
	copy = n - 1
	for k := range stock {
		if c := max(1, stock[k].Count); copy >= c {
			copy -= c
			continue
		}
		return k, copy, copy >= 0
	}
	return 0, 0, false
}

// pinFault says in words what is wrong with a pinned part.
func pinFault(f layout.Fault, of []pinOf) string {
	at := fmt.Sprintf("at %.5g, %.5g mm", f.At.X, f.At.Y)
	switch f.Kind {
	case layout.Outside:
		return "it lies beyond the margin of the sheet or in a clamp zone, " + at
	case layout.Overlap:
		return fmt.Sprintf("it lies on part %s, %s", of[f.B].Part, at)
	case layout.TooNear:
		return fmt.Sprintf("it lies %.3g mm from part %s, %s, nearer than parts may", f.By, of[f.B].Part, at)
	case layout.Turned:
		return "it may not be turned so; see turns and grain of the job"
	}
	return f.Kind.String()
}

// pinError says where a pin stands that cannot be kept, and what to do.
func (p *planner) pinError(a pinOf, why string) error {
	where := ""
	if path := p.m.j.Answers.Path; path != "" {
		where = fmt.Sprintf("%s:%d: ", path, a.Line)
	}
	return fmt.Errorf("--layout: %spart %s cannot lie at %s on sheet %d: %s; change its place or take at out", where, a.Part, pinPlace(a.At), a.Sheet, why)
}

func pinPlace(at geom.Point) string { return fmt.Sprintf("%.7g, %.7g mm", at.X, at.Y) }
