package compare

import (
	"context"
	"slices"
	"strings"

	"sluice/fix/diff"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/outline"
	"sluice/lint"
)

// leftApart is what is not compared of one side.
type leftApart struct {
	hidden []diff.Apart // layers hidden here, with what the other side draws on them
	noted  []diff.Apart // what the other side has set aside as notes
	off    map[int32]bool
}

// comparable returns the two drawings less what only one of them shows: what the
// one draws on layers that are hidden in the other, and what the other has set
// aside on its layer for notes. A drawing from which something is taken is judged
// anew, so that a border set aside no longer turns its parts into holes.
func comparable(before, after *lint.Result, tol float64) (a, b *lint.Result, apart [2]leftApart) {
	sides := [2]*lint.Result{before, after}
	if before.Drawing == nil || after.Drawing == nil {
		return before, after, apart
	}
	for k := range sides {
		apart[k].off = map[int32]bool{}
	}
	for k := range sides {
		apart[k].hidden = hiddenApart(sides[k], sides[1-k], apart[1-k].off)
		apart[k].noted = notedApart(sides[k], sides[1-k], tol, apart[k].off)
	}
	return without(before, apart[0].off), without(after, apart[1].off), apart
}

// hiddenLayers returns the layers of a drawing on which content is hidden, and
// why.
func hiddenLayers(d *drawing.Drawing) (names []string, why map[string]string, count map[string]int) {
	why, count = map[string]string{}, map[string]int{}
	for i := range d.Notices {
		n := &d.Notices[i]
		if n.Kind != drawing.Hidden || n.Layer < 0 || int(n.Layer) >= len(d.Layers) {
			continue
		}
		l := &d.Layers[n.Layer]
		key := strings.ToLower(l.Name)
		switch {
		case l.Frozen:
			why[key] = "frozen"
		case l.Off:
			why[key] = "off"
		default:
			continue
		}
		if count[key]++; count[key] == 1 {
			names = append(names, l.Name)
		}
	}
	slices.Sort(names)
	return names, why, count
}

// hiddenApart lists the layers hidden in r and not in other, and marks the strokes
// that other draws on them.
func hiddenApart(r, other *lint.Result, off map[int32]bool) []diff.Apart {
	names, why, count := hiddenLayers(r.Drawing)
	_, also, _ := hiddenLayers(other.Drawing)
	var out []diff.Apart
	for _, n := range names {
		key := strings.ToLower(n)
		if also[key] != "" {
			continue
		}
		h := diff.Apart{Layer: n, Why: why[key], Entities: count[key], Box: geom.NoBox()}
		on := func(src int32) bool {
			return src >= 0 && strings.EqualFold(other.Drawing.LayerName(other.Drawing.Strokes[src].Layer), n)
		}
		for _, p := range pathsOf(other.Sheet) {
			if slices.ContainsFunc(p.Src, on) {
				h.Paths++
				h.Box = h.Box.Union(p.Pieces.Box())
				h.Drawn = append(h.Drawn, p.Pieces)
			}
		}
		for i := range other.Drawing.Strokes {
			if on(int32(i)) {
				off[int32(i)] = true
			}
		}
		out = append(out, h)
	}
	return out
}

// pathsOf lists all that a sheet draws.
func pathsOf(s *outline.Sheet) []*outline.Path {
	var out []*outline.Path
	for i := range s.Outlines {
		out = append(out, &s.Outlines[i].Path)
	}
	for i := range s.Open {
		out = append(out, &s.Open[i].Path)
	}
	for i := range s.Etch {
		out = append(out, &s.Etch[i].Path)
	}
	for i := range s.Aside {
		out = append(out, &s.Aside[i].Path)
	}
	return out
}

// notedApart lists, by layer, what r draws and other, a drawing of this program's
// making, has set aside on its layer for notes. It marks the strokes.
func notedApart(r, other *lint.Result, tol float64, off map[int32]bool) []diff.Apart {
	role, own := lint.Roles(other.Drawing, other.Job)
	if _, mine := lint.Roles(r.Drawing, r.Job); !own || mine {
		return nil
	}
	var notes []geom.Piece
	for i := range other.Drawing.Strokes {
		s := &other.Drawing.Strokes[i]
		if role(s) == outline.Noted && other.Drawing.LayerName(s.Layer) == lint.LayerNote {
			notes = append(notes, s.Piece)
		}
	}
	list := pathsOf(r.Sheet)
	var paths []geom.Path
	for _, p := range list {
		var drawn geom.Path // less bridges, which nothing draws
		for k := range p.Pieces {
			if p.Src[k] >= 0 {
				drawn = append(drawn, p.Pieces[k])
			}
		}
		paths = append(paths, drawn)
	}
	at := map[string]int{}
	var out []diff.Apart
	for i, covered := range diff.Covered(paths, notes, tol) {
		if !covered {
			continue
		}
		layer := ""
		for _, src := range list[i].Src {
			if src >= 0 {
				off[src] = true
				layer = r.Drawing.LayerName(r.Drawing.Strokes[src].Layer)
			}
		}
		k, ok := at[layer]
		if !ok {
			k = len(out)
			at[layer] = k
			out = append(out, diff.Apart{Layer: layer, Box: geom.NoBox()})
		}
		out[k].Paths++
		out[k].Box = out[k].Box.Union(paths[i].Box())
		out[k].Drawn = append(out[k].Drawn, list[i].Pieces)
	}
	slices.SortFunc(out, func(x, y diff.Apart) int { return strings.Compare(x.Layer, y.Layer) })
	return out
}

// without judges a drawing anew with some strokes set aside. Parts keep the names
// they had.
func without(r *lint.Result, off map[int32]bool) *lint.Result {
	if len(off) == 0 {
		return r
	}
	d := *r.Drawing
	d.Strokes = slices.Clone(d.Strokes)
	for i := range off {
		d.Strokes[i].As = drawing.AsNote
	}
	out, err := lint.Judge(context.Background(), r.Path, &d, r.Job, lint.Options{})
	if err != nil {
		return r // compared as it is: nothing is hidden by that
	}
	names := map[int32]string{}
	for k := range r.Sheet.Parts {
		for _, src := range r.Sheet.Outlines[r.Sheet.Parts[k].Outer].Src {
			if src >= 0 {
				names[src] = r.Name(k)
			}
		}
	}
	old := make([]string, len(out.Sheet.Parts))
	for k := range out.Sheet.Parts {
		known := false
		for _, src := range out.Sheet.Outlines[out.Sheet.Parts[k].Outer].Src {
			if n, ok := names[src]; ok {
				old[k], known = n, true
				break
			}
		}
		if !known {
			return out
		}
	}
	out.Names = old
	return out
}
