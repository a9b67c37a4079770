package search

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom"
)

// row is a search with six squares of 10 in a strip of that height, and so long.
func row(length float64) *solver {
	p := &Problem{Shapes: []Shape{rectangle(10, 10)}, Length: length, Height: 10}
	for range 6 {
		p.Items = append(p.Items, Item{Shape: 0, Turns: []float64{0}})
	}
	s := newSolver(newTables(p), 1, 1)
	s.limit = 1e9
	for i := range s.n {
		s.set(i, geom.Pt(float64(i)*(length-10)/5*0.9, 0), s.ori[i])
	}
	return s
}

// Six squares that each overlap the next give way until none does, where there is
// room for it; where there is none all stays as it was.
func TestRelax(t *testing.T) {
	s := row(60.01)
	if !s.relax(400) {
		t.Error("six squares of 10 do not part within 60.01")
	}
	if s.collisions(); len(s.hits) > 0 || s.used() > 60.01 {
		t.Errorf("they overlap still (%v), or reach %g", s.hits, s.used())
	}
	s = row(59)
	before := s.pose.clone()
	if s.relax(400) {
		t.Error("six squares of 10 part within 59")
	}
	if diff := cmp.Diff(before.pos, s.pos); diff != "" {
		t.Error(diff)
	}
}

// A fixed place does not give way, and an item out of the search pushes nothing.
func TestRelaxFixed(t *testing.T) {
	p := &Problem{Shapes: []Shape{rectangle(10, 10)}, Length: 40, Height: 10, Fixed: []Fixed{{Shape: 0, Clear: 2}}}
	for range 3 {
		p.Items = append(p.Items, Item{Shape: 0, Turns: []float64{0}})
	}
	s := newSolver(newTables(p), 1, 1)
	s.limit = 1e9
	s.show(2, false)
	s.set(0, geom.Pt(6, 0), s.ori[0])
	s.set(1, geom.Pt(15, 0), s.ori[1])
	if !s.relax(400) {
		t.Fatal("two squares do not part from a fixed one")
	}
	if a, b := s.pos[0].X, s.pos[1].X; a < 12 || b < a+10 || s.pos[2] != (geom.Point{}) {
		t.Errorf("squares at %g and %g, want 12 and more, and 22; the one out of the search at %v", a, b, s.pos[2])
	}
}
