package mend_test

import (
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/geomtest"
	"sluice/lint/job"
)

// chain returns the lines from point to point.
func chain(xy ...float64) (p geom.Path) {
	for i := 2; i+1 < len(xy); i += 2 {
		p = append(p, geom.Line(geom.Pt(xy[i-2], xy[i-1]), geom.Pt(xy[i], xy[i+1])))
	}
	return p
}

// closed returns the lines from point to point and back to the first.
func closed(xy ...float64) geom.Path { return chain(append(slices.Clone(xy), xy[0], xy[1])...) }

// circle returns a whole circle.
func circle(x, y, r float64) geom.Path { return geom.Path{geom.Circle(geom.Pt(x, y), r)} }

// obround returns a slot with round ends, from x0 to x1 about y.
func obround(x0, x1, y, w float64) geom.Path {
	r := w / 2
	return geom.Path{
		geom.Line(geom.Pt(x0+r, y-r), geom.Pt(x1-r, y-r)), geom.Bulge(geom.Pt(x1-r, y-r), geom.Pt(x1-r, y+r), 1),
		geom.Line(geom.Pt(x1-r, y+r), geom.Pt(x0+r, y+r)), geom.Bulge(geom.Pt(x0+r, y+r), geom.Pt(x0+r, y-r), 1),
	}
}

// notched returns a plate with a notch from the top at x, w wide, dee mm deep.
func notched(x, w, deep float64) geom.Path {
	return closed(0, 0, 100, 0, 100, 60, x+w, 60, x+w, 60-deep, x, 60-deep, x, 60, 0, 60)
}

func choiceCases() []choiceCase {
	return slices.Concat(gapCases(), slotCases(), holeCases(), webCases(), detailCases(), textCases(), partCases(), otherCases())
}

// gapCases: outlines that do not close.
func gapCases() (all []choiceCase) {
	add := func(name string, paths []geom.Path, offers, not []string) {
		all = append(all, choiceCase{name: "gap: " + name, data: drawn(paths...), offers: offers, not: not})
	}
	straight := []string{"open-outline straight", "open-outline join"}
	for _, w := range []float64{0.8, 2, 5, 9.5} {
		add("in a side", []geom.Path{chain(40+w, 60, 100, 60, 100, 0, 0, 0, 0, 60, 40, 60)}, straight, nil)
		corner := append(slices.Clone(straight), "open-outline extend", "open-outline round")
		add("at a corner", []geom.Path{chain(w/1.5, 60, 100, 60, 100, 0, 0, 0, 0, 60-w/1.5)}, corner, nil)
		add("an offset", []geom.Path{chain(50, 60+w, 100, 60+w, 100, 0, 0, 0, 0, 60, 50, 60)}, straight, nil)
	}
	add("in a hole", []geom.Path{box(0, 0, 100, 60), chain(30, 20, 70, 20, 70, 40, 30, 40, 30, 23)}, straight, nil)
	add("in a small hole near the edge", []geom.Path{box(0, 0, 100, 60), chain(2, 20, 12, 20, 12, 30, 2, 30, 2, 24)}, straight, nil)
	add("two in one outline", []geom.Path{chain(0, 60, 0, 0, 60, 0), chain(64, 0, 100, 0, 100, 60, 5, 60)}, straight, nil)
	add("arc", []geom.Path{{geom.Arc(geom.Pt(40, 40), 30, 0, 2*math.Pi-0.1)}}, nil, nil)
	add("arc and line", []geom.Path{{geom.Arc(geom.Pt(0, 0), 30, 0, math.Pi)}, chain(-30, 0, 25, 0)}, straight, nil)
	add("across another part", []geom.Path{chain(40, 60, 0, 60, 0, 0, 100, 0, 100, 60, 49, 60), box(43, 58, 46, 90)}, nil, nil)
	add("corner that would cross another part", []geom.Path{chain(0, 53, 0, 0, 100, 0, 100, 60, 7, 60), box(-10, 54, 2.5, 75)}, nil, nil)
	add("beside a hole", []geom.Path{chain(40, 60, 0, 60, 0, 0, 100, 0, 100, 60, 49, 60), circle(44.5, 58.8, 0.9)}, nil, nil)
	add("short of a side", []geom.Path{box(0, 0, 100, 60), chain(140, 0, 180, 0, 180, 60, 140, 60), chain(140, 60, 140, 0), chain(160, 4, 160, 60)}, nil, nil)
	add("alone", []geom.Path{box(0, 0, 100, 60), chain(150, 0, 180, 0, 180, 30)}, []string{"open-outline drop", "open-outline etch"}, nil)
	add("of 20 mm", []geom.Path{chain(30, 60, 0, 60, 0, 0, 100, 0, 100, 60, 50, 60)}, nil, nil)
	return all
}

