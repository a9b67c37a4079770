package label

import (
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/near"
)

// inside looks for a place within the part's material.
func (pl *Placer) inside(part int, r Request) (Label, bool) {
	p := &pl.sheet.Parts[part]
	room := newRoom(pl, part, r)
	full := letter(r.Text, r.Height, r.Mirror)
	// What cannot hold the smallest letters at any angle needs no search.
	least := r.MinHeight / r.Height * full.h
	if p.Box.W() < least+2*r.Clear || p.Box.H() < least+2*r.Clear {
		return Label{}, false
	}
	if !room.holdsDisc(least / 2) {
		return Label{}, false
	}
	if c, ok := room.best(0, full.w, full.h); ok {
		return pl.accept(r, full, r.Height, c, 0)
	}
	hs := r.heights()
	small := hs[len(hs)-1] / r.Height
	var angles []float64
	for _, a := range baselines(pl.sheet.Outlines[p.Outer].Pieces) {
		if _, ok := room.fits(a, full.w*small, full.h*small); ok {
			angles = append(angles, a)
		}
	}
	for _, h := range hs {
		for _, a := range angles {
			if h == r.Height && a == 0 {
				continue
			}
			f := h / r.Height
			if c, ok := room.best(a, full.w*f, full.h*f); ok {
				return pl.accept(r, letter(r.Text, h, r.Mirror), h, c, a)
			}
		}
	}
	return Label{}, false
}

// accept checks a place once more against the whole sheet.
func (pl *Placer) accept(r Request, set lettering, h float64, mid geom.Point, angle float64) (Label, bool) {
	if !pl.free(near.RectAt(mid, set.w, set.h, angle*math.Pi/180), r.Clear) {
		return Label{}, false
	}
	return put(r, set, h, mid, angle, Inside), true
}

// baselines returns the baseline angles to try, degrees in (-90, 90], upright
// first: along the longest edges, along the narrowest box, across them.
func baselines(outer geom.Path) []float64 {
	angles := []float64{0}
	add := func(a float64) {
		a = upright(a)
		if !slices.ContainsFunc(angles, func(b float64) bool { return math.Abs(upright(a-b)) < 0.5 }) {
			angles = append(angles, a)
		}
	}
	// Straight edges, gathered by direction.
	type dir struct{ a, length float64 }
	var dirs []dir
	for i := range outer {
		if e := outer[i]; e.R == 0 {
			d := e.B.Sub(e.A)
			a := upright(d.Angle() * 180 / math.Pi)
			k := slices.IndexFunc(dirs, func(x dir) bool { return math.Abs(upright(x.a-a)) < 0.05 })
			if k < 0 && len(dirs) < 64 {
				dirs = append(dirs, dir{a, d.Norm()})
			} else if k >= 0 {
				dirs[k].length += d.Norm()
			}
		}
	}
	slices.SortStableFunc(dirs, func(x, y dir) int {
		switch {
		case x.length > y.length*(1+1e-6):
			return -1
		case y.length > x.length*(1+1e-6):
			return 1
		case math.Abs(x.a) < math.Abs(y.a)-1e-6:
			return -1
		case math.Abs(y.a) < math.Abs(x.a)-1e-6:
			return 1
		}
		return 0
	})
	for _, d := range dirs[:min(2, len(dirs))] {
		if d.length > 0.15*outer.Length() { // else a chance edge of a round shape
			add(tidy(d.a))
		}
	}
	if a, ratio := narrowest(outer); ratio < 0.85 {
		add(a)
	}
	for _, a := range slices.Clone(angles) {
		add(a + 90)
	}
	return angles
}

// upright brings an angle in degrees into (-90, 90], so that text reads from
// below or from the right.
func upright(a float64) float64 {
	a = math.Mod(a, 180)
	if a > 90+1e-9 {
		a -= 180
	} else if a <= -90+1e-9 {
		a += 180
	}
	return a
}

// tidy rounds an angle to thousandths of a degree.
func tidy(a float64) float64 { return math.Round(a*1000) / 1000 }

// narrowest returns the direction, in degrees, of the long side of the
// narrowest box around a path, to within half a degree, and how wide it is
// against the widest.
func narrowest(path geom.Path) (angle, ratio float64) {
	pts := path.Flatten(max(path.Box().Diagonal()/200, 1e-9))
	if len(pts) > 512 {
		n := len(pts)
		for i := range 512 {
			pts[i] = pts[i*n/512]
		}
		pts = pts[:512]
	}
	best, widest, at := math.Inf(1), 1e-9, 0.0
	for k := range 360 {
		a := float64(k) / 2
		s, c := math.Sincos(a * math.Pi / 180)
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, p := range pts {
			h := p.Y*c - p.X*s
			lo, hi = min(lo, h), max(hi, h)
		}
		if hi-lo < best-1e-6 {
			best, at = hi-lo, a
		}
		widest = max(widest, hi-lo)
	}
	return at, best / widest
}
