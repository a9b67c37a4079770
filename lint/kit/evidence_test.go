package kit_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom"
	"sluice/geom/geomtest"
	"sluice/lint/kit"
)

// opened are ways to draw an inside corner at p between the directions u in and v
// out, with a relief of size s into the material (left of the path).
var opened = map[string]func(p, u, v geom.Point, s float64) geom.Path{
	"sharp": func(p, u, v geom.Point, s float64) geom.Path { return nil },
	"notch before": func(p, u, v geom.Point, s float64) geom.Path {
		return through(p.Sub(u.Mul(s)), p.Sub(u.Mul(s)).Sub(v.Mul(s)), p.Sub(v.Mul(s)))
	},
	"notch after": func(p, u, v geom.Point, s float64) geom.Path {
		return through(p.Add(u.Mul(s)), p.Add(u.Mul(s)).Add(v.Mul(s)), p.Add(v.Mul(s)))
	},
	"square": func(p, u, v geom.Point, s float64) geom.Path {
		a, b := u.Mul(s), v.Mul(s)
		return through(p.Sub(a), p.Sub(a).Sub(b), p.Add(a).Sub(b), p.Add(a).Add(b), p.Add(b))
	},
	"slit": func(p, u, v geom.Point, s float64) geom.Path {
		d := u.Sub(v).Unit().Mul(s)
		return through(p.Sub(u.Mul(s)), p.Sub(u.Mul(s)).Add(d), p.Add(v.Mul(s)).Add(d), p.Add(v.Mul(s)))
	},
	"circle": func(p, u, v geom.Point, s float64) geom.Path {
		q := geom.ThroughPoint(p.Sub(u.Mul(s)), p.Add(u.Sub(v).Unit().Mul(s)), p.Add(v.Mul(s)))
		return geom.Path{q}
	},
	"lines of a circle": func(p, u, v geom.Point, s float64) geom.Path {
		q := geom.ThroughPoint(p.Sub(u.Mul(s)), p.Add(u.Sub(v).Unit().Mul(s)), p.Add(v.Mul(s)))
		var ps []geom.Point
		for i := range 13 {
			ps = append(ps, q.At(float64(i)/12))
		}
		return through(ps...)
	},
	"half circle": func(p, u, v geom.Point, s float64) geom.Path {
		return geom.Path{geom.Bulge(p.Sub(u.Mul(2*s)), p, -1).Reverse().Reverse()}
	},
}

func through(ps ...geom.Point) geom.Path {
	var path geom.Path
	for i := 1; i < len(ps); i++ {
		path = append(path, geom.Line(ps[i-1], ps[i]))
	}
	return path
}

// ring is a closed path through corners, the inside ones drawn by open.
func ring(ps []geom.Point, s float64, open func(p, u, v geom.Point, s float64) geom.Path) geom.Path {
	n := len(ps)
	var ends [][2]geom.Point
	var cs []geom.Path
	for i, p := range ps {
		u, v := p.Sub(ps[(i+n-1)%n]).Unit(), ps[(i+1)%n].Sub(p).Unit()
		var c geom.Path
		if u.Cross(v) < 0 {
			c = open(p, u, v, s)
		}
		cs = append(cs, c)
		if len(c) > 0 {
			ends = append(ends, [2]geom.Point{c[0].A, c[len(c)-1].B})
		} else {
			ends = append(ends, [2]geom.Point{p, p})
		}
	}
	var path geom.Path
	for i := range ps {
		path = append(path, cs[i]...)
		path = append(path, geom.Line(ends[i][1], ends[(i+1)%n][0]))
	}
	return path
}

// pairing is a deck with slots and a plate with tabs for them.
type pairing struct {
	slots, tabs   int
	slot, tab     float64 // lengths, mm
	width, depth  float64
	decks         int
	more          float64 // by which each further deck's slots are longer and wider
	relief        string
	reliefOf      float64
	withoutSlots  bool
	withoutTabs   bool
	lost          int // a tab that is not drawn, from 1
	pitch, height float64
}

func basic() pairing {
	return pairing{slots: 3, tabs: 3, slot: 18.15, tab: 18, width: 3.15, depth: 3, decks: 1, relief: "sharp", reliefOf: 0.4, pitch: 45, height: 60}
}

