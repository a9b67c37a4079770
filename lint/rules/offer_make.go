package rules

import (
	"fmt"

	"sluice/fix"
	"sluice/fix/fit"
	"sluice/fix/layout"
	"sluice/fix/repair"
	"sluice/geom"
	"sluice/geom/outline"
	"sluice/lint"
	"sluice/lint/kit"
)

// maker offers to add plates that joints without a mate ask for, and to close those
// joints. Room for the plates is looked for when the first is asked for.
type maker struct {
	p      *lint.Pass
	plates []plate
	aside  *layout.Aside // of the sheet with all plates, which lie far off
	free   float64       // how far to the right of all else is taken, mm
}

type plate struct {
	kit.Plate
	joint kit.Joint
	far   geom.Point // where it lies in aside until it is placed
}

// leastBody is the least height of a plate behind its tab, mm: to hold it by.
const leastBody = 20

func (m *maker) room() kit.Room {
	return kit.Room{Web: m.p.Job.WebLimit(), Body: max(leastBody, 4*m.p.Job.Sheet.Thickness)}
}

// offer offers what can be done about an unmatched joint.
func (m *maker) offer(f *lint.Finding, k *kit.Kit, u *kit.Unmatched) {
	p := m.p
	if u.Joint >= 0 {
		j := &k.Joints[u.Joint]
		o := &p.Sheet.Outlines[j.Outline]
		switch j.Kind {
		case kit.Slot:
			offerOutline(p, f, "fill", "leave the slot out: the material stays whole there", o)
		case kit.Notch, kit.Gap:
			if mouth, ok := k.Mouth(j); ok {
				e := repair.FillNotch(p.Drawing, &o.Path, mouth.First, mouth.Count, mouth.A, mouth.B, u.At)
				e.Part, e.Entities = f.Part, f.Entities
				if len(e.Ops) > 0 {
					f.Offer("fill", fmt.Sprintf("close it: the edge runs straight on, by a line of %s mm", mm(mouth.A.Dist(mouth.B))), e)
				}
			}
		}
	}
	made, ok := k.Mate(u, m.room())
	if !ok {
		return
	}
	i := len(m.plates)
	s := k.Shown(u)
	m.plates = append(m.plates, plate{Plate: made, joint: *s})
	name := p.PartName(s.Part)
	f.OfferLater("make", fmt.Sprintf("add a plate of %s x %s mm that meets it, with %s", mm(made.W), mm(made.H), made.With), 0, func() []fix.Fix {
		at, on := m.place(i, f.At)
		paths := append([]geom.Path{made.Outer}, made.Holes...)
		for n := range paths {
			paths[n] = paths[n].Transform(geom.Shift(at))
		}
		like := int32(-1)
		if o := &p.Sheet.Outlines[s.Outline]; s.Piece >= 0 && int(s.Piece) < len(o.Src) {
			like = o.Src[s.Piece]
		}
		e := repair.AddPlate(p.Drawing, paths, like, f.At)
		e.Note = fmt.Sprintf("a plate of %s x %s mm with %s added for part %s%s", mm(made.W), mm(made.H), made.With, name, on)
		return lint.OneFix(fix.Choice, e)
	})
	if t, _, ok := kit.TargetOf(p.Job); ok && t.Judge(k.Thicknesses[0].Width) != fit.Fits {
		f.Choices[len(f.Choices)-1].Brings = fmt.Sprintf("it is drawn for %s mm as the kit is, not for the sheet", mm(k.Thicknesses[0].Width))
	}
}

// place returns where the lower left corner of a plate goes: the nearest free place to
// its joint, else beside all else.
func (m *maker) place(i int, near geom.Point) (at geom.Point, on string) {
	s := m.p.Sheet
	all := s.PartsBox()
	gap := m.p.Job.MovedSpacing()
	if m.aside == nil && m.free == 0 {
		with := *s
		with.Parts = s.Parts[:len(s.Parts):len(s.Parts)]
		with.Outlines = s.Outlines[:len(s.Outlines):len(s.Outlines)]
		x := all.Max.X + 10*all.Diagonal() + 1000
		for n := range m.plates {
			pl := &m.plates[n]
			pl.far = geom.Pt(x, all.Min.Y)
			x += pl.W + 10*gap
			outer := pl.Outer.Transform(geom.Shift(pl.far))
			o := outline.Outline{Path: outline.Path{Pieces: outer, Src: make([]int32, len(outer)), Flags: make([]outline.Flag, len(outer))},
				Box: outer.Box(), Parent: -1, Part: int32(len(with.Parts)), Closed: true, Length: outer.Length()}
			o.Area, o.Centroid = outer.Moments()
			with.Outlines = append(with.Outlines, o)
			with.Parts = append(with.Parts, outline.Part{Outer: int32(len(with.Outlines) - 1), Box: o.Box, Area: o.Area, Centroid: o.Centroid})
		}
		m.aside = lint.AsideIn(&with, m.p.Job)
		m.free = gap
	}
	pl := &m.plates[i]
	if m.aside != nil {
		k := len(s.Parts) + i
		want := near.Sub(geom.Pt(pl.W/2, pl.H/2)).Sub(pl.far)
		m.aside.Start(k, want)
		if by, ok := m.aside.Shift(k); ok {
			return pl.far.Add(want).Add(by), ""
		}
		m.aside.Back(k)
	}
	at = geom.Pt(all.Max.X+m.free, all.Min.Y)
	m.free += pl.W + gap
	return at, ", beside all else, since there is no free place"
}