// slotCases: slots and notches narrower than the stream.
func slotCases() (all []choiceCase) {
	add := func(name string, offers, not []string, paths ...geom.Path) {
		all = append(all, choiceCase{name: "slot: " + name, data: drawn(paths...), offers: offers, not: not})
	}
	three := []string{"narrow-slot widen", "narrow-slot etch", "narrow-slot drop"}
	plate := box(0, 0, 100, 60)
	add("closed", three, nil, plate, box(30, 30, 50, 30.6))
	add("round ends", three, nil, plate, obround(30, 50, 30, 0.5))
	add("notch", three, nil, notched(40, 0.6, 12))
	add("long notch", three, nil, notched(40, 0.6, 45))
	add("notch askew", []string{"narrow-slot drop"}, nil, closed(0, 0, 100, 0, 100, 60, 41, 60, 44, 48, 43.4, 48, 40.3, 60, 0, 60))
	add("notch with a round end", three, nil, append(chain(40, 45, 40, 60, 0, 60, 0, 0, 100, 0, 100, 60, 40.6, 60, 40.6, 45), geom.Bulge(geom.Pt(40, 45), geom.Pt(40.6, 45), 1)))
	add("notch at a corner of the plate", nil, nil, closed(0, 0, 100, 0, 100, 60, 1.8, 60, 1.8, 45, 1.2, 45, 1.2, 60, 0, 60))
	add("into a keyhole", []string{"narrow-slot widen"}, nil, keyhole(0.6, 2))
	add("into a small keyhole", nil, nil, keyhole(0.6, 0.6))
	add("closed keyhole", []string{"narrow-slot widen"}, nil, plate, bone(30, 60, 30, 0.6, 0, 3))
	add("between two round holes", []string{"narrow-slot widen"}, nil, plate, bone(30, 60, 30, 0.6, 2, 3))
	add("into a hole that it swallows", []string{"narrow-slot widen"}, nil, keyhole(0.6, 0.5))
	add("round end that grows into a round hole", []string{"narrow-slot widen"}, nil, plate, obround(30, 50, 30, 0.6), circle(53.1, 30, 3))
	add("beside the edge", nil, nil, plate, box(30, 1.7, 50, 2.3))
	add("at the edge", nil, nil, plate, box(30, 1.2, 50, 1.8))
	add("beside a hole", nil, nil, plate, box(30, 30, 50, 30.6), circle(40, 33.4, 1.2))
	add("two side by side", nil, nil, plate, box(30, 30, 50, 30.6), box(30, 32.2, 50, 32.8))
	add("two notches side by side", nil, nil, closed(0, 0, 100, 0, 100, 60, 42.8, 60, 42.8, 48, 42.2, 48, 42.2, 60, 40.6, 60, 40.6, 48, 40, 48, 40, 60, 0, 60))
	add("end at a round hole", nil, nil, plate, box(30, 30, 50, 30.6), circle(53.2, 30.3, 3))
	add("end close to a round hole", nil, nil, plate, box(30, 30, 50, 30.6), circle(53.9, 30.3, 3))
	add("cross", nil, nil, plate, closed(40, 20, 40.6, 20, 40.6, 29.7, 50, 29.7, 50, 30.3, 40.6, 30.3, 40.6, 40, 40, 40, 40, 30.3, 30, 30.3, 30, 29.7, 40, 29.7))
	add("comb", nil, nil, comb(5, 0.6, 2))
	return all
}

// keyhole returns a plate with a notch from the top that opens into a round hole.
func keyhole(w, r float64) geom.Path {
	h := math.Sqrt(r*r - w*w/4)
	a, b := geom.Pt(40-w/2, 40+h), geom.Pt(40+w/2, 40+h)
	p := chain(a.X, a.Y, a.X, 60, 0, 60, 0, 0, 100, 0, 100, 60, b.X, 60, b.X, b.Y)
	return append(p, geom.ThroughPoint(a, geom.Pt(40, 40-r), b))
}