// drawn returns the parts, the middles of the slots and the ends of the tabs.
func (c pairing) parts() (k *geomtest.Kit, slots, tabs []geom.Point) {
	k = &geomtest.Kit{Name: "pairing"}
	open := opened[c.relief]
	long := c.pitch*float64(max(c.slots, c.tabs)) + 20
	x := func(i int) float64 { return 10 + c.pitch/2 + c.pitch*float64(i) }
	at := geom.Pt(0, 0)
	for d := range c.decks {
		p := geomtest.KitPart{Outer: ring([]geom.Point{at, at.Add(geom.Pt(long, 0)), at.Add(geom.Pt(long, c.height)), at.Add(geom.Pt(0, c.height))}, 0, open)}
		for i := range c.slots {
			if c.withoutSlots {
				break
			}
			m := at.Add(geom.Pt(x(i), c.height/2))
			l, w := (c.slot+float64(d)*c.more)/2, (c.width+float64(d)*c.more)/2
			p.Holes = append(p.Holes, ring([]geom.Point{m.Add(geom.Pt(-l, -w)), m.Add(geom.Pt(-l, w)), m.Add(geom.Pt(l, w)), m.Add(geom.Pt(l, -w))}, c.reliefOf, open))
			slots = append(slots, m)
		}
		k.Parts = append(k.Parts, p)
		at = at.Add(geom.Pt(0, c.height+30))
	}
	ps := []geom.Point{at, at.Add(geom.Pt(long, 0))}
	top := at.Y + 41
	ps = append(ps, geom.Pt(long, top))
	for i := c.tabs - 1; i >= 0 && !c.withoutTabs; i-- {
		if i+1 == c.lost {
			continue
		}
		h := c.tab / 2
		ps = append(ps, geom.Pt(x(i)+h, top), geom.Pt(x(i)+h, top+c.depth), geom.Pt(x(i)-h, top+c.depth), geom.Pt(x(i)-h, top))
		tabs = append(tabs, geom.Pt(x(i), top+c.depth))
	}
	ps = append(ps, geom.Pt(0, top))
	k.Parts = append(k.Parts, geomtest.KitPart{Outer: ring(ps, c.reliefOf, open)})
	return k, slots, tabs
}

// ways to lay a drawing.
var laid = map[string]geom.Transform{
	"as drawn": geom.Identity(),
	"turned":   geom.Turn(geom.Pt(7, 3), 0.6283).Then(geom.Shift(geom.Pt(1200, -340))),
	"mirrored": geom.MirrorX(40).Then(geom.Turn(geom.Point{}, 2.1)),
}

// find looks for joints in a drawing laid in some way, its straight pieces split,
// and returns what is told, by place.
func find(t *testing.T, k *geomtest.Kit, tr geom.Transform, o kit.Options) (*kit.Kit, []geom.Point) {
	t.Helper()
	moved := &geomtest.Kit{Name: k.Name}
	rng := rand.New(rand.NewPCG(5, 5))
	split := func(p geom.Path) geom.Path {
		var out geom.Path
		for _, q := range p.Transform(tr) {
			if q.IsLine() && q.Length() > 5 && rng.IntN(3) == 0 {
				m := q.At(0.4)
				out = append(out, geom.Line(q.A, m), geom.Line(m, q.B))
				continue
			}
			out = append(out, q)
		}
		return out
	}
	for _, p := range k.Parts {
		q := geomtest.KitPart{Outer: split(p.Outer)}
		for _, h := range p.Holes {
			q.Holes = append(q.Holes, split(h))
		}
		moved.Parts = append(moved.Parts, q)
	}
	got := kit.Find(sheetOf(t, moved, rng), o)
	var at []geom.Point
	for _, u := range got.Unmatched {
		at = append(at, u.At)
	}
	return got, at
}

func both(c pairing, slots, tabs []geom.Point) []geom.Point {
	return append(slices.Clone(slots), tabs...)
}
func none(pairing, []geom.Point, []geom.Point) []geom.Point { return nil }

