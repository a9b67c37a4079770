package diff

import (
	"fmt"
	"math"
	"testing"

	"sluice/geom"
	"sluice/geom/drawing"
)

// slot is a closed slot with round or square ends.
func slot(x, y, l, w float64, round bool) geom.Path {
	if !round {
		return rect(x-l/2, y-w/2, x+l/2, y+w/2)
	}
	a, b, c, d := geom.Pt(x-l/2, y-w/2), geom.Pt(x+l/2, y-w/2), geom.Pt(x+l/2, y+w/2), geom.Pt(x-l/2, y+w/2)
	return geom.Path{geom.Line(a, b), geom.Bulge(b, c, 1), geom.Line(c, d), geom.Bulge(d, a, 1)}
}

// rounded is a rectangle with rounded corners.
func rounded(x0, y0, x1, y1, r float64) geom.Path {
	q := math.Tan(math.Pi / 8)
	c := []geom.Point{{X: x0 + r, Y: y0}, {X: x1 - r, Y: y0}, {X: x1, Y: y0 + r}, {X: x1, Y: y1 - r}, {X: x1 - r, Y: y1}, {X: x0 + r, Y: y1}, {X: x0, Y: y1 - r}, {X: x0, Y: y0 + r}}
	var p geom.Path
	for i := range c {
		if i%2 == 0 {
			p = append(p, geom.Line(c[i], c[i+1]))
		} else {
			p = append(p, geom.Bulge(c[i], c[(i+1)%8], q))
		}
	}
	return p
}

