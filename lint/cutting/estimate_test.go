package cutting

import (
	"context"
	"errors"
	"math"
	"os"
	"strings"
	"testing"

	"sluice/fix/tab/sheettest"
	"sluice/geom"
	"sluice/geom/outline"
	"sluice/lint"
	"sluice/lint/job"
)

// An example of the arithmetic (numbers invented): 48 x 96 x 0.125 in of 5052 at
// 223.488, of which 35 %; 30.8333 min at 120 an hour; 13.2 kg at 0.55; half an
// hour at 45: 169.6475.
func TestBill(t *testing.T) {
	c := job.Cost{SheetPrice: 223.488, MachineRate: 120, AbrasivePrice: 0.55, LabourRate: 45}
	cut := 12.0 / 0.45 * 60 // s
	pierce := 40 * 4.0
	rapids := 90.0
	a := Amounts{Sheets: 0.35, Machine: cut + pierce + rapids, Abrasive: 0.45 * (cut + pierce) / 60, Labour: 1800}
	b := BillOf(a, c)
	within(t, "machine", b.Machine, 61.6667, 1e-6)
	within(t, "abrasive", b.Abrasive, 7.26, 1e-9)
	within(t, "total", b.Total(), 169.6475, 1e-6)
}

func result(j *job.Job, s *outline.Sheet) *lint.Result {
	names := make([]string, len(s.Parts))
	for i := range names {
		names[i] = "1"
	}
	return &lint.Result{Job: j, Sheet: s, Names: names}
}

func estimateOf(t *testing.T, j *job.Job, s *outline.Sheet) *Estimate {
	t.Helper()
	e, err := Of(result(j, s))
	if err != nil {
		t.Fatal(err)
	}
	return e
}

// Two plates of 100 x 60 with a hole of 10 each and a mark, 10 mm apart.
func plates() *outline.Sheet {
	s := sheettest.Of(
		sheettest.Rect(10, 10, 100, 60), sheettest.Disc(30, 30, 5),
		sheettest.Rect(120, 10, 100, 60), sheettest.Disc(140, 30, 5))
	s.Etch = []outline.Open{{Path: outline.Path{Pieces: geom.Path{geom.Line(geom.Pt(50, 50), geom.Pt(75, 50))}}, Part: 0}}
	return s
}