// bone returns a slot w wide from x0 to x1 about y that opens into a round hole at
// either end, of radius r0 and r1; 0 for a flat end.
func bone(x0, x1, y, w, r0, r1 float64) (p geom.Path) {
	reach := func(r float64) float64 { return math.Sqrt(max(0, r*r-w*w/4)) }
	a, b := x0+reach(r0), x1-reach(r1)
	low, high := y-w/2, y+w/2
	p = append(p, geom.Line(geom.Pt(a, low), geom.Pt(b, low)))
	p = append(p, geom.ThroughPoint(geom.Pt(b, low), geom.Pt(x1+r1, y), geom.Pt(b, high)))
	p = append(p, geom.Line(geom.Pt(b, high), geom.Pt(a, high)))
	if r0 == 0 {
		return append(p, geom.Line(geom.Pt(a, high), geom.Pt(a, low)))
	}
	return append(p, geom.ThroughPoint(geom.Pt(a, high), geom.Pt(x0-r0, y), geom.Pt(a, low)))
}

// comb returns a plate with n notches from the top, w wide, with webs between.
func comb(n int, w, web float64) geom.Path {
	xy := []float64{0, 0, 100, 0, 100, 60}
	for k := n - 1; k >= 0; k-- {
		x := 30 + float64(k)*(w+web)
		xy = append(xy, x+w, 60, x+w, 50, x, 50, x, 60)
	}
	return closed(append(xy, 0, 60)...)
}

// holeCases: holes too small to pierce in.
func holeCases() (all []choiceCase) {
	add := func(name string, offers, not []string, paths ...geom.Path) {
		all = append(all, choiceCase{name: "hole: " + name, data: drawn(append(paths, box(0, 0, 100, 60))...), offers: offers, not: not})
	}
	three := []string{"small-hole widen", "small-hole etch", "small-hole drop"}
	add("round", three, nil, circle(50, 30, 0.6))
	add("square", three, nil, box(50, 30, 51.5, 31.5))
	add("slot", []string{"small-hole widen", "small-hole drop"}, []string{"small-hole etch"}, box(30, 30, 50, 31.5))
	add("round slot", []string{"small-hole widen"}, nil, obround(30, 50, 30, 1.4))
	add("triangle", three[1:], nil, closed(50, 30, 53, 30, 51.5, 32))
	add("sliver", nil, nil, closed(50, 30, 60, 30, 60, 31))
	add("beside the edge", nil, nil, circle(50, 2.2, 0.6))
	add("on the edge of the limit", nil, nil, circle(50, 1.8, 0.6))
	add("beside a hole", nil, nil, circle(50, 30, 0.6), circle(53.4, 30, 1.2))
	add("two", nil, nil, circle(50, 30, 0.6), circle(53.0, 30, 0.6))
	add("round, to be as wide as a neighbour", nil, nil, circle(50, 30, 0.6), circle(50.9, 30, 0.2))
	add("star", nil, nil, closed(50, 30, 50.7, 30.5, 51.4, 30, 51.1, 30.8, 51.8, 31.3, 50.95, 31.3, 50.7, 32.1, 50.4, 31.3, 49.6, 31.3, 50.3, 30.8))
	return all
}

// webCases: too little material between two cuts.
func webCases() (all []choiceCase) {
	add := func(name string, offers []string, paths ...geom.Path) {
		all = append(all, choiceCase{name: "web: " + name, data: drawn(append(paths, box(0, 0, 100, 60))...), offers: offers})
	}
	add("circle and edge", []string{"thin-web shrink", "thin-web drop"}, circle(50, 6, 5))
	add("box and edge", []string{"thin-web shrink", "thin-web drop"}, box(30, 1, 60, 20))
	add("two circles", []string{"thin-web shrink", "thin-web drop"}, circle(50, 30, 5), circle(59, 30, 3))
	add("two boxes", []string{"thin-web shrink", "thin-web drop"}, box(30, 20, 49, 40), box(50, 20, 60, 30))
	add("between two neighbours", nil, box(30, 20, 49, 40), box(50, 20, 60, 30), box(61, 20, 80, 40))
	add("small hole", nil, circle(50, 2, 1.1))
	add("notch and hole", nil, circle(50, 30, 5), box(55.8, 20, 60, 40), box(20, 20, 44.3, 40))
	all = append(all, choiceCase{name: "web: within one outline", data: drawn(comb(2, 6, 0.8))})
	return all
}