// What changed is told as one would measure it.
func TestMeasures(t *testing.T) {
	base := rect(0, 0, 200, 100)
	hole := func(h geom.Path) []item { return []item{{[]geom.Path{base, h}}} }
	part := func(p geom.Path) []item { return []item{{[]geom.Path{p}}, bracket().shift(0, 300)} }
	ell := func(o float64) geom.Path { // an L, offset by o
		c := []geom.Point{{X: -o, Y: -o}, {X: 60 + o, Y: -o}, {X: 60 + o, Y: 20 + o}, {X: 20 + o, Y: 20 + o}, {X: 20 + o, Y: 70 + o}, {X: -o, Y: 70 + o}}
		var p geom.Path
		for i := range c {
			p = append(p, geom.Line(c[i], c[(i+1)%len(c)]))
		}
		return p
	}
	tests := map[string]struct {
		before, after []item
		want          string
	}{
		"slot wider a side":         {hole(slot(50, 50, 30, 3, false)), hole(slot(50, 50, 30, 4.76, false)), "slot width 0.88"},
		"slot narrower a side":      {hole(slot(50, 50, 30, 6, false)), hole(slot(50, 50, 30, 5, false)), "slot width -0.50"},
		"slot with round ends":      {hole(slot(50, 50, 30, 6, true)), hole(slot(50, 50, 30, 7.76, true)), "slot offset 0.88"},
		"slot wider all round":      {hole(slot(50, 50, 30, 6, false)), hole(slot(50, 50, 31.76, 7.76, false)), "slot offset 0.88"},
		"slot grown from a corner":  {hole(rect(50, 50, 80, 54)), hole(rect(50, 50, 81.76, 55.76)), "slot offset 0.88"},
		"slot longer at one end":    {hole(rect(50, 50, 80, 54)), hole(rect(50, 50, 83, 54)), "slot edge 3.00 ends"},
		"slot longer at both":       {hole(rect(50, 50, 80, 54)), hole(rect(48, 50, 82, 54)), "slot width 2.00 ends"},
		"hole ø6 to ø6.4":           {hole(circle(50, 50, 3)), hole(circle(50, 50, 3.2)), "hole diameter 6.00 6.40"},
		"a hole shrunk and shifted": {hole(circle(50, 50, 3)), hole(circle(50.5, 50, 2.5)), "hole diameter 6.00 5.00"},
		"a window larger a side":    {hole(rounded(50, 30, 90, 60, 4)), hole(rounded(49.5, 29.5, 90.5, 60.5, 4.5)), "hole offset 0.50"},
		"outline offset":            {part(ell(0)), part(ell(0.88)), "outline offset 0.88"},
		"outline offset and put back to zero": {part(ell(0)), part(ell(0.88).Transform(geom.Shift(geom.Pt(0.88, 0.88)))),
			"outline offset 0.88"},
		"outline smaller":           {part(ell(0)), part(ell(-0.3)), "outline offset -0.30"},
		"rounded outline":           {part(rounded(0, 0, 80, 50, 5)), part(rounded(-0.4, -0.4, 80.4, 50.4, 5.4)), "outline offset 0.40"},
		"corners of the same round": {part(rounded(0, 0, 80, 50, 5)), part(rounded(-0.4, -0.4, 80.4, 50.4, 5)), "outline offset 0.40"},
		"a corner filled":           {part(ell(0)), part(rect(0, 0, 60, 70)), "outline none"},
		"a plate longer":            {part(rect(0, 0, 80, 50)), part(rect(0, 0, 83, 50)), "outline edge 3.00"},
		"a plate wider both sides":  {part(rect(0, 0, 80, 50)), part(rect(0, -1, 80, 51)), "outline width 1.00"},
		"two edges moved":           {part(rect(0, 0, 80, 50)), part(rect(0, 0, 83, 52)), "outline edges 3.00"},
		"a tooth added": {part(rect(0, 0, 80, 50)), part(geom.Path{geom.Line(geom.Pt(0, 0), geom.Pt(80, 0)), geom.Line(geom.Pt(80, 0), geom.Pt(80, 50)),
			geom.Line(geom.Pt(80, 50), geom.Pt(45, 50)), geom.Line(geom.Pt(45, 50), geom.Pt(45, 54)), geom.Line(geom.Pt(45, 54), geom.Pt(35, 54)), geom.Line(geom.Pt(35, 54), geom.Pt(35, 50)),
			geom.Line(geom.Pt(35, 50), geom.Pt(0, 50)), geom.Line(geom.Pt(0, 50), geom.Pt(0, 0))}), "outline none"},
	}
	for name, tt := range tests {
		for how, lay := range map[string]geom.Transform{"": geom.Identity(), ", turned": geom.Turn(geom.Pt(30, 40), 0.7), ", mirrored": geom.MirrorX(20)} {
			t.Run(name+how, func(t *testing.T) {
				laid := func(kit []item) (out []item) {
					for _, m := range kit {
						out = append(out, m.transform(lay))
					}
					return out
				}
				d := Compare(sideOf(t, laid(tt.before)), sideOf(t, laid(tt.after)), tol)
				if got := measureOf(d); got != tt.want {
					t.Errorf("%s, want %s; %+v", got, tt.want, d.Parts)
				}
			})
		}
	}
}

// measureOf writes the measure of the one part that is reshaped.
func measureOf(d *Diff) string {
	for _, p := range d.Parts {
		if p.Verdict != Reshaped {
			continue
		}
		noun, m := "outline", p.Measure
		if m.Kind == NoMeasure && len(p.Holes) == 1 {
			m, noun = p.Holes[0].Measure, "hole"
			if m.Slot {
				noun = "slot"
			}
		}
		switch m.Kind {
		case NoMeasure:
			return noun + " none"
		case Diameter:
			return fmt.Sprintf("%s diameter %.2f %.2f", noun, m.Was, m.Is)
		}
		if want := math.Abs(m.By); math.Abs(p.Deviation-want) > 1e-6 {
			return fmt.Sprintf("deviation %.3f", p.Deviation)
		}
		s := fmt.Sprintf("%s %s %.2f", noun, m.Kind, m.By)
		if m.Ends && noun == "slot" {
			s += " ends"
		}
		return s
	}
	return "nothing reshaped"
}