func TestOf(t *testing.T) {
	j := jobFor("mild steel", 6)
	j.Sheet.Size = []float64{240, 100}
	e := estimateOf(t, j, plates())
	// Half a kerf of 1 mm off: around the plates and within the holes. Leads are 4 mm
	// in, half of that out, and 2 mm of overlap.
	outside, hole := 2*(320+math.Pi), 2*math.Pi*4.5
	within(t, "outside", e.Length.Outside, outside, 1e-9)
	within(t, "inside", e.Length.Inside, 2*hole, 1e-9)
	within(t, "etch", e.Length.Etch, 25, 1e-9)
	within(t, "leads", e.Length.Leads, 4*(4+2+2), 1e-9)
	if e.Pierces != 4 || e.Starts != 5 || e.Parts != 2 {
		t.Errorf("%d pierces, %d starts, %d parts", e.Pierces, e.Starts, e.Parts)
	}
	v := Jet{345, 0.35, 1.02, 450}.Speed(87, 6, 3) // M4
	plain := (outside + 2*hole + 32) / v * 60
	if got := e.Time.Cut.Likely; got < plain || got > 1.1*plain {
		t.Errorf("cut in %g s, plain %g s", got, plain)
	}
	within(t, "slow-down", e.Time.Cut.Likely-e.Time.Slow, plain, 1e-9)
	within(t, "etch time", e.Time.Etch.Likely, 25.0/2500*60, 1e-9)
	within(t, "starts", e.Time.Start.Likely, 10, 1e-9)
	sum := e.Time.Cut.Likely + e.Time.Etch.Likely + e.Time.Pierce.Likely + e.Time.Start.Likely + e.Time.Travel.Likely
	within(t, "total", e.Time.Total.Likely, sum, 1e-12)
	within(t, "abrasive", e.Abrasive.Likely, 0.45*(e.Time.Cut.Likely+e.Time.Etch.Likely+e.Time.Pierce.Likely)/60, 1e-9)
	area := 2 * (6000 - math.Pi*25)
	within(t, "mass", e.PartsMass, area*6e-9*7850, 1e-9)
	within(t, "sheet mass", e.SheetMass, 240*100*6e-9*7850, 1e-9)
	within(t, "share by boxes", e.Shares.Box, 2*103*63/(220.0*80), 1e-9)
	within(t, "share by length", e.Shares.Length, 230.0/240, 1e-9)
	j.Sheet.Size, j.Cost.SheetShare = []float64{1000, 100}, "offcut"
	less := estimateOf(t, j, plates())
	end := 1000 * less.Paid() // where the strip that is kept begins: a gap beyond the last plate
	if right := end - j.LayoutGap(); !(less.Paid() > 0 && less.Paid() < 1) || math.Abs(right-(230-10)) > 1e-6 {
		t.Errorf("of a long sheet %g is paid, up to %g mm", less.Paid(), right)
	}
	if len(e.Rows) != 1 || e.Rows[0].Count != 2 || math.Abs(e.Rows[0].Mass-e.PartsMass/2) > 1e-12 {
		t.Errorf("rows %+v", e.Rows)
	}
	if !(e.Time.Total.Low < e.Time.Total.Likely && e.Time.Total.Likely < e.Time.Total.High) {
		t.Errorf("range %+v", e.Time.Total)
	}
	if !strings.Contains(strings.Join(e.Notes, "\n"), "published model") {
		t.Errorf("the model's doubt is not told: %q", e.Notes)
	}
}

// Where the machine etches with water alone, marks take no abrasive, but time and
// water as before.
func TestEtchWithoutAbrasive(t *testing.T) {
	j := jobFor("mild steel", 6)
	with := estimateOf(t, j, plates())
	j.Jet.EtchAbrasive = false
	e := estimateOf(t, j, plates())
	within(t, "saved", with.Abrasive.Likely-e.Abrasive.Likely, 0.45*(25.0/2500), 1e-9)
	if !strings.Contains(strings.Join(e.Notes, "\n"), "water alone") {
		t.Errorf("not told: %q", e.Notes)
	}
	within(t, "water", e.Water.Likely, with.Water.Likely, 1e-12)
	within(t, "time", e.Time.Total.Likely, with.Time.Total.Likely, 1e-12)
}

// The estimate goes by the paths that are written: the same length, starts and way.
func TestEstimateIsThatOfThePaths(t *testing.T) {
	f, err := os.Open("../../fixtures/harbour-crane-clean.dxf")
	if err != nil {
		t.Skip(err)
	}
	defer f.Close()
	j := jobFor("5052", 3)
	r := lint.Check(context.Background(), "crane", f, j, lint.Options{})
	e, err := Of(r)
	if err != nil {
		t.Fatal(err)
	}
	var run, way float64
	starts := 0
	for _, it := range Paths(r.Sheet, j, r.Extents).Items(j.Jet.Kerf) {
		switch {
		case strings.HasPrefix(it.Layer, "RUN-"):
			run += it.Path.Length()
			starts++
		case strings.HasPrefix(it.Layer, "WAY"):
			way += it.Path.Length()
		}
	}
	within(t, "run", e.Length.Cut()+e.Length.Etch, run, 1e-9)
	within(t, "way", e.Length.Travel, way, 1e-9)
	if e.Starts != starts {
		t.Errorf("%d starts, %d paths", e.Starts, starts)
	}
	if !strings.Contains(strings.Join(e.Notes, "\n"), "planned paths") {
		t.Errorf("that paths are planned is not told: %q", e.Notes)
	}
}

