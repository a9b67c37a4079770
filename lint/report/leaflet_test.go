package report

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

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

// refitted is a kit with all that can be wrong with one, by the name of its parts.
func refitted(name func(i int) string) *Assembly {
	a := crate(3, 3)
	for i := range a.Names {
		a.Names[i] = name(i)
	}
	g := &a.Kit.Groups[0]
	// Two of the crosswise plates are joined before; one cannot be put in.
	g.Steps = []assembly.Step{
		g.Steps[0], g.Steps[1],
		{Parts: []int{3, 4}, Along: plate.Vec{0, 0, -1}, With: []assembly.Step{{Parts: []int{3}, Along: plate.Vec{0, 0, -1}}, {Parts: []int{4}, Along: plate.Vec{1, 0, 0}}}},
		g.Steps[5],
	}
	g.Trapped = []assembly.Trapped{{Parts: []int{2}}}
	g.Clashes = []assembly.Clash{{A: 0, B: 5, Volume: 12.5}}
	g.Parts[1].Others, g.Share = 2, 0.996
	a.Kit.Missing = []assembly.Missing{{Meets: []int{0, 0, 1}, Pose: plate.Still(), Outline: []geom.Point{{X: 0, Y: 0}, {X: 50, Y: 0}, {X: 50, Y: 20}, {X: 0, Y: 20}}}}
	a.Kit.Unplaced = []assembly.Unplaced{{Part: 1, Why: "no part fits its joints"}, {Part: 2, Why: "it has no joints"}}
	return a
}

func hostileAssembly() *Assembly {
	a := refitted(func(int) string { return hostile })
	a.About, a.Path = hostileAbout(), hostile
	return a
}

// scripts are left out where a page is read as elements.
var scripts = regexp.MustCompile(`(?s)<script.*?</script>`)

// drawn checks that the body of a page is well formed, and that all that its pictures
// point to is there.
func drawn(t *testing.T, page string) {
	t.Helper()
	whole(t, scripts.ReplaceAllString(page[strings.Index(page, "<main>"):strings.Index(page, "</body>")], ""))
}

// whole checks that elements are well formed, and that all that they point to is there.
func whole(t *testing.T, elements string) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(elements))
	d.Strict, d.AutoClose, d.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
	ids, wanted := map[string]bool{}, map[string]bool{}
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
		if e, ok := tok.(xml.StartElement); ok {
			for _, at := range e.Attr {
				switch {
				case at.Name.Local == "id":
					ids[at.Value] = true
				case at.Name.Local == "href":
					wanted[strings.TrimPrefix(at.Value, "#")] = true
				}
			}
		}
	}
	for id := range wanted {
		if !ids[id] {
			t.Errorf("nothing has the id %s", id)
		}
	}
}

// The leaflet of the demo kit draws each step, equal ones together, and tells what is
// missing and what stands alone.
func TestLeafletOfDemo(t *testing.T) {
	a := assembled(judged(t, "fixtures/harbour-crane.dxf"))
	page := string(in(t, "assemble", "html", a))
	drawn(t, page)
	steps, joined := 0, 0
	for i := range a.Kit.Groups {
		steps += len(a.Kit.Groups[i].Steps)
		for _, s := range a.Kit.Groups[i].Steps {
			if len(s.With) > 0 {
				joined++ // drawn as a whole too
				steps += len(s.With)
			}
		}
	}
	drawings := len(a.Kit.Groups) + len(a.Kit.Stacks) + joined + 1 // and the still one of the model
	if n := strings.Count(page, `<li><div class="say">`); n == 0 || n >= steps {
		t.Errorf("%d pictures of %d steps", n, steps)
	}
	if n := strings.Count(page, `class="whole"`); n != drawings {
		t.Errorf("%d groups are drawn, want %d", n, drawings)
	}
	for _, want := range []string{" times", "What is missing", "In no group", `class="tip"`, `class="ghost"`} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
}

