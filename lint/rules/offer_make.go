package rules

import (
	"fmt"

	"sluice/fix"
	"sluice/fix/fit"
	"sluice/fix/layout"
	"sluice/fix/repair"
	"sluice/geom"
	"sluice/lint"
	"sluice/lint/kit"
)

// maker offers to add plates that joints without a mate ask for, and to close those
// joints. Room for the plates is looked for when the first is asked for.
type maker struct {
	p      *lint.Pass
	plates []plate
	whole  map[int]int   // by joint without a mate (index in Kit.Unmatched): the plate that meets it and others
	aside  *layout.Aside // of the sheet with all plates, which lie far off
	free   float64       // how far to the right of all else is taken, mm
}

type plate struct {
	kit.Plate
	meets []int      // numbers of the parts whose joints it meets, where they are several joints
	far   geom.Point // where it lies in aside until it is placed
	at    geom.Point // where it is placed
	on    string     // and what is to be said of that
	put   bool
}

// leastBody is the least height of a plate behind its tab, mm: to hold it by.
const leastBody = 20

func (m *maker) room() kit.Room {
	return kit.Room{Web: m.p.Job.WebLimit(), Body: max(leastBody, 4*m.p.Job.Sheet.Thickness)}
}

// offer offers what can be done about unmatched joint n of a kit.
func (m *maker) offer(f *lint.Finding, k *kit.Kit, n int) {
	p, u := m.p, &k.Unmatched[n]
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
	if m.whole == nil {
		m.wholes(k)
	}
	s := k.Shown(u)
	if i, ok := m.whole[n]; ok {
		pl := &m.plates[i]
		what := fmt.Sprintf("that meets parts %s, with %s", numberNames(p, pl.meets), pl.With)
		m.offerPlate(f, i, s, "add the missing plate of %s x %s mm "+what, "a plate of %s x %s mm "+what+" added%s")
		f.Choices[len(f.Choices)-1].Act = fmt.Sprintf("make|%d", i)
	} else {
		made, ok := k.Mate(u, m.room())
		if !ok {
			return
		}
		m.plates = append(m.plates, plate{Plate: made})
		m.offerPlate(f, len(m.plates)-1, s, "add a plate of %s x %s mm that meets it, with "+made.With,
			"a plate of %s x %s mm with "+made.With+" added for part "+p.PartName(s.Part)+"%s")
	}
	if t, _, ok := kit.TargetOf(p.Job); ok && t.Judge(k.Thicknesses[0].Width) != fit.Fits {
		f.Choices[len(f.Choices)-1].Brings = fmt.Sprintf("it is drawn for %s mm as the kit is, not for the sheet", mm(k.Thicknesses[0].Width))
	}
}

// offerPlate offers to add plate i for a joint. What is said of it, before and after, takes
// how wide and high it is, and the latter what is to be said of its place.
func (m *maker) offerPlate(f *lint.Finding, i int, s *kit.Joint, words, note string) {
	p, made := m.p, &m.plates[i].Plate
	wide, high := mm(made.W), mm(made.H)
	outer, holes := made.Outer, made.Holes
	f.OfferLater("make", fmt.Sprintf(words, wide, high), 0, func() []fix.Fix {
		at, on := m.place(i, f.At)
		paths := append([]geom.Path{outer}, holes...)
		for n := range paths {
			paths[n] = paths[n].Transform(geom.Shift(at))
		}
		like := int32(-1)
		if o := &p.Sheet.Outlines[s.Outline]; s.Piece >= 0 && int(s.Piece) < len(o.Src) {
			like = o.Src[s.Piece]
		}
		e := repair.AddPlate(p.Drawing, paths, like, f.At)
		e.Note = fmt.Sprintf(note, wide, high, on)
		return lint.OneFix(fix.Choice, e)
	})
}

// place returns where the lower left corner of a plate goes: the nearest free place to
// its joint, else beside all else.
func (m *maker) place(i int, near geom.Point) (at geom.Point, on string) {
	if pl := &m.plates[i]; !pl.put {
		pl.at, pl.on = m.find(i, near)
		pl.put = true
	}
	return m.plates[i].at, m.plates[i].on
}

func (m *maker) find(i int, near geom.Point) (at geom.Point, on string) {
	s := m.p.Sheet
	all := s.PartsBox()
	gap := m.p.Job.MovedSpacing()
	if m.aside == nil && m.free == 0 {
		with := s
		x := all.Max.X + 10*all.Diagonal() + 1000
		for n := range m.plates {
			pl := &m.plates[n]
			pl.far = geom.Pt(x, all.Min.Y)
			x += pl.W + 10*gap
			with = withPlate(with, &pl.Plate, pl.far)
		}
		m.aside = lint.AsideIn(with, m.p.Job)
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
