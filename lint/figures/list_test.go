package figures

import (
	"math"
	"os"
	"strings"
	"testing"

	"sluice/geom"
	"sluice/lint"
	"sluice/lint/cutting"
	"sluice/lint/job"
	"sluice/lint/mend"
	"sluice/lint/rules"
)

// repairedDemo repairs the demo under its job.
func repairedDemo(t *testing.T) *lint.Repaired {
	t.Helper()
	f, err := os.Open("../../fixtures/harbour-crane.dxf")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	data, err := os.ReadFile("../../fixtures/crane.toml")
	if err != nil {
		t.Fatal(err)
	}
	j, err := job.Parse(data, "crane.toml", nil)
	if err != nil {
		t.Fatal(err)
	}
	done, _, err := mend.Fix(t.Context(), "crane", f, j, mend.Options{Options: lint.Options{Rules: rules.All()}})
	if err != nil {
		t.Fatal(err)
	}
	return done
}

// The steps of a list take up every run of the plan once, in its order, and add up
// to the plan's length and to the time of each run.
func TestList(t *testing.T) {
	done := repairedDemo(t)
	l := ListOf(done, "sheet 1 of 2")
	next, pierces, moves := 1, 0, 0
	var length, time float64
	parts := map[int]int{}
	for i := range l.Steps {
		st := &l.Steps[i]
		if st.First != next || st.Last < st.First || st.Marks+st.Holes+st.Outsides != st.Last-st.First+1 || st.At != l.Plan.Cuts[st.First-1].Start() {
			t.Fatalf("step %d after run %d: %+v", i, next-1, st)
		}
		if i > 0 && st.Part == l.Steps[i-1].Part && st.Part >= 0 {
			t.Errorf("steps %d and %d are one, on part %d", i-1, i, st.Part)
		}
		for k := st.First - 1; k < st.Last; k++ {
			if c := &l.Plan.Cuts[k]; st.Marks == 0 && int(c.Part) != st.Part {
				t.Errorf("run %d of part %d is in a step on part %d", k+1, c.Part, st.Part)
			}
		}
		next, pierces, length, time = st.Last+1, pierces+st.Pierces, length+st.Length, time+st.Time
		if math.Abs(st.Until-time) > 1e-6 {
			t.Errorf("step %d ends at %g s, want %g", i, st.Until, time)
		}
		parts[st.Part] += st.Holes + st.Outsides
		moves += st.Raised
	}
	etch, cut := l.Plan.Length()
	if next != len(l.Plan.Cuts)+1 || math.Abs(length-etch-cut) > 1e-6 || l.Total.Pierces != pierces || l.Total.Raised != moves {
		t.Errorf("%d of %d runs, %g of %g mm, %+v", next-1, len(l.Plan.Cuts), length, etch+cut, l.Total)
	}
	if n := len(l.After.Sheet.Parts); len(parts) != n+1 {
		t.Errorf("%d parts and marks for %d parts", len(parts), n)
	}
	// The estimate has what is not planned besides.
	if e := l.Estimate.Time.Total.Likely; l.Total.Time > e+1e-6 || l.Total.Time < 0.99*e {
		t.Errorf("%g s, the estimate has %g", l.Total.Time, e)
	}
	if !(l.Low < 1 && l.High > 1) {
		t.Errorf("range %g to %g", l.Low, l.High)
	}
	var all float64
	for i := range l.Schedule.Rows {
		all += l.PartTime(&l.Schedule.Rows[i])
	}
	for i := range l.Steps {
		if l.Steps[i].Part < 0 {
			all += l.Steps[i].Time
		}
	}
	if math.Abs(all-time) > 1e-6 {
		t.Errorf("the parts and marks take %g s of %g", all, time)
	}
}

// Without a known speed there are no times, and without a plan no steps.
func TestListUntimed(t *testing.T) {
	r := judged(t, "testdata/rules/small-part/fixed.dxf")
	l := ListOf(&lint.Repaired{Before: r, After: r}, "")
	if l.Total.Time != 0 || l.Total.Pierces == 0 || len(l.Steps) == 0 {
		t.Errorf("%+v", l.Total)
	}
	empty := &lint.Result{Job: job.Default(), Extents: geom.NoBox()}
	if l := ListOf(&lint.Repaired{Before: empty, After: empty}, ""); l.Plan != nil || len(l.Steps) > 0 {
		t.Errorf("of nothing: %+v", l.Steps)
	}
}

// A walk has a time for each run; a piece is loose by the run that closes its
// outline, and one on tabs never.
func TestWalk(t *testing.T) {
	done := repairedDemo(t)
	done.Paths = "paths.dxf"
	p := RepairOf(done).Page()
	w := p.Walk
	if w == nil || !w.Timed || len(w.On) != len(w.Plan.Cuts) || len(w.Off) != len(w.On) {
		t.Fatalf("no walk: %+v", w)
	}
	var sum float64
	for i := range w.On {
		if !(w.On[i] > 0 && w.Off[i] > 0) {
			t.Errorf("run %d takes %g s after %g", i+1, w.On[i], w.Off[i])
		}
		sum += w.On[i] + w.Off[i]
	}
	if l := ListOf(done, ""); math.Abs(sum-l.Total.Time) > 1e-6 {
		t.Errorf("%g s, the list has %g", sum, l.Total.Time)
	}
	s := p.After.Sheet
	free := map[int32]bool{}
	for _, f := range w.Freed {
		if free[f.By] || w.Plan.Cuts[f.By].Outline != f.Outline {
			t.Errorf("run %d frees two pieces, or one of another outline", f.By+1)
		}
		free[f.By] = true
	}
	for i := range w.Plan.Cuts {
		c := &w.Plan.Cuts[i]
		if want := c.Outline >= 0 && c.Closed && s.Outlines[c.Outline].Tabs == 0; free[int32(i)] != want {
			t.Errorf("run %d, closed %v, along an outline with tabs: frees a piece: %v", i+1, c.Closed, free[int32(i)])
		}
	}
	done.Paths = ""
	if p := RepairOf(done).Page(); p.Walk != nil || p.Walked {
		t.Error("a walk that was not asked for")
	}
}

// The head is raised for moves over what is loose or clamped.
func TestRaised(t *testing.T) {
	// Four plates in a row with a clamp across the way between two and two.
	r := judged(t, "testdata/rules/small-part/fixed.dxf")
	b := r.Sheet.PartsBox()
	j := *r.Job
	r.Job = &j
	j.Clamp = []job.Clamp{{At: []float64{max(0, b.Min.X), max(0, b.Min.Y)}, Size: []float64{b.W(), b.H()}}}
	plan := cutting.Paths(r.Sheet, &j, r.Extents)
	n := 0
	for i := range plan.Cuts {
		if Raised(plan, i) {
			n++
		}
	}
	if Raised(plan, 0) || n == 0 || n != plan.OverClamp || !strings.Contains(plan.Told(), "over a clamp zone") {
		t.Errorf("%d moves raised of %d over a clamp: %s", n, plan.OverClamp, plan.Told())
	}
}