// The sheet of all steps shows the pictures of the page, each with its number and what goes
// in, and where a row has room what they come to; it says what is amiss in a few words.
func TestStepsOnASheet(t *testing.T) {
	demo := assembled(judged(t, "fixtures/harbour-crane-clean.dxf"))
	page, sheet := string(in(t, "assemble", "html", demo)), string(in(t, "assemble", "steps", demo))
	whole(t, sheet)
	if got, want := strings.Count(sheet, `class="turn"`), strings.Count(page, `class="turn"`); got != want {
		t.Errorf("%d pictures, the page has %d", got, want)
	}
	for _, like := range []string{`class="tip"`, `class="ghost"`} {
		if got, want := strings.Count(sheet, like), strings.Count(page, like); got != want {
			t.Errorf("%s stands %d times, on the page %d times", like, got, want)
		}
	}
	for _, want := range []string{">Part 26 × 4<", ">Subassembly A<", "joined before it goes into group 1", ">as it stands<", " without joints not shown."} {
		if !strings.Contains(sheet, want) {
			t.Errorf("the sheet lacks %q", want)
		}
	}
	if shown, err := os.ReadFile("../../fixtures/leaflet.svg"); err != nil || string(shown) != sheet {
		t.Errorf("fixtures/leaflet.svg is another (%v): sluice assemble --format steps writes it", err)
	}
	if strings.Contains(sheet, "var(") {
		t.Error("it is drawn with values of a page")
	}
	sheet = string(in(t, "assemble", "steps", refitted(func(i int) string { return strings.Repeat(string(rune('a'+i)), 40) })))
	whole(t, sheet)
	for _, want := range []string{"1 part cannot be put in", "1 pair of parts in each other", "1 plate missing", "1 part found no place", ">Part aaaaaaaaaaa…<"} {
		if !strings.Contains(sheet, want) {
			t.Errorf("the sheet lacks %q", want)
		}
	}
	none := crate(0, 0)
	none.Kit.Groups = nil
	if s := string(in(t, "assemble", "steps", none)); !strings.Contains(s, "No parts were found that go into each other.") {
		t.Errorf("a drawing without a kit: %s", s)
	}
}

// Everything that can be wrong with a kit is told in words, and what is joined before is a
// chapter of its own before the step that needs it.
func TestLeafletTellsFaults(t *testing.T) {
	page := string(in(t, "assemble", "html", refitted(func(i int) string { return string(rune('a' + i)) })))
	drawn(t, page)
	for _, want := range []string{
		"Part c cannot be put together", "Parts a and f are in each other, by 12.5 mm³", "99 % of the joints", "Part b fits in other ways",
		"Open joints of parts a (twice) and b", "Part b: no part fits its joints.", "Part c: it has no joints.",
		"2 parts, joined before they go in: parts d and e.", "Begin with it.", "1.969 × 0.787 in (50.0 × 20.0 mm)",
	} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	if sub, step := strings.Index(page, `id="subassembly-A"`), strings.Index(page, `href="#subassembly-A"`); sub < 0 || sub > step {
		t.Errorf("the subassembly is at %d, the step that needs it at %d", sub, step)
	}
}

// What may lie on each other is drawn pulled apart, under a head that says it is a guess:
// from the bottom up, the upper parts higher on the picture, none in another.
func TestLeafletStacks(t *testing.T) {
	a := assembled(judged(t, "fixtures/harbour-crane-clean.dxf"))
	page := string(in(t, "assemble", "html", a))
	drawn(t, page)
	if got := strings.Count(page, "From the bottom up: "); got != len(a.Kit.Stacks) || got == 0 {
		t.Errorf("%d stacks are drawn, want %d", got, len(a.Kit.Stacks))
	}
	if !strings.Contains(page, `<h2>May lie on each other <span class="n">a guess</span></h2>`) {
		t.Error("the page does not say that it is a guess")
	}
	for i := range a.Kit.Stacks {
		s := &a.Kit.Stacks[i]
		g := a.pulledApart(s)
		top := math.Inf(-1)
		for k := range g.Parts {
			lo, hi := a.shape(g.Parts[k].Part).Extent(g.Parts[k].Pose)
			if lo[2] <= top {
				t.Errorf("stack %d: part %d is not above the one before", i, k)
			}
			top = hi[2]
		}
		if g.Parts[1].Pose == s.Parts[1].Pose {
			t.Errorf("stack %d is not pulled apart", i)
		}
	}
	bare := assembled(judged(t, "fixtures/harbour-crane-clean.dxf"))
	bare.Kit.Stacks = nil
	if strings.Contains(string(in(t, "assemble", "html", bare)), `id="stacks"`) {
		t.Error("a page without stacks tells of them")
	}
}

