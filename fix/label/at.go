package label

import (
	"sluice/geom"
	"sluice/geom/near"
)

// At puts a text with its middle where a person wants it: on the part, or beside it with
// a pointer. Of the heights and angles that Place tries, upright and full height first,
// the first is taken at which it is clear of all cuts, marks and other labels. refused
// says why there is none. It does not Take the place.
func (pl *Placer) At(part int, r Request, mid geom.Point) (l Label, refused string) {
	r = pl.settle(r)
	box := pl.sheet.Parts[part].Box
	if r.Text == "" || !(r.Height > 0) || !mid.Finite() || box.Empty() || !box.Finite() {
		return Label{}, "nothing can be lettered there"
	}
	on := pl.sheet.PartAt(mid)
	if on >= 0 && on != part {
		return Label{}, "another part lies there"
	}
	outer := pl.sheet.Outlines[pl.sheet.Parts[part].Outer].Pieces
	if on < 0 {
		return pl.besideAt(part, r, mid)
	}
	for _, h := range r.heights() {
		set := letter(r.Text, h, r.Mirror)
		for _, a := range baselines(outer) {
			if l, ok := pl.accept(r, set, h, mid, a); ok {
				return l, ""
			}
		}
	}
	return Label{}, "a cut, a mark or another number is too near, even for the smallest letters"
}

// besideAt puts a text in the waste with a pointer to the part.
func (pl *Placer) besideAt(part int, r Request, mid geom.Point) (Label, string) {
	ways := pl.open(pl.ways(part), r.Clear)
	for _, h := range r.heights() {
		set := letter(r.Text, h, r.Mirror)
		for _, a := range besideAngles {
			rect := near.RectAt(mid, set.w, set.h, 0)
			for _, w := range nearest(ways, rect, 8) {
				if l, ok := pl.try(r, set, h, a, mid, w); ok {
					return l, ""
				}
			}
		}
	}
	if pl.sheet.Parts[part].Box.Inflate(10*r.Height).Dist(geom.BoxOf(mid)) > 0 {
		return Label{}, "it is too far from the part"
	}
	return Label{}, "there is no room for it, with a line that points to the part"
}