// detailCases: details finer than the stream.
func detailCases() (all []choiceCase) {
	add := func(name string, offers []string, paths ...geom.Path) {
		all = append(all, choiceCase{name: "detail: " + name, data: drawn(paths...), offers: offers})
	}
	smooth := []string{"fine-detail smooth"}
	fillet := func(r float64) geom.Path {
		p := chain(40, 30-r, 40, 0, 100, 0, 100, 60, 0, 60, 0, 30, 40-r, 30)
		return append(p, geom.Bulge(geom.Pt(40-r, 30), geom.Pt(40, 30-r), -math.Tan(math.Pi/8)))
	}
	add("inside radius", smooth, fillet(0.3))
	add("bump", smooth, closed(0, 0, 100, 0, 100, 60, 40.5, 60, 40.5, 60.4, 40, 60.4, 40, 60, 0, 60))
	add("nick", smooth, closed(0, 0, 100, 0, 100, 60, 40.5, 60, 40.5, 59.6, 40, 59.6, 40, 60, 0, 60))
	add("triangular nick", smooth, closed(0, 0, 100, 0, 100, 60, 40.5, 60, 40.25, 59.6, 40, 60, 0, 60))
	add("round bump", smooth, append(chain(40, 60, 0, 60, 0, 0, 100, 0, 100, 60, 40.6, 60), geom.Bulge(geom.Pt(40.6, 60), geom.Pt(40, 60), 1)))
	add("stairs", smooth, closed(0, 0, 100, 0, 100, 61.2, 60, 61.2, 60, 60.8, 50, 60.8, 50, 60.4, 40, 60.4, 40, 60, 0, 60))
	add("slanting bump", smooth, closed(0, 0, 100, 0, 100, 60.15, 40.15, 60.15, 40.15, 60.4, 40, 60.4, 40, 60, 0, 60))
	add("step", smooth, closed(0, 0, 100, 0, 100, 60.4, 40, 60.4, 40, 60, 0, 60))
	add("bump on an arc", smooth, onArc(0.4, 0.5))
	add("nick on an arc", smooth, onArc(-0.4, 0.5))
	add("wavy bump", smooth, closed(0, 0, 100, 0, 100, 60, 40.6, 60, 40.5, 60.3, 40.4, 60.2, 40.3, 60.4, 40.2, 60.2, 40.1, 60.3, 40, 60, 0, 60))
	add("bump in a hole", smooth, box(0, 0, 100, 60), closed(30, 20, 70, 20, 70, 40, 50.5, 40, 50.5, 40.4, 50, 40.4, 50, 40, 30, 40))
	add("radius between arcs", smooth, betweenArcs())
	add("many bumps", smooth, bumps(30))
	return all
}

// onArc returns a disc with a bump of so many mm, w wide, at its right; below 0 a nick.
func onArc(high, w float64) geom.Path {
	const r = 30
	a := math.Asin(w / 2 / r)
	at := func(r, a float64) geom.Point { return geom.Pt(r*math.Cos(a), r*math.Sin(a)) }
	p := geom.Path{geom.Arc(geom.Pt(0, 0), r, a, 2*(math.Pi-a))}
	q := p[0]
	p = append(p, geom.Line(q.B, at(r+high, -a)), geom.Line(at(r+high, -a), at(r+high, a)), geom.Line(at(r+high, a), q.A))
	return p
}

// betweenArcs returns a figure of two discs that meet in inside corners, rounded by
// little arcs.
func betweenArcs() geom.Path {
	const R, r, d = 20.0, 0.3, 15.0 // discs, rounding, half the distance of their middles
	h := math.Sqrt((R+r)*(R+r) - d*d)
	c1, c2 := geom.Pt(-d, 0), geom.Pt(d, 0)
	on := func(c, m geom.Point) geom.Point { return c.Add(m.Sub(c).Mul(R / (R + r))) }
	top, low := geom.Pt(0, h), geom.Pt(0, -h)
	return geom.Path{
		geom.ThroughPoint(on(c1, top), geom.Pt(-d-R, 0), on(c1, low)),
		geom.ThroughPoint(on(c1, low), geom.Pt(0, -h+r), on(c2, low)),
		geom.ThroughPoint(on(c2, low), geom.Pt(d+R, 0), on(c2, top)),
		geom.ThroughPoint(on(c2, top), geom.Pt(0, h-r), on(c1, top)),
	}
}

// bumps returns a plate with n bumps alike along its top.
func bumps(n int) geom.Path {
	xy := []float64{0, 0, 100, 0, 100, 60}
	for k := n - 1; k >= 0; k-- {
		x := 3 + 3*float64(k)
		xy = append(xy, x+0.5, 60, x+0.5, 60.4, x, 60.4, x, 60)
	}
	return closed(append(xy, 0, 60)...)
}

