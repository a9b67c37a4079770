package units

import "testing"

func TestWords(t *testing.T) {
	for _, c := range []struct{ mm, in string }{
		{"slot 2.03 mm wide, too narrow for a sheet of 4.76 mm", "slot 0.08 in (2.03 mm) wide, too narrow for a sheet of 0.1875 in (4.76 mm)"},
		{"sheet 4.7625 mm; 1220 x 2440 mm", "sheet 0.1875 in (4.7625 mm); 48.031 x 96.063 in (1220 x 2440 mm)"},
		{"0 to 0.02 mm along", "0 to 0.0008 in (0 to 0.02 mm) along"},
		{"fits when moved by -12.7, 25.40 mm", "fits when moved by -0.5, 1 in (-12.7, 25.40 mm)"},
		{"Drawn for 3 and 6.35 mm.", "Drawn for 0.118 and 0.25 in (3 and 6.35 mm)."},
		{"part 3, 2.54 mm off", "part 3, 0.1 in (2.54 mm) off"},
		{"area 645.2 mm2, at 560 mm/min", "area 645.2 mm2, at 560 mm/min"},
		{"unit in (1 in = 25.4 mm)", "unit in (1 in = 25.4 mm)"},
		{`part "kit 3 mm" is 25.4 mm`, `part "kit 3 mm" is 1 in (25.4 mm)`},
		{"0.1875 in (4.76 mm)", "0.1875 in (4.76 mm)"},
		{"such as 3mm", "such as 3mm"},
		{"sheet 4.763 mm", "sheet 0.1875 in (4.763 mm)"},
		{"140 runs, 2.54 m cut", "140 runs, 100.0 in (2.54 m) cut"},
	} {
		if got := Inches.Words(c.mm); got != c.in {
			t.Errorf("%q: %q, want %q", c.mm, got, c.in)
		}
		if got := Inches.Words(Inches.Words(c.mm)); got != c.in {
			t.Errorf("%q told twice: %q", c.mm, got)
		}
		if got := Metric.Words(c.mm); got != c.mm {
			t.Errorf("%q in mm: %q", c.mm, got)
		}
	}
}
