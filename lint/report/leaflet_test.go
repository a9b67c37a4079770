package report

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"os"
	"regexp"
	"strings"
	"testing"
	"time"

	"sluice/geom"
	"sluice/geom/plate"
	"sluice/lint/assembly"
)

// crate is a kit of plates that lap each other crosswise: so many one way and so many the
// other, each with round holes between the notches. Plates of one way come first, standing
// on their edges; those of the other way are let down over them.
func crate(lengthwise, crosswise int) *Assembly {
	const pitch, high, thick = 30.0, 60.0, 3.0
	m := newMaker()
	notched := func(n int, x, y float64, up bool) {
		w := pitch * float64(n+1)
		from, to, base := geom.Pt(0, high), geom.Pt(0, 0), 0.0
		var pts []geom.Point
		if up { // notches from above
			pts = append(pts, geom.Pt(0, 0), geom.Pt(w, 0), geom.Pt(w, high))
			for i := n; i > 0; i-- {
				at := pitch * float64(i)
				pts = append(pts, geom.Pt(at+thick/2, high), geom.Pt(at+thick/2, high/2), geom.Pt(at-thick/2, high/2), geom.Pt(at-thick/2, high))
			}
			pts = append(pts, from)
		} else {
			pts = append(pts, to)
			for i := 1; i <= n; i++ {
				at := pitch * float64(i)
				pts = append(pts, geom.Pt(at-thick/2, base), geom.Pt(at-thick/2, high/2), geom.Pt(at+thick/2, high/2), geom.Pt(at+thick/2, base))
			}
			pts = append(pts, geom.Pt(w, 0), geom.Pt(w, high), geom.Pt(0, high))
		}
		var path geom.Path
		for i, p := range pts {
			q := pts[(i+1)%len(pts)]
			path = append(path, geom.Line(geom.Pt(p.X+x, p.Y+y), geom.Pt(q.X+x, q.Y+y)))
		}
		outer := m.closed(-1, path)
		for i := 0; i <= n; i += 4 {
			m.closed(outer, geom.Path{geom.Circle(geom.Pt(x+pitch*(float64(i)+0.5), y+high/2), 8)})
		}
	}
	g := assembly.Group{Share: 1}
	for i := range lengthwise + crosswise {
		first := i < lengthwise
		n := crosswise
		if !first {
			n = lengthwise
		}
		y := 100 * float64(i)
		notched(n, 0, y, first)
		var pose plate.Pose
		if at := pitch * float64(i+1); first { // in a plane of one y, its x along x
			pose = plate.Pose{R: [3]plate.Vec{{1, 0, 0}, {0, 0, 1}, {0, -1, 0}}, T: plate.Vec{0, at + thick/2, -y}}
		} else {
			at := pitch * float64(i-lengthwise+1)
			pose = plate.Pose{R: [3]plate.Vec{{0, 1, 0}, {0, 0, 1}, {1, 0, 0}}, T: plate.Vec{at - thick/2, 0, -y}}
		}
		g.Parts = append(g.Parts, assembly.Placed{Part: i, Pose: pose})
		g.Steps = append(g.Steps, assembly.Step{Parts: []int{i}, Along: plate.Vec{0, 0, -1}})
		if !first {
			for k := range lengthwise {
				g.Joints = append(g.Joints, assembly.Joint{Kind: "lap", A: k, B: i})
			}
		}
	}
	r := m.result("crate.dxf")
	for i := range r.Sheet.Parts {
		r.Names = append(r.Names, fmt.Sprint(i+1))
	}
	return &Assembly{About: about(), Result: r, Kit: &assembly.Kit{Thickness: thick, Groups: []assembly.Group{g}}}
}

// A leaflet of many parts stays small enough to be sent.
func TestLeafletBounded(t *testing.T) {
	a := crate(12, 12)
	g := a.Kit.Groups[0]
	for range 4 {
		a.Kit.Groups = append(a.Kit.Groups, g)
	}
	now := time.Now()
	page := in(t, "assemble", "html", a)
	t.Log(time.Since(now), len(page))
	now = time.Now()
	a = crate(60, 60)
	page = in(t, "assemble", "html", a)
	t.Log(time.Since(now), len(page))
	t.Logf("%d bytes, %d uses, defs %d", len(page), bytes.Count(page, []byte("<use")), bytes.Index(page, []byte("</defs>")))
	os.WriteFile("/tmp/leafpng/crate.html", page, 0o644)
	if len(page) > 4_000_000 {
		t.Errorf("%d bytes", len(page))
	}
}

var _ = bytes.Equal
var _ = xml.Header
var _ io.Reader
var _ = regexp.MustCompile
var _ = strings.Count
