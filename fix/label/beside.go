package label

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/near"
)

// Lengths of a pointer tried straight out from the outline, as shares of the
// height.
var pointerLengths = [...]float64{0.5, 1, 2}

// besideAngles are the baseline angles tried beside a part, degrees.
var besideAngles = [...]float64{0, 90}

// standOff is left between pointer and letters, as a share of the height.
const standOff = 0.3

// beside looks for a place in the waste around the part: first straight out from
// its outline, at all heights since a smaller number close by reads better than
// a large one far off, then anywhere near. The pointer runs from the text box
// to the clear distance from the part's outer outline; since it crosses
// nothing, the label lies on the same side of every cut as the strip just
// outside the part.
func (pl *Placer) beside(part int, r Request) (Label, bool) {
	ways := pl.open(pl.ways(part), r.Clear)
	if len(ways) == 0 {
		return Label{}, false
	}
	hs := r.heights()
	// What has no room for the smallest letters is not tried with larger ones.
	least := hs[len(hs)-1]
	small := letter(r.Text, least, r.Mirror)
	var roomy []way
	for _, w := range ways {
		if pl.roomy(r, small, least, w) {
			roomy = append(roomy, w)
		}
	}
	for _, h := range hs {
		set := letter(r.Text, h, r.Mirror)
		for _, angle := range besideAngles {
			for _, share := range pointerLengths {
				for _, w := range roomy {
					if l, ok := pl.straight(r, set, h, angle, share, w); ok {
						return l, true
					}
				}
			}
		}
	}
	for _, h := range [2]float64{r.Height, least} {
		if l, ok := pl.anywhere(part, r, h, ways); ok {
			return l, true
		}
	}
	return Label{}, false
}

// roomy reports whether any place straight out from the outline will do.
func (pl *Placer) roomy(r Request, set lettering, h float64, w way) bool {
	for _, angle := range besideAngles {
		for _, share := range pointerLengths {
			if _, ok := pl.straight(r, set, h, angle, share, w); ok {
				return true
			}
		}
	}
	return false
}

// straight tries the place straight out from the outline with a pointer of the
// given length, as a share of the height.
func (pl *Placer) straight(r Request, set lettering, h, angle, share float64, w way) (Label, bool) {
	c, s := math.Cos(angle*math.Pi/180), math.Sin(angle*math.Pi/180)
	half := math.Abs(w.out.X*c+w.out.Y*s)*set.w/2 + math.Abs(w.out.Y*c-w.out.X*s)*set.h/2
	off := r.Clear + max(share*h, 1) + standOff*h + half
	return pl.try(r, set, h, angle, w.at.Add(w.out.Mul(off)), w)
}

// anywhere tries places on a lattice around the part, the nearest first, with a
// pointer to any of the few nearest places of the outline.
func (pl *Placer) anywhere(part int, r Request, h float64, ways []way) (Label, bool) {
	set := letter(r.Text, h, r.Mirror)
	box := pl.sheet.Parts[part].Box
	around := box.Inflate(8*r.MinHeight + set.w/2)
	nx, ny := int(min(around.W()/(h/2), 80)), int(min(around.H()/(h/2), 80))
	type spot struct {
		at  geom.Point
		far float64
	}
	var spots []spot
	for i := range nx + 1 {
		for j := range ny + 1 {
			at := geom.Pt(around.Min.X+around.W()*float64(i)/float64(nx), around.Min.Y+around.H()*float64(j)/float64(ny))
			half := geom.Pt(set.w/2, set.h/2)
			far := box.Dist(geom.Box{Min: at.Sub(half), Max: at.Add(half)})
			spots = append(spots, spot{at, far})
		}
	}
	slices.SortStableFunc(spots, func(a, b spot) int { return cmp.Compare(a.far, b.far) })
	left := 400 // free places without a way to point from, before giving up
	for _, sp := range spots {
		rect := near.RectAt(sp.at, set.w, set.h, 0)
		if !pl.free(rect, r.Clear) {
			continue
		}
		for _, w := range nearest(ways, rect, 8) {
			if l, ok := pl.try(r, set, h, 0, sp.at, w); ok {
				return l, true
			}
		}
		if left--; left == 0 {
			break
		}
	}
	return Label{}, false
}

// try places a label about mid with a pointer to the place w of the outline.
func (pl *Placer) try(r Request, set lettering, h, angle float64, mid geom.Point, w way) (Label, bool) {
	rect := near.RectAt(mid, set.w, set.h, angle*math.Pi/180)
	if r.Within.W() > 0 && !r.Within.ContainsBox(rect.Box()) {
		return Label{}, false
	}
	end := w.end(r.Clear)
	foot := rect.Nearest(end)
	line := end.Sub(foot)
	// Long enough to be seen, and not along the outline.
	if line.Norm() < standOff*h+0.9 || line.Dot(w.out) > -0.3*line.Norm() {
		return Label{}, false
	}
	if !pl.free(near.Span(foot, end), r.Clear) || !pl.free(rect, r.Clear) {
		return Label{}, false
	}
	l := put(r, set, h, mid, angle, Beside)
	l.Pointer = geom.Path{geom.Line(foot.Add(line.Unit().Mul(standOff*h)), end)}
	l.Paths = append(l.Paths, l.Pointer)
	return l, true
}
