package coupon_test

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"sluice/fix/fit"
	"sluice/geom/clear"
	"sluice/lint"
	"sluice/lint/coupon"
	"sluice/lint/job"
	"sluice/lint/mend"
	"sluice/lint/rules"
)

// trial draws and finishes a trial.
func trial(t *testing.T, o coupon.Options) *lint.Repaired {
	t.Helper()
	var b bytes.Buffer
	if err := coupon.Write(&b, o); err != nil {
		t.Fatal(err)
	}
	j := job.Default()
	j.Jet.Kerf, j.Sheet.Thickness, j.Tabs.Width = o.Kerf, o.Thickness, o.Tab
	if o.Inch {
		j.Units = "in"
	}
	rep, _, err := mend.Fix(t.Context(), "trial", &b, coupon.Job(j), mend.Options{Options: lint.Options{Rules: rules.All()}})
	if err != nil {
		t.Fatal(err)
	}
	return rep
}

// TestDraw: for any sheet and kerf all of the trial can be cut, all parts that can
// tip are held, and its slots are as wide as is etched beside them.
func TestDraw(t *testing.T) {
	for _, o := range []coupon.Options{
		{Thickness: 3, Kerf: 1, Clearance: 0.15, Tab: 0.8},
		{Thickness: 4.7625, Kerf: 0.9, Clearance: 0.15, Tab: 0.8, Inch: true},
		{Thickness: 1.2, Kerf: 1.1, Clearance: 0.05, Tab: 0.5},
		{Thickness: 0.8, Kerf: 0.76, Clearance: 0.38, Tab: 0.8},
		{Thickness: 12.7, Kerf: 1.2, Clearance: 0.2, Tab: 1.2, Inch: true},
		{Thickness: 50, Kerf: 1.3, Clearance: 0.3, Tab: 2},
	} {
		t.Run(fmt.Sprintf("%g mm", o.Thickness), func(t *testing.T) {
			rep := trial(t, o)
			for i := range rep.Left {
				f := &rep.Left[i]
				if f.Rule == "small-hole" && o.Thickness+o.Clearance < 2*o.Kerf {
					continue // as in a kit of this sheet
				}
				if f.Severity >= lint.Warning {
					t.Errorf("%s at %v: %s", f.Rule, f.At, f.Message)
				}
			}
			s := rep.After.Sheet
			if len(s.Parts) != 6 || len(s.Outlines) != 6+coupon.Slots+1 {
				t.Fatalf("%d parts, %d outlines", len(s.Parts), len(s.Outlines))
			}
			if err := o.Thickness + o.Clearance - o.Widths()[coupon.Slots/2]; o.Thickness > 2 && math.Abs(err) > 1e-9 {
				t.Errorf("the middle slot is %g mm off", err)
			}
			var widths []float64
			for i := range s.Outlines {
				if out := &s.Outlines[i]; out.Hole() && len(out.Pieces) == 4 {
					widths = append(widths, min(out.Box.W(), out.Box.H()))
				}
			}
			for _, want := range o.Widths() {
				found := false
				for _, w := range widths {
					found = found || math.Abs(w-want) < 1e-6
				}
				if !found || want <= o.Kerf {
					t.Errorf("slot of %g mm: drawn %v", want, widths)
				}
			}
			// What is etched lies on its part, clear of what is cut.
			for i := range s.Etch {
				p := s.Etch[i].Part
				if p < 0 || !s.Etch[i].Inside {
					t.Errorf("%v is etched outside", s.Etch[i].Box)
					continue
				}
				for k := range s.Outlines {
					for _, q := range s.Etch[i].Pieces {
						if d, _ := s.Outlines[k].Pieces.Dist(q.Mid()); d < o.Kerf {
							t.Errorf("%v is etched %g mm from a cut", s.Etch[i].Box, d)
						}
					}
				}
			}
			gaps := map[string]int{}
			for _, tb := range rep.Tabs {
				gaps[fmt.Sprintf("%.4g", tb.Width)]++
			}
			for k, w := range o.Tabs() {
				least := 2
				if k == 1 {
					least = 4 // the parts that can tip have it too
				}
				if o.Thickness < 50 && gaps[fmt.Sprintf("%.4g", w)] < min(least, 2) {
					t.Errorf("tabs of %g mm: %v", w, gaps)
				}
			}
		})
	}
}

// TestSquareAndHole measures what is drawn by separate code.
func TestSquareAndHole(t *testing.T) {
	in := coupon.Options{Thickness: 3, Kerf: 1, Clearance: 0.15, Tab: 0.8}
	s := trial(t, in).After.Sheet
	squares, holes := 0, 0
	for i := range s.Outlines {
		o := &s.Outlines[i]
		if !o.Hole() && math.Abs(o.Box.W()-in.Square()) < 1e-6 && math.Abs(o.Area-in.Square()*in.Square()) < 1e-3 {
			squares++
		}
		if o.Hole() && math.Abs(o.Area-math.Pi*in.Hole()*in.Hole()/4) < 1e-3 {
			if _, r := clear.LargestCircle(o.Pieces, 1e-4); math.Abs(2*r-in.Hole()) > 1e-3 {
				t.Errorf("a hole of %g mm", 2*r)
			}
			holes++
		}
	}
	if squares != 1 || holes != 1 {
		t.Errorf("%d squares, %d holes", squares, holes)
	}
}