// What is too much to plan, or has no path, is counted along its outline, and that is
// told.
func TestUnplanned(t *testing.T) {
	slot := sheettest.Rect(20, 20, 10, 0.8) // narrower than the kerf
	s := sheettest.Of(sheettest.Rect(10, 10, 100, 60), slot)
	e := estimateOf(t, jobFor("mild steel", 6), s)
	within(t, "slot", e.Length.Inside, slot.Length(), 1e-9)
	if n := strings.Join(e.Notes, "\n"); !strings.Contains(n, "1 outline has no path") {
		t.Errorf("not told: %q", n)
	}
	many := make([]float64, 0, 2*mostPlanned+2)
	for i := range mostPlanned + 1 {
		p := geom.Polar(geom.Pt(600, 600), 500, 2*math.Pi*float64(i)/(mostPlanned+1))
		many = append(many, p.X, p.Y)
	}
	s = sheettest.Of(sheettest.Poly(many...))
	e = estimateOf(t, jobFor("mild steel", 6), s)
	within(t, "around", e.Length.Outside, 1000*math.Pi, 1e-6)
	within(t, "leads", e.Length.Leads, 1.5*4, 1e-9)
	if n := strings.Join(e.Notes, "\n"); e.Plan != nil || !strings.Contains(n, "too many to plan") {
		t.Errorf("not told: %q", n)
	}
}

// Moved, turned, mirrored and reversed drawings take the same; half a kerf more
// or less is not counted.
func TestOfMoved(t *testing.T) {
	j := jobFor("5052", 4.7625)
	base := estimateOf(t, j, plates())
	for _, tr := range []geom.Transform{geom.Shift(geom.Pt(500, -90)), geom.Turn(geom.Pt(3, 4), 1), geom.MirrorX(10)} {
		var all []geom.Path
		p := plates()
		for i := range p.Outlines {
			all = append(all, p.Outlines[i].Pieces.Transform(tr).Reverse())
		}
		s := sheettest.Of(all...)
		s.Etch = p.Etch
		e := estimateOf(t, j, s)
		within(t, "cut", e.Time.Cut.Likely, base.Time.Cut.Likely, 1e-9)
		within(t, "mass", e.PartsMass, base.PartsMass, 1e-9)
		within(t, "pierce", e.Time.Pierce.Likely, base.Time.Pierce.Likely, 1e-12)
	}
}

// Twice the kits double everything but the setting up.
func TestKits(t *testing.T) {
	j := jobFor("5052", 4.7625)
	j.Sheet.Size = []float64{1219.2, 2438.4}
	j.Cost = job.Cost{SheetPrice: 400, SheetShare: "box", MachineRate: 150, LabourRate: 45, AbrasivePrice: 0.6, SetupMinutes: 30, MinutesPerPart: 1, Kits: 1}
	one := estimateOf(t, j, plates())
	j.Cost.Kits = 2
	two := estimateOf(t, j, plates())
	setup := 0.5 * 45
	within(t, "total", two.Bill.Total()-setup, 2*(one.Bill.Total()-setup), 1e-12)
	within(t, "sheet", two.Bill.Sheet, 2*one.Bill.Sheet, 1e-12)
	j.Cost.SheetShare = "whole"
	within(t, "whole sheets", estimateOf(t, j, plates()).Bill.Sheet, 800, 1e-12)
}

// Tabs save cutting and cost pierces and work.
func TestTabs(t *testing.T) {
	j := jobFor("5052", 4.7625)
	s := sheettest.Of(sheettest.Rect(0, 0, 100, 60))
	whole := estimateOf(t, j, s)
	o := &s.Outlines[0]
	o.Path, o.Tabs = sheettest.Tabbed(o.Path, [2]float64{40, 41.8}, [2]float64{200, 201.8}), 2
	e := estimateOf(t, j, s)
	within(t, "length saved", whole.Length.Outside-e.Length.Outside, 3.6, 1e-9)
	if e.Pierces != 2 || e.Tabs != 2 || !(e.Labour > whole.Labour) {
		t.Errorf("%d pierces, %d tabs, work %g s against %g s", e.Pierces, e.Tabs, e.Labour, whole.Labour)
	}
}

