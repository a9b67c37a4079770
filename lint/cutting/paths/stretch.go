package paths

import (
	"math"

	"sluice/geom"
)

// leadRun gives a run between tabs its leads, which lean away from the tabs.
func (f *Finder) leadRun(c *Cut, keep geom.Path) {
	first, last := c.Run[0], c.Run[len(c.Run)-1]
	find := func(p, t geom.Point, pierce bool) geom.Path {
		for _, share := range shares {
			for _, angle := range [...]float64{0.75 * math.Pi, math.Pi / 2, 5 * math.Pi / 6} {
				l := lineLead(p, t, share*f.p.lead(), angle)
				if f.clear(l, c.Outline, keep) && (!pierce || f.pierceable(l[0].A, c.Outline)) {
					return l
				}
			}
		}
		return nil
	}
	if c.In = find(first.A, first.TangentAt(0), true); c.In == nil {
		c.NoRoom = true
		c.In = f.backAlong(c, keep)
	}
	// Seen backwards the waste is on the left: mirror the lead at the run's end.
	end, t := last.B, last.TangentAt(1)
	for _, share := range [...]float64{0.5, 0.35} {
		for _, angle := range [...]float64{math.Pi / 4, math.Pi / 2} {
			if l := lineOut(end, t, share*f.p.lead(), math.Pi-angle); f.clear(l, c.Outline, keep) {
				c.Out = l
				return
			}
		}
	}
}

// backSteps is at how many places along half of a run a start is tried.
const backSteps = 64

// backAlong returns the way back along a run between tabs from the first place at
// which a pierce on it leaves the tabs and all other parts whole, to its beginning:
// a pierce is wider than the kerf. Where there is none, it is the middle of the run.
func (f *Finder) backAlong(c *Cut, keep geom.Path) geom.Path {
	half := c.Run.Length() / 2
	at := half
	for k := range backSteps {
		s := half * float64(k) / backSteps
		if q, _ := c.Run.Along(s); f.pierceSpares(q, c.Outline, keep) {
			at = s
			break
		}
	}
	if at < weld {
		return nil
	}
	return stretchOf(c.Run, 0, at).Reverse()
}

// pierceSpares reports whether the hole of a pierce at q takes nothing from keep, the
// clamps, and every outline but own.
func (f *Finder) pierceSpares(q geom.Point, own int32, keep geom.Path) bool {
	r := pierceShare*f.p.Kerf - weld
	if hole := geom.Line(q, q); f.p.inClamp(&hole, r) {
		return false
	}
	for k := range keep {
		if keep[k].Dist(q) < r {
			return false
		}
	}
	x := f.cuts()
	ok := true
	x.In(geom.BoxOf(q).Inflate(r), func(k int32) bool {
		it := &x.Items[k]
		ok = it.Etch || it.Outline == own || it.Dist(q) >= r
		return ok
	})
	return ok
}