func TestDrawRefuses(t *testing.T) {
	for _, tt := range []struct {
		o    coupon.Options
		want error
	}{
		{coupon.Options{Kerf: 1, Tab: 0.8}, coupon.ErrThickness},
		{coupon.Options{Thickness: 0.8, Kerf: 1, Clearance: 0.15, Tab: 0.8}, coupon.ErrThin},
	} {
		if err := coupon.Write(&bytes.Buffer{}, tt.o); !errors.Is(err, tt.want) {
			t.Errorf("%+v: %v", tt.o, err)
		}
	}
}

// TestFind cuts the trial in thought with a stream and a taper that nobody knows,
// and finds them again: a kit refitted by the lines gets the slot that suited.
func TestFind(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 9))
	nan := math.NaN()
	for range 300 {
		o := coupon.Options{Thickness: 2 + 10*rng.Float64(), Kerf: 0.8 + 0.5*rng.Float64(), Clearance: 0.3 * rng.Float64(), Tab: 0.8}
		kerf, taper := o.Kerf+0.4*(rng.Float64()-0.5), 0.2*rng.Float64()
		wide := kerf - o.Kerf // by which all is cut wider than it is drawn
		sheet := o.Thickness + 0.1*(rng.Float64()-0.5)
		slot := o.Widths()[6+rng.IntN(3)]
		top := slot + wide                    // as cut, at the upper face
		bears := top-max(taper, 0)-sheet >= 0 // else the tongue cannot go in
		m := coupon.Measured{
			Square: o.Square() - wide, SquareBottom: nan, Hole: o.Hole() + wide, HoleBottom: o.Hole() + wide - taper,
			Slot: slot, Tab: 1.2, Thickness: sheet,
		}
		f, err := coupon.Find(o, m)
		if !bears {
			if err == nil {
				t.Errorf("a sheet of %g mm in a slot of %g mm is taken", sheet, top-taper)
			}
			continue
		}
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(f.Kerf-kerf) > 1e-9 || math.Abs(f.Taper-taper) > 1e-9 || f.Apart > 1e-9 {
			t.Errorf("kerf %g, taper %g, want %g, %g", f.Kerf, f.Taper, kerf, taper)
		}
		j, err := job.Parse([]byte(f.Lines()), "found.toml", nil)
		if err != nil {
			t.Fatalf("%v\n%s", err, f.Lines())
		}
		target := fit.Target{Thickness: j.Fit.Measured, Clearance: j.Fit.Gap(), Taper: j.Fit.Taper}
		if d := math.Abs(target.Width() - top); d > 0.003 || math.Abs(j.Jet.Kerf-kerf) > 0.001 || j.Tabs.Width != 1.2 {
			t.Errorf("slots are made %g mm wide, the one that suited is %g\n%s", target.Width(), top, f.Lines())
		}
	}
}

func TestFindPart(t *testing.T) {
	o := coupon.Options{Thickness: 3, Kerf: 1, Clearance: 0.15, Tab: 0.8}
	for _, tt := range []struct {
		measured, want string
	}{
		{"square=39.9mm", "[jet]\nkerf = \"1.1mm\" # measured on a trial\n"},
		{"hole=16.1", "[jet]\nkerf = \"1.1mm\" # measured on a trial\n"},
		{"square=39.92mm, hole=16.04mm", "[jet]\nkerf = \"1.06mm\" # measured on a trial; square and hole agree within 0.040 mm\n"},
		{"tab=0.5mm", "[tabs]\nwidth = \"0.5mm\" # broke off best\n"},
		{"slot=3.2mm", "[fit]\nclass = \"own\"\nclearance = \"0.2mm\" # of the slot that suited, less the sheet\nmeasured = \"3mm\" # the sheet as named: better measure it\n"},
		{"slot=3.2mm, thickness=3.1mm", "[fit]\nclass = \"own\"\nclearance = \"0.1mm\" # of the slot that suited, less the sheet\nmeasured = \"3.1mm\" # the sheet as measured\n"},
		{"square=40mm, square_bottom=39.9mm", "[jet]\nkerf = \"1mm\" # measured on a trial\n[fit]\ntaper = \"0mm\" # narrower at the lower face\n"},
	} {
		m, err := coupon.ParseMeasured(tt.measured)
		if err != nil {
			t.Fatalf("%s: %v", tt.measured, err)
		}
		f, err := coupon.Find(o, m)
		if err != nil {
			t.Errorf("%s: %v", tt.measured, err)
			continue
		}
		if f.Lines() != tt.want {
			t.Errorf("%s:\n%s\nwant\n%s", tt.measured, f.Lines(), tt.want)
		}
	}
	for measured, want := range map[string]string{
		"":                             "nothing is measured",
		"square":                       "no name=length",
		"sqare=40mm":                   `did you mean "square"`,
		"square=40mm,square=39mm":      "given twice",
		"square=wide":                  "square:",
		"square=-3mm":                  "negative",
		"square=0mm":                   "above 0",
		"square=38mm":                  "was the trial cut with that kerf",
		"square=39.7mm, hole=16.0mm":   "measure both again",
		"slot=5mm":                     "none of 5 mm",
		"slot=2.95mm, thickness=3.2mm": "narrower than the sheet",
	} {
		m, err := coupon.ParseMeasured(measured)
		if err == nil {
			_, err = coupon.Find(o, m)
		}
		if err == nil || !strings.Contains(err.Error(), want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%q: %v, want %q", measured, err, want)
		}
	}
}
