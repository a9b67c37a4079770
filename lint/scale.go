package lint

import (
	"errors"
	"fmt"

	"sluice/fix"
	"sluice/fix/fit"
	"sluice/lint/kit"
)

// ScaleOf returns the one scale at which the slots of a drawing fit the sheet of its
// job, and the edit that sizes the whole drawing by it.
func ScaleOf(res *Result) (sc fit.Scale, e fix.Edit, err error) {
	t, source, ok := kit.TargetOf(res.Job)
	if !ok {
		return sc, e, errors.New("how thick the sheet is must be known; set [sheet] thickness or --thickness")
	}
	k := kit.Find(res.Sheet, kit.DefaultOptions())
	design := k.Design()
	if !(design > 0) {
		return sc, e, errors.New("no kit of slots and tabs is found, so there is nothing to fit; set a unit, or use --refit slots")
	}
	slots := map[int32]bool{}
	for i := range k.Joints {
		if j := &k.Joints[i]; j.Kind == kit.Slot {
			slots[j.Outline] = true
		}
	}
	sc = fit.ScaleFor(res.Sheet, design, &t, func(out int32) bool { return slots[out] })
	e = sc.Edit(res.Drawing, res.Sheet)
	e.Rule = "slot-thickness"
	if source != "" {
		source = " (" + source + ")"
	}
	e.Note = fmt.Sprintf("all scaled by %.5g so that slots of %.4g mm fit a sheet of %.4g mm%s: %.5g x %.5g mm becomes %.5g x %.5g mm; %d round holes keep their size",
		sc.Factor, design, t.Thickness, source, sc.Before.W(), sc.Before.H(), sc.After.W(), sc.After.H(), len(sc.Bolts))
	if n := sc.Cutouts; n > 0 && sc.Factor > 1 {
		l := &sc.Largest
		e.Note += fmt.Sprintf("; mind %s neither slots nor for bolts: they grow, the largest from %.4g x %.4g mm to %.4g x %.4g mm, and what goes into them does not",
			cutouts(n), l.W(), l.H(), sc.Factor*l.W(), sc.Factor*l.H())
	}
	return sc, e, nil
}

// cutouts counts holes.
func cutouts(n int) string {
	if n == 1 {
		return "1 cut-out that is"
	}
	return fmt.Sprintf("%d cut-outs that are", n)
}