// textCases: texts without a path.
func textCases() (all []choiceCase) {
	add := func(name string, height float64, value string, at geom.Point, offers, not []string) {
		var d geomtest.Drafter
		for _, p := range box(0, 0, 100, 60) {
			d.Piece(p, 0)
		}
		d.Text(at, height, value)
		all = append(all, choiceCase{name: "text: " + name, data: d.Bytes(), offers: offers, not: not})
	}
	add("on a part", 12, "KIT", geom.Pt(20, 25), []string{"live-text etch", "live-text cut", "live-text note", "live-text drop"}, nil)
	add("with closed letters", 12, "BOA8", geom.Pt(20, 25), []string{"live-text cut"}, nil)
	add("small letters", 8, "boom left", geom.Pt(20, 25), nil, nil)
	add("tiny", 2, "KIT", geom.Pt(20, 25), []string{"live-text etch"}, []string{"live-text cut"})
	add("beside all parts", 8, "KIT", geom.Pt(150, 25), []string{"live-text drop"}, []string{"live-text cut"})
	add("half on a part", 12, "KIT", geom.Pt(85, 25), nil, []string{"live-text cut"})
	add("near the edge", 12, "KIT", geom.Pt(20, 0.4), nil, nil)
	return all
}

// partCases: parts too close, with common edges, off the sheet, drawn twice.
func partCases() (all []choiceCase) {
	add := func(name string, j func(*job.Job), offers []string, paths ...geom.Path) {
		all = append(all, choiceCase{name: "parts: " + name, data: drawn(paths...), job: j, offers: offers})
	}
	add("close", nil, []string{"close-parts spread", "close-parts drop"}, box(0, 0, 100, 60), box(102, 0, 150, 60))
	add("closer than the kerf", nil, []string{"close-parts spread", "close-parts drop"}, box(0, 0, 100, 60), box(100.5, 0, 150, 60))
	add("three in a row", nil, []string{"close-parts spread"}, box(0, 0, 100, 60), box(101.5, 0, 150, 60), box(151.5, 0, 200, 60))
	add("with a part within", nil, nil, box(0, 0, 100, 60), box(101.5, 0, 200, 60), box(120, 10, 180, 50), box(130, 20, 160, 40))
	sheet := func(j *job.Job) { j.Sheet.Size = []float64{300, 200} }
	add("off the sheet", sheet, []string{"off-sheet spread", "off-sheet drop"}, box(20, 20, 120, 80), box(250, 20, 320, 80))
	add("larger than the sheet", sheet, nil, box(20, 20, 420, 80), box(20, 100, 80, 150))
	add("common edge", nil, []string{"shared-edge spread", "shared-edge drop"}, box(0, 0, 100, 60), box(100, 0, 150, 60))
	add("common edge drawn once", nil, nil, box(0, 0, 100, 60), chain(100, 0, 150, 0, 150, 60, 100, 60))
	add("twice", nil, []string{"duplicate-segment keep-one", "duplicate-segment keep-both"}, box(0, 0, 100, 60), box(0, 0, 100, 60))
	add("crossing", nil, []string{"crossing-outlines unite", "crossing-outlines subtract", "crossing-outlines subtract-first", "crossing-outlines drop-first", "crossing-outlines drop-second"},
		box(0, 0, 100, 60), box(80, 20, 150, 40))
	add("crossing by a little", nil, nil, box(0, 0, 100, 60), box(99.6, 20, 150, 40))
	add("crossing hole", nil, nil, box(0, 0, 100, 60), circle(99, 30, 5))
	add("a hole over a corner", nil, nil, box(0, 0, 100, 60), box(30, 20, 60, 40), circle(60, 40, 4))
	add("slots and tabs too close", func(j *job.Job) { j.Sheet.Thickness = 3 }, []string{"close-parts drop"},
		closed(0, 0, 100, 0, 100, 60, 60, 60, 60, 63, 40, 63, 40, 60, 0, 60), slices.Concat(box(101.5, 0, 200, 60), box(140, 28.5, 160, 31.5)))
	return all
}

// otherCases: what the rules' own drawings do not show.
func otherCases() (all []choiceCase) {
	fit := func(j *job.Job) { j.Sheet.Thickness = 3; j.Sheet.Size = []float64{260, 200} }
	// Slots of 2 mm for a sheet of 3 mm, with a small hole: scaled, it does not fit the sheet.
	all = append(all, choiceCase{name: "joints for another sheet", data: drawn(
		closed(15, 15, 115, 15, 115, 75, 75, 75, 75, 77, 55, 77, 55, 75, 15, 75), box(130, 15, 230, 75), box(170, 44, 190, 46), circle(140, 25, 2),
	), job: fit, offers: []string{"slot-thickness refit", "slot-thickness scale"}})
	all = append(all, choiceCase{name: "marks", data: drawn(box(0, 0, 100, 60), chain(20, 20, 40, 30), chain(60, 30, 80, 30, 80, 45))})
	return all
}
