package fit

import (
	"errors"
	"math"

	"sluice/fix"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/outline"
)

// Errors of Redraw.
var (
	ErrGap    = errors.New("the outline has a gap; close it first")
	ErrShared = errors.New("the outline shares a stroke with another, or uses a part of one")
)

// Uses counts the outlines in which each stroke occurs and how much of its
// length they use.
type Uses struct {
	outlines map[int32]int32 // the outline, -2 for several
	length   map[int32]float64
}

// UsesOf returns the uses of the strokes of a sheet.
func UsesOf(s *outline.Sheet) *Uses {
	u := &Uses{map[int32]int32{}, map[int32]float64{}}
	for i := range s.Outlines {
		o := &s.Outlines[i]
		for k, src := range o.Src {
			if at, ok := u.outlines[src]; ok && at != int32(i) {
				u.outlines[src] = -2
			} else {
				u.outlines[src] = int32(i)
			}
			u.length[src] += o.Pieces[k].Length()
		}
	}
	return u
}

// Alone reports whether a stroke draws one outline and no other.
func (u *Uses) Alone(stroke int32) bool { return u.outlines[stroke] >= 0 }

// Redraw returns the changes that put path in the place of an outline. src gives
// the piece of the outline from which each piece of path takes its layer and
// entity.
func Redraw(d *drawing.Drawing, o *outline.Outline, path geom.Path, src []int, u *Uses) ([]fix.Op, error) {
	var with []drawing.Stroke
	for i, p := range path {
		k := o.Src[src[i]]
		if k < 0 {
			return nil, ErrGap
		}
		s := d.Strokes[k]
		s.Piece, s.Made = p, drawing.Edited
		with = append(with, s)
	}
	var ops []fix.Op
	seen := map[int32]bool{}
	for _, k := range o.Src {
		if k < 0 {
			return nil, ErrGap
		}
		if seen[k] {
			continue
		}
		seen[k] = true
		if u.outlines[k] == -2 || math.Abs(u.length[k]-d.Strokes[k].Length()) > 0.02 {
			return nil, ErrShared
		}
		if len(ops) == 0 {
			ops = append(ops, fix.Op{Kind: fix.Replace, Stroke: k, With: with})
			continue
		}
		ops = append(ops, fix.Op{Kind: fix.Drop, Stroke: k})
	}
	return ops, nil
}
