package mend

import (
	"errors"
	"fmt"
	"slices"

	"sluice/fix/guard"
	"sluice/geom"
)

// errUnsettled tells that repairs go on changing the drawing after ten rounds.
var errUnsettled = errors.New("the repairs do not come to rest")

// way is how a drawing is repaired. Where one way does not come to rest the next,
// which changes less, is taken, so that there is always a drawing.
type way struct {
	once bool   // edges common to two parts are written once
	bare bool   // nothing is repaired
	told string // why less was done than could be, "" for the first way

	noTabs []geom.Point // where a tab was found not to hold
}

var ways = []way{
	{},
	{once: true, told: "edges common to two parts are written once and their parts get no tabs: repaired part by part the drawing did not come to rest"},
	{once: true, bare: true, told: "nothing was repaired, since the repairs did not come to rest: what was drawn is written as it is"},
}

// inWays repairs a drawing in one way after the other, until one comes to rest and
// the guard has nothing against what comes of it.
func inWays(repair func(way) error) error {
	var fault *guard.Fault
	for _, w := range ways {
		if fault != nil {
			if !w.bare {
				continue
			}
			w.told = "nothing was repaired, since of the repaired drawing it could not be shown that what is drawn is what is cut (" + fault.Place() + "): what was drawn is written as it is; please report this drawing"
		}
		err := repair(w)
		for n := 0; n < maxNoTabs && tabFault(err, &w); n++ {
			err = repair(w)
		}
		if errors.Is(err, errUnsettled) || fault == nil && errors.As(err, &fault) {
			continue
		}
		return err
	}
	if fault != nil {
		return fault
	}
	return fmt.Errorf("internal: %w", errUnsettled)
}

// maxNoTabs bounds how often a drawing is repaired anew without a tab that the
// guard finds not to hold.
const maxNoTabs = 8

// tabFault reports whether the guard refused a drawing for a tab, and notes where.
func tabFault(err error, w *way) bool {
	var fault *guard.Fault
	if !errors.As(err, &fault) || fault.What != guard.TabWrong || w.bare {
		return false
	}
	w.noTabs = append(w.noTabs, fault.At)
	return true
}

// noTabReach is how near, mm, to a place at which a tab does not hold no other is
// put.
const noTabReach = 3

// noTab reports whether no tab is to be put at p.
func (m *mender) noTab(p geom.Point) bool {
	return slices.ContainsFunc(m.way.noTabs, func(q geom.Point) bool { return p.Dist(q) <= noTabReach })
}