// Holes move within reason: one taken out is not the one put in elsewhere.
func TestHolesWithinReason(t *testing.T) {
	plate := rect(0, 0, 300, 200)
	grid := func(skip int, extra ...geom.Path) []item {
		m := item{[]geom.Path{plate}}
		for k := range 60 {
			if k != skip {
				m.rings = append(m.rings, circle(20+float64(k%10)*25, 20+float64(k/10)*25, 3))
			}
		}
		m.rings = append(m.rings, extra...)
		return []item{m}
	}
	shifted := func(dx float64) []item {
		m := item{[]geom.Path{plate}}
		for k := range 60 {
			x := 20 + float64(k%10)*25
			if k >= 50 {
				x += dx
			}
			m.rings = append(m.rings, circle(x, 20+float64(k/10)*25, 3))
		}
		return []item{m}
	}
	tests := map[string]struct {
		before, after []item
		want          map[Verdict]int
	}{
		"one taken out":                   {grid(-1), grid(33), map[Verdict]int{Removed: 1}},
		"one taken out, one put in far":   {grid(-1), grid(33, circle(285, 180, 3)), map[Verdict]int{Removed: 1, Added: 1}},
		"one taken out, one put in at 13": {grid(-1), grid(33, circle(20+3*25+12.6, 20+3*25, 3)), map[Verdict]int{Removed: 1, Added: 1}},
		"one moved by 2":                  {grid(-1), grid(33, circle(20+3*25+2, 20+3*25, 3)), map[Verdict]int{Moved: 1}},
		"a row moved by 10":               {shifted(0), shifted(10), map[Verdict]int{Moved: 10}},
		"a lone hole moved by 20":         {[]item{{[]geom.Path{plate, circle(50, 50, 2)}}}, []item{{[]geom.Path{plate, circle(70, 50, 2)}}}, map[Verdict]int{Moved: 1}},
		"a lone hole elsewhere":           {[]item{{[]geom.Path{plate, circle(50, 50, 2)}}}, []item{{[]geom.Path{plate, circle(240, 150, 2)}}}, map[Verdict]int{Removed: 1, Added: 1}},
	}
	for name, tt := range tests {
		t.Run(name, func(t *testing.T) {
			d := Compare(sideOf(t, tt.before), sideOf(t, tt.after), tol)
			got := map[Verdict]int{}
			for _, h := range d.Parts[0].Holes {
				got[h.Verdict]++
			}
			if fmt.Sprint(got) != fmt.Sprint(tt.want) {
				t.Errorf("%v, want %v", got, tt.want)
			}
		})
	}
}

// Gaps closed, doubles dropped and strays gone are counted apart from shapes.
func TestRepairsApart(t *testing.T) {
	kit := append(randomKit(3, 6), bracket().shift(0, 300))
	clean := sideOf(t, kit)
	clean.Gap = 0.5
	flawed := strokesOf(kit)
	n := len(flawed)
	gaps := 0
	for i := n - 6; i < n-1; i += 2 { // in the bracket, one in every other edge
		flawed[i].Piece = flawed[i].Piece.Sub(0.2/flawed[i].Length(), 1)
		gaps++
	}
	flawed = append(flawed, flawed[0], flawed[7], drawing.Stroke{Piece: geom.Line(geom.Pt(-900, 0), geom.Pt(-900, 0.1))})
	s := &Side{Sheet: sheetOf(t, flawed), Gap: 0.5}
	d := Compare(s, clean, tol)
	got := map[RepairKind]int{}
	for _, r := range d.Repairs {
		got[r.Kind] = r.Before - r.After
	}
	if !d.Same || d.Count != (Count{Same: 7}) || got[GapsClosed] != gaps || got[Doubles] != 2 || got[Strays] != 1 {
		t.Errorf("same %v, %+v, %v; want %d gaps, 2 doubles, 1 stray", d.Same, d.Count, got, gaps)
	}
}