// What is told of a deck and a plate, however they lie and whatever their inside
// corners are like.
func TestPairings(t *testing.T) {
	onlySlots := func(c pairing, slots, tabs []geom.Point) []geom.Point { return slots }
	onlyTabs := func(c pairing, slots, tabs []geom.Point) []geom.Point { return tabs }
	cases := map[string]struct {
		with func(*pairing)
		want func(c pairing, slots, tabs []geom.Point) []geom.Point
	}{
		"sound":                    {func(c *pairing) {}, none},
		"no play":                  {func(c *pairing) { c.slot, c.width = 18, 3 }, none},
		"half a millimetre":        {func(c *pairing) { c.slot, c.width = 18.5, 3.5 }, none},
		"tabs 2 too long":          {func(c *pairing) { c.tab = 20 }, both},
		"tabs 2 too long, no play": {func(c *pairing) { c.tab, c.slot, c.width = 20, 18, 3 }, both},
		"tabs 2 too long, wide":    {func(c *pairing) { c.tab, c.slot, c.width = 20.3, 18.3, 3.5 }, both},
		"tabs 3 too short":         {func(c *pairing) { c.tab = 15 }, both},
		"one of each, 2 too long":  {func(c *pairing) { c.slots, c.tabs, c.tab = 1, 1, 20 }, both},
		"slots alone":              {func(c *pairing) { c.withoutTabs = true }, onlySlots},
		"tabs alone":               {func(c *pairing) { c.withoutSlots = true; c.slots, c.tabs = 4, 4 }, onlyTabs},
		"two decks":                {func(c *pairing) { c.decks, c.depth = 2, 6 }, none},
		"two decks, short tabs":    {func(c *pairing) { c.decks, c.depth = 2, 5.8 }, none},
		"three decks":              {func(c *pairing) { c.decks, c.depth = 3, 9 }, none},
		"four decks, tight":        {func(c *pairing) { c.decks, c.depth, c.width = 4, 12, 3 }, none},
		"three decks, not alike":   {func(c *pairing) { c.decks, c.depth, c.more = 3, 9, 0.2 }, none},
		"two decks, 0.5 more":      {func(c *pairing) { c.decks, c.depth, c.more = 2, 6, 0.5 }, none},
		"one of two decks served":  {func(c *pairing) { c.decks, c.slots, c.tabs = 2, 3, 3 }, nil},
		"one of five tabs wanting": {func(c *pairing) { c.slots, c.tabs, c.lost = 5, 5, 3 }, func(c pairing, slots, tabs []geom.Point) []geom.Point {
			return slots[2:3]
		}},
		"one of three tabs wanting": {func(c *pairing) { c.lost = 2 }, func(c pairing, slots, tabs []geom.Point) []geom.Point {
			return slots[1:2]
		}},
		"two layers, tabs 2 too long": {func(c *pairing) { c.decks, c.depth, c.tab = 2, 6, 20 }, both},
	}
	for name, tc := range cases {
		for relief := range opened {
			c := basic()
			c.relief = relief
			tc.with(&c)
			k, slots, tabs := c.parts()
			for way, tr := range laid {
				got, at := find(t, k, tr, kit.DefaultOptions())
				if tc.want == nil {
					continue
				}
				if diff := differ(tc.want(c, slots, tabs), at, tr); diff != "" {
					t.Errorf("%s, %s, %s: thickness %v, %d joints, %d pairs: told (+)\n%s", name, relief, way, got.Thicknesses, len(got.Joints), len(got.Pairs), diff)
				}
			}
		}
	}
}

// differ compares places, in no order, to a tenth of a millimetre.
func differ(want, got []geom.Point, tr geom.Transform) string {
	f := func(ps []geom.Point, tr geom.Transform) (out []string) {
		for _, p := range ps {
			p = tr.Apply(p)
			out = append(out, fmt.Sprintf("%.1f %.1f", p.X+1e-6, p.Y+1e-6))
		}
		slices.Sort(out)
		return out
	}
	return cmp.Diff(f(want, tr), f(got, geom.Identity()))
}

// fingered is a panel w wide and h high with n fingers along its top edge, every
// other of n + 1 stretches going out by depth, the first one if out.
func fingered(at geom.Point, w, h, depth float64, n int, out bool) geom.Path {
	ps := []geom.Point{at, at.Add(geom.Pt(w, 0))}
	step := w / float64(n)
	for i := n - 1; i >= 0; i-- {
		y := h
		if (i%2 == 0) == out {
			y += depth
		}
		ps = append(ps, at.Add(geom.Pt(step*float64(i+1), y)), at.Add(geom.Pt(step*float64(i), y)))
	}
	return ring(ps, 0, opened["sharp"])
}

