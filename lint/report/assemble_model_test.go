package report

import (
	"bytes"
	"encoding/json"
	"html/template"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"sluice/geom"
	"sluice/geom/plate"
	"sluice/lint"
	"sluice/lint/assembly"
)

// modelPage is a page with nothing but a model, as its tests in a browser open it.
func modelPage(w io.Writer, a *Assembly, still template.HTML) error {
	html, err := a.model(still)
	if err != nil {
		return err
	}
	page := struct {
		shell
		Path  string
		Model template.HTML
	}{newShell("model", a.Version, modelJS(), modelCSS, printCSS), clean(a.Path), html}
	body := `{{define "body"}}<main><article class="file"><h1>{{.Path}}</h1><div class="docket">{{.Model}}</div></article></main>{{end}}`
	return writePage(w, pageOf(body), page)
}

// TestModelPage writes a page to open in a browser to the file MODEL_PAGE, if that is set:
// of the drawing MODEL_DRAWING, or of the demo kit.
func TestModelPage(t *testing.T) {
	a := assembled(jointed(t))
	path := os.Getenv("MODEL_PAGE")
	if path != "" {
		drawing := os.Getenv("MODEL_DRAWING")
		if drawing == "" {
			drawing = "../../fixtures/harbour-crane-clean.dxf"
		}
		a = assembled(judgedAt(t, filepath.Base(drawing), drawing))
	}
	var b bytes.Buffer
	still := `<svg viewBox="0 0 120 60" role="img" aria-label="The kit as it stands"><path d="M10 50h100v-30h-60v-10h-40z" fill="#0d6470"/></svg>`
	if err := modelPage(&b, a, template.HTML(still)); err != nil {
		t.Fatal(err)
	}
	inertIn["text/html"](t, Format{}, b.Bytes())
	if !bytes.Contains(b.Bytes(), []byte(still)) {
		t.Error("the page lacks the picture for who cannot see the model")
	}
	if path != "" {
		if err := os.WriteFile(path, b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

func modelOf(t *testing.T, a *Assembly) (m modelKit) {
	t.Helper()
	b, err := a.modelData()
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b, &m); err != nil {
		t.Fatal(err)
	}
	return m
}

// TestModelData looks for every part of every group of the demo, in its place: each point
// of a part, moved by its pose, is where the part has it.
func TestModelData(t *testing.T) {
	a := assembled(judged(t, "fixtures/harbour-crane-clean.dxf"))
	m := modelOf(t, a)
	if len(m.Groups) != len(a.Kit.Groups) || len(m.Groups) < 2 {
		t.Fatalf("%d groups, want %d", len(m.Groups), len(a.Kit.Groups))
	}
	parts := 0
	for i := range m.Groups {
		g, want := &m.Groups[i], &a.Kit.Groups[i]
		parts += len(g.Parts)
		if len(g.Parts) != len(want.Parts) {
			t.Fatalf("group %d: %d parts, want %d", i+1, len(g.Parts), len(want.Parts))
		}
		for k := range g.Parts {
			p, w := &g.Parts[k], &want.Parts[k]
			if p.Name != a.Name(w.Part) || !strings.Contains(p.Words, " mm") {
				t.Errorf("group %d, part %d: %q%q, want %q", i+1, k, p.Name, p.Words, a.Name(w.Part))
			}
			if d := misplaced(p, &m.Shapes[p.Shape], assembly.Shape(a.Sheet, w.Part, a.Kit.PlateOf(w.Part)), w.Pose); d > 0.03 {
				t.Errorf("group %d, part %s: a point is off by %.3f mm", i+1, p.Name, d)
			}
		}
		modelSteps(t, g, want)
	}
	if len(m.Shapes) >= parts {
		t.Errorf("%d shapes of %d parts: copies share none", len(m.Shapes), parts)
	}
}

// misplaced returns how far a point of a part in a model is at most from where it should
// be, mm.
func misplaced(p *modelPart, s *modelShape, want *plate.Plate, pose plate.Pose) (worst float64) {
	i, x, y := 0, 0.0, 0.0
	for _, ring := range want.Rings {
		for _, q := range ring {
			x, y = x+float64(s.Points[i])/100, y+float64(s.Points[i+1])/100
			i += 2
			var v plate.Vec
			for k := range 3 {
				v[k] = float64(p.Pose[4*k])*x + float64(p.Pose[4*k+1])*y + float64(p.Pose[4*k+3])
			}
			worst = max(worst, v.Sub(pose.Apply(plate.Flat(q, 0))).Norm())
		}
	}
	return worst
}

// modelSteps checks that steps bring in every part once that can be put in, and that parts
// joined before come before the step that brings them in.
func modelSteps(t *testing.T, g *modelGroup, want *assembly.Group) {
	t.Helper()
	placed := make([]int, len(want.Parts))
	inner := map[int][]int{}
	for i := range g.Steps {
		s := &g.Steps[i]
		if s.Words == "" || s.Of >= 0 && s.Of <= i || s.Of >= len(g.Steps) {
			t.Errorf("step %d: %+v", i, s)
		}
		if s.Of >= 0 {
			inner[s.Of] = append(inner[s.Of], s.Parts...)
		}
		if before := inner[i]; len(before) == 0 {
			for _, k := range s.Parts {
				placed[k]++
			}
		} else if !slices.Equal(slices.Sorted(slices.Values(before)), slices.Sorted(slices.Values(s.Parts))) {
			t.Errorf("step %d brings in %v, but %v were joined before", i, s.Parts, before)
		}
	}
	for i := range want.Trapped { // some of them may be in no step
		for _, k := range want.Trapped[i].Parts {
			placed[k] = max(placed[k], 1)
		}
	}
	for k, n := range placed {
		if n != 1 {
			t.Errorf("part %d of %d is brought in %d times", k, len(placed), n)
		}
	}
}

// TestModelNested looks for parts that were joined before they go in.
func TestModelNested(t *testing.T) {
	a := assembled(jointed(t))
	g := &a.Kit.Groups[0]
	whole := assembly.Step{Parts: []int{0, 1}, Along: plate.Vec{0, 0, 1}, With: g.Steps}
	g.Steps = []assembly.Step{whole}
	steps := modelOf(t, a).Groups[0].Steps
	if len(steps) != 3 || steps[0].Of != 2 || steps[1].Of != 2 || steps[2].Of != -1 {
		t.Errorf("%+v", steps)
	}
	modelSteps(t, &modelGroup{Steps: steps}, g)
	for i, want := range []string{
		"Parts 2, 1 are joined before they go in, beginning with part 2.",
		"Part 1 goes in from above and meets part 2.",
		"Parts 2, 1, joined before, lie there to begin with.",
	} {
		if steps[i].Words != want {
			t.Errorf("step %d: %q, want %q", i+1, steps[i].Words, want)
		}
	}
}

// TestModelHostile gives parts names that would end the script or begin a tag.
func TestModelHostile(t *testing.T) {
	r := jointed(t)
	for range r.Sheet.Parts {
		r.Names = append(r.Names, hostile)
	}
	r.Names = r.Names[len(r.Names)-len(r.Sheet.Parts):]
	a := assembled(r)
	if m := modelOf(t, a); !strings.Contains(m.Groups[0].Parts[0].Name, "</script>") {
		t.Fatalf("the name does not get through: %q", m.Groups[0].Parts[0].Name)
	}
	html, err := a.model("")
	if err != nil {
		t.Fatal(err)
	}
	data := string(html[strings.Index(string(html), `id="model-data">`)+len(`id="model-data">`):])
	if i := strings.IndexByte(data, '<'); !strings.HasPrefix(data[i:], "</script>\n</figure>") || strings.ContainsAny(data[:i], ">&") {
		t.Errorf("a name came through as it is: %s", data[i:min(len(data), i+80)])
	}
}

// TestModelNothing writes no model where nothing goes together, and none of numbers that
// are none.
func TestModelNothing(t *testing.T) {
	for _, r := range []*lint.Result{craneEmpty(), brokenNumbers()} {
		if html, err := assembled(r).model("<svg></svg>"); err != nil || html != "" {
			t.Errorf("%s: %q, %v", r.Path, html, err)
		}
	}
}

// TestModelSize keeps a kit of 120 parts of many points below 1.5 MB.
func TestModelSize(t *testing.T) {
	mk := newMaker()
	for i := range 120 { // each of another size, so that none share a shape
		x, y := float64(i%12)*200, float64(i/12)*200
		part := mk.closed(-1, gear(geom.Pt(x, y), 18, 60+float64(i)/10, 70+float64(i)/10))
		for k := range 6 {
			mk.closed(part, geom.Path{geom.Circle(geom.Polar(geom.Pt(x, y), 40, float64(k)*math.Pi/3), 8)})
		}
	}
	a := &Assembly{Result: mk.result("many.dxf"), Kit: &assembly.Kit{Thickness: 3, Groups: make([]assembly.Group, 1)}}
	g := &a.Kit.Groups[0]
	for i := range 120 {
		c, s := math.Cos(float64(i)), math.Sin(float64(i))
		g.Parts = append(g.Parts, assembly.Placed{Part: i, Pose: plate.Pose{R: [3]plate.Vec{{c, s, 0}, {-s, c, 0}, {0, 0, 1}}, T: plate.Vec{100 * c, 50 * s, 3 * float64(i)}}})
		g.Steps = append(g.Steps, assembly.Step{Parts: []int{i}, Along: plate.Vec{0, 0, -1}})
	}
	b, err := a.modelData()
	if err != nil {
		t.Fatal(err)
	}
	if len(b) > 1_500_000 {
		t.Errorf("%d bytes", len(b))
	}
}