// A gap closed by moving both ends to its middle bends the edges beside it by more
// than the tolerance; the part is the same, told as repaired. An edge away from it
// that is as much off is not.
func TestRepairedInPlace(t *testing.T) {
	l := func(a, b geom.Point) drawing.Stroke { return drawing.Stroke{Piece: geom.Line(a, b)} }
	p := geom.Pt
	gap := []drawing.Stroke{l(p(0, 0), p(60, 0)), l(p(60, 0.3), p(60, 40)), l(p(60, 40), p(0, 40)), l(p(0, 40), p(0, 0))}
	mended := []drawing.Stroke{l(p(0, 0), p(60, 0.15)), l(p(60, 0.15), p(60, 40)), l(p(60, 40), p(0, 40)), l(p(0, 40), p(0, 0))}
	off := []drawing.Stroke{l(p(0, 0), p(60, 0.15)), l(p(60, 0.15), p(60, 40.2)), l(p(60, 40.2), p(0, 40.2)), l(p(0, 40.2), p(0, 0))}
	side := func(s []drawing.Stroke) *Side { return &Side{Sheet: sheetOf(t, s), Gap: 0.5} }
	d := Compare(side(gap), side(mended), tol)
	if !d.Same || math.Abs(d.Parts[0].Repaired-0.15) > 0.01 {
		t.Errorf("same %v, %+v", d.Same, d.Parts)
	}
	if d := Compare(side(gap), side(off), tol); d.Same {
		t.Error("an edge 0.2 mm off away from the gap is no repair")
	}
}

// Random parts offset by random amounts: any corner may be far, the sides are not.
func TestOffsetsOfKits(t *testing.T) {
	for _, by := range []float64{0.88, -0.25, 0.5} {
		kit := []geom.Path{toothed(5, 12), toothed(3, 20), rect(0, 0, 100, 40)}
		var after []item
		var before []item
		for k, r := range kit {
			x := float64(k) * 150
			before = append(before, item{[]geom.Path{r.Transform(geom.Shift(geom.Pt(x, 0)))}})
			after = append(after, item{[]geom.Path{offsetPath(r, by).Transform(geom.Shift(geom.Pt(x, 0)))}})
		}
		d := Compare(sideOf(t, before), sideOf(t, after), tol)
		for _, p := range d.Parts {
			if p.Measure.Kind != Offset || math.Abs(p.Measure.By-by) > 0.005 {
				t.Errorf("by %g: %s %+v", by, p.Verdict, p.Measure)
			}
		}
	}
}

// toothed is a bar with n square teeth of width w on its upper edge.
func toothed(n int, w float64) geom.Path {
	c := []geom.Point{{X: 0, Y: 0}, {X: float64(2*n+1) * w, Y: 0}, {X: float64(2*n+1) * w, Y: 30}}
	for k := n - 1; k >= 0; k-- {
		x := float64(2*k+1) * w
		c = append(c, geom.Pt(x+w, 30), geom.Pt(x+w, 38), geom.Pt(x, 38), geom.Pt(x, 30))
	}
	c = append(c, geom.Pt(0, 30))
	var p geom.Path
	for i := range c {
		p = append(p, geom.Line(c[i], c[(i+1)%len(c)]))
	}
	return p
}

// offsetPath moves every edge of a rectilinear polygon outward by d.
func offsetPath(p geom.Path, d float64) geom.Path {
	n := len(p)
	out := make(geom.Path, n)
	corner := func(i int) geom.Point { // where piece i starts
		u, v := p[(i+n-1)%n].TangentAt(0.5), p[i].TangentAt(0.5)
		return p[i].A.Add(u.Left().Mul(-d)).Add(v.Left().Mul(-d))
	}
	for i := range p {
		out[i] = geom.Line(corner(i), corner((i+1)%n))
	}
	return out
}