// What is not known is left out and told, never made up.
func TestOfUnknown(t *testing.T) {
	for _, tt := range []struct {
		material  string
		thickness float64
		note      string
	}{
		{"5052", 0, "No thickness is set"},
		{"", 3, "No material is set"},
		{"cheese", 3, `"cheese" is not known`},
		{"brass", 3, "No machinability is known for brass"},
	} {
		e := estimateOf(t, jobFor(tt.material, tt.thickness), plates())
		if e.Time.Total.Likely != 0 || e.Abrasive.Likely != 0 || e.Bill.Total() != 0 {
			t.Errorf("%s: figures without ground: %+v", tt.note, e.Time.Total)
		}
		if !strings.Contains(strings.Join(e.Notes, "\n"), tt.note) {
			t.Errorf("%q is not told: %q", tt.note, e.Notes)
		}
		within(t, tt.note, e.Length.Outside, 2*(320+math.Pi), 1e-9)
	}
	if _, err := Of(result(job.Default(), &outline.Sheet{})); !errors.Is(err, ErrNothing) {
		t.Errorf("an empty drawing gives %v", err)
	}
}

// Practice to hold against (common practice, no source): a plate of 4 x 8 ft,
// 3/16 in 5052, bought at 400 and used to three quarters is 300 of material; a
// little over four machine hours on it at 150 an hour are about 600; about 900
// together; a kit of 21 lb is a quarter of the plate's mass.
//
// How much is cut on such a plate is not said, but the mass of its parts is. So the
// kit is made of the demo, an interlocking desk model like those that such plates
// are bought for: as many copies of it as weigh the 21 lb. (As many as cover three
// quarters of the plate as densely as the demo covers its own sheet of 600 x 400 mm
// would weigh a third more; their hours are logged beside.)
func TestPlateOfPractice(t *testing.T) {
	f, err := os.Open("../../fixtures/harbour-crane-clean.dxf")
	if err != nil {
		t.Skip(err)
	}
	defer f.Close()
	const pound = 0.45359237
	j := jobFor("5052", 3.0/16*25.4)
	j.Sheet.Size = []float64{4 * 304.8, 8 * 304.8}
	j.Cost = job.Cost{SheetPrice: 400, SheetShare: "box", MachineRate: 150, Kits: 1}
	r := lint.Check(context.Background(), "crane", f, j, lint.Options{})
	one, err := Of(r)
	if err != nil {
		t.Fatal(err)
	}
	within(t, "a quarter of the plate's mass, lb", one.SheetMass/pound/4, 21, 0.01)
	copies := 21 * pound / one.PartsMass
	j.Cost.Kits = copies
	e, err := Of(r)
	if err != nil {
		t.Fatal(err)
	}
	hours := copies * e.Time.Total.Likely / 3600
	t.Logf("%.1f copies of 21 lb: %.1f m cut, %.0f pierces, %.2f h (%.2f to %.2f), abrasive %.0f kg; machine %.0f, with 300 of material %.0f",
		copies, copies*e.Length.Cut()/1000, copies*float64(e.Pierces), hours, copies*e.Time.Total.Low/3600, copies*e.Time.Total.High/3600,
		copies*e.Abrasive.Likely, e.Bill.Machine, 300+e.Bill.Machine)
	dense := 0.75 * e.SheetArea / (600 * 400)
	t.Logf("%.1f copies by area: %.2f h, %.1f lb", dense, dense*one.Time.Total.Likely/3600, dense*one.PartsMass/pound)
	if hours < 4/1.5 || hours > 4*1.5 {
		t.Errorf("%.2f h, practice has about 4", hours)
	}
	within(t, "machine", e.Bill.Machine, 600, 0.5)
	within(t, "together", 0.75*j.Cost.SheetPrice+e.Bill.Machine, 900, 1.0/3)
}