// Bolts are told in the step after which both their parts stand, and once.
func TestLeafletBolts(t *testing.T) {
	a := crate(2, 2)
	g := &a.Kit.Groups[0]
	g.Bolts = []assembly.Bolt{{Into: 2, Through: 0, Width: 3.2, Hole: 3.4}, {Into: 2, Through: 0, Width: 3.2, Hole: 3.4}, {Into: 1, Through: 3, Width: 3.2}}
	want := [][]assembly.Bolt{nil, nil, g.Bolts[:2], nil}
	told := func() (got [][]assembly.Bolt) {
		v := newGroupView(a, 0)
		for _, c := range v.chapters(func() string { return "A" }) {
			for i := range c.Turns {
				got = append(got, v.boltsOf(&c.Turns[i]))
			}
		}
		return got
	}
	if d := cmp.Diff(want, told()); d != "" {
		t.Errorf("step by step (-want +got):\n%s", d)
	}
	if page := string(in(t, "assemble", "html", a)); strings.Count(page, " Then 2 bolts through part 1 into the nut in part 3.") != 1 {
		t.Error("the step does not tell the bolts")
	}
	// Joined before, they are told there and not again.
	down := plate.Vec{0, 0, -1}
	g.Steps = []assembly.Step{{Parts: []int{1}, Along: down}, {Parts: []int{3}, Along: down},
		{Parts: []int{0, 2}, Along: down, With: []assembly.Step{{Parts: []int{0}, Along: down}, {Parts: []int{2}, Along: down}}}}
	if d := cmp.Diff([][]assembly.Bolt{nil, g.Bolts[:2], nil, nil, nil}, told()); d != "" {
		t.Errorf("joined before (-want +got):\n%s", d)
	}
}

// Equal steps are told together where it does not matter which comes first.
func TestLeafletTurns(t *testing.T) {
	same := func(int) string { return "7" }
	for _, tt := range []struct {
		name   string
		change func(a *Assembly, g *assembly.Group)
		want   []int // parts of each turn
	}{
		{"crosswise plates do not meet each other", func(*Assembly, *assembly.Group) {}, []int{1, 2, 3}},
		{"one has another number", func(a *Assembly, _ *assembly.Group) { a.Names[4] = "8" }, []int{1, 2, 1, 1, 1}},
		{"one comes from elsewhere", func(_ *Assembly, g *assembly.Group) { g.Steps[5].Along = plate.Vec{0, 1, 0} }, []int{1, 2, 2, 1}},
		{"two are joined", func(_ *Assembly, g *assembly.Group) {
			g.Joints = append(g.Joints, assembly.Joint{A: 3, B: 4})
		}, []int{1, 2, 1, 2}},
		{"one stands on another", func(_ *Assembly, g *assembly.Group) {
			g.Parts[5].Pose = g.Parts[4].Pose
			g.Parts[5].Pose.T[2] += 60
		}, []int{1, 2, 2, 1}},
	} {
		a := crate(3, 3)
		for i := range a.Names {
			a.Names[i] = same(i)
		}
		g := &a.Kit.Groups[0]
		tt.change(a, g)
		var got []int
		for _, c := range newGroupView(a, 0).chapters(func() string { return "A" }) {
			for _, u := range c.Turns {
				got = append(got, len(u.Parts))
			}
		}
		// The first of the lengthwise plates lies on the table, two go beside it.
		if d := cmp.Diff(tt.want, got); d != "" {
			t.Errorf("%s (-want +got):\n%s", tt.name, d)
		}
	}
}

// A leaflet of many parts stays small enough to be sent.
func TestLeafletBounded(t *testing.T) {
	several := crate(12, 12)
	for range 4 {
		several.Kit.Groups = append(several.Kit.Groups, several.Kit.Groups[0])
	}
	for name, a := range map[string]*Assembly{"120 parts in groups": several, "120 parts, 1100 laps": crate(10, 110)} {
		if page := in(t, "assemble", "html", a); len(page) > 4_000_000 {
			t.Errorf("%s: %d bytes", name, len(page))
		} else {
			t.Logf("%s: %d bytes", name, len(page))
		}
	}
}

// The picture of a kit shows each group with its number, and says where there is none.
func TestKitPicture(t *testing.T) {
	a := refitted(func(i int) string { return string(rune('a' + i)) })
	a.Kit.Groups = append(a.Kit.Groups, a.Kit.Groups[0])
	out := string(in(t, "assemble", "svg", a))
	for _, want := range []string{"<title>", ">group 1<", ">group 2<", ">f</text>", `class="gone"`} {
		if !strings.Contains(out, want) {
			t.Errorf("the picture lacks %q", want)
		}
	}
	if out := string(in(t, "assemble", "svg", assembled(craneEmpty()))); !strings.Contains(out, "no parts that go into each other") {
		t.Error("an empty kit is not told")
	}
}
