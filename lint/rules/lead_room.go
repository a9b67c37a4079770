package rules

import (
	"sluice/geom"
	"sluice/geom/outline"
	"sluice/lint/cutting/paths"
)

// roomy finds out cheaply, for outlines with few neighbours, that there is room
// for a lead. It errs on the side of not knowing.
type roomy struct {
	sheet  *outline.Sheet
	params paths.Params
	kids   [][]int32 // by outline: those directly within it
}

// fewPieces is how many pieces the neighbours may have for roomy to look at them
// one by one.
const fewPieces = 64

func newRoomy(s *outline.Sheet, p paths.Params) *roomy {
	r := &roomy{sheet: s, params: p, kids: make([][]int32, len(s.Outlines))}
	for i := range s.Outlines {
		if q := s.Outlines[i].Parent; q >= 0 {
			r.kids[q] = append(r.kids[q], int32(i))
		}
	}
	return r
}

// has reports whether a straight lead, square to the outline at one of a few
// places, is known to be clear of everything.
func (r *roomy) has(i int) bool {
	o := &r.sheet.Outlines[i]
	var others []int32
	switch {
	case o.Hole():
		others = r.kids[i]
	case o.Parent >= 0:
		others = append(others, o.Parent)
		for _, k := range r.kids[o.Parent] {
			if k != int32(i) {
				others = append(others, k)
			}
		}
	default:
		return false // beside any other part of the sheet
	}
	n := len(o.Pieces)
	for _, k := range others {
		n += len(r.sheet.Outlines[k].Pieces)
	}
	if n > fewPieces {
		return false
	}
	for k := range 4 {
		if r.clearAt(o, others, k*len(o.Pieces)/4, float64(2*k+1)/8) {
			return true
		}
	}
	return false
}

func (r *roomy) clearAt(o *outline.Outline, others []int32, piece int, share float64) bool {
	p := &o.Pieces[piece]
	kerf, lead := r.params.Kerf, max(r.params.Lead, 2*r.params.Kerf)
	foot := p.At(share)
	// Material lies to the left of travel.
	out := p.TangentAt(share).Left().Mul(-1)
	tip, mid := foot.Add(out.Mul(lead)), foot.Add(out.Mul(lead/2))
	line := geom.Line(mid, tip)
	var found []geom.Cross
	for k := range o.Pieces {
		q := &o.Pieces[k]
		if q.Dist(tip) < kerf || q.Dist(mid) < min(kerf, lead/2)-1e-9 {
			return false
		}
		if found = geom.Crossings(found[:0], &line, q, 0); len(found) > 0 {
			return false
		}
	}
	// The whole lead lies within half its length of its middle.
	need := lead/2 + 1.5*kerf + r.params.Margin - 1e-9
	for _, k := range others {
		if d, _ := r.sheet.Outlines[k].Pieces.Dist(mid); d < need {
			return false
		}
	}
	return true
}
