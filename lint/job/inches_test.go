package job

import "testing"

// Figures are told in inches as the job says, else where it or the drawing is in
// inches or feet.
func TestInches(t *testing.T) {
	for _, c := range []struct {
		show, units string
		drawing     bool
		want        bool
	}{
		{"auto", "auto", false, false}, {"auto", "auto", true, true}, {"auto", "in", false, true}, {"auto", "ft", false, true},
		{"auto", "mm", false, false}, {"mm", "in", true, false}, {"in", "mm", false, true},
	} {
		j := Default()
		j.Report.ShowUnits, j.Units = c.show, c.units
		if got := j.Inches(c.drawing); got != c.want {
			t.Errorf("show_units %q, units %q, drawing in inches %v: %v", c.show, c.units, c.drawing, got)
		}
	}
}