// Finger edges that nothing fits are told, one finding each; those that fit, and a
// comb that stands alone, are not.
func TestFingerEdgesAlone(t *testing.T) {
	for name, c := range map[string]struct {
		parts []geom.Path
		want  int
	}{
		"fit":         {[]geom.Path{fingered(geom.Pt(0, 0), 90, 50, 3, 9, true), fingered(geom.Pt(0, 100), 90, 70, 3, 9, false)}, 0},
		"fit nothing": {[]geom.Path{fingered(geom.Pt(0, 0), 90, 50, 3, 9, true), fingered(geom.Pt(0, 100), 90, 70, 3, 8, false)}, 2},
		"one comb":    {[]geom.Path{fingered(geom.Pt(0, 0), 90, 50, 3, 9, true), ring([]geom.Point{{X: 0, Y: 100}, {X: 80, Y: 100}, {X: 80, Y: 150}, {X: 0, Y: 150}}, 0, opened["sharp"])}, 0},
		"fine teeth":  {[]geom.Path{fingered(geom.Pt(0, 0), 90, 50, 3, 31, true), fingered(geom.Pt(0, 100), 90, 70, 3, 29, true)}, 0},
	} {
		k := &geomtest.Kit{Name: name}
		for _, p := range c.parts {
			k.Parts = append(k.Parts, geomtest.KitPart{Outer: p})
		}
		for way, tr := range laid {
			if got, at := find(t, k, tr, kit.DefaultOptions()); len(at) != c.want {
				t.Errorf("%s, %s: %d told, want %d: %v, %d pairs", name, way, len(at), c.want, got.Thicknesses, len(got.Pairs))
			}
		}
	}
}

// Drawings that are no kit give nothing, with and without a sheet stated.
func TestNoKit(t *testing.T) {
	rect := func(x, y, w, h float64) geom.Path {
		return ring([]geom.Point{{X: x, Y: y}, {X: x + w, Y: y}, {X: x + w, Y: y + h}, {X: x, Y: y + h}}, 0, opened["sharp"])
	}
	hole := func(x, y, w, h float64) geom.Path { return rect(x-w/2, y-h/2, w, h).Reverse() }
	obround := func(x, y, w, h float64) geom.Path {
		a, r := w/2-h/2, h/2
		return geom.Path{geom.Line(geom.Pt(x-a, y-r), geom.Pt(x+a, y-r)), geom.Bulge(geom.Pt(x+a, y-r), geom.Pt(x+a, y+r), 1),
			geom.Line(geom.Pt(x+a, y+r), geom.Pt(x-a, y+r)), geom.Bulge(geom.Pt(x-a, y+r), geom.Pt(x-a, y-r), 1)}.Reverse()
	}
	row := func(n int, f func(i int) geom.Path) (ps []geom.Path) {
		for i := range n {
			ps = append(ps, f(i))
		}
		return ps
	}
	plate := rect(0, 0, 200, 80)
	other := rect(0, 120, 150, 60)
	for name, holes := range map[string][]geom.Path{
		"slotted holes for screws": row(4, func(i int) geom.Path { return obround(30+45*float64(i), 40, 12, 3.2) }),
		"vents side by side":       row(8, func(i int) geom.Path { return hole(40+9*float64(i), 40, 3, 30) }),
		"vents in two rows": append(row(8, func(i int) geom.Path { return hole(40+9*float64(i), 60, 3, 25) }),
			row(8, func(i int) geom.Path { return hole(40+9*float64(i), 20, 3, 25) })...),
		"a line to bend along": row(12, func(i int) geom.Path { return hole(15+15*float64(i), 40, 12, 1) }),
		"one window":           {hole(60, 40, 20, 3)},
		"two strap slots":      {hole(60, 40, 3, 25), hole(75, 40, 3, 25)},
		"windows":              row(4, func(i int) geom.Path { return hole(30+45*float64(i), 40, 30, 18) }),
	} {
		k := &geomtest.Kit{Name: name, Parts: []geomtest.KitPart{{Outer: plate, Holes: holes}, {Outer: other}}}
		alone := &geomtest.Kit{Name: name, Parts: k.Parts[:1]}
		for way, tr := range laid {
			for _, sheet := range []float64{0, 3} {
				o := kit.DefaultOptions()
				o.Sheet, o.Stock = sheet, []float64{1, 1.5, 2, 3, 4, 5, 6, 8, 10}
				for _, k := range []*geomtest.Kit{k, alone} {
					if got, at := find(t, k, tr, o); len(at) > 0 {
						t.Errorf("%s, %s, %d parts, sheet %g: %d told: %v", name, way, len(k.Parts), sheet, len(at), got.Thicknesses)
					}
				}
			}
		}
	}
	// One part with slots in a row: its mates are in other drawings.
	c := basic()
	c.withoutTabs = true
	k, _, _ := c.parts()
	k.Parts = k.Parts[:1]
	if _, at := find(t, k, geom.Identity(), kit.DefaultOptions()); len(at) > 0 {
		t.Errorf("a part that stands alone: %d told", len(at))
	}
}
